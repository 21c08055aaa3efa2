"""The questions of screening as data: what is asked, what each "yes" does, and what lifts it."""

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
LiftedBy = Literal["reply", "hand", "assent", "time", "sodium test"]

OUTCOMES: tuple[Outcome, ...] = ("clear", "note", "withheld", "hold", "refer")
"""From the lightest to the gravest."""


class FollowUp(Record):
    """A question asked after a "yes"; any other answer than `must_be` makes it a hold."""

    id: str
    asks: str
    must_be: Literal["yes", "no"]


class LetterAsks(Record):
    """What a letter is about, and what it asks the clinician: no diagnosis, only what is needed."""

    about: str
    asks: tuple[str, ...]


class Flag(Record):
    """One question and what a "yes" does; the fields are explained at the head of `flags.toml`."""

    id: str
    title: str
    asks: str
    asks_again: str = ""
    why: str
    asked_after: str = ""
    outcome: Outcome
    withheld: tuple[Part, ...] = ()
    sentence: str = ""
    is_open: bool = False
    follow_up: tuple[FollowUp, ...] = ()
    lifted_by: tuple[LiftedBy, ...] = ()
    never_by_hand: str = ""
    not_by_hand_in_race_week: bool = False
    by_medicine: bool = False
    race_week: bool = False
    new_fact: bool = False
    exclusions: bool = False
    passes_after_days: int = 0
    new_within_days: int = 0
    fluid_care: FluidCare = "usual"
    sodium_care: bool = False
    caffeine_care: bool = False
    tell: str = ""
    letter: LetterAsks | None = None
    source: str = ""
    mark: Mark
    note: str = ""

    @property
    def holds(self) -> bool:
        """True where a "yes" by itself holds everything personal back."""
        return self.outcome in ("hold", "refer")


@cache
def flags() -> tuple[Flag, ...]:
    """Return every flag, in the order asked (data: `flags.toml`)."""
    text = files("provand.safety").joinpath("flags.toml").read_text("utf-8")
    return tuple(Flag(**entry) for entry in tomllib.loads(text)["flag"])


def gravest(outcomes: Iterable[Outcome]) -> Outcome:
    """Return the gravest of some outcomes, clear without any."""
    return max(outcomes, key=OUTCOMES.index, default="clear")
