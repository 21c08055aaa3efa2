"""The race schedule as a problem: what is given, the places, what may happen at each; no solver here.

Amounts are integers: carbohydrate and caffeine in mg, fluid in ml. What a limit counts is rounded up, what a
floor counts is rounded down, so that no rounding can carry a schedule over a ceiling.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from provand.case.case import Case
from provand.case.course import Station
from provand.case.intake import Intake
from provand.estimate.pace import PaceTable
from provand.figure import Series
from provand.finding import Finding
from provand.larder.item import WATER, Item
from provand.protocol.rules import value
from provand.safety.limits import Dose, Window

Mode = Literal["rate", "small", "rinse"]
Amount = Literal["cup", "half", "mouthful", "none"]
CLOSED_S = 60 * value("intake.last_before_finish").mid
"""Nothing is eaten in this last part of the slow case."""
DOSE_S, DAY_S = 3600 * value("caffeine.window").high, 3600 * value("caffeine.day_window").high
"""Caffeine at once falls into the first, a day's caffeine into the second; both roll."""


@dataclass(frozen=True, kw_only=True)
class RaceInputs:
    """All that the schedule is made from. Carbohydrate is for the whole race, the fluid ceiling in ml so far.

    `refused` maps the id of an item that may not be planned to the reason; `earlier_caffeine` are doses taken
    before the start (elapsed seconds below zero, mg); `glucose_waiting_g` waits in the gut at the start;
    `forbidden_s` are windows of elapsed time, and whether
    a rinse is allowed there. `eased` are wishes given up, to see what that would bring; never to plan with.
    """

    case: Case
    items: Mapping[str, Item]
    pace: PaceTable
    mode: Mode
    carb_low_g: float
    carb_target_g: float
    carb_high_g: float
    upper_rate_g_per_h: float
    fluid_ceiling: Series
    pre_start_ml: float
    glucose_limit_g_per_h: float
    caffeine_single_mg: int
    caffeine_day_mg: int
    earlier_caffeine: tuple[Dose, ...] = ()
    glucose_waiting_g: float = 0.0
    withheld: frozenset[str] = frozenset()
    refused: Mapping[str, str]
    forbidden_s: tuple[Window, ...] = ()
    walker: bool = False
    slot_s: float = 150.0
    eased: frozenset[str] = frozenset()

    @property
    def closed_from_slow_s(self) -> float:
        """The moment of the slow case from which nothing more is eaten."""
        return self.pace.slow.finish_s - CLOSED_S

    @property
    def closed_from_m(self) -> float:
        """The place from which nothing more is eaten."""
        return self.pace.slow.place_at_m(self.closed_from_slow_s)

    @property
    def stations(self) -> tuple[Station, ...]:
        return self.case.course.stations

    @property
    def at_hand(self) -> dict[str, float]:
        """How many packs of an item can be carried, where there is not enough of it."""
        return {stock.item: stock.packs_count for stock in self.case.athlete.stock}

    def item_of(self, item_id: str) -> Item:
        """Return the item of that id; what nobody describes is taken as water."""
        return self.items.get(item_id) or self.items[WATER]


@dataclass(frozen=True, kw_only=True)
class Place:
    """A place where something may be taken: when each case passes it, what the fluid ceiling leaves there."""

    at_m: float
    early_s: float
    goal_s: float
    slow_s: float
    station: int | None
    room_ml: int
    grade_frac: float
    open: bool


@dataclass(frozen=True, kw_only=True)
class Pattern:
    """All that happens at one place, and what it counts for."""

    takes: tuple[Intake, ...]
    counted_mg: int
    carb_high_mg: int
    glucose_high_mg: int
    caffeine_mg: int
    other_ml: int
    water_ml: int
    pieces: tuple[tuple[str, int], ...]
    kinds: tuple[str, ...]
    handling: int
    road: int


@dataclass(frozen=True, kw_only=True)
class Gaps:
    """The window between one intake and the next, and where it is best; seconds of goal time."""

    min_s: float
    max_s: float
    best_s: float


@dataclass(frozen=True, kw_only=True)
class ThirstLine:
    """The drinking line: one amount, as poured, at every station from the first allowed one (its index)."""

    amount: Amount = "none"
    poured_ml: int = 0
    first_station: int | None = None


@dataclass(frozen=True, kw_only=True)
class Goal:
    """One goal, in its order: the smaller the better."""

    name: str
    value: int
    unit: str


@dataclass(frozen=True, kw_only=True)
class Problem:
    """The posed problem: places in order, the patterns of each, the levels that thirst may have."""

    inputs: RaceInputs
    places: tuple[Place, ...]
    patterns: tuple[tuple[Pattern, ...], ...]
    pins: tuple[Intake, ...]
    pinned: frozenset[int]
    levels: tuple[ThirstLine, ...]
    gaps: Gaps
    strict: Gaps
    findings: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class Solution:
    """The schedule that came out, detached from solver and problem. `solver_s` belongs to no plan."""

    intakes: tuple[Intake, ...]
    thirst: ThirstLine
    goals: tuple[Goal, ...]
    proven: bool
    unique: bool
    solver_s: float
    findings: tuple[Finding, ...]
