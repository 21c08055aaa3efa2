"""The race schedule: solved goal by goal with proof, or taken as given; judged either way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from provand.case.intake import Intake
from provand.finding import Finding, NoPlanFits
from provand.planner.check import judge
from provand.planner.limits import stops_of
from provand.planner.nothing_fits import NearestPlan, shortfall
from provand.planner.pins import pins_in_the_way
from provand.planner.points import wide
from provand.planner.pose import breaks_line, pose
from provand.planner.problem import Problem, Solution, ThirstLine
from provand.planner.progress import tell_part
from provand.planner.rinse import rinses
from provand.planner.run import Run

__all__ = ["NearestPlan", "best_line", "pose", "solve"]


def solve(problem: Problem) -> Solution:
    """Return the schedule, every goal proven; or, where it is given, the given one judged.

    Raises NoPlanFits where pinned intakes are refused or exclude each other; the nearest plan is attached.
    """
    if problem.inputs.case.wishes.schedule == "as given":
        return _judged(problem, problem.pins, best_line(problem, problem.pins))
    nearest, refused = _nearest(problem)
    refused = [f for f in problem.findings if f.code == "planner.pin_refused"] + refused
    if refused:
        raise NearestPlan(nearest, *refused)
    return nearest


def _nearest(problem: Problem) -> tuple[Solution, list[Finding]]:
    """Return the schedule; where the pinned intakes exclude each other, without some of them, and why."""
    tell_part("pins")
    without, refused = pins_in_the_way(problem)
    solution = _schedule(pose(problem.inputs, without=without) if without else problem)
    if solution is None:
        raise NoPlanFits(*refused)
    return solution, refused


def _schedule(problem: Problem) -> Solution | None:
    if problem.inputs.mode == "rinse":
        return _rinsed(problem)
    solution = _solved(problem)
    if solution is None or solution.intakes or problem.inputs.mode == "rate":
        return solution
    return _rinsed(problem)


def _rinsed(problem: Problem) -> Solution:
    schedule, findings = rinses(problem)
    return _judged(problem, schedule, best_line(problem, schedule), *findings)


def _solved(problem: Problem) -> Solution | None:
    """Solve with even gaps; where carbohydrate is then missed, or nothing fits, evenness gives way first."""
    tell_part("even gaps")
    even = Run(problem)
    if even.misses == 0:
        return _complete(even)
    tell_part("wider gaps")
    loose = Run(replace(problem, gaps=wide(problem.gaps)))
    if loose.misses is None:
        return None
    if even.misses is None or loose.misses < even.misses:
        return _complete(loose, spent_s=even.solver.solver_s)
    tell_part("even gaps")
    return _complete(even, spent_s=loose.solver.solver_s)


def _complete(run: Run, *, spent_s: float = 0.0) -> Solution:
    verdict = run.finish()
    return Solution(
        intakes=run.intakes,
        thirst=run.line,
        goals=verdict.goals,
        proven=True,
        unique=run.unique,
        solver_s=run.solver.solver_s + spent_s,
        findings=(*run.problem.findings, *verdict.strained, *shortfall(run.problem, run.intakes)),
    )


def best_line(problem: Problem, schedule: Sequence[Intake]) -> ThirstLine:
    """Return the largest drinking line that stays under the ceiling beside a schedule."""
    fitting = [line for line in problem.levels if not breaks_line(judge(problem, schedule, line))]
    return fitting[-1] if fitting else ThirstLine()


def _judged(problem: Problem, schedule: Sequence[Intake], line: ThirstLine, *findings: Finding) -> Solution:
    """Return a schedule that no solver made, judged."""
    verdict = judge(problem, schedule, line)
    return Solution(
        intakes=tuple(take for stop in stops_of(problem.inputs, schedule) for take in stop.takes),
        thirst=line,
        goals=verdict.goals,
        proven=False,
        unique=False,
        solver_s=0.0,
        findings=(*problem.findings, *findings, *verdict.broken, *verdict.strained),
    )
