"""Dish patterns: which roles a meal needs and which it may have besides (data: `patterns.toml`)."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files

EVERYWHERE = ("full", "kettle", "none", "petrol station", "hotel breakfast")


@dataclass(frozen=True)
class DishPattern:
    """A way to make a meal: roles that are there once each, roles that may be, some beside in small portions.

    `on` names the role that another has to stand on, where its food goes with some foods alone; `points` is
    what the dish itself costs in liking.
    """

    name: str
    meals: tuple[str, ...]
    kitchens: tuple[str, ...]
    needs: tuple[str, ...]
    may: tuple[str, ...]
    beside: tuple[str, ...]
    on: Mapping[str, str] = field(hash=False)
    points: int

    @property
    def roles(self) -> tuple[str, ...]:
        """Every role that it knows."""
        return self.needs + self.may


@cache
def dish_patterns() -> tuple[DishPattern, ...]:
    """Return all dish patterns in their order."""
    text = files("provand.planner.menu").joinpath("patterns.toml").read_text("utf-8")
    return tuple(
        DishPattern(
            name=entry["name"],
            meals=tuple(entry["meals"]),
            kitchens=tuple(entry.get("kitchens", EVERYWHERE)),
            needs=tuple(entry["needs"]),
            may=tuple(entry["may"]),
            beside=tuple(entry.get("beside", ())),
            on=entry.get("on", {}),
            points=entry.get("points", 0),
        )
        for entry in tomllib.loads(text)["pattern"]
    )


def patterns_at(kind: str, kitchen: str, *, without_protein: bool = False) -> tuple[DishPattern, ...]:
    """Return the patterns of a kind of meal in a kitchen; without protein it may be there, and need not."""
    found = tuple(p for p in dish_patterns() if kind in p.meals and kitchen in p.kitchens)
    return tuple(_spared(pattern, "protein") for pattern in found) if without_protein else found


def _spared(pattern: DishPattern, role: str) -> DishPattern:
    if role not in pattern.needs:
        return pattern
    return replace(pattern, needs=tuple(r for r in pattern.needs if r != role), may=(role, *pattern.may))
