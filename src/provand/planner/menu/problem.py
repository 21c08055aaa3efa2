"""The menu as a problem: meals to lay, foods that may be laid, limits of each day; no solver here.

A portion counts in household units of its food. What a limit counts is rounded up, what a floor counts is
rounded down, to tenths of a gram, so that no rounding can carry a menu over a limit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Literal, NamedTuple

from provand.finding import Finding
from provand.larder.food import Kitchen, MealKind

Variety = Literal["vary", "repeat"]


@dataclass(frozen=True, kw_only=True)
class PlateFood:
    """What the planner knows of a food: one household unit of it as eaten, in g, and where it may stand.

    `levels_count` are the portions that look right on a plate. `goes_with` are families, one of which must be
    in the same meal; None where it stands alone as well. `buy` is what a shop calls it: two foods may be one
    there. `dislike` is 0 (liked) to 4.
    """

    id: str
    name: str
    family: str
    buy: str
    roles: tuple[str, ...]
    meals: tuple[str, ...]
    kitchens: tuple[str, ...]
    levels_count: tuple[float, ...]
    unit_g: float
    carb_g: float
    max_fibre_g: float
    max_fat_g: float
    min_protein_g: float
    max_protein_g: float
    goes_with: tuple[str, ...] | None = None
    sweet_drink: bool = False
    dislike: int = 0


class MealSlot(NamedTuple):
    """A meal to lay: when, on which day (0 is the first), in which kitchen, its share of the day."""

    id: str
    kind: MealKind
    at: datetime | None
    day: int
    kitchen: Kitchen
    min_share_frac: float
    max_share_frac: float


class DayLimit(NamedTuple):
    """What a day is held to; None is no limit. Carbohydrate may miss by a share of the target."""

    carb_g: float | None
    carb_tolerance_frac: float
    max_fibre_g: float | None
    max_fat_g: float | None
    min_protein_g: float | None
    max_protein_g: float | None
    max_meal_g: float | None
    max_sweet_drinks: int | None


class Laid(NamedTuple):
    """One food of one meal: how many of its household units."""

    slot: str
    food: str
    portions_count: float


Menu = tuple[Laid, ...]


@dataclass(frozen=True, kw_only=True)
class MenuProblem:
    """The meals of all days, the foods that may be laid (none that is refused or excluded), and the wishes.

    `dislikes` go before a food's own; `in_house` is in g as eaten. What is `pinned` stays as it is; in a meal
    of `whole` nothing else is laid. Each menu of `avoid` has been shown: another one is wished for. Of
    `goals.GIVES_WAY` those `eased` need not be kept, only as nearly as can be.
    """

    slots: tuple[MealSlot, ...]
    days: tuple[DayLimit, ...]
    foods: tuple[PlateFood, ...]
    dislikes: Mapping[str, int] = field(default_factory=dict)
    in_house: Mapping[str, float] = field(default_factory=dict)
    pinned: Menu = ()
    whole: frozenset[str] = frozenset()
    avoid: tuple[Menu, ...] = ()
    variety: Variety = "vary"
    eased: frozenset[str] = frozenset()

    @cached_property
    def food_of(self) -> dict[str, PlateFood]:
        """The foods by id."""
        return {food.id: food for food in self.foods}

    @cached_property
    def slot_of(self) -> dict[str, MealSlot]:
        """The meals by id."""
        return {slot.id: slot for slot in self.slots}

    def dislike_of(self, food: PlateFood) -> int:
        """Return how little a food is liked: 0 to 4."""
        return self.dislikes.get(food.id, food.dislike)


class Reached(NamedTuple):
    """A goal, the smaller the better; `gap` is how much better it could be at the most, 0 where proven."""

    name: str
    value: int
    gap: int
    unit: str


@dataclass(frozen=True, kw_only=True)
class MenuSolution:
    """The menu that came out, detached from the solver; each goal with its gap; what it does not keep."""

    laid: Menu
    goals: tuple[Reached, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def proven(self) -> bool:
        """Whether no goal could be better."""
        return not any(goal.gap for goal in self.goals)

    @property
    def gap(self) -> int:
        """How many steps better the first goal without proof could be at the most."""
        return next((goal.gap for goal in self.goals if goal.gap), 0)


def tenths_up(amount_g: float) -> int:
    """Return an amount that a limit counts, in 0.1 g."""
    return math.ceil(10 * amount_g - 1e-6)


def tenths_down(amount_g: float) -> int:
    """Return an amount that a floor counts, in 0.1 g."""
    return math.floor(10 * amount_g + 1e-6)


def steps_from_middle(levels_count: tuple[float, ...], portions_count: float) -> int:
    """Return how far a portion is from the middle one of its food, in steps; 0 for any other portion."""
    if portions_count not in levels_count:
        return 0
    return int(abs(levels_count.index(portions_count) - (len(levels_count) - 1) / 2))


def points(problem: MenuProblem, food: PlateFood, portions_count: float) -> int:
    """Return what a portion costs in liking: two a step of dislike, one a step from the middle portion."""
    return 2 * problem.dislike_of(food) + steps_from_middle(food.levels_count, portions_count)
