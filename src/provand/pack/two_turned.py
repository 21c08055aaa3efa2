"""Two versions of a plan on one strip that is turned down the page, for narrow windows.

The same lines, numbers and signs as the strip that lies: was with an open ring and a dashed line, is with a
full sign. What either version withholds has no row and no word.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from provand.pack.flags import LOZENGE_PX, MARK_PX, lozenge
from provand.pack.letters import cut_to, lines_of, printable
from provand.pack.rows import ROWS
from provand.pack.shapes import Disc, Drawing, Group, Mark, Px, Shape, Words, line
from provand.pack.turned import (
    BASE_X,
    COLUMN,
    COLUMN_GAP,
    NARROWEST,
    POLE_X,
    Down,
    closed_down,
    column,
    heads,
    hill_down,
    scale_down,
)
from provand.pack.two_strips import in_words, numbers_of, words_of
from provand.pack.voice import is_fluid, km, marks_of
from provand.pack.withheld import hides
from provand.plan.document import Plan
from provand.plan.moves import Eaten, Pair, Reader, pairs_between
from provand.units import clock

FLUID = ROWS[-1]
LINE_PX: Px = 15


def two_turned(old: Plan, new: Plan, *, was: str, now: str, width: Px = 328) -> Drawing:
    """Return two versions of one race down the page, at most `width` wide; `was` and `now` name them."""
    width = max(width, NARROWEST)
    parts = frozenset(old.withheld) | frozenset(new.withheld)
    reader = Reader(parts, timed=not (old.time_struck or new.time_struck))
    plan = new if reader.timed else new.model_copy(update={"time_struck": True})
    pairs = pairs_between(old, new, parts)
    fluid = _has_fluid(old, new)
    down = Down(plan, width - (COLUMN + COLUMN_GAP if fluid else 0))
    rows = column(FLUID, down, width - COLUMN, old) if fluid else []
    lines, end = _lines(pairs, reader, down)
    legend = max(down.bottom + 40, end + 16)
    shapes = (
        *heads(plan),
        *scale_down(down),
        *hill_down(down),
        *closed_down(down),
        *rows,
        *lines,
        Disc("was-ring", 6, legend, 4),
        Words("note", 18, legend + 4, f"{was}: open ring, dashed line"),
        Disc("sign", 6, legend + 20, 4.5),
        Words("note", 18, legend + 24, f"{now}: full sign, full line"),
    )
    title = f"Two versions: {printable(new.case.race.name, 'race.name')}"
    return Drawing(width, legend + 34, title, in_words(pairs, new, parts), shapes)


def _has_fluid(old: Plan, new: Plan) -> bool:
    return not any(hides(plan, FLUID.series) or plan.series_of(FLUID.series) is None for plan in (old, new))


def _lines(pairs: Sequence[Pair], reader: Reader, down: Down) -> tuple[list[Shape], Px]:
    """Return one flag a line, each at its own height or pushed below the last, and where they end."""
    shapes, bottom = list[Shape](), 0.0
    for pair, number in zip(pairs, numbers_of(pairs), strict=True):
        y = down.y(pair.at_m)
        top = max(y - 9, bottom + 8)
        inner, bottom = _line(pair, reader, number, top, down.flags_end - POLE_X - 8)
        role = "was" if pair.now is None else "pole"
        x = down.hill_x(pair.at_m)
        poles = (
            line(role, (x, y), (POLE_X - 7, y), (POLE_X, top + 9)),
            line(role, (POLE_X, top), (POLE_X, bottom)),
        )
        label = pair.move.says if pair.move else f"Kept: {words_of(pair, reader)}"
        shapes.append(Group(label, (*poles, *inner, *_signs(pair, down))))
    return shapes, bottom


def _line(pair: Pair, reader: Reader, number: int, top: Px, room: Px) -> tuple[list[Shape], Px]:
    """Return marks, moment, lozenge, item and what became of it, and the lower end."""
    eaten = pair.now or pair.was
    assert eaten is not None
    shapes, at = list[Shape](), POLE_X + 6
    marks = [mark for mark in marks_of(eaten.take) if mark not in reader.parts]
    role = "mark" if pair.now is not None and pair.move is not None else "mark-ink"
    for mark in marks[: max(1, int((room - 70) // (MARK_PX + 2)))]:
        shapes.append(Mark(role, mark, at, top + 1, MARK_PX))
        at += MARK_PX + 2
    if pair.now is None:
        shapes.append(line("struck", (POLE_X + 3, top + 15), (at + 1, top + 2)))
    shapes.append(Words("time", at + 3, top + 14, _moment(eaten, reader)))
    if number:
        shapes += lozenge(number, POLE_X + room - LOZENGE_PX, top + 9)
    y = top + 14
    for text in lines_of(words_of(pair, reader), "sans", 13, room):
        y += LINE_PX
        said = cut_to(text, "sans", 13, room)
        shapes.append(Words("water" if is_fluid(eaten.take) else "item", POLE_X + 6, y, said))
    for said_role, became in _became(pair, reader):
        for text in lines_of(became, "condensed-bold", 12, room):
            y += LINE_PX
            shapes.append(Words(said_role, POLE_X + 6, y, cut_to(text, "condensed-bold", 12, room)))
    return shapes, y + 5


def _became(pair: Pair, reader: Reader) -> Iterator[tuple[str, str]]:
    if pair.move is None:
        yield "note", "kept"
    elif pair.was is None:
        yield "state", "new"
    elif pair.now is None:
        yield "state", "out"
    else:
        yield "state", pair.move.kind
        if pair.move.kind == "moved":
            when = f"{clock(pair.was.stop.goal_s)}, " if reader.timed else ""
            yield "note", f"was {when}km {km(pair.was.stop.at_m)}"


def _moment(eaten: Eaten, reader: Reader) -> str:
    return clock(eaten.stop.goal_s) if reader.timed else f"km {km(eaten.stop.at_m)}"


def _signs(pair: Pair, down: Down) -> Iterator[Shape]:
    """Yield the sign where it is taken now, and the ring where it was, joined by a dashed line."""
    places = [
        (down.hill_x(eaten.stop.at_m), down.y(eaten.stop.at_m)) if eaten is not None else None
        for eaten in (pair.was, pair.now)
    ]
    was, now = places
    if was is not None and now is not None and abs(was[1] - now[1]) > 1:
        beside = BASE_X - 16
        yield line("was", was, (beside, was[1]), (beside, now[1]), now)
    if was is not None and was != now:
        yield Disc("was-ring", *was, 4)
    if now is not None:
        yield Disc("sign", *now, 4.5)
