"""Three rulers of elapsed time over the course: early, goal, slow; thin lines join equal minutes."""

from __future__ import annotations

from collections.abc import Sequence

from provand.pack.letters import width_of
from provand.pack.rows import AFTER_PLOT
from provand.pack.scale import Ground, between
from provand.pack.shapes import Box, Path, Point, Px, Shape, Words, line, names
from provand.plan.document import Plan
from provand.units import clock

RULER_GAP: Px = 24
FIGURES_APART: Px = 60
ELAPSED = "race.elapsed_s"
"""Elapsed time along the course: low is the early case, mid the goal, high the slow one."""

_TIME_STEPS = ((5, 10, 20), (10, 20, 60), (15, 30, 60), (30, 60, 120), (60, 120, 240))
"""Minutes between short ticks, long ticks and figures."""


def rulers(plan: Plan, ground: Ground, y: Px) -> tuple[list[Shape], Px]:
    """Return the rulers from `y` down and where they end; none without times or with times struck."""
    series = plan.series_of(ELAPSED)
    if series is None or plan.time_struck:
        return [], y
    steps = time_steps(series.mid[-1], ground.right - ground.left)
    ruled: list[Shape] = []
    over: list[Shape] = []
    equal: dict[int, list[Point]] = {}
    for name, times_s in (("early", series.low), ("goal", series.mid), ("slow", series.high)):
        ruled += _ruler(name, times_s[-1], ground, y)
        minutes = range(steps[0], int(times_s[-1] // 60) + 1, steps[0])
        at = {minute: ground.x(between(60 * minute, times_s, series.x_m)) for minute in minutes}
        for minute, x in at.items():
            reach = 4 if minute % steps[1] == 0 else 2.5
            over.append(line("axis", (x, y - reach), (x, y + reach)))
            if minute % steps[1] == 0:
                equal.setdefault(minute, []).append((x, y))
            if minute % steps[2] == 0:
                over += _figure(clock(60 * minute), x, y, ground, strong=name == "goal")
        y += RULER_GAP
    lines = tuple(tuple(points) for points in equal.values() if len(points) > 1)
    label = names(y - 3 * RULER_GAP + 4, "Elapsed", "time, h:min")
    return [Path("equal", lines), *label, *ruled, *over], y - RULER_GAP + 6


def time_steps(finish_s: float, plot: Px) -> tuple[int, int, int]:
    """Return the minutes between short ticks, long ticks and figures for a time over a length."""
    return next((s for s in _TIME_STEPS if plot * s[2] * 60 / finish_s >= FIGURES_APART), _TIME_STEPS[-1])


def _ruler(name: str, finish_s: float, ground: Ground, y: Px) -> Sequence[Shape]:
    strong = name == "goal"
    return (
        line("ruler-strong" if strong else "ruler", (ground.left, y), (ground.right, y)),
        Words("tick-strong" if strong else "tick", ground.left - 10, y + 4, name, "end"),
        Words("value" if strong else "note", ground.right + AFTER_PLOT, y + 4.5, clock(finish_s)),
    )


def _figure(text: str, x: Px, y: Px, ground: Ground, *, strong: bool) -> Sequence[Shape]:
    """Return a figure on its ruler in a gap of paper; none where it would run over an end."""
    wide = width_of(text, "sans-bold" if strong else "condensed", 13) + 6
    if not ground.left + wide < x < ground.right - wide / 2 - 2:
        return ()
    words = Words("tick-strong" if strong else "tick", x, y + 4.5, text, "middle")
    return (Box("paper", x - wide / 2, y - 7, wide, 14), words)
