"""The page of a race file: what stands in each field, what is to mend there, and edits from what is posted.

A path names a field as a fault does: `race.goal`, `course.stations[2].at`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from provand.finding import Finding, find
from provand.language import LANGUAGES
from provand.record import Record
from provand.workspace.days import day_readings, moment_readings
from provand.workspace.entry import Asked, Rows, Section, in_field, sections, shown_value
from provand.workspace.served import PARTS, SERVES, served_text

STILL_OPEN = {"workspace.empty", "workspace.no_course", "entry.missing", "race.no_time"}
"""What only says that something is not typed yet: no fault before somebody wants to go on."""
SAID_HERE = {"entry.missing", "course.one_source"}
"""What the page says in its own words, for what it asks."""
DAYS = {"born", "body_mass_on", "on", "seen_on", "gun"}
"""The fields that hold a day."""
COURSE_FILE, POINTS, STATIONS = "course.gpx", "course.points", "course.stations"
OWN_FOODS = "menu.own_foods"


class Told(Record):
    """A fault beside a field, and the readings that would mend it."""

    says: str
    readings: tuple[str, ...] = ()


class Meanwhile(Record):
    """What somebody else typed into a field while the same was typed here."""

    by: str
    at: str
    theirs: str


class Unit(Record):
    """One field as it is shown: what stands in it, what is to mend."""

    path: str
    name: str
    asked: Asked
    text: str = ""
    faults: tuple[Told, ...] = ()
    meanwhile: Meanwhile | None = None

    @property
    def id(self) -> str:
        """The name of the field in the page."""
        return id_of(self.path)

    @property
    def field_id(self) -> str:
        """The name of what is typed into, where a link leads."""
        return f"{self.id}-in-1" if self.asked.kind == "choices" else f"{self.id}-in"

    @property
    def options(self) -> tuple[str, ...]:
        """What may be chosen, with what stands there though nobody offered it."""
        offered = ("yes", "no") if self.asked.kind == "yes or no" else self.asked.choices
        return tuple(dict.fromkeys([*offered, *self.ticked])) if offered else ()

    @property
    def named_options(self) -> tuple[tuple[str, str], ...]:
        """What may be chosen, each with its name: a language by its name in English."""
        return tuple((one, _option_named(self.asked.key, one)) for one in self.options)

    @property
    def hint(self) -> str:
        """What is allowed, and how it may be written."""
        such = f"such as {self.asked.example}" if self.asked.example else ""
        return ", ".join(part for part in (self.asked.allowed, such) if part)

    @property
    def lists_items(self) -> bool:
        """True where items of the shelf are named."""
        return self.asked.key in ("item", SERVES, "athlete.refused")

    @property
    def ticked(self) -> tuple[str, ...]:
        return tuple(part.strip() for part in self.text.split(",") if part.strip())


def _option_named(key: str, option: str) -> str:
    if key == "athlete.language" and option in LANGUAGES:
        return LANGUAGES[option].english
    return option


class RowShown(Record):
    """One row of a list; the last one is empty and becomes a row when something is typed."""

    path: str
    n: int
    cells: tuple[Unit, ...]
    faults: tuple[Told, ...] = ()
    blank: bool = False

    @property
    def id(self) -> str:
        return id_of(self.path)


class RowsShown(Record):
    """A list with its rows."""

    rows: Rows
    shown: tuple[RowShown, ...]
    faults: tuple[Told, ...] = ()

    @property
    def id(self) -> str:
        return id_of(self.rows.key)


class SectionShown(Record):
    """A part of the page."""

    n: int
    section: Section
    fields: tuple[Unit, ...]
    lists: tuple[RowsShown, ...]
    faults: tuple[Told, ...] = ()

    @property
    def fault_id(self) -> str:
        return f"section-{self.section.id}-faults"


class Link(Record):
    """Where an entry to mend stands, and what it is called."""

    id: str
    name: str


class Page(Record):
    """The whole page; `faults` belong to no part of it."""

    sections: tuple[SectionShown, ...]
    faults: tuple[Told, ...] = ()

    def units(self) -> Iterator[Unit]:
        """Yield every field, those of rows too."""
        for section in self.sections:
            yield from section.fields
            for rows in section.lists:
                for row in rows.shown:
                    yield from row.cells

    @property
    def mend(self) -> tuple[Link, ...]:
        """Every place that is to be mended, in the order of the page."""
        found = [Link(id="head-faults", name="the race file")] if self.faults else []
        for section in self.sections:
            if section.faults:
                found.append(Link(id=section.fault_id, name=section.section.title))
            found += [Link(id=unit.field_id, name=unit.name) for unit in section.fields if unit.faults]
            for rows in section.lists:
                found += [Link(id=rows.id, name=rows.rows.label)] if rows.faults else []
                for row in rows.shown:
                    found += (
                        [Link(id=f"{row.id}-end", name=f"{rows.rows.label} {row.n}")] if row.faults else []
                    )
                    found += [Link(id=cell.field_id, name=cell.name) for cell in row.cells if cell.faults]
        return tuple(found)


def id_of(path: str) -> str:
    """Return the name of a place in the page: letters, figures and hyphens."""
    return "f-" + re.sub(r"[^a-z0-9]+", "-", path.casefold()).strip("-")


# What is shown.


def page_of(data: Mapping[str, Any], faults: Iterable[Finding], *, going_on: bool = False) -> Page:
    """Return the page of a race file with what is to mend; what is still empty only when going on."""
    left = _Left(data, [*faults, *_still_empty(data)], going_on=going_on)
    shown = [_section(n, section, data, left) for n, section in enumerate(sections(), 1)]
    whole = [one.model_copy(update={"faults": left.taken_under(_heads(one.section))}) for one in shown]
    return Page(sections=tuple(whole), faults=left.rest())


def _heads(section: Section) -> set[str]:
    """Return the tables of the case file that a part of the page asks for."""
    keys = (*(one.key for one in section.fields), *(one.key for one in section.rows))
    return {key.split(".")[0] for key in keys}


class _Left:
    """The faults that no field has taken yet."""

    def __init__(self, data: Mapping[str, Any], faults: Iterable[Finding], *, going_on: bool) -> None:
        asked = {head for section in sections() for head in _heads(section)}
        moved = {file: key for key in (COURSE_FILE, OWN_FOODS) if (file := shown_value(data, key))}
        self.faults = [
            _moved(fault, moved)
            for fault in faults
            if (going_on or fault.code not in STILL_OPEN)
            and not (fault.code in SAID_HERE and re.split(r"[.\[]", fault.about)[0] in asked)
        ]

    def taken(self, *places: str, text: str = "") -> tuple[Told, ...]:
        """Return the faults at places, once."""
        mine = [fault for fault in self.faults if fault.about in places]
        self.faults = [fault for fault in self.faults if fault not in mine]
        return tuple(_told(fault, text) for fault in mine)

    def taken_inside(self, place: str) -> tuple[Told, ...]:
        """Return the faults anywhere inside a place, once."""
        return self.taken(*[fault.about for fault in self.faults if _is_inside(fault.about, place)])

    def taken_under(self, heads: set[str]) -> tuple[Told, ...]:
        return tuple(told for head in sorted(heads) for told in self.taken_inside(head))

    def rest(self) -> tuple[Told, ...]:
        return self.taken(*[fault.about for fault in self.faults])


def _moved(fault: Finding, places: Mapping[str, str]) -> Finding:
    """Return a fault about a file, or about the order of stations, as one of where it is mended."""
    out_of_order = fault.code == "entry.impossible" and fault.about == "course"
    file = fault.about.partition(", ")[0]
    about = STATIONS if out_of_order else places.get(file, fault.about)
    return fault.model_copy(update={"about": about})


def _is_inside(about: str, place: str) -> bool:
    return about == place or about.startswith((f"{place}.", f"{place}["))


def _still_empty(data: Mapping[str, Any]) -> Iterator[Finding]:
    """Yield what must be typed before a plan can be made, in the words of the page."""
    for section in sections():
        for asked in section.fields:
            if asked.required and not shown_value(data, asked.key):
                yield find("workspace.empty", asked.key, name=asked.label)
        for rows in section.rows:
            for n, row in enumerate(rows_at(data, rows.key), 1):
                for column in rows.columns:
                    if column.required and not cell_text(rows, row, column):
                        yield find("workspace.empty", f"{rows.key}[{n}].{column.key}", name=column.label)
    file, points = shown_value(data, COURSE_FILE), rows_at(data, POINTS)
    if file and points:
        yield find("workspace.two_courses", COURSE_FILE, file=file)
    elif not file and not points:
        yield find("workspace.no_course", COURSE_FILE)


def _section(n: int, section: Section, data: Mapping[str, Any], left: _Left) -> SectionShown:
    return SectionShown(
        n=n,
        section=section,
        fields=tuple(_field(asked, data, left) for asked in section.fields),
        lists=tuple(_list(rows, data, left) for rows in section.rows),
    )


def _field(asked: Asked, data: Mapping[str, Any], left: _Left) -> Unit:
    text = shown_value(data, asked.key)
    inside = [fault.about for fault in left.faults if fault.about.startswith(f"{asked.key}[")]
    own = ("course",) if asked.key == COURSE_FILE else ()
    faults = left.taken(asked.key, *inside, *own, text=text)
    return Unit(path=asked.key, name=asked.label, asked=asked, text=text, faults=faults)


def _list(rows: Rows, data: Mapping[str, Any], left: _Left) -> RowsShown:
    standing = rows_at(data, rows.key)
    shown = [_row(rows, n, row, left) for n, row in enumerate(standing, 1)]
    blank = _row(rows, len(standing) + 1, {}, left)
    return RowsShown(
        rows=rows,
        shown=(*shown, blank.model_copy(update={"blank": True})),
        faults=left.taken(rows.key),
    )


def _row(rows: Rows, n: int, row: Mapping[str, Any], left: _Left) -> RowShown:
    path = f"{rows.key}[{n}]"
    cells = []
    for column in rows.columns:
        text = cell_text(rows, row, column)
        faults = left.taken(f"{path}.{column.key}", *_served_paths(left, path, column), text=text)
        name = f"{rows.label} {n}, {column.label}"
        cells.append(Unit(path=f"{path}.{column.key}", name=name, asked=column, text=text, faults=faults))
    return RowShown(path=path, n=n, cells=tuple(cells), faults=left.taken_inside(path))


def _served_paths(left: _Left, path: str, column: Asked) -> list[str]:
    """Return the paths of faults inside what a station serves that stand in one of its columns."""
    key = PARTS.get(column.key, "item" if column.key == SERVES else "")
    ends = re.compile(rf"{re.escape(path)}\.serves\[\d+\]\.{key}")
    return [fault.about for fault in left.faults if key and ends.fullmatch(fault.about)]


def rows_at(data: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    """Return the rows of a list in a race file; none where no list of tables stands there."""
    head, last = key.split(".")
    table = data.get(head)
    rows = table.get(last) if isinstance(table, Mapping) else None
    return [row for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []


def cell_text(rows: Rows, row: Mapping[str, Any], column: Asked) -> str:
    if rows.key == STATIONS and column.key in (SERVES, *PARTS):
        return served_text(row, column.key)
    return in_field(row[column.key]) if column.key in row else ""


def _told(fault: Finding, text: str) -> Told:
    readings = readings_of(fault, text)
    says = fault.sentence[:1].upper() + fault.sentence[1:]
    return Told(says=says if readings else f"{says} {fault.next_step}".strip(), readings=readings)


def readings_of(fault: Finding, text: str) -> tuple[str, ...]:
    """Return what could be typed into a field in place of `text` to mend a fault there."""
    facts = fault.facts
    if fault.code == "entry.ambiguous":
        return tuple(_in_whole(text, str(facts["text"]), one) for one in str(facts["readings"]).split(" or "))
    if fault.code in ("race.skipped", "race.twice"):
        return (str(facts["first"]), str(facts["last"]))
    meant = re.search(r"Did you mean '?([^'?]+)'?\?", str(facts.get("near", "")))
    if meant:
        return (_in_whole(text, str(facts.get("item", facts.get("zone", text))), meant[1]),)
    if fault.code == "entry.wrong_kind" and fault.about.rsplit(".", 1)[-1] in DAYS:
        return (*moment_readings(text), *day_readings(text))
    return ()


def _in_whole(text: str, part: str, reading: str) -> str:
    """Return a text with a part of it read so: `6 to 10` with `6 °C` becomes `6 to 10 °C`."""
    if text == part or part not in text:
        return reading
    if reading.startswith(part) and text[-1:].isdigit():
        return text + reading[len(part) :]
    return text.replace(part, reading, 1)


# What of a page is shown anew.


def overlaid(page: Page, over: Mapping[str, Mapping[str, Any]]) -> Page:
    """Return a page with some of its fields shown otherwise, by path."""

    def unit(one: Unit) -> Unit:
        return one.model_copy(update=dict(over[one.path])) if one.path in over else one

    def row(one: RowShown) -> RowShown:
        return one.model_copy(update={"cells": tuple(unit(cell) for cell in one.cells)})

    def rows(one: RowsShown) -> RowsShown:
        return one.model_copy(update={"shown": tuple(row(each) for each in one.shown)})

    def section(one: SectionShown) -> SectionShown:
        fields, lists = tuple(unit(each) for each in one.fields), tuple(rows(each) for each in one.lists)
        return one.model_copy(update={"fields": fields, "lists": lists})

    return page.model_copy(update={"sections": tuple(section(one) for one in page.sections)})


class Changed(Record):
    """What differs between two pages: fields, cells, ends of rows, whole lists; and rows that came."""

    fields: tuple[Unit, ...] = ()
    cells: tuple[Unit, ...] = ()
    rows: tuple[RowShown, ...] = ()
    came: tuple[tuple[RowsShown, RowShown], ...] = ()
    lists: tuple[RowsShown, ...] = ()


def changed(before: Page, after: Page, paths: Iterable[str], *, anew: bool = False) -> Changed:
    """Return what must be shown anew, the fields of `paths` in any case; with `anew`, all of it."""
    wanted, stood = set(paths), {unit.path: unit for unit in before.units()}
    lists = [rows for section in after.sections for rows in section.lists]
    before_lists = {rows.rows.key: rows for section in before.sections for rows in section.lists}
    whole = [one for one in lists if anew or _is_rebuilt(before_lists[one.rows.key], one, wanted)]
    cells, rows, came = [], [], []
    for one in lists:
        was = before_lists[one.rows.key]
        if one in whole:
            continue
        had = {row.path: row for row in was.shown}
        came += [(one, row) for row in one.shown if row.path not in had]
        rows += [row for row in one.shown if row.path in had and _ends(row) != _ends(had[row.path])]
        cells += [
            cell
            for row in one.shown
            if row.path in had
            for cell in row.cells
            if cell.path in wanted or cell != stood[cell.path]
        ]
    fields = [
        unit
        for section in after.sections
        for unit in section.fields
        if anew or unit.path in wanted or unit != stood[unit.path]
    ]
    return Changed(fields=fields, cells=cells, rows=rows, came=came, lists=whole)


def _is_rebuilt(was: RowsShown, now: RowsShown, wanted: set[str]) -> bool:
    """True for a list whose rows went or moved, or whose own faults changed: no cell of it is being typed."""
    grown = len(now.shown) - len(was.shown)
    return now.rows.key in wanted or grown not in (0, 1) or now.faults != was.faults


def _ends(row: RowShown) -> tuple[bool, tuple[Told, ...]]:
    return row.blank, row.faults
