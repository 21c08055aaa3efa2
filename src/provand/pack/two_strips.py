"""Two versions of a plan on one strip: was dashed with an open ring, is full with its mark; one row an item.

The same course, shapes and roles as the strip of one plan. What either version withholds has no row and no
word.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from provand.figure import Series
from provand.pack.flags import LOZENGE_PX, lozenge
from provand.pack.hatch import hatched
from provand.pack.letters import cut_to, printable, width_of
from provand.pack.rows import AFTER_PLOT, CEILING, ROW_GAP, ROWS, Frame, axis, ceiling_over, top_value
from provand.pack.rulers import ELAPSED, time_steps
from provand.pack.scale import Ground, between
from provand.pack.shapes import Box, Disc, Drawing, Group, Mark, Path, Px, Shape, Words, area, line, names
from provand.pack.strip import HILL, LEFT, RIGHT, TAKE_Y, WIDTH, hill, scale_bar
from provand.pack.voice import is_fluid, km, marks_of, whole
from provand.pack.withheld import hides
from provand.plan.document import Plan
from provand.plan.moves import Eaten, Pair, Reader, pairs_between
from provand.units import clock

ROW_PX: Px = 24
NAMES_PX: Px = 40
MARK_PX: Px = 14
BESIDE_PX: Px = 8
FLUID = ROWS[-1]


def two_strips(old: Plan, new: Plan, *, was: str, now: str) -> Drawing:
    """Return two versions of one race on one strip; `was` and `now` are what they are called."""
    parts = frozenset(old.withheld) | frozenset(new.withheld)
    pairs = pairs_between(old, new, parts)
    ground = Ground(new.case.course, LEFT, RIGHT, TAKE_Y + 4, TAKE_Y + HILL)
    top = ground.base + NAMES_PX
    reader = Reader(parts, timed=not (old.time_struck or new.time_struck))
    rows = list(_item_rows(pairs, reader, ground, top))
    y = top + ROW_PX * max(len(pairs), 1)
    fluid, after = _fluid(old, new, ground, y + 2 * ROW_GAP)
    ruled, bottom = _rulers(old, new, ground, after, (was, now))
    shapes: list[Shape] = [
        *scale_bar(ground),
        *hill(ground),
        *_closed(new, ground, top, y),
        *_stations(new, ground, bottom),
        *names(top + 16, "Take"),
        *rows,
        *fluid,
        *ruled,
        Disc("was-ring", 5, bottom + 26, 4),
        Words("note", 16, bottom + 30, f"{was}: open ring, dashed line"),
        Words("note", 260, bottom + 30, f"{now}: mark, full line"),
    ]
    title = f"Two versions: {printable(new.case.race.name, 'race.name')}"
    return Drawing(WIDTH, bottom + 40, title, in_words(pairs, new, parts), tuple(shapes))


def in_words(pairs: Sequence[Pair], new: Plan, parts: Collection[str]) -> str:
    """Return what the two strips show, for those who do not see them."""
    kept = sum(pair.move is None for pair in pairs)
    told = " ".join(pair.move.says for pair in pairs if pair.move is not None)
    length = f"The course drawn to scale, {km(new.case.course.length_m)} km."
    return f"{length} {kept} lines are kept as they were. {told}".strip()


def numbers_of(pairs: Sequence[Pair]) -> list[int]:
    """Return the number of each line that differs, in order, and 0 for one that is kept."""
    numbers, last = [], 0
    for pair in pairs:
        last += pair.move is not None
        numbers.append(last if pair.move is not None else 0)
    return numbers


def _stations(plan: Plan, ground: Ground, bottom: Px) -> Iterator[Shape]:
    stations = plan.case.course.stations
    ends = [*(ground.x(station.at_m) for station in stations[1:]), ground.right + AFTER_PLOT]
    for station, end in zip(stations, ends, strict=True):
        x = ground.x(station.at_m)
        yield Box("station", x - 3, ground.base - 3, 6, 6)
        name = cut_to(printable(station.name, "course.stations"), "condensed-bold", 13, end - x - 12)
        yield Words("name", x + 6, ground.base + 20, name)
    lines = tuple(((x, ground.base + 6), (x, bottom)) for x in (ground.x(s.at_m) for s in stations))
    if lines:
        yield Path("dots", lines)


def _closed(plan: Plan, ground: Ground, top: Px, bottom: Px) -> Iterator[Shape]:
    start = ground.x(min(plan.race.closed_from_m, ground.course.length_m))
    if ground.right - start >= 2:
        corners = ((start, top), (ground.right, top), (ground.right, bottom), (start, bottom))
        yield Path("no", hatched("diagonal", corners))
        yield Path("no-edge", (((start, top), (start, bottom)),))
        yield Words("name", ground.right + AFTER_PLOT, top + 14, "no more intakes")
        yield Words("note", ground.right + AFTER_PLOT, top + 28, "last 15 min, slow")


# One row an item.


def _item_rows(pairs: Sequence[Pair], reader: Reader, ground: Ground, top: Px) -> Iterator[Shape]:
    for index, (pair, number) in enumerate(zip(pairs, numbers_of(pairs), strict=True)):
        y = top + ROW_PX * index
        shapes: list[Shape] = [line("row", (ground.left, y + ROW_PX), (ground.right, y + ROW_PX))]
        shapes += _label(pair, reader, ground.left - 10, y + 16)
        shapes += _pair(pair, ground, y + ROW_PX / 2, reader, number=number)
        yield Group(pair.move.says if pair.move else f"Kept: {words_of(pair, reader)}", tuple(shapes))


def words_of(pair: Pair, reader: Reader) -> str:
    """Return what a line is called: its item; for a swap both, the old one first."""
    called = [printable(reader.name(eaten), "items") for eaten in (pair.was, pair.now) if eaten is not None]
    is_swap = pair.move is not None and pair.move.kind == "swapped"
    return ", then ".join(called) if is_swap else called[-1]


def _label(pair: Pair, reader: Reader, right: Px, y: Px) -> list[Shape]:
    eaten = pair.now or pair.was
    assert eaten is not None
    role = "name-water" if is_fluid(eaten.take) else "tick"
    return [Words(role, right, y, cut_to(words_of(pair, reader), "condensed", 13, 118), "end")]


def _pair(pair: Pair, ground: Ground, y: Px, reader: Reader, *, number: int) -> Iterator[Shape]:
    """Yield one line: kept, moved with an arrow, new, swapped with the old one struck, or out."""
    was, now, timed = pair.was, pair.now, reader.timed
    base = y + 4.5
    if pair.move is None and now is not None:
        x = ground.x(now.stop.at_m)
        yield Words("note", x - MARK_PX / 2 - BESIDE_PX, base, "kept", "end")
        yield from _mark(now, x, y, reader, role="mark-ink")
        yield Words("tick", _after(now, x, reader), base, _moment(now, timed))
        return
    if now is None and was is not None:
        x = ground.x(was.stop.at_m)
        yield Words("note", x - MARK_PX / 2 - BESIDE_PX, base, _moment(was, timed), "end")
        yield from _struck(was, x, y, reader)
        end = _after(was, x, reader)
        yield from _over_hatch("out", end, y)
        yield from lozenge(number, end + 26 + LOZENGE_PX, y)
        return
    assert now is not None
    x = ground.x(now.stop.at_m)
    yield from _before(pair, ground, x, y, reader)
    yield from _mark(now, x, y, reader, role="mark")
    moment, role = _moment(now, timed), "change-water" if is_fluid(now.take) else "change"
    wide = width_of(moment, "condensed-bold", 13) + 10 + LOZENGE_PX
    if _goes_back(pair):  # what was stands on its right
        start = x - MARK_PX / 2 - BESIDE_PX
        yield Words(role, start, base, moment, "end")
        yield from lozenge(number, start - wide, y)
        return
    end = _after(now, x, reader)
    yield Words(role, end, base, moment)
    yield from lozenge(number, end + wide, y)


def _goes_back(pair: Pair) -> bool:
    """Return whether a line is moved towards the start."""
    if pair.move is None or pair.move.kind != "moved" or pair.was is None or pair.now is None:
        return False
    return pair.was.stop.at_m > pair.now.stop.at_m


def _before(pair: Pair, ground: Ground, x: Px, y: Px, reader: Reader) -> Iterator[Shape]:
    """Yield what stood before: nothing for a new line, a struck mark for a swap, a ring for a move."""
    was = pair.was
    kind = pair.move.kind if pair.move else ""
    if was is None:
        yield Words("change", x - MARK_PX / 2 - BESIDE_PX, y + 4.5, "new", "end")
    elif kind == "swapped":
        yield from _struck(was, x - MARK_PX - 10, y, reader)
    elif kind == "changed":
        yield Words("change", x - MARK_PX / 2 - BESIDE_PX, y + 4.5, "changed", "end")
    else:
        old_x = ground.x(was.stop.at_m)
        ahead = 1 if x >= old_x else -1
        tip = x - ahead * (MARK_PX / 2 + 4)
        assert pair.now is not None
        clear = x - MARK_PX / 2 - BESIDE_PX if ahead > 0 else _after(pair.now, x, reader)
        beside = min(old_x - 8, clear) if ahead > 0 else max(old_x + 8, clear)
        yield Words("note", beside, y + 4.5, _moment(was, reader.timed), "end" if ahead > 0 else "start")
        if (tip - old_x) * ahead > 6:
            yield line("moved", (old_x + ahead * 4, y), (tip - ahead * 6, y))
            yield area("moved-head", (tip, y), (tip - ahead * 7, y - 3.5), (tip - ahead * 7, y + 3.5))
        yield Disc("was-ring", old_x, y, 4)


def _moment(eaten: Eaten, timed: bool) -> str:
    return clock(eaten.stop.goal_s) if timed else f"km {km(eaten.stop.at_m)}"


def _marks(eaten: Eaten, reader: Reader) -> list[str]:
    return [mark for mark in marks_of(eaten.take) if mark not in reader.parts]


def _mark(eaten: Eaten, x: Px, y: Px, reader: Reader, *, role: str) -> Iterator[Shape]:
    for index, mark in enumerate(_marks(eaten, reader)):
        yield Mark(role, mark, x - MARK_PX / 2 + index * (MARK_PX + 2), y - MARK_PX / 2, MARK_PX)


def _struck(eaten: Eaten, x: Px, y: Px, reader: Reader) -> Iterator[Shape]:
    yield from _mark(eaten, x, y, reader, role="mark-ink")
    yield line("struck", (x - MARK_PX / 2 - 4, y + 5), (x + MARK_PX / 2 + 4, y - 5))


def _after(eaten: Eaten, x: Px, reader: Reader) -> Px:
    return x + MARK_PX / 2 + 6 + (len(_marks(eaten, reader)) - 1) * (MARK_PX + 2)


def _over_hatch(text: str, x: Px, y: Px) -> tuple[Shape, ...]:
    wide = width_of(text, "condensed-bold", 13)
    return Box("paper", x - 3, y - 9, wide + 6, 18), Words("name", x, y + 4.5, text)


# Fluid and time.


def _fluid(old: Plan, new: Plan, ground: Ground, y: Px) -> tuple[list[Shape], Px]:
    """Return the fluid of both under both ceilings; nothing where either withholds it."""
    is_seen = not any(hides(plan, FLUID.series) for plan in (old, new))
    series = [plan.series_of(FLUID.series) for plan in (old, new)]
    ceilings = [plan.series_of(CEILING) for plan in (old, new)]
    if not is_seen or None in series or None in ceilings:
        return [], y
    was, now = (one for one in series if one is not None)
    was_most, most = (one for one in ceilings if one is not None)
    highest = max(*was.high, *now.high, *was_most.low, *most.low)
    if highest <= 0:
        return [], y
    frame = Frame(ground, y, y + FLUID.height, top_value(highest, FLUID.height))
    return [_fluid_row(frame, was, now, was_most, most)], y + FLUID.height + ROW_GAP


def _fluid_row(frame: Frame, was: Series, now: Series, was_most: Series, most: Series) -> Group:
    low, mid, high = (frame.points(now.x_m, values) for values in (now.low, now.mid, now.high))
    band = (*high, *reversed(low))
    edge = frame.points(most.x_m, most.low)
    right = frame.ground.right + AFTER_PLOT
    ceiling_y = max(edge[-1][1] + 4, frame.top + 10)
    end_y = max(min(mid[-1][1] + 2, frame.base - 10), ceiling_y + 32)
    says = f"{whole(now.mid[-1])} ml"
    shapes: list[Shape] = [
        Path("band", (band,), closed=True),
        Path("texture", hatched(FLUID.texture, band)),
        Path("edge", (low, high)),
        line("mid", *mid),
        *axis(FLUID, frame),
        *ceiling_over(edge, frame, 0),
        line("was", *frame.points(was_most.x_m, was_most.low)),
        line("was", *frame.points(was.x_m, was.mid)),
        Words("value", right, ceiling_y, f"ceiling {whole(most.low[-1])}"),
        Words("note", right, ceiling_y + 14, f"was {whole(was_most.low[-1])}"),
        Words("value", right, end_y, says),
        Words("note", right, end_y + 14, f"was {whole(was.mid[-1])}"),
    ]
    return Group(f"{FLUID.name}: {says}, was {whole(was.mid[-1])}", tuple(shapes))


def _rulers(old: Plan, new: Plan, ground: Ground, y: Px, called: tuple[str, str]) -> tuple[list[Shape], Px]:
    """Return the goal times of both as two rulers; none where either is struck."""
    times = [plan.series_of(ELAPSED) for plan in (old, new)]
    if old.time_struck or new.time_struck or None in times:
        return [], y
    was, now = (one for one in times if one is not None)
    steps = time_steps(max(was.mid[-1], now.mid[-1]), ground.right - ground.left)
    shapes: list[Shape] = list(names(y + 14, "Elapsed", "goal, h:min"))
    joined = []
    for minute in range(steps[1], int(min(was.mid[-1], now.mid[-1]) // 60) + 1, steps[1]):
        joined.append(
            tuple((ground.x(_place(series, minute)), y + 10 + 26 * n) for n, series in enumerate((was, now)))
        )
    shapes.append(Path("equal", tuple(joined)))
    for n, series in enumerate((was, now)):
        shapes += _ruler(series, ground, y + 10 + 26 * n, called[n], steps, strong=n == 1)
    return shapes, y + 46


def _place(series: Series, minute: int) -> float:
    return between(60 * minute, series.mid, series.x_m)


def _ruler(
    series: Series, ground: Ground, y: Px, called: str, steps: tuple[int, int, int], *, strong: bool
) -> Iterator[Shape]:
    words = "tick-strong" if strong else "tick"
    yield line("ruler-strong" if strong else "was", (ground.left, y), (ground.right, y))
    yield Words(words, ground.left - 10, y + 4, called, "end")
    yield Words("value" if strong else "note", ground.right + AFTER_PLOT, y + 4.5, clock(series.mid[-1]))
    for minute in range(steps[1], int(series.mid[-1] // 60) + 1, steps[1]):
        x = ground.x(_place(series, minute))
        yield line("axis", (x, y - 4), (x, y + 4))
        text = clock(60 * minute)
        wide = width_of(text, "sans-bold" if strong else "condensed", 13) + 6
        if minute % steps[2] == 0 and x < ground.right - wide / 2 - 2:
            yield Box("paper", x - wide / 2, y - 7, wide, 14)
            yield Words(words, x, y + 4.5, text, "middle")
