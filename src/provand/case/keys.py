"""The keys people type, read off the records: one row a key, with its sentence and what is allowed."""

from __future__ import annotations

import types
import typing
from typing import Any, NamedTuple

from pydantic import BaseModel

from provand.figure import Range
from provand.units import shown_unit, unit_of


class Key(NamedTuple):
    """One key of a TOML file."""

    key: str
    doc: str
    allowed: str
    required: bool


def typed_name(field: str) -> str:
    """Return the key of a field: its name less the unit that ends it (`body_mass_kg` -> `body_mass`)."""
    unit = unit_of(field)
    if unit is None:
        return field
    tail = "_" + unit.replace("/", "_per_").lstrip("_")
    return field[: -len(tail)] if field.endswith(tail) and len(tail) < len(field) else field


def inner_type(annotation: Any) -> tuple[Any, bool]:
    """Return the type inside `X | None` and `tuple[X, ...]`, and whether it is a list."""
    origin = typing.get_origin(annotation)
    if origin in (types.UnionType, typing.Union):
        return inner_type(next(a for a in typing.get_args(annotation) if a is not type(None)))
    if origin is tuple:
        return inner_type(typing.get_args(annotation)[0])[0], True
    return annotation, False


def bounds_of(field: Any) -> tuple[float, float] | None:
    """Return the bounds of a field's number, or None."""
    extra = field.json_schema_extra
    bounds = extra.get("bounds") if isinstance(extra, dict) else None
    return (bounds[0], bounds[1]) if bounds else None


def _allowed(name: str, kind: Any, field: Any) -> str:
    if typing.get_origin(kind) is typing.Literal:
        return ", ".join(str(option) for option in typing.get_args(kind))
    bounds = bounds_of(field)
    if bounds:
        unit = shown_unit(unit_of(name) or "")
        span = f"{bounds[0]:g} to {bounds[1]:g} {unit}".strip()
        return f"{span}, or a range of it" if kind is Range else span
    return {"str": "text", "bool": "true or false", "date": "a date", "datetime": "a date and time"}.get(
        getattr(kind, "__name__", ""), ""
    )


def key_table(record: type[BaseModel], prefix: str = "") -> list[Key]:
    """Return every key of a file of this record, in its order; `[]` marks a list of tables."""
    rows: list[Key] = []
    for name, field in record.model_fields.items():
        if name == "origins":
            continue
        kind, many = inner_type(field.annotation)
        key = f"{prefix}{typed_name(name)}"
        if isinstance(kind, type) and issubclass(kind, BaseModel) and kind is not Range:
            rows.append(Key(key + ("[]" if many else ""), field.description or "", "", field.is_required()))
            rows.extend(key_table(kind, key + ("[]." if many else ".")))
            continue
        allowed = _allowed(name, kind, field)
        rows.append(
            Key(key, field.description or "", f"list of: {allowed}" if many else allowed, field.is_required())
        )
    return rows
