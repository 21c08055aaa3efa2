"""Early, goal and slow: when this athlete is where, hills and fade included."""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate, pairwise
from typing import Literal

from provand.case.course import Course
from provand.estimate.finish import Finish
from provand.physiology.cost import flat_equivalent_ratio
from provand.physiology.pacing import fade_elapsed_frac
from provand.record import Record

CaseName = Literal["early", "goal", "slow"]


class PaceCase(Record):
    """One way the race may go: elapsed time at each place of the course."""

    name: CaseName
    x_m: tuple[float, ...]
    elapsed_s: tuple[float, ...]

    @property
    def finish_s(self) -> float:
        return self.elapsed_s[-1]

    def time_at_s(self, x_m: float) -> float:
        """Return the elapsed time at a place, straight between the steps of the course."""
        return _between(self.x_m, self.elapsed_s, x_m)

    def place_at_m(self, elapsed_s: float) -> float:
        """Return where the runner is after a time."""
        return _between(self.elapsed_s, self.x_m, elapsed_s)


class PaceTable(Record):
    """The three pace cases of a plan, in the order early, goal, slow."""

    cases: tuple[PaceCase, PaceCase, PaceCase]

    @property
    def early(self) -> PaceCase:
        return self.cases[0]

    @property
    def goal(self) -> PaceCase:
        return self.cases[1]

    @property
    def slow(self) -> PaceCase:
        return self.cases[2]


def _between(xs: tuple[float, ...], ys: tuple[float, ...], x: float) -> float:
    if x <= xs[0]:
        return ys[0]
    if x >= xs[-1]:
        return ys[-1]
    i = bisect_right(xs, x)
    share = (x - xs[i - 1]) / (xs[i] - xs[i - 1])
    return ys[i - 1] + share * (ys[i] - ys[i - 1])


def grades_of(course: Course) -> list[float]:
    """Return the grade of each step of the course, rise over distance."""
    return [
        (b - a) / (end - start)
        for (start, end), (a, b) in zip(pairwise(course.x_m), pairwise(course.elevation_m), strict=True)
    ]


def pace_table(course: Course, finish: Finish, *, fade_frac: float) -> PaceTable:
    """Return early, goal and slow along the course: even effort over the hills, and an even fade.

    The time of each step is its share of a fading flat race times what its grade costs, scaled so that the
    whole is the finish time.
    """
    length = course.length_m
    clock = [fade_elapsed_frac(distance_frac=x / length, fade_frac=fade_frac) for x in course.x_m]
    weights = [
        (after - before) * flat_equivalent_ratio(grade_frac=grade)
        for (before, after), grade in zip(pairwise(clock), grades_of(course), strict=True)
    ]
    whole = sum(weights)
    shares = [0.0, *accumulate(weight / whole for weight in weights)]
    shares[-1] = 1.0
    early, goal, slow = (
        PaceCase(name=name, x_m=course.x_m, elapsed_s=tuple(share * figure.value.mid for share in shares))
        for name, figure in (("early", finish.early), ("goal", finish.goal), ("slow", finish.slow))
    )
    return PaceTable(cases=(early, goal, slow))
