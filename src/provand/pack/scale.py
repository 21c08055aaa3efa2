"""The course to scale: places and heights in pixels, and round steps for an axis."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from provand.case.course import Course
from provand.pack.hatch import simpler
from provand.pack.shapes import Point, Px

LEAST_CLIMB_M = 80.0
"""A flat course is drawn flat: the height of the drawing stands for at least this."""
HEADROOM = 1.1


def nice_step(span_of: float, most: int) -> float:
    """Return the least of 1, 2, 2.5, 5 times a power of ten that cuts a span into at most `most` parts."""
    if span_of <= 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(span_of / most))
    return next(step * power for step in (1, 2, 2.5, 5, 10) if span_of <= step * power * most * (1 + 1e-9))


def between(x: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """Return y at x, straight between rising points; flat beyond the ends."""
    i = min(max(bisect_right(xs, x), 1), len(xs) - 1)
    gap = xs[i] - xs[i - 1]
    share = min(max((x - xs[i - 1]) / gap, 0.0), 1.0) if gap > 0 else 1.0
    return ys[i - 1] + share * (ys[i] - ys[i - 1])


@dataclass(frozen=True)
class Ground:
    """A course between a left and a right edge, its hill between a top and a base."""

    course: Course
    left: Px
    right: Px
    top: Px
    base: Px

    @cached_property
    def low_m(self) -> float:
        """The height at the base: a little under the lowest point, so that there is land everywhere."""
        return min(self.course.elevation_m) - 0.1 * self._spread_m

    @cached_property
    def high_m(self) -> float:
        return self.low_m + HEADROOM * self._spread_m

    @cached_property
    def _spread_m(self) -> float:
        return max(max(self.course.elevation_m) - min(self.course.elevation_m), LEAST_CLIMB_M)

    @property
    def times_height(self) -> float:
        """How many times more room a metre up has than a metre along."""
        up = (self.base - self.top) / (self.high_m - self.low_m)
        return up * self.course.length_m / (self.right - self.left)

    def x(self, at_m: float) -> Px:
        return self.left + (self.right - self.left) * at_m / self.course.length_m

    def y(self, height_m: float) -> Px:
        return self.base - (height_m - self.low_m) / (self.high_m - self.low_m) * (self.base - self.top)

    def hill_y(self, at_m: float) -> Px:
        """Return where the ground is at a place."""
        return self.y(between(at_m, self.course.x_m, self.course.elevation_m))

    def profile(self) -> tuple[Point, ...]:
        """Return the outline of the hill, as few points as the eye needs."""
        heights = zip(self.course.x_m, self.course.elevation_m, strict=True)
        return simpler([(self.x(x_m), self.y(height_m)) for x_m, height_m in heights])
