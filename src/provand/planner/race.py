"""The race schedule: pose the problem, solve it goal by goal with proof, judge what came out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from statistics import median

from provand.case.intake import Intake
from provand.finding import Finding, NoPlanFits, find
from provand.planner.check import Verdict, judge, stops_of
from provand.planner.model import Schedule, build, objectives, tie_break
from provand.planner.nothing_fits import NearestPlan, carbohydrate, pins_in_conflict
from provand.planner.patterns import carried, pattern_of, patterns_at, why_not
from provand.planner.problem import (
    Pattern,
    Permission,
    Place,
    Problem,
    RaceInputs,
    Solution,
    gaps,
    levels,
    place_of,
    places,
    station_at,
    wide,
)
from provand.planner.rinse import rinses
from provand.planner.solve import Lexicographic, Objective

CHUNK = 20


def pose(inputs: RaceInputs) -> Problem:
    """Return the problem of a case: its places, what may happen at each, what the drinking line may say.

    Pinned intakes that break a limit are left out, each with its reason, unless the schedule is as given.
    """
    pins, refused = _pins(inputs)
    anchors_m = {place_of(inputs, take) for take in inputs.case.wishes.anchor}
    pins_m = {place_of(inputs, take) for take in pins}
    laid = places(inputs, tuple(sorted(pins_m | anchors_m)))
    pockets = carried(inputs)
    made = tuple(_made(inputs, place, pins, pockets) for place in laid)
    window = gaps(inputs, inputs.pace.goal.time_at_s(inputs.closed_from_m), _usual_mg(made))
    problem = Problem(
        inputs=inputs,
        places=laid,
        patterns=made,
        pinned=frozenset(k for k, place in enumerate(laid) if place.at_m in pins_m),
        levels=(),
        gaps=window,
        strict=window,
        findings=(*refused, *_left_out(inputs), *_stations_without_water(inputs)),
    )
    return replace(problem, levels=_levels(problem, pins))


def _pins(inputs: RaceInputs) -> tuple[tuple[Intake, ...], tuple[Finding, ...]]:
    """Return the pinned intakes, tied to places, that break no limit on their own; and what is wrong with the rest."""
    tied = tuple(
        take.model_copy(update={"at_m": place_of(inputs, take), "at_elapsed_s": None, "at_clock": None})
        for take in inputs.case.wishes.pinned
    )
    if inputs.case.wishes.schedule == "as given":
        return tied, ()
    empty = Problem(
        inputs=inputs, places=(), patterns=(), pinned=frozenset(), levels=(),
        gaps=gaps(inputs, 0.0, 1), strict=gaps(inputs, 0.0, 1), findings=(),
    )  # fmt: skip
    kept: list[Intake] = []
    findings: list[Finding] = []
    for take in tied:
        broken = judge(empty, [*kept, take], Permission()).broken
        if broken:
            findings += [
                find("planner.pin_refused", "wishes.pinned", item=take.item, reason=f.sentence)
                for f in broken
            ]
        else:
            kept.append(take)
    return tuple(kept), tuple(findings)


def _made(
    inputs: RaceInputs, place: Place, pins: Sequence[Intake], pockets: Sequence[object]
) -> tuple[Pattern, ...]:
    here = tuple(take for take in pins if take.at_m == place.at_m)
    if here:
        return (pattern_of(inputs, place, here),)
    return patterns_at(inputs, place, pockets) if place.open else ()  # type: ignore[arg-type]


def _usual_mg(made: Sequence[Sequence[Pattern]]) -> int:
    """Return the carbohydrate of a usual intake: the middle one of the largest portions of each kind."""
    largest: dict[str, int] = {}
    for pattern in (pattern for patterns in made for pattern in patterns):
        for kind in pattern.kinds:
            largest[kind] = max(largest.get(kind, 0), pattern.counted_mg)
    return round(median(largest.values())) if largest else 1


def _levels(problem: Problem, pins: Sequence[Intake]) -> tuple[Permission, ...]:
    """Return the levels of the drinking line from the first station at which a mouthful fits all the way."""
    for first in range(len(problem.inputs.stations)):
        lines = levels(problem.inputs, first)
        if lines and not _breaks_line(judge(problem, pins, lines[0])):
            return lines
    return ()


def _breaks_line(verdict: Verdict) -> bool:
    return any(finding.code in ("planner.fluid", "planner.forbidden") for finding in verdict.broken)


def _left_out(inputs: RaceInputs) -> list[Finding]:
    """Return why rehearsed items, and what the stations serve, are not planned."""
    known = {r.item for r in inputs.case.athlete.rehearsed} | {
        s.item for st in inputs.stations for s in st.serves
    }
    return [
        find("planner.left_out", "race.schedule", item=item.name, reason=reason)
        for item_id, item in sorted(inputs.items.items())
        if item_id in known and (reason := why_not(inputs, item))
    ]


def _stations_without_water(inputs: RaceInputs) -> list[Finding]:
    return [
        find("planner.no_water_there", "race.schedule", station=station.name)
        for station in inputs.stations
        if not any(inputs.item_of(served.item).texture == "water" for served in station.serves)
    ]


def solve(problem: Problem) -> Solution:
    """Return the schedule, every goal proven. Raises NoPlanFits where the pinned intakes exclude each other."""
    if problem.inputs.case.wishes.schedule == "as given":
        return as_given(problem)
    if problem.inputs.mode == "rinse":
        return rinses(problem)
    refused = [finding for finding in problem.findings if finding.code == "planner.pin_refused"]
    solution = _solve(problem)
    if solution is None:
        raise NoPlanFits(*refused, *pins_in_conflict(problem))
    if refused:
        raise NearestPlan(solution, *refused)
    return solution


def best_line(problem: Problem, schedule: Sequence[Intake]) -> Permission:
    """Return the largest drinking line that stays under the ceiling beside a schedule."""
    fitting = [line for line in problem.levels if not _breaks_line(judge(problem, schedule, line))]
    return fitting[-1] if fitting else Permission()


def as_given(problem: Problem) -> Solution:
    """Return the pinned intakes as they are, judged; no solver runs."""
    schedule = tuple(
        take for stop in stops_of(problem.inputs, _pins(problem.inputs)[0]) for take in stop.takes
    )
    line = best_line(problem, schedule)
    verdict = judge(problem, schedule, line)
    return Solution(
        intakes=schedule,
        permission=line,
        goals=verdict.goals,
        proven=False,
        unique=False,
        solver_s=0.0,
        findings=(*problem.findings, *verdict.broken, *verdict.strained, *carbohydrate(problem, schedule)),
    )


def _solve(problem: Problem) -> Solution | None:
    """Solve with even gaps; where the carbohydrate is then missed, or nothing fits, evenness gives way first."""
    even = _Run(problem)
    if even.misses == 0:
        return even.finish()
    loose = _Run(replace(problem, gaps=wide(problem.gaps)))
    if loose.misses is None:
        return None
    if even.misses is None or loose.misses < even.misses:
        return loose.finish(spent_s=even.solver.solver_s)
    return even.finish(spent_s=loose.solver.solver_s)


class _Run:
    """One problem in the solver, its first goal reached."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.schedule: Schedule = build(problem)
        self.solver = Lexicographic(self.schedule.model)
        self.goals = objectives(problem, self.schedule)
        self.misses = self.solver.minimise(self.goals[0])

    def finish(self, *, spent_s: float = 0.0) -> Solution:
        """Reach the other goals in order, settle ties, and let the result be judged."""
        values = [self.misses] + [self.solver.minimise(goal) for goal in self.goals[1:]]
        unique = self._settle()
        intakes, line = self._intakes(), self._line()
        verdict = judge(self.problem, intakes, line)
        if verdict.broken or verdict.values[1:] != tuple(values):
            raise AssertionError(
                f"the solver says {values}, the check {verdict.values[1:]}: {verdict.broken}"
            )
        return Solution(
            intakes=intakes,
            permission=line,
            goals=verdict.goals,
            proven=True,
            unique=unique,
            solver_s=self.solver.solver_s + spent_s,
            findings=(*self.problem.findings, *verdict.strained, *carbohydrate(self.problem, intakes)),
        )

    def _settle(self) -> bool:
        """Make the schedule the only one: distinct weights first; where two still tie, exact powers of two."""
        choices = list(self.schedule.taken.values())
        self.solver.minimise(tie_break(self.schedule))
        if self.solver.is_only(choices):
            return True
        for at in range(0, len(choices), CHUNK):
            part = choices[at : at + CHUNK]
            self.solver.minimise(Objective("tie-break", {column: 1 << n for n, column in enumerate(part)}))
        return self.solver.is_only(choices)

    def _intakes(self) -> tuple[Intake, ...]:
        return tuple(
            take
            for (k, p), column in self.schedule.taken.items()
            if self.solver.value_of(column)
            for take in self.problem.patterns[k][p].takes
        )

    def _line(self) -> Permission:
        if not self.problem.levels:
            return Permission()
        return self.problem.levels[sum(self.solver.value_of(column) for column in self.schedule.level)]


__all__ = ["as_given", "best_line", "pose", "solve", "station_at"]
