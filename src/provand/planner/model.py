"""The posed schedule as a model of integers: states for fluid and gut, a path for gaps, counts by sort."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from provand.planner.lost import anchored
from provand.planner.patterns import LEAST_OF_KIND_MG, is_fed_by, up
from provand.planner.places import between_s, permitted_ml
from provand.planner.points import GUT_MG, STEP_MG, TENTH_MG, gap_points, is_meal, target_mg
from provand.planner.problem import DAY_S, DOSE_S, Gaps, Pattern, Place, Problem
from provand.planner.solve import Model

START, FINISH = -1, -2


@dataclass
class Schedule:
    """The model of one problem, with the columns that can be read back."""

    model: Model
    taken: dict[tuple[int, int], int]
    steps: dict[tuple[int, int], int]
    counts: list[tuple[Pattern, int]]
    level: list[int]
    kinds: dict[str, int]
    carb_misses: int
    carb_grams: int
    rooms: list[dict[int, float]]


def build(problem: Problem) -> Schedule:
    """Return the model of a problem; every coefficient is an integer, so rounding a solution is exact."""
    model = Model()
    schedule = Schedule(
        model=model,
        taken={(k, p): model.choice() for k, made in enumerate(problem.patterns) for p in range(len(made))},
        steps={},
        counts=[],
        level=[model.choice() for _ in problem.levels[1:]],
        kinds={},
        carb_misses=model.column(integer=True),
        carb_grams=model.column(integer=True),
        rooms=[],
    )
    _counts(problem, schedule)
    _path(problem, schedule)
    _fluid(problem, schedule)
    _gut(problem, schedule)
    _caffeine(problem, schedule)
    _carbohydrate(problem, schedule)
    _kinds(problem, schedule)
    _pockets(problem, schedule)
    return schedule


def chosen(problem: Problem, schedule: Schedule) -> Iterator[tuple[int, Place, Pattern, int]]:
    """Yield every choice: the index of its place, the place, the pattern, its column."""
    for (k, p), column in schedule.taken.items():
        yield k, problem.places[k], problem.patterns[k][p], column


def _counts(problem: Problem, schedule: Schedule) -> None:
    """Count how often each sort of stop happens; what is summed over the race is summed over these columns.

    The upper bound stands under what the places alone allow, so that the solver keeps the columns and
    branches on them.
    """
    sorts: dict[tuple[object, ...], list[tuple[Pattern, int]]] = {}
    for _, _, pattern, column in chosen(problem, schedule):
        sorts.setdefault(_sort_of(pattern), []).append((pattern, column))
    most = 1 + int(problem.inputs.pace.goal.finish_s / problem.gaps.min_s)
    for same in sorts.values():
        pattern = same[0][0]
        upper = min(len(same), most) if is_meal(pattern.counted_mg) else len(same)
        count = schedule.model.column(upper=upper, integer=True)
        schedule.model.row({count: -1, **{column: 1 for _, column in same}}, lower=0, upper=0)
        schedule.counts.append((pattern, count))


def _sort_of(pattern: Pattern) -> tuple[object, ...]:
    return (
        pattern.kinds,
        pattern.pieces,
        pattern.counted_mg,
        pattern.carb_high_mg,
        pattern.caffeine_mg,
        pattern.handling,
    )


def steps(problem: Problem) -> Iterator[tuple[int, int, float]]:
    """Yield every step from one intake to the next that the gaps allow, with its seconds.

    Between two pinned places every step is allowed: a pin stays where it is, and evenness gives way. So is
    the gap that a lost intake leaves. In a short race one intake is all.
    """
    window, close_s, earlier = problem.gaps, _close_s(problem), anchored(problem.inputs)
    places = problem.places
    used = [
        k for k, made in enumerate(problem.patterns) if any(is_meal(pattern.counted_mg) for pattern in made)
    ]
    yield START, FINISH, close_s
    for at, k in enumerate(used):
        goal_s, at_m = places[k].goal_s, places[k].at_m
        if goal_s <= window.max_s or k in problem.pinned or earlier.is_left(0.0, at_m):
            yield START, k, goal_s
        yield k, FINISH, max(0.0, close_s - goal_s)
        for j in used[at + 1 :] if problem.inputs.mode == "rate" else ():
            gap_s = places[j].goal_s - goal_s
            stays = {j, k} <= problem.pinned or earlier.is_left(at_m, places[j].at_m)
            if window.min_s <= gap_s <= window.max_s or stays:
                yield k, j, gap_s


def _close_s(problem: Problem) -> float:
    inputs = problem.inputs
    return inputs.pace.goal.time_at_s(inputs.closed_from_m)


def step_points(window: Gaps, start: int, end: int, gap_s: float) -> int:
    """Return what a step costs. After the last intake a shorter gap is no fault."""
    if start == START and end == FINISH:
        return 0
    if end == FINISH:
        gap_s = max(gap_s, window.best_s)
    return gap_points(gap_s, window.best_s)


def _path(problem: Problem, schedule: Schedule) -> None:
    model, inward, outward = (
        schedule.model,
        defaultdict[int, list[int]](list),
        defaultdict[int, list[int]](list),
    )
    for start, end, _ in steps(problem):
        column = schedule.steps[start, end] = model.column(upper=1.0, integer=True)
        outward[start].append(column)
        inward[end].append(column)
    model.row(dict.fromkeys(outward[START], 1), lower=1, upper=1)
    for k, made in enumerate(problem.patterns):
        here = {schedule.taken[k, p]: pattern.counted_mg for p, pattern in enumerate(made)}
        meals = {column: -1.0 for column, counted_mg in here.items() if is_meal(counted_mg)}
        if meals:
            model.row({**dict.fromkeys(inward[k], 1.0), **meals}, lower=0, upper=0)
            model.row({**dict.fromkeys(outward[k], 1.0), **meals}, lower=0, upper=0)
        if here:
            model.row(dict.fromkeys(here, 1.0), lower=1 if k in problem.pinned else 0, upper=1)
    model.row(dict.fromkeys(inward[FINISH], 1), lower=1, upper=1)


def _fluid(problem: Problem, schedule: Schedule) -> None:
    """Fluid so far, the thirst line included, stays under the ceiling wherever something is drunk."""
    model, before = schedule.model, -1
    for k, place in enumerate(problem.places):
        made = problem.patterns[k]
        lines_ml = _lines_ml(problem, place)
        permitted = bool(lines_ml and lines_ml[0])
        if not made and not permitted:
            continue
        so_far = model.column(upper=max(0, place.room_ml))
        other = {schedule.taken[k, p]: -float(pattern.other_ml) for p, pattern in enumerate(made)}
        cups = {schedule.taken[k, p]: float(pattern.water_ml) for p, pattern in enumerate(made)}
        drunk = {so_far: 1.0, **({before: -1.0} if before >= 0 else {}), **other}
        if permitted:
            poured = model.column()
            rises = pairwise(lines_ml)
            model.row(
                {
                    poured: 1,
                    **{c: less - more for c, (less, more) in zip(schedule.level, rises, strict=True)},
                },
                lower=lines_ml[0],
            )
            model.row({poured: 1, **{c: -v for c, v in cups.items()}}, lower=0)
            model.row({**drunk, poured: -1}, lower=0)
        else:
            model.row({c: v - cups.get(c, 0) for c, v in drunk.items()}, lower=0)
        before = so_far


def _lines_ml(problem: Problem, place: Place) -> list[int]:
    """Return what each level of the drinking line pours at a place, the smallest first."""
    if place.station is None:
        return []
    return [permitted_ml(problem.inputs, place.station, line) for line in problem.levels]


def _gut(problem: Problem, schedule: Schedule) -> None:
    """Two leaky buckets: all carbohydrate, and glucose; each holds half an hour's worth.

    From one place to the next each leaks for the shortest time that any pace case takes. It never holds less
    than what was just eaten: a bucket that stood empty gives no credit. Glucose that waits at the start leaks
    too; until it is down to half an hour's worth none is added to it.
    """
    inputs = problem.inputs
    waiting = up(1000 * inputs.glucose_waiting_g / GUT_MG)
    used = [(k, place) for k, place in enumerate(problem.places) if problem.patterns[k]]
    for upper_g_per_h, amount, at_start in (
        (inputs.upper_rate_g_per_h, "carb_high_mg", 0),
        (inputs.glucose_limit_g_per_h, "glucose_high_mg", waiting),
    ):
        earlier: tuple[int, Place] | None = None
        left = at_start
        for k, place in used:
            span_s = between_s(earlier[1], place) if earlier else place.early_s
            leaked = math.floor(1000 / GUT_MG * upper_g_per_h * span_s / 3600)
            left = max(0, left - leaked)
            held = schedule.model.column(upper=max(left, math.floor(500 * upper_g_per_h / GUT_MG)))
            eaten = {
                schedule.taken[k, p]: -float(getattr(pattern, amount) // GUT_MG)
                for p, pattern in enumerate(problem.patterns[k])
            }
            schedule.model.row({held: 1.0, **eaten}, lower=0 if earlier else left)
            if earlier is not None:
                schedule.model.row({held: 1.0, earlier[0]: -1.0, **eaten}, lower=-leaked)
            earlier = held, place


def _caffeine(problem: Problem, schedule: Schedule) -> None:
    inputs = problem.inputs
    doses = [(place, p, column) for _, place, p, column in chosen(problem, schedule) if p.caffeine_mg]
    for window_s, limit_mg in ((DOSE_S, inputs.caffeine_single_mg), (DAY_S, inputs.caffeine_day_mg)):
        for last in dict.fromkeys(place for place, _, _ in doses):
            before_mg = sum(
                mg for elapsed_s, mg in inputs.earlier_caffeine if last.early_s - elapsed_s <= window_s
            )
            row = {
                column: float(p.caffeine_mg)
                for place, p, column in doses
                if place.at_m <= last.at_m and between_s(place, last) <= window_s
            }
            schedule.model.row(row, upper=max(0, math.floor(limit_mg - before_mg)))
    wished_mg = math.floor(inputs.case.wishes.caffeine_mg or 0)
    pinned_mg = sum(problem.patterns[k][0].caffeine_mg for k in problem.pinned)
    free = {c: float(p.caffeine_mg) for k, _, p, c in chosen(problem, schedule) if k not in problem.pinned}
    schedule.model.row(free, upper=max(0, wished_mg - pinned_mg))


def _carbohydrate(problem: Problem, schedule: Schedule) -> None:
    model, step, gram = schedule.model, STEP_MG // TENTH_MG, 1000 // TENTH_MG
    wanted = target_mg(problem.inputs) // TENTH_MG
    counted = {c: float(pattern.counted_mg // TENTH_MG) for pattern, c in schedule.counts}
    model.row({**counted, schedule.carb_misses: step}, lower=wanted - step)
    model.row({**counted, schedule.carb_misses: -step}, upper=wanted + step)
    model.row({**counted, schedule.carb_grams: gram}, lower=wanted)
    model.row({**counted, schedule.carb_grams: -gram}, upper=wanted)
    pinned_mg = sum(problem.patterns[k][0].carb_high_mg for k in problem.pinned)
    most_mg = max(math.floor(1000 * problem.inputs.carb_high_g + 1e-6), pinned_mg)
    high = {c: float(pattern.carb_high_mg // GUT_MG) for pattern, c in schedule.counts}
    model.row(high, upper=most_mg // GUT_MG)


def _kinds(problem: Problem, schedule: Schedule) -> None:
    model, columns = schedule.model, defaultdict[str, dict[int, float]](dict)
    for _, _, pattern, column in chosen(problem, schedule):
        for kind in pattern.kinds:
            columns[kind][column] = 1.0
    for kind in sorted(columns):
        used = schedule.kinds[kind] = model.choice()
        counts = {c: pattern for pattern, c in schedule.counts if kind in pattern.kinds}
        model.row({used: -1, **dict.fromkeys(counts, 1)}, lower=0)
        for count in counts:
            model.row({used: model.upper[count], count: -1}, lower=0)
        for column in columns[kind]:
            model.row({used: 1, column: -1}, lower=0)
        if is_fed_by(problem, kind):
            model.row(
                {
                    used: -LEAST_OF_KIND_MG // TENTH_MG,
                    **{c: p.counted_mg // TENTH_MG for c, p in counts.items()},
                },
                lower=0,
            )


def _pockets(problem: Problem, schedule: Schedule) -> None:
    model, pieces = schedule.model, defaultdict[str, dict[int, float]](dict)
    for pattern, count in schedule.counts:
        for item_id, each in pattern.pieces:
            pieces[item_id][count] = pieces[item_id].get(count, 0.0) + each
    pockets = problem.inputs.case.athlete.pockets
    filled: list[dict[int, float]] = [{} for _ in pockets]
    for item_id in sorted(pieces):
        item = problem.inputs.items[item_id]
        volume_dl = up(10 * (item.pocket_ml or 0))
        packs = [model.column(integer=True) for _ in pockets]
        needed = {c: -v for c, v in pieces[item_id].items()}
        if item_id in problem.inputs.at_hand:
            model.row(dict.fromkeys(packs, 1.0), upper=math.floor(problem.inputs.at_hand[item_id]))
        model.row({**dict.fromkeys(packs, float(item.divides_into)), **needed}, lower=0)
        for row, column in zip(filled, packs, strict=True):
            row[column] = volume_dl
    for row, pocket in zip(filled, pockets, strict=True):
        model.row(row, upper=math.floor(10 * pocket.room_ml + 1e-6))
    schedule.rooms.extend(filled)
