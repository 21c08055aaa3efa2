"""The race schedule as a problem: what is given, the places, what may happen at each; no solver here.

Amounts are integers: carbohydrate and caffeine in mg, fluid in ml. What a limit counts is rounded up, what a
floor counts is rounded down, so that no rounding can carry a schedule over a ceiling.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from provand.case.case import Case
from provand.case.course import Served, Station
from provand.case.intake import Intake
from provand.estimate.pace import PaceTable
from provand.figure import Series
from provand.finding import Finding
from provand.larder.item import WATER, Item
from provand.safety.counting import MOUTHFUL_ML, SHARE_OF_CUP

Mode = Literal["rate", "small", "rinse"]
Amount = Literal["cup", "half", "mouthful", "none"]

FIRST_S = 12 * 60.0
"""Nothing is eaten before this, at the early pace (practice)."""
CLOSED_S = 15 * 60.0
"""Nothing is eaten in this last part of the slow case (practice)."""
DOSE_S, DAY_S = 2 * 3600.0, 24 * 3600.0
"""Caffeine at once falls into the first, caffeine of a day into the second, both rolling (estimate, EFSA 2015)."""
GRADE_REACH_M = 100.0
"""The grade at a place is taken over this far on either side (estimate)."""


@dataclass(frozen=True, kw_only=True)
class RaceInputs:
    """All that the schedule is made from. Carbohydrate is for the whole race, the fluid ceiling in ml so far.

    `refused` maps the id of an item that may not be planned to the reason; `earlier_caffeine` are doses taken
    before the start (elapsed seconds below zero, mg); `forbidden_s` are windows of elapsed time, and whether a
    rinse is allowed there.
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
    earlier_caffeine: tuple[tuple[float, float], ...] = ()
    withheld: frozenset[str] = frozenset()
    refused: Mapping[str, str]
    forbidden_s: tuple[tuple[float, float, bool], ...] = ()
    walker: bool = False
    slot_s: float = 150.0

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
    food_ml: int
    cup_ml: int
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
class Permission:
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
    pinned: frozenset[int]
    levels: tuple[Permission, ...]
    gaps: Gaps
    strict: Gaps
    findings: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class Solution:
    """The schedule that came out, detached from solver and problem. `solver_s` belongs to no plan."""

    intakes: tuple[Intake, ...]
    permission: Permission
    goals: tuple[Goal, ...]
    proven: bool
    unique: bool
    solver_s: float
    findings: tuple[Finding, ...]


def room_ml(inputs: RaceInputs, x_m: float) -> int:
    """Return what the fluid ceiling leaves at a place after the pre-start drink: the lower end between nodes."""
    ceiling = inputs.fluid_ceiling
    after, before = bisect_left(ceiling.x_m, x_m - 1e-6), bisect_right(ceiling.x_m, x_m + 1e-6) - 1
    ends_ml = ceiling.low[max(0, min(after, before)) : max(after, before) + 1]
    return math.floor(min(ends_ml) - inputs.pre_start_ml + 1e-9)


def place_of(inputs: RaceInputs, intake: Intake) -> float:
    """Return the place of an intake in metres; one tied to a time is where the goal case is then."""
    if intake.at_m is not None:
        return intake.at_m
    elapsed_s = intake.at_elapsed_s
    if elapsed_s is None:
        assert intake.at_clock is not None
        race = inputs.case.race
        gun = race.gun if race.gun.tzinfo else race.gun.replace(tzinfo=intake.at_clock.tzinfo)
        elapsed_s = (intake.at_clock - gun).total_seconds() - race.own_offset_s.mid
    return round(inputs.pace.goal.place_at_m(elapsed_s), -2)


def station_at(inputs: RaceInputs, x_m: float) -> int | None:
    """Return the index of the station at a place, or None."""
    return next((i for i, station in enumerate(inputs.stations) if abs(station.at_m - x_m) < 1.0), None)


def served_at(inputs: RaceInputs, station: int | None, item_id: str) -> Served | None:
    """Return the fullest cup in which a station serves an item; what nobody describes is water."""
    if station is None:
        return None
    here = inputs.stations[station]
    same = [served for served in here.serves if served.item == item_id]
    water = waters(inputs, here) if inputs.item_of(item_id).texture == "water" else []
    return max(same or water, key=lambda served: served.poured_ml.high, default=None)


def waters(inputs: RaceInputs, station: Station) -> list[Served]:
    """Return the cups of water of a station."""
    return [served for served in station.serves if inputs.item_of(served.item).texture == "water"]


def is_forbidden(inputs: RaceInputs, early_s: float, slow_s: float, *, rinse: bool = False) -> bool:
    """Return whether any pace case may pass here inside a forbidden window."""
    return any(
        early_s <= end_s and slow_s >= start_s and not (rinse and rinse_allowed)
        for start_s, end_s, rinse_allowed in inputs.forbidden_s
    )


def is_open(inputs: RaceInputs, early_s: float, slow_s: float) -> bool:
    """Return whether something may be eaten here: not too early, not too late, in no forbidden window."""
    in_time = early_s >= FIRST_S and slow_s <= inputs.closed_from_slow_s
    return in_time and not is_forbidden(inputs, early_s, slow_s)


def grade_frac(inputs: RaceInputs, x_m: float) -> float:
    """Return the slope round a place, as a fraction."""
    course = inputs.case.course
    low_m, high_m = max(0.0, x_m - GRADE_REACH_M), min(course.length_m, x_m + GRADE_REACH_M)
    rise_m = _height_m(course.x_m, course.elevation_m, high_m) - _height_m(
        course.x_m, course.elevation_m, low_m
    )
    return rise_m / (high_m - low_m)


