"""The starter shelf: generic items of our own, for cases that have no packs to copy labels from yet."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from provand.larder.item import Item


@cache
def shelf() -> tuple[Item, ...]:
    """Return the generic items, none of them of a brand (data: `shelf.toml`)."""
    text = files("provand.larder").joinpath("shelf.toml").read_text("utf-8")
    return tuple(Item(**entry) for entry in tomllib.loads(text)["items"])
