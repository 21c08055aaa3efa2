"""The rows under the hill: stores, gut, and fluid under its ceiling; each with its doubt as a band."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from provand.figure import Range, Series
from provand.pack.flags import lozenge
from provand.pack.hatch import Hatch, hatched, simpler
from provand.pack.letters import width_of
from provand.pack.scale import Ground, nice_step
from provand.pack.shapes import Box, Group, Path, Point, Px, Shape, Words, line, names
from provand.pack.voice import whole, whole_span
from provand.pack.withheld import hides
from provand.plan.document import Plan

ROW_GAP: Px = 16
AFTER_PLOT: Px = 12
CEILING = "ceiling.fluid_so_far_ml"
CEILING_WORDS = "ceiling: own loss, least case"


@dataclass(frozen=True, slots=True)
class Row:
    """How one store or total is drawn."""

    series: str
    name: str
    unit: str
    short: str
    height: Px
    texture: Hatch
    ending: str
    ceiling: str = ""


ROWS = (
    Row("store.muscle_g", "Muscle store", "g carbohydrate", "Muscle, g", 68, "plain", " left"),
    Row("store.liver_g", "Liver store", "g carbohydrate", "Liver, g", 38, "dots", " left"),
    Row("store.gut_g", "In the gut", "g, waiting", "Gut, g", 40, "upright", " g"),
    Row("race.fluid_so_far_ml", "Fluid drunk", "ml so far", "Fluid, ml", 104, "level", " ml", CEILING),
)


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a row stands, and the value at its top."""

    ground: Ground
    top: Px
    base: Px
    most: float

    def points(self, x_m: Sequence[float], values: Sequence[float]) -> tuple[Point, ...]:
        height = (self.base - self.top) / self.most
        return simpler(
            [(self.ground.x(x), self.base - value * height) for x, value in zip(x_m, values, strict=True)]
        )


def store_rows(plan: Plan, ground: Ground, y: Px, ceiling_caution: int) -> tuple[list[Shape], Px]:
    """Return every row that has a series, is not nought throughout and may be seen; and where they end."""
    shapes: list[Shape] = []
    for row in ROWS:
        series = plan.series_of(row.series)
        if series is None or not series.x_m or hides(plan, row.series):
            continue
        ceiling = plan.series_of(row.ceiling) if row.ceiling else None
        highest = max(*series.high, *(ceiling.low if ceiling else ()))
        if highest <= 0:
            continue
        frame = Frame(ground, y, y + row.height, top_value(highest, row.height))
        shapes.append(_row(row, series, ceiling, frame, ceiling_caution))
        y += row.height + ROW_GAP
    return shapes, y


def _step(most: float, height: Px) -> float:
    return nice_step(most, 2 if height < 60 else 3)


def top_value(highest: float, height: Px) -> float:
    """Return a round value over the highest, or a little over it where the next round one is far."""
    step = _step(highest, height)
    next_round = step * math.ceil(highest / step - 1e-9)
    return next_round if next_round - highest <= step / 2 else 1.12 * highest


def _row(row: Row, series: Series, ceiling: Series | None, frame: Frame, caution: int) -> Group:
    low, mid, high = (frame.points(series.x_m, values) for values in (series.low, series.mid, series.high))
    band = (*high, *reversed(low))
    right = frame.ground.right + AFTER_PLOT
    shapes: list[Shape] = [
        Path("band", (band,), closed=True),
        Path("texture-dots" if row.texture == "dots" else "texture", hatched(row.texture, band)),
        Path("edge", (low, high)),
        line("mid", *mid),
        *axis(row, frame),
    ]
    end = Range(low=series.low[-1], mid=series.mid[-1], high=series.high[-1])
    end_y = min(mid[-1][1] + 2, frame.base - 10)
    if ceiling is not None:
        edge = frame.points(ceiling.x_m, ceiling.low)
        shapes += ceiling_over(edge, frame, caution)
        ceiling_y = max(edge[-1][1] + 4, frame.top + 10)
        shapes += [
            Words("value", right, ceiling_y, f"ceiling {whole(ceiling.low[-1])}"),
            Words("note", right, ceiling_y + 14, "not to be passed"),
        ]
        end_y = max(end_y, ceiling_y + 32)
    value = f"{whole(end.mid)}{row.ending}"
    shapes += [Words("value", right, end_y, value), Words("note", right, end_y + 14, whole_span(end))]
    return Group(f"{row.name}: at the finish {value}, {whole_span(end)}", tuple(shapes))


def axis(row: Row, frame: Frame) -> list[Shape]:
    left, step = frame.ground.left, _step(frame.most, row.height)
    shapes: list[Shape] = [
        line("axis", (left, frame.top), (left, frame.base)),
        line("base", (left, frame.base), (frame.ground.right, frame.base)),
        *names(frame.top + 12, row.name, row.unit),
    ]
    for index in range(math.floor(frame.most / step + 1e-9) + 1):
        y = frame.base - index * step / frame.most * (frame.base - frame.top)
        shapes += [
            line("axis", (left - 4, y), (left, y)),
            Words("tick", left - 10, y + 4, whole(index * step), "end"),
        ]
    return shapes


def ceiling_over(edge: Sequence[Point], frame: Frame, caution: int) -> list[Shape]:
    """Return the ceiling's line, hatched to the top of the row, its label in a gap."""
    above = ((edge[0][0], frame.top), *edge, (edge[-1][0], frame.top))
    shapes: list[Shape] = [Path("no", hatched("diagonal", above)), line("ceiling", *edge)]
    lozenge_room = 28 if caution else 0
    wide = width_of(CEILING_WORDS, "condensed-bold", 13) + lozenge_room
    left = _room_above(edge, frame, wide + 16)
    if left is not None:
        shapes.append(Box("paper", left, frame.top + 4, wide + 14, 22))
        if caution:
            shapes += lozenge(caution, left + 16, frame.top + 15)
        shapes.append(Words("name", left + 7 + lozenge_room, frame.top + 19.5, CEILING_WORDS))
    return shapes


def _room_above(edge: Sequence[Point], frame: Frame, wide: Px) -> Px | None:
    """Return the right-most place, short of two thirds, where a label fits between the line and the top."""
    left, right = frame.ground.left, frame.ground.right
    free = max((x for x, y in edge if y > frame.top + 30), default=left)
    return min(left + 0.66 * (right - left), free) - wide if free - left >= wide else None
