"""What is carried in the race: the wrist strip of 240 × 28 mm and the card of 100 × 70 mm behind the bib.

A line is a place in the race and what is taken there. At most seven lines and five rules; equal lines merge
first; where words do not fit at 9 points, the card takes over. Nothing here is in grams.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from provand.pack.letters import balanced_lines, cut_to, printable, width_of
from provand.pack.scale import Ground
from provand.pack.shapes import Disc, Drawing, Shape, area, line
from provand.pack.sheet import common, own_start_words
from provand.pack.svg import written
from provand.pack.tongue import listed, listed_apart, say, say_n, spoken
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import (
    MARK_WORDS,
    drinking_words,
    has_unsaid_caffeine,
    if_then_words,
    kinds_of_mark,
    km,
    no_weights,
    short_day,
    span,
    stop_marks,
    stop_words,
)
from provand.phrase import to_say
from provand.plan.document import Plan, Stop
from provand.planner.if_then import EMERGENCY, EMERGENCY_SHORT
from provand.units import clock

Mm = float
"""A length in millimetres on paper."""
Pt = float
"""A size of type in points."""

PT_PER_MM = 72 / 25.4
STRIP_MM: tuple[Mm, Mm] = (240, 28)
CARD_MM: tuple[Mm, Mm] = (100, 70)
COLUMNS_MM: Mm = 138
RULES_MM: Mm = 77
HILL_MM: Mm = 138
HILL_HEIGHTS_MM: dict[int, Mm] = {3: 6.6, 4: 4.8}
"""Height of the hill by how many lines of words stand over it at most."""
MOST_LINES = 7
MOST_COLUMNS = 5
LEAST_COLUMNS = 3
LEAST_PT: Pt = 9
TIME_PT: Pt = 15
WORD_SIZES_PT: tuple[Pt, ...] = (9.4, LEAST_PT)
LEADING = 1.14
AIR = 0.2
"""What lines of Arabic stand farther apart on the card, in parts of the size; house.typ has it too."""
RULE_SIZES_PT: tuple[Pt, ...] = (10.6, 10, 9.5, LEAST_PT)
RULES_ROOM_PT: Pt = 25.6 * PT_PER_MM
MARK_MM: Mm = 4.1
MARK_GAP_MM: Mm = 0.6
MERGE_WITHIN_S = 120.0
"""Stops merge into one rhythm when none is farther from it than this: our estimate."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of what is carried: when, or at which kilometre; what; where from."""

    when: str
    unit: str
    words: str
    place: str
    marks: tuple[str, ...]
    has_unsaid_caffeine: bool = False

    def lead_pt(self, size: Pt) -> Pt:
        """Return the width of its time or place in bold, a little wider than the semi-bold measured."""
        unit_pt = width_of(f" {self.unit}", "condensed-bold", LEAST_PT) if self.unit else 0.0
        return 1.04 * width_of(self.when, "sans-bold", size) + unit_pt


def has_crew(stop: Stop) -> bool:
    """Return whether anything there is handed over by a crew."""
    return any(take.got_from == "crew" for take in stop.takes)


def _entry(stop: Stop, plan: Plan) -> Entry:
    station = printable(stop.station, "course.stations")
    place = station or ("" if plan.time_struck else say("km {km}", km=km(stop.at_m)))
    if has_crew(stop):
        place = say("crew, {place}", place=place) if place else say("crew")
    when, unit = (km(stop.at_m), say("km")) if plan.time_struck else (clock(stop.goal_s), "")
    words, unsaid = stop_words(stop, plan.case), has_unsaid_caffeine(stop)
    return Entry(when, unit, words, place, stop_marks(stop), unsaid)


def _rhythm_min(stops: Sequence[Stop]) -> int | None:
    """Return the whole minutes between equal stops, or None where they keep no rhythm."""
    if len(stops) < 3:
        return None
    first_s = stops[0].goal_s
    gap_min = round((stops[-1].goal_s - first_s) / (len(stops) - 1) / 60)
    off_s = [abs(stop.goal_s - first_s - 60 * gap_min * index) for index, stop in enumerate(stops)]
    return gap_min if max(off_s) <= MERGE_WITHIN_S else None


def _same(one: Stop, other: Stop) -> bool:
    return one.takes == other.takes and not (one.station or other.station or has_crew(one))


