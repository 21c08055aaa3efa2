"""The keys people type, read off the records: one row a key, with its sentence and what is allowed."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator
from typing import Any, NamedTuple

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from provand.case.case import Case
from provand.case.course import Course
from provand.case.door import OWN_FOODS, SOURCES, Point
from provand.case.menu import MenuWishes
from provand.case.walk import UNLIMITED, bounds_of, fields_by_key
from provand.figure import Range
from provand.record import Record
from provand.units import clock, shown_unit, unit_of


class Key(NamedTuple):
    """One key of a TOML file."""

    key: str
    doc: str
    allowed: str
    required: bool


FAR_M = 10_000
"""Lengths up to here are told in metres."""

WORDS = {
    "str": "text",
    "bool": "true or false",
    "date": "a date",
    "datetime": "a date and time",
    "time": "a clock time, as 7:30",
    "int": "a number",
}


def inner_type(annotation: Any) -> tuple[Any, bool]:
    """Return the type inside `X | None` and `tuple[X, ...]`, and whether it is a list."""
    origin = typing.get_origin(annotation)
    if origin in (types.UnionType, typing.Union):
        return inner_type(next(a for a in typing.get_args(annotation) if a is not type(None)))
    if origin is tuple:
        return inner_type(typing.get_args(annotation)[0])[0], True
    return annotation, False


def _span(low: float, high: float, unit: str) -> str:
    """Return bounds in the units that people type: hours and minutes, kilometres, per cent."""
    if unit == "s":
        return f"{clock(low)} to {clock(high)}"
    if unit == "m" and high >= FAR_M:
        low, high, unit = low / 1000, high / 1000, "km"
    elif unit == "frac" and high <= 1:
        low, high, unit = 100 * low, 100 * high, "%"
    return f"{low:,.10g} to {high:,.10g} {unit if unit == '%' else shown_unit(unit)}".strip()


def _allowed(name: str, kind: Any, field: FieldInfo) -> str:
    if typing.get_origin(kind) is typing.Literal:
        return ", ".join(str(option) for option in typing.get_args(kind))
    bounds = bounds_of(field)
    if bounds != UNLIMITED:
        span = _span(*bounds, unit_of(name) or "")
        return f"{span}, or a range of it" if kind is Range else span
    return WORDS.get(getattr(kind, "__name__", ""), "")


def key_table(record: type[Record], prefix: str = "") -> list[Key]:
    """Return every key that people type in a file of this record, in its order; `[]` marks a list."""
    rows = list(_course_keys(prefix)) if record is Course else []
    for typed, names in fields_by_key(record).items():
        for name in names:
            field = record.model_fields[name]
            kind, many = inner_type(field.annotation)
            key = f"{prefix}{typed}"
            if record is MenuWishes and name == OWN_FOODS:
                rows.append(Key(key, field.description or "", "a file name", False))
                continue
            if isinstance(kind, type) and issubclass(kind, BaseModel) and kind is not Range:
                key += "[]" if many else ""
                rows.append(Key(key, field.description or "", "a table", field.is_required()))
                rows += key_table(typing.cast(type[Record], kind), key + ".")
                continue
            allowed = _allowed(name, kind, field)
            listed = f"list of: {allowed}" if many else allowed
            rows.append(Key(key, field.description or "", listed, field.is_required()))
    return rows


def _course_keys(prefix: str) -> Iterator[Key]:
    """Yield what only the door reads of a course: a file, or a table of points."""
    yield Key(f"{prefix}gpx", "name of a GPX file beside the case; or fit, or points", "a file name", False)
    yield Key(f"{prefix}fit", "name of a FIT file beside the case; or gpx, or points", "a file name", False)
    yield Key(f"{prefix}points[]", "the course as a table, where there is no file", "a table", False)
    yield from key_table(Point, f"{prefix}points[].")


def kind_at(key: str) -> tuple[Any, bool]:
    """Return the type that a key of the case file takes, and whether it is a list; KeyError for no key.

    `athlete.pockets.room` names a column of a list of tables. What only the door reads is text.
    """
    record: Any = Case
    *way, last = key.split(".")
    for name in way:
        points = record is Course and name == "points"
        record = Point if points else inner_type(record.model_fields[_field(record, name)].annotation)[0]
    if (record is Course and last in SOURCES) or (record is MenuWishes and last == OWN_FOODS):
        return str, False
    return inner_type(record.model_fields[_field(record, last)].annotation)


def _field(record: Any, key: str) -> str:
    return fields_by_key(record)[key][0]
