"""A menu as a hand would lay it, to measure the solver against: the best liked, then larger portions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from provand.planner.menu.patterns import DishPattern
from provand.planner.menu.problem import Laid, MealSlot, Menu, MenuProblem, PlateFood
from provand.planner.menu.rules import MAX_OF_FOOD, at_hand, bears, patterns_for


def greedy(problem: MenuProblem) -> Menu:
    """Return the first dish that can be made at each meal, of the best-liked foods, in larger portions."""
    times: Counter[str] = Counter()
    laid: list[Laid] = []
    for slot in problem.slots:
        for pattern in patterns_for(problem, slot):
            plate = _plate(problem, slot, pattern, times)
            if plate:
                times.update(food.id for food in plate)
                laid += [Laid(slot.id, food.id, _middle(food)) for food in plate]
                break
    for day in range(len(problem.days)):
        laid = list(_enlarged(problem, laid, day))
    return tuple(laid)


def _middle(food: PlateFood) -> float:
    return food.levels_count[(len(food.levels_count) - 1) // 2]


def _plate(
    problem: MenuProblem, slot: MealSlot, pattern: DishPattern, times: Counter[str]
) -> list[PlateFood]:
    """Return the best-liked food for every role of a pattern, what others stand on first; or nothing."""
    plate: list[PlateFood] = []
    for role in sorted(pattern.needs, key=lambda role: role in pattern.on):
        fits = [food for food in problem.foods if role in food.roles and at_hand(food, slot)]
        fits = [f for f in fits if f.goes_with is None or any(bears(other, f) for other in plate)]
        fits = [f for f in fits if times[f.id] < MAX_OF_FOOD and f not in plate]
        if not fits:
            return []
        plate.append(min(fits, key=lambda food: (problem.dislike_of(food), times[food.id], food.id)))
    return plate


def _enlarged(problem: MenuProblem, laid: list[Laid], day: int) -> Iterator[Laid]:
    """Yield a menu with the densest foods of one day in larger portions, until its target is reached."""
    target_g = problem.days[day].carb_g or 0.0
    today = [at for at, one in enumerate(laid) if problem.slot_of[one.slot].day == day]
    densest = sorted(today, key=lambda at: -_density_frac(problem.food_of[laid[at].food]))
    counts = [one.portions_count for one in laid]
    for at in densest:
        food = problem.food_of[laid[at].food]
        for count in food.levels_count:
            eaten_g = sum(problem.food_of[laid[n].food].carb_g * counts[n] for n in today)
            if count > counts[at] and eaten_g + food.carb_g * (count - counts[at]) <= target_g:
                counts[at] = count
    for one, count in zip(laid, counts, strict=True):
        yield one._replace(portions_count=count)


def _density_frac(food: PlateFood) -> float:
    return food.carb_g / food.unit_g
