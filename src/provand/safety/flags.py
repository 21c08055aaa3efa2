"""The questions of screening as data: what is asked, and what each "yes" does."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from typing import Literal

from provand.card import Mark
from provand.case.health import Part
from provand.record import Record

Outcome = Literal["clear", "note", "withheld", "hold", "refer"]
FluidCare = Literal["usual", "half"]

OUTCOMES: tuple[Outcome, ...] = ("clear", "note", "withheld", "hold", "refer")
"""From the lightest to the gravest."""


class FollowUp(Record):
    """A question asked after a "yes"; any other answer than `must_be` makes it a hold."""

    id: str
    asks: str
    must_be: Literal["yes", "no"]


class Flag(Record):
    """One question and what a "yes" does; the fields are explained at the head of `flags.toml`."""

    id: str
    title: str
    asks: str
    outcome: Outcome
    withheld: tuple[Part, ...] = ()
    sentence: str = ""
    follow_up: tuple[FollowUp, ...] = ()
    by_medicine: bool = False
    race_week: bool = False
    exclusions: bool = False
    passes_after_days: int = 0
    letter: bool = False
    new_within_days: int = 0
    fluid_care: FluidCare = "usual"
    sodium_care: bool = False
    source: str = ""
    mark: Mark
    note: str = ""


@cache
def flags() -> tuple[Flag, ...]:
    """Return every flag, in the order asked (data: `flags.toml`)."""
    text = files("provand.safety").joinpath("flags.toml").read_text("utf-8")
    return tuple(Flag(**entry) for entry in tomllib.loads(text)["flag"])


def gravest(outcomes: Iterable[Outcome]) -> Outcome:
    """Return the gravest of some outcomes, clear without any."""
    return max(outcomes, key=OUTCOMES.index, default="clear")
