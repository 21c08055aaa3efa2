"""What makes a menu one that people eat: one wording for the model that lays it and the check that judges."""

from __future__ import annotations

import math

from provand.planner.menu.patterns import DishPattern, patterns_at
from provand.planner.menu.problem import MealSlot, MenuProblem, PlateFood
from provand.protocol.rules import value

MAX_OF_FOOD = round(value("menu.food_in_plan").high)
MAX_OF_FAMILY = round(value("menu.family_in_plan").high)
MAIN_IN_DAY = round(value("menu.main_in_day").high)
SIDE_IN_DAY = round(value("menu.side_in_day").high)
MAINS = frozenset({"cereal", "starch", "protein", "soup"})
"""Roles that a meal is remembered by: in a varied plan they come again as seldom as can be."""
SIDES = frozenset({"bread", "drink", "milk"})
"""Roles whose foods may come again on the same day."""
ANOTHER_FRAC = value("menu.another").mid


def at_hand(food: PlateFood, slot: MealSlot) -> bool:
    """Return whether a food is eaten at such a meal and can be made where it is eaten."""
    return slot.kind in food.meals and slot.kitchen in food.kitchens


def bears(bearer: PlateFood, food: PlateFood) -> bool:
    """Return whether one food may stand on another: sauce on a starch, spread on bread, milk on cereal."""
    return food.goes_with is not None and bearer.family in food.goes_with and bearer.id != food.id


def max_in_day(food: PlateFood) -> int:
    """Return how often a family may stand in one day: what a meal is built on once, a side twice."""
    return SIDE_IN_DAY if SIDES & set(food.roles) else MAIN_IN_DAY


def patterns_for(problem: MenuProblem, slot: MealSlot) -> tuple[DishPattern, ...]:
    """Return the patterns that the foods at hand can fill at a meal."""
    roles = {role for food in problem.foods if at_hand(food, slot) for role in food.roles}
    pinned = {laid.food for laid in problem.pinned if laid.slot == slot.id}
    roles |= {role for food in problem.foods if food.id in pinned for role in food.roles}
    return tuple(
        pattern
        for pattern in patterns_at(slot.kind, slot.kitchen, without_protein="protein" in problem.eased)
        if set(pattern.needs) <= roles
    )


def to_change(lines: int) -> int:
    """Return in how many of its lines another menu differs."""
    return max(1, math.ceil(ANOTHER_FRAC * lines))
