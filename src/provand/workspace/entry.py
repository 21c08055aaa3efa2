"""What a race file asks on its page: sections, fields and rows, with what is allowed read off the records."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args, get_origin

from provand.case.case import Case
from provand.case.keys import key_table, kind_at
from provand.figure import Range
from provand.record import Record
from provand.workspace.days import day_readings, moment_readings

Kind = Literal["text", "number", "count", "day", "moment", "choice", "choices", "yes or no", "words", "file"]


class Asked(Record):
    """One thing that is asked: its key in the case file, its name on the page, what may be answered, why."""

    key: str
    label: str
    why: str = ""
    example: str = ""
    allowed: str = ""
    kind: Kind = "text"
    choices: tuple[str, ...] = ()
    required: bool = False


class Rows(Record):
    """A list of tables, one row each; a `wide` row takes several lines, a `folded` list opens when wanted."""

    key: str
    label: str
    why: str
    add: str
    columns: tuple[Asked, ...]
    wide: bool = False
    folded: bool = False


class Section(Record):
    """A part of the page."""

    id: str
    title: str
    fields: tuple[Asked, ...] = ()
    rows: tuple[Rows, ...] = ()


@cache
def sections() -> tuple[Section, ...]:
    """Return what a race file asks, in order (data: `entry.toml`)."""
    return _sections("entry.toml")


@cache
def label_sections() -> tuple[Section, ...]:
    """Return what a label asks, in order (data: `label_entry.toml`)."""
    return _sections("label_entry.toml")


def _sections(name: str) -> tuple[Section, ...]:
    text = files("provand.workspace").joinpath(name).read_text("utf-8")
    return tuple(
        Section(
            id=section["id"],
            title=section["title"],
            fields=tuple(_asked(field["key"], field) for field in section.get("field", ())),
            rows=tuple(_rows(rows) for rows in section.get("rows", ())),
        )
        for section in tomllib.loads(text)["section"]
    )


def _rows(data: dict[str, object]) -> Rows:
    columns = data["field"]
    assert isinstance(columns, list)
    asked = tuple(
        _asked(f"{data['key']}.{column['key']}", column).model_copy(update={"key": column["key"]})
        for column in columns
    )
    return Rows(
        key=str(data["key"]),
        label=str(data["label"]),
        why=str(data["why"]),
        add=str(data["add"]),
        columns=asked,
        wide=bool(data.get("wide", False)),
        folded=bool(data.get("folded", False)),
    )


def _asked(key: str, data: dict[str, str]) -> Asked:
    kind, choices = _kind_of(key)
    row = _keys().get(key)
    return Asked(
        key=key,
        label=data["label"],
        why=data.get("why", ""),
        example=data.get("example", ""),
        allowed=row[0] if row and kind in ("number", "count") else "",
        kind=kind,
        choices=choices,
        required=bool(row and row[1]),
    )


@cache
def _keys() -> dict[str, tuple[str, bool]]:
    found: dict[str, tuple[str, bool]] = {}
    for row in key_table(Case):
        key = row.key.replace("[]", "")
        allowed = f"{found[key][0]}, or {row.allowed}" if key in found else row.allowed
        found[key] = (allowed, row.required)
    return found


SPOKEN: dict[object, Kind] = {
    float: "number",
    Range: "number",
    date: "day",
    datetime: "moment",
    time: "text",
    bool: "yes or no",
    int: "count",
    str: "text",
}
FILE_KEYS = ("course.gpx", "menu.own_foods")


def _kind_of(key: str) -> tuple[Kind, tuple[str, ...]]:
    if key in FILE_KEYS:
        return "file", ()
    kind, many = kind_at(key)
    if get_origin(kind) is Literal:
        return ("choices" if many else "choice"), tuple(str(choice) for choice in get_args(kind))
    return ("words" if many else SPOKEN[kind]), ()


def typed_value(asked: Asked, text: str) -> Any:
    """Return what stands in the case file for an answer, None where it is left empty."""
    line = text.strip()
    if not line:
        return None
    if asked.kind == "yes or no":
        return {"yes": True, "no": False}.get(line.casefold(), line)
    if asked.kind in ("choices", "words"):
        return [word.strip() for word in line.split(",") if word.strip()]
    if asked.kind == "count":
        return int(line) if line.isascii() and line.isdigit() and len(line) < 6 else line
    if asked.kind in DATED:
        meant = DATED[asked.kind](line)
        return meant[0] if len(meant) == 1 else line
    return line


DATED: dict[Kind, Callable[[str], tuple[str, ...]]] = {"day": day_readings, "moment": moment_readings}


def shown_value(data: Mapping[str, Any], key: str) -> str:
    """Return what stands at a key of a case file as it is shown in its field; empty where nothing does."""
    value: Any = data
    for name in key.split("."):
        if not isinstance(value, Mapping) or name not in value:
            return ""
        value = value[name]
    return in_field(value)


def in_field(value: Any) -> str:
    """Return a typed value as the text of a field."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(in_field(one) for one in value)
    if isinstance(value, Mapping):
        return str(value.get("item", value.get("name", "")))
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="minutes")
    if isinstance(value, time):
        return f"{value:%H:%M}"
    return str(value)
