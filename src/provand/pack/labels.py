"""Labels to stick on packs and bottles, on A4 sheets of 24 or 65: which pack it is, and when it is taken.

A bottle has no time on it: thirst leads. Positions are in millimetres from the left and upper edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from provand.pack.letters import Face, balanced_lines, cut_to, printable, width_of
from provand.pack.sheet import DRAFT_WORDS, INVENTED, common, texts
from provand.pack.tongue import say
from provand.pack.typeset import pdf
from provand.pack.voice import is_fluid, km, marks_of, no_weights, take_name
from provand.plan.brought import BROUGHT
from provand.plan.document import Plan, Stop, Take
from provand.units import clock

Mm = float
"""A length in millimetres on paper."""
Pt = float
"""A size of type in points."""

A4_MM: tuple[Mm, Mm] = (210, 297)
PT_PER_MM = 72 / 25.4
BOLD: Face = "condensed-bold"


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet of labels: how many across and down, how large, how far apart; the sizes of its words.

    Sheets with these counts and sizes are common stationery (from memory). Margins are computed: what is left
    of an A4 sheet, half on each side. `inset_mm` keeps words off the edge, where printers do not print: ours.
    """

    across_count: int
    down_count: int
    label_mm: tuple[Mm, Mm]
    gap_mm: Mm
    inset_mm: Mm
    lead_pt: tuple[Pt, ...]
    name_pt: tuple[Pt, ...]
    small_pt: Pt

    @property
    def count(self) -> int:
        return self.across_count * self.down_count

    @property
    def margins_mm(self) -> tuple[Mm, Mm]:
        """The margins at the left and at the top, computed."""
        across = self.across_count * self.label_mm[0] + (self.across_count - 1) * self.gap_mm
        down = self.down_count * self.label_mm[1]
        return (A4_MM[0] - across) / 2, (A4_MM[1] - down) / 2

    def corner_mm(self, place: int) -> tuple[Mm, Mm]:
        """Return the left and upper edge of a label, counted from 0 in rows."""
        row, column = divmod(place, self.across_count)
        left, top = self.margins_mm
        return left + column * (self.label_mm[0] + self.gap_mm), top + row * self.label_mm[1]

    @property
    def room_pt(self) -> Pt:
        return (self.label_mm[0] - 2 * self.inset_mm) * PT_PER_MM


LARGE = Stock(3, 8, (70, 37), 0, 5, (24, 20, 17, 14, 12), (13, 12, 11, 10), 9)
"""3 × 70 mm is the whole width, 8 × 37 mm leaves half a millimetre above and below."""
SMALL = Stock(5, 13, (38.1, 21.2), 2.5, 1.8, (14, 12, 10.5, 9), (9, 8, 7.5), 7)
"""13 × 21.2 mm leave 10.7 mm above and below; the gap of 2.5 mm is from memory, and leaves 4.75 mm a side."""


class Pack(NamedTuple):
    """One pack or bottle: its first take, and every stop at which something of it is taken."""

    take: Take
    stops: tuple[Stop, ...]


def packs(plan: Plan) -> tuple[Pack, ...]:
    """Return every pack that is brought, in the order in which it is opened."""
    opened: list[Pack] = []
    left: dict[tuple[str, str], tuple[int, int]] = {}
    for stop in plan.race.stops:
        for take in stop.takes:
            if take.got_from in BROUGHT:
                _taken(plan, opened, left, (take, stop))
    return tuple(opened)


def _taken(
    plan: Plan, opened: list[Pack], left: dict[tuple[str, str], tuple[int, int]], taken: tuple[Take, Stop]
) -> None:
    """Take from the pack that is open, and open others while more is wanted; a bottle is never used up."""
    take, stop = taken
    item = plan.case.item(take.item)
    parts = item.divides_into if item is not None else 1
    key = (take.item, take.got_from)
    poured = take.amount != "whole"
    wanted = 1 if poured else max(1, round(take.portion_frac * parts))
    while wanted > 0:
        number, there = left.get(key, (-1, 0))
        if there == 0:
            opened.append(Pack(take, (stop,)))
            number, there = len(opened) - 1, parts
        elif opened[number].stops[-1] != stop:
            opened[number] = opened[number]._replace(stops=(*opened[number].stops, stop))
        used = 0 if poured else min(there, wanted)
        left[key] = (number, there - used)
        wanted -= wanted if poured else used


def initials(name: str) -> str:
    """Return the first letters of a name: `T. A.`"""
    return " ".join(f"{word[0]}." for word in name.split())


def label_sheets(plan: Plan, stock: Stock, *, first: int = 1, draft: bool = False) -> bytes:
    """Return the sheets as a PDF; the `first` - 1 labels before the first are used up already.

    On a sheet with fewer labels than that, counting goes on from its beginning.
    """
    data = label_data(plan, stock, first=first, draft=draft)
    no_weights(texts(data["labels"]), f"labels-{stock.count}.pdf")
    if "grams" in plan.withheld:
        no_weights(texts(data), f"labels-{stock.count}.pdf")
    return pdf("labels.typ", data)


