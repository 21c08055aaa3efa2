"""The hazard log as data: what can go wrong, why, what stands against it, and the test that bites.

Nothing in a plan is computed from it. Its page, `docs/hazards.md`, is made from it, and the tests hold
every row to code that exists and to a test that runs.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Literal

from pydantic import Field

from provand.record import Record

Severity = Literal["can kill", "can injure", "spoils the race", "breaks trust"]

SEVERITIES: tuple[Severity, ...] = ("can kill", "can injure", "spoils the race", "breaks trust")
"""From the gravest to the lightest."""


class Control(Record):
    """One thing that stands against a hazard: what it does, where it is done, which tests fail without it.

    `where` names modules and what is in them, as `safety.gate:gate`; `tests` are pytest's node ids.
    """

    id: str = Field(pattern=r"^[a-z][a-z0-9_]*$")
    does: str = Field(min_length=1)
    where: tuple[str, ...] = Field(min_length=1)
    tests: tuple[str, ...] = Field(min_length=1)


class Hazard(Record):
    """One hazard: the harm, how grave, its causes, its controls, the sources, and what is left over."""

    id: str = Field(pattern=r"^[a-z][a-z0-9_]*$")
    title: str = Field(min_length=1)
    harm: str = Field(min_length=1)
    severity: Severity
    sources: tuple[str, ...] = ()
    causes: tuple[str, ...] = Field(min_length=1)
    left_over: str = Field(min_length=1)
    control: tuple[Control, ...] = Field(min_length=1)


PARTS = ("body", "person", "paper")
"""The files of `hazard_log`, in the order of the log."""


@cache
def hazards() -> tuple[Hazard, ...]:
    """Return every hazard, in the order of the log."""
    folder = files("provand.safety").joinpath("hazard_log")
    texts = [folder.joinpath(f"{part}.toml").read_text("utf-8") for part in PARTS]
    return tuple(Hazard(**entry) for text in texts for entry in tomllib.loads(text)["hazard"])


def controls() -> dict[str, Control]:
    """Return every control by its whole name: `fluid_excess.gate`."""
    return {f"{hazard.id}.{control.id}": control for hazard in hazards() for control in hazard.control}