def _merged(stops: Sequence[Stop], plan: Plan) -> list[Entry]:
    """Return the entries with runs of equal stops in a rhythm as one: `gel every 22 min`, 0:35 to 1:19."""
    runs: list[list[Stop]] = []
    for stop in stops:
        if runs and _same(runs[-1][-1], stop):
            runs[-1].append(stop)
        else:
            runs.append([stop])
    entries = []
    for run in runs:
        gap_min = None if plan.time_struck else _rhythm_min(run)
        if gap_min is None:
            entries += [_entry(stop, plan) for stop in run]
        else:
            when = span(run[0].goal_s, run[-1].goal_s)
            words = say("{take} every {n} min", take=stop_words(run[0], plan.case), n=gap_min)
            entries.append(Entry(when, "", words, "", stop_marks(run[0]), has_unsaid_caffeine(run[0])))
    return entries


def entries(plan: Plan) -> list[Entry]:
    """Return the lines of what is carried; over five, equal ones are merged."""
    stops = plan.race.stops
    return [_entry(stop, plan) for stop in stops] if len(stops) <= MOST_COLUMNS else _merged(stops, plan)


def rules(plan: Plan, *, fewest_words: bool = False) -> list[str]:
    """Return the rules of the race in order: drinking, the if-then lines, the emergency."""
    told = [if_then_words(entry) for entry in plan.if_then]
    if_then = [line.short if fewest_words else f"{line.when} {line.then}" for line in told]
    return [drinking_words(plan), *if_then, say(EMERGENCY_SHORT if fewest_words else EMERGENCY)]


def _fitting_marks(entry: Entry, room_pt: Pt) -> tuple[str, ...] | None:
    """Return the marks there is room for: the last ones go first, for the words tell them too.

    The bean of caffeine stays, and never alone; None where even that does not fit.
    """
    marks = list(dict.fromkeys(entry.marks))
    while marks and len(marks) * (MARK_MM + MARK_GAP_MM) * PT_PER_MM > room_pt:
        spare = [mark for mark in marks[1:] if mark != "caffeine"]
        if spare:
            marks.remove(spare[-1])
        elif "caffeine" in marks:
            return None
        else:
            marks.pop()
    return tuple(marks)


def _columns(lines: Sequence[Entry], size: Pt, room_pt: Pt) -> list[dict[str, Any]] | None:
    """Return the columns of the strip at one size of words, or None where they do not fit."""
    columns = []
    for entry in lines:
        place = [entry.place] if entry.place else []
        words = [*balanced_lines(entry.words, "condensed-bold", size, room_pt), *place]
        widest = max(width_of(text, "condensed-bold", size) for text in words)
        marks = _fitting_marks(entry, room_pt - entry.lead_pt(TIME_PT) - 1.4 * PT_PER_MM)
        if (
            marks is None
            or len(words) > max(HILL_HEIGHTS_MM)
            or max(widest, entry.lead_pt(TIME_PT)) > room_pt
        ):
            return None
        columns.append({"when": entry.when, "unit": entry.unit, "marks": marks, "lines": words})
    return columns


def rules_at(texts: Sequence[str]) -> tuple[Pt, list[str]] | None:
    """Return the largest size at which the rules fit beside the columns, and their lines."""
    for size in RULE_SIZES_PT:
        lines = [
            text
            for rule in texts
            for text in balanced_lines(rule, "condensed-bold", size, (RULES_MM - 5) * PT_PER_MM)
        ]
        if len(lines) * size * LEADING <= RULES_ROOM_PT:
            return size, lines
    return None


def strip_data(plan: Plan) -> dict[str, Any] | None:
    """Return the wrist strip, or None where there is more to carry than it can hold legibly."""
    lines, at_size = entries(plan), rules_at(rules(plan, fewest_words=True))
    if len(lines) > MOST_LINES or at_size is None:
        return None
    column_mm = COLUMNS_MM / max(len(lines), LEAST_COLUMNS)
    for size in WORD_SIZES_PT:
        columns = _columns(lines, size, (column_mm - 2.2) * PT_PER_MM)
        if columns is not None:
            deepest = max((len(column["lines"]) for column in columns), default=0)
            hill_mm = HILL_HEIGHTS_MM[max(deepest, min(HILL_HEIGHTS_MM))]
            return {
                "columns": columns, "column_mm": column_mm, "words_pt": size, "hill_mm": hill_mm,
                "rules": at_size[1], "rules_pt": at_size[0],
            }  # fmt: skip
    return None


