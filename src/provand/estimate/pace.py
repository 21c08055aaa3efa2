"""Early, goal and slow: when this athlete is where, hills and fade included."""

from __future__ import annotations

import math
from bisect import bisect_right
from itertools import pairwise
from typing import Literal

from provand.case.case import Case
from provand.case.course import Course
from provand.figure import Figure, Range, Trace
from provand.physiology.cost import minetti_running_j_per_kg_per_m
from provand.physiology.pace import half_marathon_fade_time_frac
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
