"""A second look at a menu, which knows nothing of the solver: every limit of every day, every dish."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from math import fsum
from typing import NamedTuple

from provand.finding import Finding, find
from provand.planner.menu.patterns import DishPattern, patterns_at
from provand.planner.menu.problem import Laid, MealSlot, MenuProblem, PlateFood
from provand.planner.menu.rules import MAX_OF_FAMILY, MAX_OF_FOOD, at_hand, bears, max_in_day

NOISE_G = 0.05
"""No limit is called passed by less than what is printed."""


PAIRED = frozenset({"milk", "spread", "sauce", "protein"})
"""Roles that stand on another one: a food that has any other role can stand alone."""


class Eaten(NamedTuple):
    """A food on a plate: how many of its household units."""

    food: PlateFood
    portions_count: float


def checked(problem: MenuProblem, laid: Sequence[Laid]) -> tuple[Finding, ...]:
    """Return every limit and wish of the problem that a menu does not keep."""
    known = [one for one in laid if one.food in problem.food_of and one.slot in problem.slot_of]
    return (
        *_strangers(problem, laid),
        *(f for slot in problem.slots for f in _meal(problem, slot, eaten_at(problem, known, slot))),
        *(f for day in range(len(problem.days)) for f in _day(problem, day, known)),
        *_variety(problem, known),
        *_pins(problem, laid),
    )


def eaten_at(problem: MenuProblem, laid: Sequence[Laid], slot: MealSlot) -> list[Eaten]:
    """Return what is on the plate at a meal."""
    return [Eaten(problem.food_of[one.food], one.portions_count) for one in laid if one.slot == slot.id]


def carb_g(plate: Sequence[Eaten]) -> float:
    """Return the carbohydrate of what is on a plate."""
    return fsum(one.food.carb_g * one.portions_count for one in plate)


def _strangers(problem: MenuProblem, laid: Sequence[Laid]) -> Iterator[Finding]:
    for one in laid:
        if one.slot not in problem.slot_of:
            yield find("menu.no_such_meal", one.slot, food=one.food)
        elif one.food not in problem.food_of:
            yield find("menu.not_allowed", one.slot, food=one.food)
        elif one.portions_count <= 0:
            yield find(
                "menu.no_portion", one.slot, food=problem.food_of[one.food].name, count=one.portions_count
            )
    for place, times in Counter((one.slot, one.food) for one in laid).items():
        if times > 1:
            yield find("menu.twice", place[0], food=place[1])


def _meal(problem: MenuProblem, slot: MealSlot, plate: list[Eaten]) -> Iterator[Finding]:
    pinned = {one.food for one in problem.pinned if one.slot == slot.id}
    for food, _ in plate:
        if not at_hand(food, slot) and food.id not in pinned:
            yield find(
                "menu.not_at_hand", slot.id, food=food.name, kind=slot.kind, kitchen=WHERE[slot.kitchen]
            )
        bound = food.goes_with is not None and not set(food.roles) - PAIRED and food.id not in pinned
        if bound and not any(bears(other, food) for other, _ in plate):
            yield find("menu.goes_with_nothing", slot.id, food=food.name)
    if slot.id not in problem.whole:
        if not plate:
            yield find("menu.empty", slot.id)
        elif not pinned and not any(_is_dish(plate, pattern) for pattern in _patterns(slot)):
            yield find("menu.no_dish", slot.id, foods=", ".join(food.name for food, _ in plate))
        if plate and slot.kind in ("lunch", "dinner") and not any("protein" in f.roles for f, _ in plate):
            yield find("menu.no_protein", slot.id)
    limit = problem.days[slot.day]
    mass_g = fsum(food.unit_g * count for food, count in plate)
    if limit.max_meal_g is not None and mass_g > limit.max_meal_g + NOISE_G:
        yield find("menu.heavy", slot.id, mass_g=round(mass_g), limit_g=round(limit.max_meal_g))
    if limit.carb_g and slot.id not in problem.whole:
        yield from _share(slot, carb_g(plate), limit.carb_g)


def _share(slot: MealSlot, eaten_g: float, target_g: float) -> Iterator[Finding]:
    least_g, most_g = slot.min_share_frac * target_g, slot.max_share_frac * target_g
    if eaten_g < least_g - NOISE_G:
        yield find("menu.small_meal", slot.id, carb_g=round(eaten_g), limit_g=round(least_g))
    if eaten_g > most_g + NOISE_G:
        yield find("menu.large_meal", slot.id, carb_g=round(eaten_g), limit_g=round(most_g))


WHERE = {
    "full": "a kitchen",
    "kettle": "a kettle",
    "none": "nothing",
    "petrol station": "a petrol station",
    "hotel breakfast": "a hotel breakfast",
}
"""What is at hand, in words."""


def _patterns(slot: MealSlot) -> tuple[DishPattern, ...]:
    """Return every pattern of a meal; one without protein is told by another finding."""
    return patterns_at(slot.kind, slot.kitchen) + patterns_at(slot.kind, slot.kitchen, without_protein=True)


def _is_dish(
    plate: Sequence[Eaten], pattern: DishPattern, played: tuple[tuple[str, Eaten], ...] = ()
) -> bool:
    """Return whether the foods of a plate can play the roles of a pattern, each once, the needed ones all."""
    if not plate:
        roles = dict(played)
        return set(pattern.needs) <= set(roles) and all(
            _stands(one, roles.get(pattern.on.get(role, ""))) if role in pattern.on else True
            for role, one in played
        )
    first, taken = plate[0], {role for role, _ in played}
    return any(
        _is_dish(plate[1:], pattern, (*played, (role, first)))
        for role in first.food.roles
        if role in pattern.roles and role not in taken and not _too_large(first, role, pattern)
    )


def _too_large(one: Eaten, role: str, pattern: DishPattern) -> bool:
    return role in pattern.beside and one.portions_count > min(one.food.levels_count)


def _stands(one: Eaten, carrier: Eaten | None) -> bool:
    return one.food.goes_with is None or (carrier is not None and bears(carrier.food, one.food))


def _day(problem: MenuProblem, day: int, laid: Sequence[Laid]) -> Iterator[Finding]:
    limit, about = problem.days[day], f"day {day + 1}"
    plate = [
        Eaten(problem.food_of[one.food], one.portions_count)
        for one in laid
        if problem.slot_of[one.slot].day == day
    ]
    if limit.carb_g is not None:
        yield from _carbohydrate(about, carb_g(plate), limit.carb_g, limit.carb_tolerance_frac)
    for code, amounts_g, most_g in (
        ("menu.fibre", [food.max_fibre_g * count for food, count in plate], limit.max_fibre_g),
        ("menu.fat", [food.max_fat_g * count for food, count in plate], limit.max_fat_g),
        ("menu.much_protein", [food.max_protein_g * count for food, count in plate], limit.max_protein_g),
    ):
        if most_g is not None and fsum(amounts_g) > most_g + NOISE_G:
            yield find(code, about, amount_g=round(fsum(amounts_g), 1), limit_g=round(most_g, 1))
    protein_g = fsum(food.min_protein_g * count for food, count in plate)
    if limit.min_protein_g is not None and protein_g < limit.min_protein_g - NOISE_G:
        yield find(
            "menu.little_protein", about, amount_g=round(protein_g, 1), limit_g=round(limit.min_protein_g, 1)
        )
    drinks = sum(food.sweet_drink for food, _ in plate)
    if limit.max_sweet_drinks is not None and drinks > limit.max_sweet_drinks:
        yield find("menu.sweet_drinks", about, count=drinks, limit=limit.max_sweet_drinks)


def _carbohydrate(about: str, eaten_g: float, target_g: float, tolerance_frac: float) -> Iterator[Finding]:
    within_g = tolerance_frac * target_g + NOISE_G
    if abs(eaten_g - target_g) > within_g:
        code = "menu.carb_short" if eaten_g < target_g else "menu.carb_over"
        yield find(
            code,
            about,
            carb_g=round(eaten_g),
            target_g=round(target_g),
            off_g=round(abs(eaten_g - target_g)),
        )


def _variety(problem: MenuProblem, laid: Sequence[Laid]) -> Iterator[Finding]:
    pinned = {(one.slot, one.food) for one in problem.pinned}
    free = [one for one in laid if (one.slot, one.food) not in pinned]
    places = [(problem.slot_of[one.slot], problem.food_of[one.food]) for one in free]
    of_day = Counter((slot.day, food.family) for slot, food in places)
    most_of = {food.family: max_in_day(food) for _, food in places}
    for (day, family), times in of_day.items():
        if times > most_of[family]:
            yield find("menu.often_in_day", f"day {day + 1}", food=family, count=times, limit=most_of[family])
    versions: dict[str, set[str]] = {}
    for _, food in places:
        versions.setdefault(food.family, set()).add(food.buy)
    for names in versions.values():
        if len(names) > 1:
            yield find("menu.versions", foods=" and ".join(sorted(names)))
    if problem.variety == "vary":
        yield from _often(Counter(food.name for _, food in places), MAX_OF_FOOD)
        yield from _often(Counter(food.family for _, food in places), MAX_OF_FAMILY)


def _often(times: Counter[str], most: int) -> Iterator[Finding]:
    for name, count in times.items():
        if count > most:
            yield find("menu.often", food=name, count=count, limit=most)


def _pins(problem: MenuProblem, laid: Sequence[Laid]) -> Iterator[Finding]:
    for pin in problem.pinned:
        if pin not in laid:
            yield find("menu.pin_lost", pin.slot, food=pin.food)
