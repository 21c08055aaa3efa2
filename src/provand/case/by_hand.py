"""Changes by hand: an item banned, a key edited, a target set, each undone again."""

from __future__ import annotations

import tomllib
from contextlib import suppress
from datetime import date, datetime
from typing import Any, Literal, NamedTuple

from pydantic import Field

from provand.case.case import Case
from provand.case.course import Course
from provand.case.door import OWN_FOODS, SOURCES
from provand.case.fields import text
from provand.case.keys import inner_type
from provand.case.menu import MenuWishes
from provand.case.scene import Changing, Made, Scene, called, refuse
from provand.case.typed import add, drop, put, tokens
from provand.case.walk import fields_by_key, near
from provand.figure import Range
from provand.record import Record


class Ban(Changing):
    """An item not to be planned."""

    kind: Literal["ban"] = "ban"
    item: str = text("id of the item", longest=40)

    def made(self, scene: Scene) -> Made:
        item = scene.item(self.item, "wishes.banned")
        if item.id in scene.case.wishes.banned:
            raise refuse("change.already", "wishes.banned", what=f"{called(item)} is banned")
        return Made((add("wishes.banned", item.id),), f"{called(item)} is not planned any more.", "near")


class Unban(Changing):
    """An item that may be planned again."""

    kind: Literal["unban"] = "unban"
    item: str = text("id of the item", longest=40)

    def made(self, scene: Scene) -> Made:
        banned = scene.case.wishes.banned
        if self.item not in banned:
            raise refuse("change.no_entry", "wishes.banned", name=self.item, near=near(self.item, banned))
        item = scene.item(self.item, "wishes.banned")
        steps = tuple(drop(f"wishes.banned[{at}]") for at, one in _backwards(banned) if one == self.item)
        return Made(steps, f"{called(item)} may be planned again.")


def _backwards(entries: tuple[str, ...]) -> list[tuple[int, str]]:
    """Return entries with their numbers, the last first: dropping one then moves none that is to come."""
    return list(reversed(list(enumerate(entries, 1))))


class Override(Changing):
    """A target set by hand, with name, day and reason; ceilings and flags cannot be."""

    kind: Literal["override"] = "override"
    what: str = text("figure it replaces, such as race.target_carb_g_per_h", longest=80)
    value: str = text("the value, as 45 g/h")
    by: str = text("name")
    on: date = Field(description="day")
    why: str = text("reason", longest=400)

    def made(self, scene: Scene) -> Made:
        row: dict[str, Any] = {
            name: getattr(self, name).strip() for name in ("what", "value", "by", "why")
        } | {"on": self.on}
        standing = [one.what for one in scene.case.wishes.overrides]
        said = f"{row['what']} is set by hand to {row['value']}, by {row['by']}: {row['why']}"
        told = said if said.endswith((".", "!", "?")) else f"{said}."
        if row["what"] in standing:
            path = f"wishes.overrides[{1 + standing.index(row['what'])}]"
            return Made(tuple(put(f"{path}.{key}", value) for key, value in row.items()), told)
        return Made((add("wishes.overrides", row),), told)


class Lift(Changing):
    """A target that is not set by hand any more."""

    kind: Literal["lift"] = "lift"
    what: str = text("figure that was set by hand", longest=80)

    def made(self, scene: Scene) -> Made:
        standing = [one.what for one in scene.case.wishes.overrides]
        if self.what not in standing:
            raise refuse(
                "change.no_entry", "wishes.overrides", name=self.what, near=near(self.what, standing)
            )
        at = 1 + standing.index(self.what)
        return Made((drop(f"wishes.overrides[{at}]"),), f"{self.what} is not set by hand any more.")


class Edit(Changing):
    """One key of the case, by its path; an empty text takes the key out."""

    kind: Literal["edit"] = "edit"
    path: str = text("path of the key, as weather.air_temp", longest=200)
    typed: str = text("the entry, as typed; nothing takes the key out", default="", longest=2000)

    def made(self, scene: Scene) -> Made:
        leaf = _leaf(self.path)
        typed = " ".join(self.typed.split())
        if not typed:
            return Made((drop(self.path),), f"{self.path} is taken out.")
        if leaf is None:
            raise refuse("change.a_table", self.path)
        return Made((put(self.path, _value(typed, *leaf)),), f'{self.path} is now "{typed}".')


class Leaf(NamedTuple):
    """The kind of entry that a path leads to, and whether it is a list."""

    kind: Any
    many: bool


def _leaf(path: str) -> Leaf | None:
    """Return the entry that a path leads to, None for a table; BadInput for a key that no case has."""
    inside: type[Record] = Case
    leaf: Leaf | None = None
    names = iter(tokens(path))
    for name in names:
        keys = fields_by_key(inside)
        if leaf is not None or not (name in keys or (inside is Course and name in SOURCES)):
            raise refuse("entry.unknown_key", path, key=name, near="" if leaf else near(name, keys))
        if name not in keys or (inside is MenuWishes and name == OWN_FOODS):
            leaf = Leaf(str, False)
            continue
        kind, many = inner_type(inside.model_fields[keys[name][0]].annotation)
        if isinstance(kind, type) and issubclass(kind, Record) and kind is not Range:
            inside = kind
            if many:
                next(names, None)
        else:
            leaf = Leaf(kind, many)
    return leaf


def _value(typed: str, kind: Any, many: bool) -> Any:
    """Return an entry as a file would hold it: what is no list, day or yes stays text for the door."""
    if typed.startswith("["):
        return _toml_value(typed)
    if many:
        return [part.strip() for part in typed.split(",")]
    if kind is bool:
        return {"true": True, "false": False}.get(typed.lower(), typed)
    with suppress(ValueError):
        if kind in (date, datetime):
            return kind.fromisoformat(typed)
    return typed


def _toml_value(typed: str) -> Any:
    """Return a value written in TOML; text that is none stays text."""
    try:
        return tomllib.loads(f"value = {typed}")["value"]
    except (ValueError, RecursionError):
        return typed
