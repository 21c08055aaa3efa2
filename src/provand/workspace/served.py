"""What a station serves, as three columns of its row: items, cup, and how full; one row of a race file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

SERVES = "serves"
PARTS = {"serves.cup": "cup", "serves.fill": "fill"}
"""The columns beside the items, and the key of each in what is served."""
APART = ";"
"""Between the cups of a station whose items come in different ones."""


def served_text(row: Mapping[str, Any], column: str) -> str:
    """Return what a column shows: items by comma; a cup that is the same for all of them, once."""
    served = _served(row)
    if column == SERVES:
        return ", ".join(str(one.get("item", "water")) for one in served)
    texts = [str(one.get(PARTS[column], "")) for one in served]
    return texts[0] if len(set(texts)) == 1 else f"{APART} ".join(texts)


def with_served(row: Mapping[str, Any], column: str, text: str) -> list[dict[str, Any]]:
    """Return what a station serves once a column reads `text`; the other columns stay as they are."""
    served = _served(row)
    if column == SERVES:
        return _with_items(served, [word.strip() for word in text.split(",") if word.strip()])
    parts = [part.strip() for part in text.split(APART)]
    rows = served or [{"item": "water"}]
    if len(parts) > len(rows):  # nothing typed is lost: what has no item of its own stays with the last one
        parts = [*parts[: len(rows) - 1], f"{APART} ".join(parts[len(rows) - 1 :])]
    parts += [parts[-1]] * (len(rows) - len(parts))
    return [_with(one, PARTS[column], part) for one, part in zip(rows, parts, strict=True)]


def _with_items(served: list[dict[str, Any]], items: list[str]) -> list[dict[str, Any]]:
    """Return the items with the cups that they had; a new one gets the cup of the first."""
    had = {str(one.get("item", "water")): one for one in served}
    cup = {key: served[0][key] for key in PARTS.values() if served and key in served[0]}
    return [had.get(item, {"item": item, **cup}) for item in items]


def _with(one: Mapping[str, Any], key: str, text: str) -> dict[str, Any]:
    kept = {name: value for name, value in one.items() if name != key}
    return {**kept, key: text} if text else kept


def _served(row: Mapping[str, Any]) -> list[dict[str, Any]]:
    served = row.get(SERVES, [])
    return [dict(one) for one in served if isinstance(one, Mapping)] if isinstance(served, list) else []
