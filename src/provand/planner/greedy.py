"""A schedule as a hand would lay it, to measure the solver against: every 22 min the largest that fits."""

from __future__ import annotations

from provand.case.intake import Intake
from provand.planner.check import judge
from provand.planner.points import is_meal, target_mg
from provand.planner.problem import Problem, ThirstLine

EVERY_S = 22 * 60.0


def greedy(problem: Problem) -> tuple[Intake, ...]:
    """Return the largest feasible serving every 22 min, until the target is met; the line at its smallest."""
    line = problem.levels[0] if problem.levels else ThirstLine()
    as_pinned = judge(problem, problem.pins, line).strained
    wanted_mg = target_mg(problem.inputs)
    pins_s = [problem.places[k].goal_s for k in problem.pinned]
    eaten_mg = sum(problem.patterns[k][0].counted_mg for k in problem.pinned)
    schedule, last_s = list(problem.pins), 0.0
    for k, place in enumerate(problem.places):
        if any(abs(place.goal_s - other_s) < EVERY_S for other_s in (last_s, *pins_s)):
            continue
        meals = [
            p for p in problem.patterns[k] if is_meal(p.counted_mg) and eaten_mg + p.counted_mg <= wanted_mg
        ]
        for pattern in sorted(meals, key=lambda p: -p.counted_mg):
            verdict = judge(problem, [*schedule, *pattern.takes], line)
            new = [f for f in verdict.strained if f not in as_pinned and f.code != "planner.uneven"]
            if not verdict.broken and not new:
                schedule += pattern.takes
                eaten_mg, last_s = eaten_mg + pattern.counted_mg, place.goal_s
                break
    return tuple(schedule)
