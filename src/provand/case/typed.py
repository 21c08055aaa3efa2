"""Edits on a case as typed: plain data, or a TOML document whose comments and order stay.

A path is written as faults name it: `weather.air_temp`, `course.stations[2].serves`; an entry of a list may
also be named by its id or name, `items[house-gel].label.carb` or `course.stations[Lower dam].serves`.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterable, Mapping, MutableMapping, MutableSequence
from datetime import date, datetime, time
from typing import Any, Literal, TypeAlias

import tomlkit
from tomlkit.container import Container, OutOfOrderTableProxy
from tomlkit.items import AoT, Array, Item, Table

from provand.case.walk import near
from provand.finding import BadInput, CannotWork, find
from provand.record import Record

Document: TypeAlias = Mapping[str, Any]
Plain: TypeAlias = str | bool | int | float | datetime | date | time | list[Any] | dict[str, Any]
NAME = r"[^.\[\]]*[^.\[\]\s][^.\[\]]*"
PATH = re.compile(rf"{NAME}(?:\.{NAME}|\[{NAME}\])*")
MARKS = ("id", "name", "item", "what")
"""The keys by which an entry of a list is called."""


class Step(Record):
    """One edit: a value put at a path, an entry added to the list there, or what stands there dropped."""

    how: Literal["put", "add", "drop"]
    path: str
    value: Any = None


def put(path: str, value: Plain) -> Step:
    return Step(how="put", path=path, value=value)


def add(path: str, value: Plain) -> Step:
    return Step(how="add", path=path, value=value)


def drop(path: str) -> Step:
    return Step(how="drop", path=path)


def tokens(path: str) -> list[str]:
    """Return the names of a path in order; BadInput for text that is no path."""
    if not PATH.fullmatch(path):
        raise BadInput(find("change.no_path", path))
    return [name.strip() for name in re.findall(NAME, path)]


def document_of(text: str, name: str) -> tomlkit.TOMLDocument:
    """Return the TOML document of a file's text, its comments and order kept.

    CannotWork for a layout that would not be written as it was read; the text must be TOML.
    """
    document = tomlkit.parse(text)
    if document.as_string() != text:
        raise CannotWork(find("change.layout", name))
    return document


def text_of(document: Document) -> str:
    """Return the text of a TOML document."""
    assert isinstance(document, tomlkit.TOMLDocument)
    return document.as_string()


def edited(typed: Document, steps: Iterable[Step]) -> Document:
    """Return a copy of a document with the steps taken; what was given stays as it is.

    BadInput names a place that is not there. CannotWork where a file is laid out so that an edit would land
    elsewhere: its text is read again, and must say what the same edits of plain data say.
    """
    steps = list(steps)
    data = copy.deepcopy(plain(typed))
    for step in steps:
        _take(data, step)
    if not isinstance(typed, tomlkit.TOMLDocument):
        return data
    document = tomlkit.parse(typed.as_string())
    for step in steps:
        _take(document, step)
    if plain(document) != data:
        raise CannotWork(find("change.layout", ", ".join(step.path for step in steps)))
    return document


def plain(typed: Document) -> dict[str, Any]:
    """Return a document as plain data, as the door reads it from the file."""
    if isinstance(typed, tomlkit.TOMLDocument):
        return tomllib.loads(typed.as_string())
    return dict(typed)


def _take(document: MutableMapping[str, Any], step: Step) -> None:
    *way, last = tokens(step.path)
    inside: Any = document
    for at, name in enumerate(way):
        if isinstance(inside, MutableMapping) and name not in inside and step.how != "drop":
            _put(inside, name, [] if isinstance(step.value, list) and at == len(way) else {})
        inside = inside[_key(inside, name, step.path)]
    if step.how == "drop":
        del inside[_key(inside, last, step.path)]
    elif step.how == "add" and isinstance(inside, MutableMapping) and last in inside:
        _append(inside[last], step.value)
    elif step.how == "add":
        _put(inside, last, [step.value])
    elif isinstance(inside, MutableMapping):
        _put(inside, last, step.value)
    else:
        inside[_key(inside, last, step.path)] = _written(inside, step.value)


def _key(inside: Any, name: str, path: str) -> Any:
    """Return the key or the index that a name means inside a table or a list; BadInput where none does."""
    if isinstance(inside, MutableMapping) and name in inside:
        return name
    if isinstance(inside, MutableSequence):
        if name.isdecimal() and 1 <= int(name) <= len(inside):
            return int(name) - 1
        called = [_called(entry) for entry in inside]
        same = [at for at, word in enumerate(called) if word.casefold() == name.casefold()]
        if len(same) == 1:
            return same[0]
        known = [word for word in called if word]
    else:
        known = list(inside) if isinstance(inside, Mapping) else []
    raise BadInput(find("change.no_entry", path, name=name, near=near(name, known)))


def _called(entry: Any) -> str:
    """Return what an entry of a list is called: a text is called itself."""
    if isinstance(entry, Mapping):
        return next((str(entry[mark]) for mark in MARKS if mark in entry), "")
    return entry if isinstance(entry, str) else ""


# A TOML document: new keys stand after the last one, not below the comments of the next table.


def _put(table: MutableMapping[str, Any], name: str, value: Any) -> None:
    container = table.value if isinstance(table, Table) else table
    if not isinstance(container, Container):
        table[name] = _written(table, value)
    elif name in container or isinstance(value, dict):
        container[name] = _written(table, value)
    else:
        own = [key for key, item in container.body if key is not None and not isinstance(item, Table | AoT)]
        if own:
            container._insert_after(own[-1], name, _written(table, value))
        else:
            container[name] = _written(table, value)


def _append(entries: Any, value: Any) -> None:
    if isinstance(entries, AoT):
        block = tomlkit.table()
        block.update(value)
        block.add(tomlkit.nl())
        entries.append(block)
    else:
        entries.append(_written(entries, value))


def _written(beside: Any, value: Any) -> Any:
    """Return a value as it is put beside others: in TOML a list of tables stands as rows in brackets."""
    if not isinstance(beside, Item | Container | OutOfOrderTableProxy):
        return copy.deepcopy(value)
    if isinstance(value, dict) and isinstance(beside, Array):
        return _row(value)
    if isinstance(value, list) and value and all(isinstance(entry, dict) for entry in value):
        rows = tomlkit.array()
        rows.multiline(len(value) > 1)
        rows.extend(_row(entry) for entry in value)
        return rows
    return tomlkit.item(value)


def _row(value: Mapping[str, Any]) -> Any:
    row = tomlkit.inline_table()
    row.update(value)
    return row