def _height_m(x_m: tuple[float, ...], elevation_m: tuple[float, ...], at_m: float) -> float:
    i = min(max(1, bisect_right(x_m, at_m)), len(x_m) - 1)
    share = (at_m - x_m[i - 1]) / (x_m[i] - x_m[i - 1])
    return elevation_m[i - 1] + share * (elevation_m[i] - elevation_m[i - 1])


def between_s(before: Place, after: Place) -> float:
    """Return the shortest time that any pace case takes from one place to another."""
    return min(after.early_s - before.early_s, after.goal_s - before.goal_s, after.slow_s - before.slow_s)


def place_at(inputs: RaceInputs, x_m: float) -> Place:
    """Return the place at a distance."""
    early_s, goal_s, slow_s = (case.time_at_s(x_m) for case in inputs.pace.cases)
    return Place(
        at_m=x_m,
        early_s=early_s,
        goal_s=goal_s,
        slow_s=slow_s,
        station=station_at(inputs, x_m),
        room_ml=room_ml(inputs, x_m),
        grade_frac=grade_frac(inputs, x_m),
        open=is_open(inputs, early_s, slow_s),
    )


def places(inputs: RaceInputs, fixed_m: tuple[float, ...]) -> tuple[Place, ...]:
    """Return every station, the places that are fixed, and every slot of goal time that lies open.

    Slots stand on whole hundreds of metres, as they are printed; one that falls beside a station, or beside a
    fixed place, gives way to it.
    """
    kept_m = {station.at_m for station in inputs.stations} | {*fixed_m}
    goal = inputs.pace.goal
    near_s = inputs.slot_s / 2
    kept_s = [goal.time_at_s(x_m) for x_m in kept_m]
    for k in range(1, int(goal.finish_s / inputs.slot_s) + 1):
        x_m = round(goal.place_at_m(k * inputs.slot_s), -2)
        if all(abs(goal.time_at_s(x_m) - other_s) >= near_s for other_s in kept_s):
            kept_m.add(x_m)
    laid = [place_at(inputs, x_m) for x_m in sorted(kept_m)]
    return tuple(p for p in laid if p.open or p.station is not None or p.at_m in fixed_m)


def permitted_ml(inputs: RaceInputs, station: int, line: Permission) -> int:
    """Return what the drinking line pours at a station: water where it is served, else the fullest cup."""
    here = inputs.stations[station]
    if line.first_station is None or station < line.first_station or not here.serves:
        return 0
    if line.amount == "mouthful":
        return math.ceil(MOUTHFUL_ML)
    fullest_ml = max(served.poured_ml.high for served in waters(inputs, here) or here.serves)
    return math.ceil(SHARE_OF_CUP[line.amount] * fullest_ml - 1e-6)


def levels(inputs: RaceInputs, first_station: int) -> tuple[Permission, ...]:
    """Return what the drinking line may say from a station on, smallest first; what is no more is left out."""
    made: list[Permission] = []
    amounts: tuple[Amount, ...] = ("mouthful", "half", "cup")
    for amount in amounts:
        line = Permission(amount=amount, first_station=first_station)
        poured_ml = [
            permitted_ml(inputs, station, line) for station in range(first_station, len(inputs.stations))
        ]
        before_ml = (
            [permitted_ml(inputs, n, made[-1]) for n in range(first_station, len(inputs.stations))]
            if made
            else []
        )
        if not made or all(more > less for more, less in zip(poured_ml, before_ml, strict=True) if more):
            made.append(replace(line, poured_ml=max(poured_ml)))
    return tuple(made) if made[0].poured_ml else ()


# What a goal counts, the same for planner and check.


def gap_points(gap_s: float, best_s: float) -> int:
    """Return what a gap costs: tenths of a squared minute outside five minutes round the best gap."""
    over_min = max(0.0, abs(gap_s - best_s) / 60 - 5.0)
    return round(10 * over_min * over_min)


def grade_points(grade_frac: float, *, gel: bool) -> int:
    """Return what eating on a slope costs, in tenths of a point: climbing over 1.5 %, falling under -5 %."""
    climb = 1000 * max(0.0, grade_frac - 0.015)
    fall = 600 * max(0.0, -0.05 - grade_frac)
    return round((climb + fall) * (2 if gel else 1))


def caffeine_points(share_frac: float) -> int:
    """Return what caffeine outside 43 to 67 % of the race costs, in tenths of a point: one a percent."""
    return round(1000 * max(0.0, 0.43 - share_frac, share_frac - 0.67))


def carb_misses(target_mg: int, counted_mg: int) -> int:
    """Return by how many steps of 5 g the target is missed: under counts whole steps, over begun ones."""
    short_mg = target_mg - counted_mg
    return short_mg // 5000 if short_mg >= 0 else -(short_mg // 5000)


def carb_grams_off(target_mg: int, counted_mg: int) -> int:
    """Return by how many begun grams the target is missed, either way."""
    return math.ceil(abs(target_mg - counted_mg) / 1000)


def gaps(inputs: RaceInputs, span_s: float, usual_mg: int) -> Gaps:
    """Return the window between intakes: 16 to 42 min and best 26, wider where few intakes fill a long race.

    `span_s` is the goal time in which eating is possible, counted from the start, `usual_mg` what one intake
    holds as a rule.
    """
    wanted = max(1.0, 1000 * inputs.carb_target_g / max(1, usual_mg))
    best_min = min(60, max(26, round(span_s / 60 / (wanted + 0.5))))
    return Gaps(min_s=16.0 * 60, max_s=60.0 * round(42 / 26 * best_min), best_s=60.0 * best_min)


def wide(gaps: Gaps) -> Gaps:
    """Return the window that is left when evenness gives way."""
    return Gaps(min_s=10.0 * 60, max_s=max(2 * gaps.max_s, 90.0 * 60), best_s=gaps.best_s)
