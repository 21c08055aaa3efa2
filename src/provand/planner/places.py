"""Places along the course: when each case passes, what is open, what the ceiling leaves, what is served."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import replace

from provand.case.course import Served
from provand.case.intake import Intake
from provand.planner.problem import Amount, Place, RaceInputs, ThirstLine
from provand.protocol.rules import value
from provand.safety.cups import is_at, known_waters, line_pours_ml, served_as, waters
from provand.safety.limits import aware, ceiling_at_ml

FIRST_S = 60 * value("intake.first").mid
"""Nothing is eaten before this time has passed, at the early pace."""
GRADE_REACH_M = 100.0
"""The grade at a place is taken over this far on either side (estimate)."""


def room_ml(inputs: RaceInputs, x_m: float) -> int:
    """Return what the fluid ceiling leaves at a place after the pre-start drink, rounded down."""
    return math.floor(ceiling_at_ml(inputs.fluid_ceiling, x_m) - inputs.pre_start_ml + 1e-9)


def place_of(inputs: RaceInputs, intake: Intake) -> float:
    """Return the place of an intake in metres; one tied to a time is where the goal case is then."""
    if intake.at_m is not None:
        return intake.at_m
    elapsed_s = intake.at_elapsed_s
    if elapsed_s is None:
        assert intake.at_clock is not None
        race = inputs.case.race
        since_gun = aware(intake.at_clock, race) - aware(race.gun, race)
        elapsed_s = since_gun.total_seconds() - race.own_offset_s.mid
    return min(round(inputs.pace.goal.place_at_m(elapsed_s), -2), inputs.case.course.length_m)


def station_at(inputs: RaceInputs, x_m: float) -> int | None:
    """Return the index of the station at a place, or None."""
    return next((i for i, station in enumerate(inputs.stations) if is_at(station, x_m)), None)


def served_at(inputs: RaceInputs, station: int | None, item_id: str) -> Served | None:
    """Return the fullest cup in which a station serves an item."""
    here = None if station is None else inputs.stations[station]
    return served_as(inputs.item_of(item_id), here, inputs.items, inputs.refused)


def pours_water(inputs: RaceInputs, station: int) -> bool:
    """Return whether a cup of water can be planned at a station."""
    return bool(waters(inputs.stations[station], inputs.items, inputs.refused))


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
    """Return every station and crew, the places that are fixed, and every slot of goal time that lies open.

    Slots stand on whole hundreds of metres, as they are printed; one that falls beside a station, or beside a
    fixed place, gives way to it.
    """
    crew_m = {inputs.case.crew_place_m(point) for point in inputs.case.crew_points if point.serves}
    kept_m = {station.at_m for station in inputs.stations} | crew_m | {*fixed_m}
    goal = inputs.pace.goal
    near_s = inputs.slot_s / 2
    kept_s = [goal.time_at_s(x_m) for x_m in kept_m]
    for k in range(1, int(goal.finish_s / inputs.slot_s) + 1):
        x_m = round(goal.place_at_m(k * inputs.slot_s), -2)
        if all(abs(goal.time_at_s(x_m) - other_s) >= near_s for other_s in kept_s):
            kept_m.add(x_m)
    laid = [place_at(inputs, x_m) for x_m in sorted(kept_m)]
    return tuple(p for p in laid if p.open or p.station is not None or p.at_m in fixed_m)


def permitted_ml(inputs: RaceInputs, station: int, line: ThirstLine) -> int:
    """Return what the drinking line pours at a station, rounded up."""
    if line.first_station is None or station < line.first_station:
        return 0
    poured_ml = line_pours_ml(line.amount, inputs.stations[station], inputs.items, inputs.refused)
    return math.ceil(poured_ml - 1e-6)


def first_named(inputs: RaceInputs, line: ThirstLine) -> str:
    """Return the name of the line's first station, where water stands before it; else nothing."""
    if line.first_station is None:
        return ""
    earlier = inputs.stations[: line.first_station]
    before = any(known_waters(station, inputs.items, inputs.refused) for station in earlier)
    return inputs.stations[line.first_station].name if before else ""


def levels(inputs: RaceInputs, first_station: int) -> tuple[ThirstLine, ...]:
    """Return what the drinking line may say from a station on, smallest first."""
    made: list[ThirstLine] = []
    amounts: tuple[Amount, ...] = ("mouthful", "half", "cup")
    for amount in amounts:
        line = ThirstLine(amount=amount, first_station=first_station)
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
