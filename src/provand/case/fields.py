"""Field makers: each number of a case has a sentence, and bounds in the unit that ends its name."""

from __future__ import annotations

from typing import Any

from pydantic import Field


def number(doc: str, low: float, high: float, **more: Any) -> Any:
    """Return a required number (or `Range`) with bounds in the unit of the field's name."""
    return Field(description=doc, json_schema_extra={"bounds": [low, high]}, **more)


def optional(doc: str, low: float, high: float) -> Any:
    """Return a number (or `Range`) that may be missing; missing is unknown, never zero."""
    return Field(default=None, description=doc, json_schema_extra={"bounds": [low, high]})


def text(doc: str, *, default: str | None = None, longest: int = 120) -> Any:
    """Return a line of text."""
    if default is None:
        return Field(description=doc, min_length=1, max_length=longest)
    return Field(default=default, description=doc, max_length=longest)


def several(doc: str) -> Any:
    """Return a list that may be empty."""
    return Field(default=(), description=doc)
