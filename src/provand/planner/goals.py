"""The goals of the schedule as integers to minimise, in their order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from hashlib import sha256

from provand.planner.lost import Anchored, anchored
from provand.planner.model import FINISH, START, Schedule, chosen, step_points, steps
from provand.planner.patterns import Line, kind_cost, line_of, lines_by_place
from provand.planner.points import in_order
from provand.planner.problem import Problem
from provand.planner.solve import Objective


def objectives(problem: Problem, schedule: Schedule) -> list[Objective]:
    """Return the goals in their order; thirst at all stations is settled when the problem is posed."""
    wished_mg = round(problem.inputs.case.wishes.caffeine_mg or 0)
    lines = changes(problem)
    goals = [
        Objective("carbohydrate to 5 g", {schedule.carb_misses: 1}, least=0),
        Objective("evenness", _uneven(problem, schedule), least=0),
        Objective("thirst, amount", dict.fromkeys(schedule.level, -1), len(schedule.level), least=0),
        Objective(
            "caffeine wish",
            {c: -p.caffeine_mg for p, c in schedule.counts},
            wished_mg,
            least=_least(problem, wished_mg),
        ),
        Objective(
            "lines changed",
            _changed(problem, schedule, lines),
            len(lines),
            least=0,
        ),
        Objective(
            "handling",
            {c: p.handling for p, c in schedule.counts}
            | {used: kind_cost(problem.inputs, kind) for kind, used in schedule.kinds.items()},
        ),
        Objective("carbohydrate to 1 g", {schedule.carb_grams: 1}, least=0),
        Objective("road", _road(problem, schedule)),
    ]
    named = {goal.name: goal for goal in goals}
    return [named[name] for name in in_order(list(named), anchored=bool(lines))]


def _changed(problem: Problem, schedule: Schedule, lines: Mapping[float, Line]) -> dict[int, float]:
    """A line kept takes one from the lines of the earlier schedule; a line at a new place adds one.

    Another line at an old place does neither: the page then differs in that one line.
    """
    if not lines:
        return {}
    return {
        column: -1 if line_of(pattern.takes) == lines.get(place.at_m) else int(place.at_m not in lines)
        for _, place, pattern, column in chosen(problem, schedule)
    }


def _least(problem: Problem, wished_mg: int) -> int:
    pinned_mg = sum(problem.patterns[k][0].caffeine_mg for k in problem.pinned)
    return min(0, wished_mg - pinned_mg)


ROUNDS = 3


def tie_breaks(schedule: Schedule) -> Iterator[Objective]:
    """Yield last goals in which every choice weighs something else: they settle what no goal decides.

    The weights are the ranks of a digest: weights in any regular order would tie wherever two stops trade
    places. They are as small as can be, since the solver takes a choice for made within a millionth.
    """
    choices = list(schedule.taken.values())
    for turn in range(ROUNDS):
        ranked = sorted(choices, key=lambda column: sha256(f"{turn} {column}".encode()).digest())
        yield Objective("tie-break", {column: 1 + rank for rank, column in enumerate(ranked)})


def changes(problem: Problem) -> dict[float, Line]:
    """Return the lines of the earlier schedule by place."""
    return lines_by_place(problem.inputs, problem.inputs.case.wishes.anchor)


def _is_uneven(problem: Problem, earlier: Anchored, start: int, end: int, gap_s: float) -> bool:
    window = problem.strict
    if end == FINISH or earlier.is_left(
        0.0 if start == START else problem.places[start].at_m, problem.places[end].at_m
    ):
        return False
    return gap_s > window.max_s or (start != START and gap_s < window.min_s)


def _uneven(problem: Problem, schedule: Schedule) -> dict[int, float]:
    earlier = anchored(problem.inputs)
    return {
        schedule.steps[start, end]: 1
        for start, end, gap_s in steps(problem)
        if _is_uneven(problem, earlier, start, end, gap_s)
    }


def _road(problem: Problem, schedule: Schedule) -> dict[int, float]:
    stops = {column: float(pattern.road) for _, _, pattern, column in chosen(problem, schedule)}
    gaps = {
        schedule.steps[start, end]: float(step_points(problem.gaps, start, end, gap_s))
        for start, end, gap_s in steps(problem)
    }
    return stops | gaps