# The card: rows and rules set down in order on as many sides as they need.

CARD_ROOM_PT: Pt = (CARD_MM[1] - 3.2 - 7.4) * PT_PER_MM
CARD_TIME_PT: Pt = 13
CARD_TIME_MM: Mm = 13
CARD_MARKS_MM: Mm = 15.5
CARD_GUTTERS_MM: Mm = 6
ROW_ROOM_PT: Pt = 2.3 * PT_PER_MM
ROW_LEADING_PT: Pt = 1.6 * PT_PER_MM
CAP_HEIGHT = 0.689
"""Height of a capital of Fira Sans in parts of its size."""
CARD_WORDS_PT: Pt = 10.5
CARD_PLACE_MM: Mm = 20


def _card_time_mm(lines: Sequence[Entry]) -> Mm:
    """Return the width of the card's column of times."""
    widest_pt = max((entry.lead_pt(CARD_TIME_PT) for entry in lines), default=0.0)
    return max(CARD_TIME_MM, widest_pt / PT_PER_MM + 0.5)


def _card_row(entry: Entry, time_mm: Mm) -> dict[str, Any]:
    room_mm = (
        CARD_MM[0] - 4 - time_mm - CARD_MARKS_MM - CARD_GUTTERS_MM - (CARD_PLACE_MM if entry.place else 0)
    )
    words = balanced_lines(entry.words, "condensed-bold", CARD_WORDS_PT, room_mm * PT_PER_MM)
    place = balanced_lines(entry.place, "condensed-bold", LEAST_PT, CARD_PLACE_MM * PT_PER_MM)
    marks = _fitting_marks(entry, CARD_MARKS_MM * PT_PER_MM) or ()
    return {"when": entry.when, "unit": entry.unit, "marks": marks, "words": words, "place": place}


def _row_height_pt(row: dict[str, Any]) -> Pt:
    """Return how high a row stands: its lines or its mark, and the room over and under them."""
    count = max(len(row["words"]), len(row["place"]), 1)
    words_pt = count * CAP_HEIGHT * CARD_WORDS_PT + (count - 1) * ROW_LEADING_PT
    return max(words_pt, (MARK_MM - 0.2) * PT_PER_MM) + ROW_ROOM_PT


def card_sides(plan: Plan) -> list[dict[str, Any]]:
    """Return the sides of the card, each with rows or rules or both; the rules stand whole on the last.

    The rules are in full, unless their fewest words make one side do.
    """
    whole = _sides(plan, rules(plan))
    short = _sides(plan, rules(plan, fewest_words=True)) if len(whole) > 1 else whole
    return short if len(short) == 1 else whole


def _sides(plan: Plan, texts: Sequence[str]) -> list[dict[str, Any]]:
    words = [
        line for text in texts for line in balanced_lines(text, "condensed-bold", LEAST_PT, 95 * PT_PER_MM)
    ]
    words_pt = len(words) * LEAST_PT * (LEADING + (AIR if spoken().is_leftward else 0)) + 2 * PT_PER_MM
    lines = entries(plan)
    time_mm = _card_time_mm(lines)
    sides: list[dict[str, Any]] = [{"rows": [], "rules": []}]
    used_pt = 0.0
    for row in (_card_row(entry, time_mm) for entry in lines):
        if len(sides[-1]["rows"]) == MOST_LINES or used_pt + _row_height_pt(row) > CARD_ROOM_PT:
            sides.append({"rows": [], "rules": []})
            used_pt = 0.0
        sides[-1]["rows"].append(row)
        used_pt += _row_height_pt(row)
    if used_pt + words_pt > CARD_ROOM_PT:
        sides.append({"rows": [], "rules": []})
    sides[-1]["rules"] = words
    return sides


def wrist_hill(plan: Plan, height_mm: Mm) -> Drawing:
    """Return the whole hill for the strip, with a dot at every stop; ten pixels a millimetre."""
    width, height = HILL_MM * 10, height_mm * 10
    ground = Ground(plan.case.course, 0, width, 10, height - 2)
    shapes: list[Shape] = [
        area("wrist-land", (0, height), *ground.profile(), (width, height)),
        line("wrist-outline", *ground.profile()),
        *(Disc("wrist-dot", ground.x(stop.at_m), ground.hill_y(stop.at_m), 8.5) for stop in plan.race.stops),
    ]
    return Drawing(width, height, "hill", "", tuple(shapes))


