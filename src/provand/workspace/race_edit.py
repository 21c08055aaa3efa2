"""What is posted of a race file's page, as edits of the file as it is typed."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

from provand.case.typed import Step, add, drop, put
from provand.finding import BadInput
from provand.units import read_number
from provand.workspace.entry import Asked, Rows, sections, shown_value, typed_value
from provand.workspace.race_file import POINTS, STATIONS, cell_text, rows_at
from provand.workspace.served import PARTS, SERVES, with_served

LONGEST = 2000
"""Letters that one field holds; more is a slip of the hand, and is not kept."""
CELL = re.compile(r"(?P<rows>[a-z_.]+)\[(?P<n>\d{1,6})\]\.(?P<column>[a-z_.]+)")
ROW = re.compile(r"(?P<rows>[a-z_.]+)\[(?P<n>\d{1,6})\]")
ROWS = {rows.key for section in sections() for rows in section.rows}


def steps_of(data: Mapping[str, Any], posted: Mapping[str, str]) -> list[Step]:
    """Return the edits that make a race file say what is posted, by path; nothing where it says so already.

    What is no field of the page is left out. A field left empty is dropped.
    """
    fields = {asked.key: asked for section in sections() for asked in section.fields}
    steps = []
    for path, text in posted.items():
        asked = fields.get(path)
        if asked is not None and text.strip() != shown_value(data, path):
            value = typed_value(asked, text)
            steps.append(drop(path) if value is None else put(path, value))
    for section in sections():
        for rows in section.rows:
            steps += _row_steps(data, rows, posted)
    return steps


def _row_steps(data: Mapping[str, Any], rows: Rows, posted: Mapping[str, str]) -> list[Step]:
    columns = {column.key: column for column in rows.columns}
    standing = rows_at(data, rows.key)
    typed: dict[int, dict[Asked, str]] = {}
    for path, text in posted.items():
        cell = CELL.fullmatch(path)
        if cell and cell["rows"] == rows.key and cell["column"] in columns:
            typed.setdefault(int(cell["n"]), {})[columns[cell["column"]]] = text
    steps = []
    for n in sorted(typed):
        row = standing[n - 1] if 1 <= n <= len(standing) else {}
        changed = {
            column: text for column, text in typed[n].items() if text.strip() != cell_text(rows, row, column)
        }
        if n > len(standing) and changed:
            steps.append(add(rows.key, _with_cells(rows, {}, changed)))
        elif changed and n >= 1:
            steps += _cell_steps(rows, n, row, changed)
    return steps


def _cell_steps(rows: Rows, n: int, row: Mapping[str, Any], changed: Mapping[Asked, str]) -> Iterator[Step]:
    after = _with_cells(rows, row, changed)
    for key in {*row, *after}:
        path = f"{rows.key}[{n}].{key}"
        if key not in after:
            yield drop(path)
        elif key not in row or row[key] != after[key]:
            yield put(path, after[key])


def _with_cells(rows: Rows, row: Mapping[str, Any], changed: Mapping[Asked, str]) -> dict[str, Any]:
    """Return a row once some of its cells read so."""
    after = dict(row)
    for column, text in changed.items():
        if rows.key == STATIONS and column.key in (SERVES, *PARTS):
            after[SERVES] = with_served(after, column.key, text)
            continue
        value = typed_value(column, text)
        if value is None:
            after.pop(column.key, None)
        else:
            after[column.key] = value
    return after


def dropped(data: Mapping[str, Any], path: str) -> list[Step]:
    """Return the edit that takes a row away, named as `course.stations[2]`, or what stands at a field."""
    row = ROW.fullmatch(path)
    if row is None:
        known = {asked.key for section in sections() for asked in section.fields} | {POINTS}
        return [drop(path)] if path in known and path in _paths(data) else []
    standing = rows_at(data, row["rows"]) if row["rows"] in ROWS else []
    if not 1 <= int(row["n"]) <= len(standing):
        return []
    return [drop(path if len(standing) > 1 else row["rows"])]


def in_order(data: Mapping[str, Any], added: Mapping[str, Any] | None = None) -> list[Step]:
    """Return the edit that puts stations in the order of the course, one that is added among them."""
    rows = [dict(row) for row in rows_at(data, STATIONS)] + ([dict(added)] if added else [])
    if not rows:
        return []
    return [put(STATIONS, sorted(rows, key=lambda row: place_m(str(row.get("at", "")))))]


def place_m(text: str) -> float:
    """Return a typed place in metres; the end of everything where it cannot be read."""
    try:
        return read_number(text, "m", "at", 0, math.inf)
    except BadInput:
        return math.inf


def _paths(data: Mapping[str, Any]) -> set[str]:
    return {f"{head}.{key}" for head, table in data.items() if isinstance(table, Mapping) for key in table}