def label_data(plan: Plan, stock: Stock, *, first: int = 1, draft: bool = False) -> dict[str, Any]:
    """Return everything on the sheets: each label with its sheet and its corner."""
    shared = common(plan, say("Labels for packs and bottles"), "a4", draft=draft)
    marked = f"{initials(printable(plan.case.athlete.name, 'athlete.name'))} {shared['code']}"
    at = (first - 1) % stock.count
    labels = [
        {**_placed(stock, at + number), **_label(plan, stock, one), "marked": marked}
        for number, one in enumerate(_told(plan))
    ]
    note = [say(INVENTED)] if shared["invented"] else []
    note += [say(DRAFT_WORDS)] if draft else []
    return {
        **shared,
        "label_mm": stock.label_mm,
        "inset_mm": stock.inset_mm,
        "small_pt": stock.small_pt,
        "labels": labels,
        "sheets": max((label["sheet"] for label in labels), default=1),
        "note": " ".join([*note, *_note(plan, shared, draft=draft)]),
        "note_at": _note_at(stock, at + len(labels)),
    }


def _note(plan: Plan, shared: dict[str, Any], *, draft: bool) -> Iterator[str]:
    """Yield what the foot of other sheets says, and how to print and read these."""
    if any(pack.take.with_caffeine for pack in packs(plan)):
        yield say("C: with caffeine.")
    yield say("Print in actual size on a sheet of labels.")
    yield shared["foot"]
    if not draft:
        yield say("Only labels with the code {code} count.", code=shared["code"])


class _Told(NamedTuple):
    number: int
    pack: Pack


def _told(plan: Plan) -> Iterator[_Told]:
    yield from (_Told(number, pack) for number, pack in enumerate(packs(plan), 1))


def _placed(stock: Stock, place: int) -> dict[str, Any]:
    sheet, on_sheet = divmod(place, stock.count)
    left_mm, top_mm = stock.corner_mm(on_sheet)
    return {"sheet": sheet + 1, "left_mm": round(left_mm, 3), "top_mm": round(top_mm, 3)}


def _note_at(stock: Stock, place: int) -> dict[str, Any] | None:
    """Return where the sheet's own words stand: on the label after the last, or in a margin that has room."""
    left_mm, top_mm = stock.margins_mm
    if top_mm >= 10:
        wide_mm = A4_MM[0] - 2 * max(left_mm, 8)
        return {"left_mm": max(left_mm, 8), "top_mm": A4_MM[1] - top_mm + 0.6, "wide_mm": wide_mm, "sheet": 0}
    placed = _placed(stock, place)
    return placed | {
        "left_mm": placed["left_mm"] + stock.inset_mm,
        "top_mm": placed["top_mm"] + 3,
        "wide_mm": stock.label_mm[0] - 2 * stock.inset_mm,
    }


def _label(plan: Plan, stock: Stock, told: _Told) -> dict[str, Any]:
    take = told.pack.take
    name = take_name(take)
    name_pt, lines = _name_lines(name, stock)
    lead = _lead(plan, told)
    fits = [size for size in stock.lead_pt if _lead_width_pt(lead, take, size) <= stock.room_pt]
    return {
        "lead": lead,
        "lead_pt": (fits or stock.lead_pt[-1:])[0],
        "marks": ["caffeine"] if "caffeine" in marks_of(take) else [],
        "name": lines,
        "name_pt": name_pt,
    }


def _lead_width_pt(lead: str, take: Take, size: Pt) -> Pt:
    """Return the width of the largest words, with the mark behind them."""
    return width_of(lead, BOLD, size) + (1.2 * size if take.with_caffeine else 0.0)


def _lead(plan: Plan, told: _Told) -> str:
    """Return the largest words: `4 C / 1:40`; of what is drunk the number alone."""
    take = told.pack.take
    if is_fluid(take):
        return say("{n}", n=told.number)
    when = " + ".join(_moments(plan, told.pack.stops))
    if take.with_caffeine:
        return say("{n} C / {when}", n=told.number, when=when)
    return say("{n} / {when}", n=told.number, when=when)


def _moments(plan: Plan, stops: Sequence[Stop]) -> list[str]:
    if plan.time_struck:
        return [say("km {km}", km=km(stop.at_m)) for stop in stops]
    return [clock(stop.goal_s) for stop in stops]


def _name_lines(name: str, stock: Stock) -> tuple[Pt, list[str]]:
    """Return the name on at most two lines in the largest type that does; else the first two, cut."""
    for size in stock.name_pt:
        lines = balanced_lines(name, BOLD, size, stock.room_pt)
        if len(lines) <= 2 and all(width_of(line, BOLD, size) <= stock.room_pt for line in lines):
            return size, list(lines)
    size = stock.name_pt[-1]
    first, *rest = balanced_lines(name, BOLD, size, stock.room_pt)
    return size, [cut_to(text, BOLD, size, stock.room_pt) for text in (first, " ".join(rest)) if text]