def _says(plan: Plan) -> str:
    """Return the strip as ordered text."""
    told = []
    for entry in entries(plan):
        when = say("{count} {unit}", count=entry.when, unit=entry.unit) if entry.unit else entry.when
        told.append(listed(part for part in (when, entry.words, entry.place) if part))
    return listed_apart(told)


def sheet_data(plan: Plan, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return everything on the sheet to cut out."""
    name, sides = printable(plan.case.athlete.name, "athlete.name"), card_sides(plan)
    return common(plan, say("To cut out"), paper, draft=draft) | {
        "card_name": short_name(name, 11.5, 36),
        "tab_name": short_name(name, LEAST_PT, 25),
        "on": short_day(plan.case.race.gun.date()),
        "start": own_start_words(plan, "–"),
        "strip": strip_data(plan),
        "sides": sides,
        "card_time_mm": _card_time_mm(entries(plan)),
        "hill_says": say(
            "The hill from start to finish with a dot where something is taken. {takes}", takes=_says(plan)
        ),
        "words": _words(len(sides)),
        "legend": [{"mark": mark, "word": say(MARK_WORDS[mark])} for mark in kinds_of_mark(plan)],
    }


READS = to_say("It reads from column to column as the race goes; the dots on the hill show where.")
READS_LEFTWARD = to_say(
    "Read the columns by their numbers, from left to right as the race goes; the dots on the hill show where."
)
"""How a strip is read: time runs from left to right in every language, as the hill does."""


def _words(sides_count: int) -> dict[str, str]:
    """Return the words of the sheet round strip and card; what stays in braces is filled in on paper."""
    strip, card = (
        say("{wide} × {high} mm", wide=f"{wide_mm:g}", high=f"{high_mm:g}")
        for wide_mm, high_mm in (STRIP_MM, CARD_MM)
    )
    return {
        "heading": say("To cut out"),
        "how": say("Print in actual size, not fitted to the page. The bar at the foot must measure 100 mm."),
        "stick": say("stick here"),
        "nothing": say("Nothing to take in this race."),
        "strip": say("Wrist strip, {size}.", size=strip),
        "reads": say(READS_LEFTWARD if spoken().is_leftward else READS),
        "none": say(
            "No wrist strip: there is more to take, or more to say, than one can hold in letters large "
            "enough. Take the card."
        ),
        "start": say("start {start}", start="{start}"),
        "side": say("start {start}, side {n}", start="{start}", n="{n}"),
        "card": say("Card for behind the bib, {size}.", size=card),
        "sides": say_n("{n} side.", "{n} sides.", sides_count),
        "pin": say(
            "Pin its top edge to the lower edge of the bib, behind: lift the bib and it reads upright."
        ),
        "measure": say("{size}: measure it", size=say("{length} mm", length="100")),
        "from": say("start"),
        "to": say("finish"),
    }


def short_name(name: str, size: Pt, room_mm: Mm) -> str:
    """Return a name that fits: whole, or with initials before the last word, that word cut if it must be."""
    room_pt = room_mm * PT_PER_MM
    if width_of(name, "condensed-bold", size) <= room_pt:
        return name
    *first, last = name.split()
    initials = "".join(f"{word[0]}. " for word in first[:2])
    return initials + cut_to(
        last, "condensed-bold", size, room_pt - width_of(initials, "condensed-bold", size)
    )


def strip_sheet(plan: Plan, paper: Paper, *, draft: bool = False) -> bytes:
    """Return the sheet with the wrist strip and the card as a PDF, to be printed in actual size."""
    data = sheet_data(plan, paper, draft=draft)
    no_weights((text for part in (data["strip"], data["sides"]) for text in _texts(part)), "strip.pdf")
    hill = wrist_hill(plan, data["strip"]["hill_mm"] if data["strip"] else min(HILL_HEIGHTS_MM.values()))
    return pdf("strip.typ", data, pictures={"hill.svg": written(hill, "print")})


def _texts(part: Any) -> list[str]:
    if isinstance(part, str):
        return [part]
    values = part.values() if isinstance(part, dict) else part if isinstance(part, list | tuple) else ()
    return [text for value in values for text in _texts(value)]
