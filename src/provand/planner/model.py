"""The posed schedule as a model of integers: states for fluid and gut, a path for the gaps, the goals."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from provand.planner.patterns import Line, kind_cost, line_of, lines_by_place
from provand.planner.problem import (
    DAY_S,
    DOSE_S,
    Gaps,
    Pattern,
    Place,
    Problem,
    between_s,
    gap_points,
    permitted_ml,
)
from provand.planner.solve import Model, Objective

START, FINISH = -1, -2


@dataclass
class Schedule:
    """The model of one problem, with the columns that can be read back."""

    model: Model
    taken: dict[tuple[int, int], int]
    steps: dict[tuple[int, int], int]
    level: list[int]
    kinds: dict[str, int]
    carb_misses: int
    carb_grams: int


def build(problem: Problem) -> Schedule:
    """Return the model of a problem; every coefficient is an integer, so rounding a solution is exact."""
    model = Model()
    schedule = Schedule(
        model=model,
        taken={(k, p): model.choice() for k, made in enumerate(problem.patterns) for p in range(len(made))},
        steps={},
        level=[model.choice() for _ in problem.levels[1:]],
        kinds={},
        carb_misses=model.column(integer=True),
        carb_grams=model.column(integer=True),
    )
    _path(problem, schedule)
    _fluid(problem, schedule)
    _gut(problem, schedule)
    _caffeine(problem, schedule)
    _carbohydrate(problem, schedule)
    _kinds(problem, schedule)
    _pockets(problem, schedule)
    return schedule


def _chosen(problem: Problem, schedule: Schedule) -> Iterator[tuple[int, Place, Pattern, int]]:
    for (k, p), column in schedule.taken.items():
        yield k, problem.places[k], problem.patterns[k][p], column


def steps(problem: Problem) -> Iterator[tuple[int, int, float]]:
    """Yield every step from one intake to the next that the gaps allow, with its seconds.

    Between two pinned places every step is allowed: a pin stays where it is, and evenness gives way.
    """
    window, close_s = problem.gaps, _close_s(problem)
    used = [k for k, made in enumerate(problem.patterns) if any(pattern.counted_mg for pattern in made)]
    yield START, FINISH, close_s
    for at, k in enumerate(used):
        goal_s = problem.places[k].goal_s
        if goal_s <= window.max_s or k in problem.pinned:
            yield START, k, goal_s
        yield k, FINISH, max(0.0, close_s - goal_s)
        for j in used[at + 1 :]:
            gap_s = problem.places[j].goal_s - goal_s
            if window.min_s <= gap_s <= window.max_s or {j, k} <= problem.pinned:
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
        here = {schedule.taken[k, p]: -1.0 for p in range(len(made))}
        if inward[k]:
            model.row({**dict.fromkeys(inward[k], 1.0), **here}, lower=0, upper=0)
            model.row({**dict.fromkeys(outward[k], 1.0), **here}, lower=0, upper=0)
        if k in problem.pinned:
            model.row(dict.fromkeys(here, 1.0), lower=1, upper=1)
    model.row(dict.fromkeys(inward[FINISH], 1), lower=1, upper=1)


def _fluid(problem: Problem, schedule: Schedule) -> None:
    """Fluid so far stays under the ceiling at every place where something is drunk, the thirst line included."""
    model, before = schedule.model, -1
    for k, place in enumerate(problem.places):
        made = problem.patterns[k]
        lines_ml = _lines_ml(problem, place)
        permitted = bool(lines_ml and lines_ml[0])
        if not made and not permitted:
            continue
        so_far = model.column(upper=max(0, place.room_ml))
        food = {schedule.taken[k, p]: -float(pattern.food_ml) for p, pattern in enumerate(made)}
        cups = {schedule.taken[k, p]: float(pattern.cup_ml) for p, pattern in enumerate(made)}
        drunk = {so_far: 1.0, **({before: -1.0} if before >= 0 else {}), **food}
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

    From one place to the next each leaks for the shortest time that any pace case takes.
    """
    inputs = problem.inputs
    used = [(k, place) for k, place in enumerate(problem.places) if problem.patterns[k]]
    for upper_g_per_h, amount in (
        (inputs.upper_rate_g_per_h, "carb_high_mg"),
        (inputs.glucose_limit_g_per_h, "glucose_high_mg"),
    ):
        earlier: tuple[int, Place] | None = None
        for k, place in used:
            held = schedule.model.column(upper=math.floor(500 * upper_g_per_h))
            row = {held: 1.0}
            for p, pattern in enumerate(problem.patterns[k]):
                row[schedule.taken[k, p]] = -float(getattr(pattern, amount))
            left_mg = 0
            if earlier is not None:
                row[earlier[0]] = -1.0
                left_mg = math.floor(1000 * upper_g_per_h * between_s(earlier[1], place) / 3600)
            schedule.model.row(row, lower=-left_mg)
            earlier = held, place


def _caffeine(problem: Problem, schedule: Schedule) -> None:
    inputs = problem.inputs
    doses = [(place, p, column) for _, place, p, column in _chosen(problem, schedule) if p.caffeine_mg]
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
    free = {c: float(p.caffeine_mg) for k, _, p, c in _chosen(problem, schedule) if k not in problem.pinned}
    schedule.model.row(free, upper=max(0, wished_mg - pinned_mg))


