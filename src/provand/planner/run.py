"""One run of the solver over a posed problem: every goal in order, each with its proof, then judged."""

from __future__ import annotations

from collections.abc import Iterator

from provand.case.intake import Intake
from provand.planner.check import Verdict, judge
from provand.planner.goals import objectives, tie_breaks
from provand.planner.model import build
from provand.planner.problem import Problem, ThirstLine
from provand.planner.progress import tell
from provand.planner.solve import MAX_NODES, Lexicographic, Objective

CHUNK = 12
"""As many powers of two as one objective holds exactly within the solver's tolerance."""


class Run:
    """A problem in the solver. `misses` is the first goal reached, None where nothing is feasible.

    Nothing is where more than `max_misses` would be; `max_nodes` bounds the search, and CannotWork says so.
    """

    def __init__(
        self, problem: Problem, *, max_nodes: int = MAX_NODES, max_misses: int | None = None
    ) -> None:
        self.problem = problem
        self.unique = False
        self.schedule = build(problem)
        if max_misses is not None:
            self.schedule.model.upper[self.schedule.carb_misses] = max_misses
        self.solver = Lexicographic(self.schedule.model, max_nodes=max_nodes)
        self._goals = objectives(problem, self.schedule)
        self._of = len(self._goals) + 1
        tell(nth=1, of=self._of)
        self.misses = self.solver.minimise(self._goals[0])

    def finish(self) -> Verdict:
        """Reach the other goals in order, settle ties, and return what the check says of the result.

        A result that the check refuses, or counts otherwise, is our fault and raises AssertionError.
        """
        values = [self.misses, *self._later()]
        tell(nth=self._of, of=self._of)
        self.unique = self._settle()
        verdict = judge(self.problem, self.intakes, self.line)
        if verdict.broken or list(verdict.values[1:]) != values:
            says = "; ".join(finding.line() for finding in verdict.broken)
            raise AssertionError(f"the solver says {values}, the check {verdict.values[1:]} {says}")
        return verdict

    def _later(self) -> Iterator[int | None]:
        for nth, goal in enumerate(self._goals[1:], start=2):
            tell(nth=nth, of=self._of)
            yield self.solver.minimise(goal)

    def _settle(self) -> bool:
        """Make the schedule the only one: by distinct weights; where two still tie, by powers of two."""
        choices = list(self.schedule.taken.values())
        for goal in tie_breaks(self.schedule):
            self.solver.minimise(goal)
            if self.solver.is_only(choices):
                return True
        for at in range(0, len(choices), CHUNK):
            part = choices[at : at + CHUNK]
            self.solver.minimise(Objective("tie-break", {column: 1 << n for n, column in enumerate(part)}))
        return self.solver.is_only(choices)

    @property
    def intakes(self) -> tuple[Intake, ...]:
        """The intakes of the best solution so far, in the order of the course."""
        return tuple(
            take
            for (k, p), column in self.schedule.taken.items()
            if self.solver.value_of(column)
            for take in self.problem.patterns[k][p].takes
        )

    @property
    def counted_mg(self) -> int:
        """The carbohydrate of the best solution so far, as surely eaten."""
        return sum(
            self.problem.patterns[k][p].counted_mg
            for (k, p), column in self.schedule.taken.items()
            if self.solver.value_of(column)
        )

    @property
    def line(self) -> ThirstLine:
        """The drinking line of the best solution so far."""
        if not self.problem.levels:
            return ThirstLine()
        return self.problem.levels[sum(self.solver.value_of(column) for column in self.schedule.level)]
