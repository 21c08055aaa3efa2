"""Frozen records, their canonical bytes, and the short code printed on everything handed out."""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Mapping
from functools import cache, cached_property
from typing import Any, Self

from pydantic import BaseModel, ConfigDict, model_validator

SYMBOLS = "0123456789BCDFGHJKMNPQRSTVWXYZ"
"""Thirty symbols: no vowel, so no word appears, and no L, which reads as 1."""

SIGNIFICANT_DIGITS = 9


def rounded(value: float) -> float:
    """Return `value` to nine significant digits, without a negative zero: memory equals disk."""
    if value == 0 or not math.isfinite(value):
        return value + 0.0
    return float(f"{value:.{SIGNIFICANT_DIGITS}g}") + 0.0


def _tidy(value: Any) -> Any:
    if isinstance(value, float):
        neat = rounded(value)
        return int(neat) if neat.is_integer() and abs(neat) < 1e15 else neat
    if value is None or isinstance(value, str | int):
        return value
    if isinstance(value, list | tuple):
        return [_tidy(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _tidy(item) for key, item in value.items()}
    return value


def canonical(value: Any) -> bytes:
    """Return the one byte form of a record or of plain data: sorted keys, no spaces, nine digits, UTF-8."""
    plain = value.model_dump(mode="json") if isinstance(value, BaseModel) else value
    text = json.dumps(
        _tidy(plain), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )
    return text.encode("utf-8")


LIKE_A_WEIGHT = re.compile(r"\d(?:K?G|MG|KJ|ST)\b")
"""What no code may hold: it reads as a weight, and would stop the hand-outs of those who are to read none."""


def code(data: bytes) -> str:
    """Return the code of some bytes, like `P36Z-SYW4`: eight of thirty symbols drawn from their SHA-256.

    Where the symbols would read as a weight, they are drawn again from that digest.
    """
    digest = hashlib.sha256(data).digest()
    number, symbols = int.from_bytes(digest, "big"), []
    for _ in range(8):
        number, place = divmod(number, len(SYMBOLS))
        symbols.append(SYMBOLS[place])
    made = "".join(symbols[:4]) + "-" + "".join(symbols[4:])
    return code(digest) if LIKE_A_WEIGHT.search(made) else made


class Record(BaseModel):
    """A frozen value: no unknown key, no NaN, no infinity, and every bounded number inside its bounds."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Return a copy; what the other has worked out and kept (`cached_property`) is not taken over."""
        copied = super().model_copy(update=update, deep=deep)
        for name in [name for name in copied.__dict__ if name not in type(self).model_fields]:
            del copied.__dict__[name]
        return copied

    @model_validator(mode="after")
    def _bounds_hold(self) -> Self:
        for name, low, high in _bounded(type(self)):
            _check_bounds(name, getattr(self, name), low, high)
        return self


class Coded(Record):
    """A record that is told from others by its canonical bytes; they are worked out once."""

    @cached_property
    def as_bytes(self) -> bytes:
        """The canonical bytes."""
        return canonical(self)

    @cached_property
    def code(self) -> str:
        """The short code of these bytes, which is printed."""
        return code(self.as_bytes)


@cache
def _bounded(cls: type[Record]) -> tuple[tuple[str, Any, Any], ...]:
    """Return the fields of a record that have bounds, each with both."""
    found: list[tuple[str, Any, Any]] = []
    for name, field in cls.model_fields.items():
        extra = field.json_schema_extra
        bounds = extra.get("bounds") if isinstance(extra, dict) else None
        if isinstance(bounds, list):
            low, high = bounds
            found.append((name, low, high))
    return tuple(found)


def _check_bounds(name: str, value: Any, low: Any, high: Any) -> None:
    numbers = (value.low, value.high) if hasattr(value, "low") else (value,)
    for number in numbers:
        if isinstance(number, int | float) and not low <= number <= high:
            raise ValueError(f"{name} is {number:g}; from {low:g} to {high:g} is allowed")