def _carbohydrate(problem: Problem, schedule: Schedule) -> None:
    model, chosen = schedule.model, list(_chosen(problem, schedule))
    target_mg = round(1000 * problem.inputs.carb_target_g)
    counted = {c: float(pattern.counted_mg) for _, _, pattern, c in chosen}
    model.row({**counted, schedule.carb_misses: 5000.0}, lower=target_mg - 4999)
    model.row({**counted, schedule.carb_misses: -5000.0}, upper=target_mg)
    model.row({**counted, schedule.carb_grams: 1000.0}, lower=target_mg)
    model.row({**counted, schedule.carb_grams: -1000.0}, upper=target_mg)
    pinned_mg = sum(problem.patterns[k][0].carb_high_mg for k in problem.pinned)
    high = {c: float(pattern.carb_high_mg) for _, _, pattern, c in chosen}
    model.row(high, upper=max(math.floor(1000 * problem.inputs.carb_high_g), pinned_mg))


def _kinds(problem: Problem, schedule: Schedule) -> None:
    model, columns = schedule.model, defaultdict[str, list[int]](list)
    for _, _, pattern, column in _chosen(problem, schedule):
        for kind in pattern.kinds:
            columns[kind].append(column)
    for kind in sorted(columns):
        used = schedule.kinds[kind] = model.choice()
        model.row({used: -1, **dict.fromkeys(columns[kind], 1)}, lower=0)
        for column in columns[kind]:
            model.row({used: 1, column: -1}, lower=0)


def _pockets(problem: Problem, schedule: Schedule) -> None:
    model, pieces = schedule.model, defaultdict[str, dict[int, float]](dict)
    for _, _, pattern, column in _chosen(problem, schedule):
        for item_id, count in pattern.pieces:
            pieces[item_id][column] = pieces[item_id].get(column, 0.0) + count
    pockets = problem.inputs.case.athlete.pockets
    filled: list[dict[int, float]] = [{} for _ in pockets]
    for item_id in sorted(pieces):
        item = problem.inputs.items[item_id]
        volume_dl = math.ceil(10 * (item.pocket_ml or 0) - 1e-6)
        packs = [model.column(integer=True) for _ in pockets]
        model.row(
            {**dict.fromkeys(packs, float(item.divides_into)), **{c: -v for c, v in pieces[item_id].items()}},
            lower=0,
        )
        for row, column in zip(filled, packs, strict=True):
            row[column] = volume_dl
    for row, pocket in zip(filled, pockets, strict=True):
        model.row(row, upper=math.floor(10 * pocket.room_ml + 1e-6))


def objectives(problem: Problem, schedule: Schedule) -> list[Objective]:
    """Return the goals in their order; thirst at all stations is settled before, when the problem is posed."""
    chosen = list(_chosen(problem, schedule))
    wished_mg = round(problem.inputs.case.wishes.caffeine_mg or 0)
    lines = changes(problem)
    return [
        Objective("carbohydrate to 5 g", {schedule.carb_misses: 1}, least=0),
        Objective("evenness", _uneven(problem, schedule), least=0),
        Objective("thirst, amount", dict.fromkeys(schedule.level, -1), len(schedule.level), least=0),
        Objective(
            "caffeine wish",
            {c: -p.caffeine_mg for _, _, p, c in chosen},
            wished_mg,
            least=_least(problem, wished_mg),
        ),
        Objective(
            "lines changed",
            {c: -1 if line_of(p.takes) == lines.get(place.at_m) else 1 for _, place, p, c in chosen}
            if lines
            else {},
            len(lines),
            least=0,
        ),
        Objective(
            "handling",
            {c: p.handling for _, _, p, c in chosen}
            | {used: kind_cost(problem.inputs, kind) for kind, used in schedule.kinds.items()},
        ),
        Objective("carbohydrate to 1 g", {schedule.carb_grams: 1}, least=0),
        Objective("road", _road(problem, schedule)),
    ]


def _least(problem: Problem, wished_mg: int) -> int:
    pinned_mg = sum(problem.patterns[k][0].caffeine_mg for k in problem.pinned)
    return min(0, wished_mg - pinned_mg)


def tie_break(schedule: Schedule) -> Objective:
    """Return a last goal in which every choice weighs something else: it settles what no goal decides."""
    weights = {column: 1 + (n * 40503) % 65536 for n, column in enumerate(schedule.taken.values())}
    return Objective("tie-break", weights)


def changes(problem: Problem) -> dict[float, Line]:
    """Return the lines of the earlier schedule by place."""
    return lines_by_place(problem.inputs, problem.inputs.case.wishes.anchor)


def _is_uneven(window: Gaps, start: int, end: int, gap_s: float) -> bool:
    if end == FINISH:
        return False
    return gap_s > window.max_s or (start != START and gap_s < window.min_s)


def _uneven(problem: Problem, schedule: Schedule) -> dict[int, float]:
    return {
        schedule.steps[start, end]: 1
        for start, end, gap_s in steps(problem)
        if _is_uneven(problem.strict, start, end, gap_s)
    }


def _road(problem: Problem, schedule: Schedule) -> dict[int, float]:
    stops = {column: float(pattern.road) for _, _, pattern, column in _chosen(problem, schedule)}
    gaps = {
        schedule.steps[start, end]: float(step_points(problem.gaps, start, end, gap_s))
        for start, end, gap_s in steps(problem)
    }
    return stops | gaps
