"""The course strip turned down the page, for narrow windows: start at the top, one kilometre 45 pixels.

The same figures as the strip that lies, axes swapped: goal time, scale bar, hill, flags, then fluid under its
ceiling, and where there is room gut, liver and muscle. Flags push down and never up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from provand.figure import Range, Series
from provand.pack.flags import LOZENGE_PX, MARK_PX, Flag, behind, flag_of, grip, lozenge, sign_of
from provand.pack.hand import NO_HAND, Hand, slide_of
from provand.pack.hatch import Hatch, hatched, simpler
from provand.pack.letters import cut_to, lines_of, printable, width_of
from provand.pack.rows import ROWS, Row
from provand.pack.rulers import ELAPSED, time_steps
from provand.pack.scale import Ground, between
from provand.pack.shapes import Box, Drawing, Group, Mark, Path, Point, Px, Shape, Words, area, line
from provand.pack.strip import caution_at, label_of, strip_in_words
from provand.pack.voice import km, whole, whole_span
from provand.pack.withheld import hides
from provand.plan.document import Plan
from provand.units import clock

TOP: Px = 44
PER_KM: Px = 45
BAR_X: Px = 40
CLOSED_X: Px = 68
BASE_X: Px = 78
HILL: Px = 66
POLE_X: Px = 158
COLUMN: Px = 60
COLUMN_GAP: Px = 22
NARROWEST: Px = 320
WIDE: Px = 600
"""From this width gut, liver and muscle have columns of their own."""
_TURNED_HATCH: dict[Hatch, Hatch] = {"upright": "level", "level": "upright"}


@dataclass(frozen=True, slots=True)
class Down:
    """Where the course runs down the page, and where the columns of stores begin."""

    plan: Plan
    flags_end: Px

    @property
    def bottom(self) -> Px:
        return self.y(self.plan.case.course.length_m)

    def y(self, at_m: float) -> Px:
        return TOP + PER_KM * at_m / 1000

    def hill_x(self, at_m: float) -> Px:
        ground = Ground(self.plan.case.course, 0, 1, 0, HILL - 4)
        return BASE_X + HILL - 4 - ground.hill_y(at_m)


def turned_strip(
    plan: Plan,
    width: Px = 328,
    cautions: Mapping[str, int] | None = None,
    store: str = "",
    *,
    hand: Hand = NO_HAND,
) -> Drawing:
    """Return the strip of a plan turned down the page, at most `width` wide.

    Below 600 px only fluid has a column, and the row named by `store` (`store.gut_g`) when one is chosen.
    """
    width = max(width, NARROWEST)
    rows = list(_columns(plan, width, store))
    down = Down(plan, width - len(rows) * (COLUMN + COLUMN_GAP))
    shapes: list[Shape] = [*heads(plan), *scale_down(down), *hill_down(down), *closed_down(down)]
    for index, row in enumerate(rows):
        shapes += column(row, down, width - COLUMN - index * (COLUMN + COLUMN_GAP))
    flags, end = _flags(down, cautions or {}, hand)
    return Drawing(
        width, max(down.bottom, end) + 40, f"Course strip: {printable(plan.case.race.name, 'race.name')}",
        strip_in_words(plan), (*shapes, *flags),
    )  # fmt: skip


def _columns(plan: Plan, width: Px, store: str) -> Iterator[Row]:
    """Yield the rows that become columns, from the right: fluid first."""
    for row in reversed(ROWS):
        wanted = width >= WIDE or row.ceiling or row.series == store
        series = plan.series_of(row.series)
        if (
            wanted
            and series is not None
            and (row.ceiling or max(series.high) > 0)
            and not hides(plan, row.series)
        ):
            yield row


def heads(plan: Plan) -> list[Shape]:
    """Return what stands over the columns of time, place and intakes."""
    words: list[Shape] = [Words("note", BAR_X + 12, 20, "km"), Words("note", POLE_X, 20, "take")]
    return words if plan.time_struck else [Words("note", 0, 20, "h:min"), *words]


def scale_down(down: Down) -> list[Shape]:
    """Return the scale bar with its kilometres, and the goal times where the runner is then."""
    length_km = down.plan.case.course.length_m / 1000
    shapes: list[Shape] = [Box("scale", BAR_X, TOP, 6, down.bottom - TOP)]
    for start_km in range(1, math.ceil(length_km), 2):
        end_km = min(start_km + 1, length_km)
        shapes.append(Box("scale-ink", BAR_X, TOP + PER_KM * start_km, 6, PER_KM * (end_km - start_km)))
    for place_km in range(2, math.ceil(length_km), 2):
        shapes.append(Words("note", BAR_X + 10, TOP + PER_KM * place_km + 4, str(place_km)))
    shapes.append(Words("value", BASE_X, down.bottom + 16, f"finish {km(down.plan.case.course.length_m)}"))
    series = down.plan.series_of(ELAPSED)
    if series is None or down.plan.time_struck:
        return shapes
    every = time_steps(series.mid[-1], down.bottom - TOP)[1]
    for minute in range(0, int(series.mid[-1] // 60), every):
        y = down.y(between(60 * minute, series.mid, series.x_m))
        if y < down.bottom - 16:
            shapes += [
                Words("tick", BAR_X - 6, y + 4, clock(60 * minute), "end"),
                line("axis", (BAR_X - 4, y), (BAR_X, y)),
            ]
    return [*shapes, Words("tick-strong", BAR_X - 6, down.bottom + 4, clock(series.mid[-1]), "end")]


def hill_down(down: Down) -> list[Shape]:
    """Return the hill with its stations on the base line."""
    course = down.plan.case.course
    profile = simpler([(down.hill_x(x_m), down.y(x_m)) for x_m in course.x_m])
    stations = [Box("station", BASE_X - 3, down.y(s.at_m) - 3, 6, 6) for s in course.stations]
    return [
        area("land", (BASE_X, TOP), *profile, (BASE_X, down.bottom)),
        line("outline", *profile),
        line("base", (BASE_X, TOP), (BASE_X, down.bottom)),
        *stations,
    ]


def closed_down(down: Down) -> list[Shape]:
    """Return the hatched bar where no intake is allowed any more."""
    start, end = down.y(min(down.plan.race.closed_from_m, down.plan.case.course.length_m)), down.bottom
    if end - start < 2:
        return []
    corners = ((CLOSED_X, start), (CLOSED_X + 7, start), (CLOSED_X + 7, end), (CLOSED_X, end))
    return [Path("no", hatched("diagonal", corners)), Path("no-edge", (corners,), closed=True)]


def _flags(down: Down, cautions: Mapping[str, int], hand: Hand) -> tuple[list[Shape], Px]:
    """Return the flags, each at its own height or pushed below the last, and where they end."""
    plan, room = down.plan, down.flags_end - POLE_X - 8
    shapes: list[Shape] = []
    bottom: Px = 0
    for index, stop in enumerate(plan.race.stops):
        flag = flag_of(
            stop, index, plan.case,
            x=down.hill_x(stop.at_m), struck=plan.time_struck, caution=caution_at(stop, cautions),
            passes=hand.passes.get(index, ""),
        )  # fmt: skip
        y = down.y(stop.at_m)
        top = max(y - 9, bottom + 8)
        inner, bottom = _flag(flag, printable(stop.station, "course.stations"), top, room)
        elbow = line("pole", (flag.x, y), (POLE_X - 7, y), (POLE_X, top + 9))
        pole = line("pole", (POLE_X, top), (POLE_X, bottom))
        ground = behind(Box("flag", POLE_X, top, room, bottom - top), held=hand.slides, broken=flag.broken)
        slide = slide_of(stop, plan, hand.passes.get(index, ""), upright=True) if hand.slides else None
        sign = (*grip(flag.x, y, held=hand.slides), sign_of(flag, flag.x, y))
        drawn = (*ground, elbow, pole, *inner, *sign)
        shapes.append(Group(label_of(flag, plan), drawn, f"stop-{index}", slide))
    closed_y = max(down.y(plan.race.closed_from_m), bottom + 8) + 12
    shapes += [
        Words("name", POLE_X, closed_y, "no more intakes"),
        Words("note", POLE_X, closed_y + 15, "last 15 min, slow"),
    ]
    return shapes, max(bottom, closed_y + 15)


def _flag(flag: Flag, station: str, top: Px, room: Px) -> tuple[list[Shape], Px]:
    """Return marks, time, words, state and station of a flag, and its lower end."""
    at, shapes = POLE_X + 6, list[Shape]()
    for mark in flag.marks[: max(1, int((room - 46) // (MARK_PX + 2)))]:
        shapes.append(Mark("mark", mark, at, top + 1, MARK_PX))
        at += MARK_PX + 2
    shapes.append(Words("time", at + 3, top + 14, flag.time))
    if flag.caution:
        shapes += lozenge(flag.caution, POLE_X + room - LOZENGE_PX, top + 9)
    y = top + 14
    fluid = all(piece.fluid for piece in flag.pieces)
    for text in lines_of(flag.text, "sans", 13, room):
        y += 15
        shapes.append(Words("water" if fluid else "item", POLE_X + 6, y, cut_to(text, "sans", 13, room)))
    for role, text in (("state", flag.state), ("note", station)):
        if text:
            y += 15
            shapes.append(Words(role, POLE_X + 6, y, cut_to(text, "condensed-bold", 12, room)))
    return shapes, y + 5


def column(row: Row, down: Down, left: Px, was: Plan | None = None) -> list[Shape]:
    """Return one store or total beside the course; `was` is drawn dashed behind it."""
    series = down.plan.series_of(row.series)
    assert series is not None
    ceiling = down.plan.series_of(row.ceiling) if row.ceiling else None
    before = [one for name in (row.series, row.ceiling) if was and name and (one := was.series_of(name))]
    over = [1.12 * low for low in (ceiling.low if ceiling else ())]
    most = max(*series.high, *over, *(1.12 * value for one in before for value in one.low), 1e-9)

    def points(of: Series, values: Sequence[float]) -> tuple[Point, ...]:
        places = zip(of.x_m, values, strict=True)
        return simpler([(left + value / most * COLUMN, down.y(x_m)) for x_m, value in places])

    low, mid, high = (points(series, values) for values in (series.low, series.mid, series.high))
    band = (*high, *reversed(low))
    texture = "texture-dots" if row.texture == "dots" else "texture"
    shapes: list[Shape] = [
        Path("band", (band,), closed=True),
        Path(texture, hatched(_TURNED_HATCH.get(row.texture, row.texture), band)),
        Path("edge", (low, high)),
        line("mid", *mid),
        line("base", (left, TOP), (left, down.bottom)),
        Words("note", left, 20, row.short),
        Words("note", left, 36, "0"),
        Words("note", left + COLUMN, 36, whole(most), "end"),
    ]
    ends = [whole_span(Range(low=series.low[-1], mid=series.mid[-1], high=series.high[-1]))]
    if ceiling is not None:
        edge = points(ceiling, ceiling.low)
        beyond = ((left + COLUMN, edge[0][1]), *edge, (left + COLUMN, edge[-1][1]))
        shapes += [
            Path("no", hatched("diagonal", beyond)),
            line("ceiling", *edge),
            *_ceiling_words(edge, left),
        ]
        ends.append(f"of {whole(ceiling.low[-1])}")
    shapes += [line("was", *points(one, one.low if one.of == row.ceiling else one.mid)) for one in before]
    shapes += [
        Words("value" if index == 0 else "note", left + COLUMN, down.bottom + 16 * (index + 1), text, "end")
        for index, text in enumerate(ends)
    ]
    return [Group(f"{row.name}: at the finish {' '.join(ends)}", tuple(shapes))]


def _ceiling_words(edge: Sequence[Point], left: Px) -> list[Shape]:
    """Return the word on the hatch where the ceiling leaves room for it; none where it never does."""
    wide = width_of("ceiling", "condensed-bold", 13) + 6
    free = [y for x, y in edge if left + COLUMN - x >= wide + 4]
    if not free or max(free) - TOP < 40:
        return []
    y = min(max(free), (TOP + max(free)) * 0.75)
    x = left + COLUMN - wide
    return [Box("paper", x, y - 12, wide, 17), Words("name", x + 3, y + 1, "ceiling")]
