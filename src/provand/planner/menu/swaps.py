"""What could stand in for one food of a menu: the foods that keep the limits, the nearest first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from provand.planner.menu.checker import checked
from provand.planner.menu.patterns import patterns_at
from provand.planner.menu.problem import Laid, Menu, MenuProblem, PlateFood, points
from provand.planner.menu.rules import at_hand


class Swap(NamedTuple):
    """A food in the portion that comes nearest; `faults` is by how many findings the menu gets worse."""

    laid: Laid
    faults: int
    carb_change_g: float


def instead(problem: MenuProblem, menu: Menu, which: Laid) -> tuple[Swap, ...]:
    """Return what could be eaten in place of one food of a menu, in the portion that fits best, best first.

    A food is tried where it can be made, and plays a role that the other plays in a dish of that meal.
    """
    before = len(checked(problem, menu))
    best = []
    for food in _others(problem, menu, which):
        portions = [Laid(which.slot, food.id, count) for count in food.levels_count]
        tried = [_swap(problem, menu, which, laid, before) for laid in portions]
        best.append(min(tried, key=lambda swap: _rank(problem, swap)))
    return tuple(sorted(best, key=lambda swap: _rank(problem, swap)))


def _others(problem: MenuProblem, menu: Menu, which: Laid) -> Iterator[PlateFood]:
    slot, old = problem.slot_of[which.slot], problem.food_of[which.food]
    there = {problem.food_of[one.food].family for one in menu if one.slot == slot.id and one != which}
    known = {role for pattern in patterns_at(slot.kind, slot.kitchen) for role in pattern.roles}
    roles = known & set(old.roles)
    for food in problem.foods:
        if food.id != old.id and at_hand(food, slot) and roles & set(food.roles) and food.family not in there:
            yield food


def _swap(problem: MenuProblem, menu: Menu, which: Laid, laid: Laid, before: int) -> Swap:
    changed = tuple(laid if one == which else one for one in menu)
    return Swap(
        laid=laid,
        faults=max(0, len(checked(problem, changed)) - before),
        carb_change_g=_carb_g(problem, laid) - _carb_g(problem, which),
    )


def _carb_g(problem: MenuProblem, laid: Laid) -> float:
    return problem.food_of[laid.food].carb_g * laid.portions_count


def _rank(problem: MenuProblem, swap: Swap) -> tuple[int, int, float, str]:
    food = problem.food_of[swap.laid.food]
    return (
        swap.faults,
        points(problem, food, swap.laid.portions_count),
        round(abs(swap.carb_change_g), 3),
        food.id,
    )
