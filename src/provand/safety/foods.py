"""Foods that an athlete may not be given on a menu, and whether a menu as it is laid holds any of them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator

from provand.case.case import Case
from provand.finding import Finding, find
from provand.larder.food import Food
from provand.protocol.rules import value
from provand.safety.refusals import may_hold
from provand.safety.weights import WEIGHTS

SALT = re.compile(r"\bsalts?\b|sodium|electrolyte", re.IGNORECASE)
"""How an own food is called that is taken for its salt."""


def refused_foods(case: Case, withheld: Collection[str] = ()) -> dict[str, str]:
    """Return every food that this athlete may not be given, by id, with the reason.

    An allergen that is not stated to be absent counts as contained. No menu adds caffeine or alcohol: what
    is drunk of habit is counted by itself.
    """
    found = {}
    for food in case.larder.foods:
        why = _why_not(food, case, withheld)
        if why:
            found[food.id] = why
    return found


def _why_not(food: Food, case: Case, withheld: Collection[str]) -> str:
    athlete = case.athlete
    reasons = (
        (case.menu is not None and food.id in case.menu.refused, "refused by the athlete"),
        ("fluid" in withheld and _is_drink(food), "a drink, and drinking is not planned"),
        ("grams" in withheld and bool(WEIGHTS.search(_listed(food))), "its name tells a weight"),
        ("sodium" in withheld and food.is_own and is_salt(_called(food)), "taken for its salt"),
    )
    found = next((why for holds, why in reasons if holds), "") or never_laid(food)
    sugars = food.refused_for(("fructose", "sorbitol"), (), "any") if "fructose" in withheld else ""
    return found or food.refused_for(athlete.allergens, athlete.excluded, athlete.diet) or sugars


def _is_drink(food: Food) -> bool:
    return food.state == "drunk" or "drink" in food.roles or food.sweet_drink


def _called(food: Food) -> str:
    """Return every name of a food that is printed for the kitchen."""
    portion, bought = food.portion, food.bought
    return "; ".join((food.name, portion.unit, portion.plural, bought.name, bought.aisle, food.id))


def _listed(food: Food) -> str:
    """Return every name that the list of shopping prints for a food: of a dish those of its ingredients."""
    return "; ".join((_called(food), *(f"{part.bought.name}; {part.bought.aisle}" for part in food.parts)))


def is_salt(name: str) -> bool:
    """Return whether a name is of something taken for its salt."""
    return bool(SALT.search(name))


def never_laid(food: Food) -> str:
    """Return why no menu has a food, whoever eats, or an empty string; what is not known counts as there."""
    held = food.holds(food.portion.unit_g)
    if may_hold(held.caffeine_mg):
        return "may hold caffeine, which no menu adds"
    if held.alcohol_g is None or held.alcohol_g.high > value("menu.max_alcohol").mid:
        return "may hold alcohol"
    return ""


def menu_faults(case: Case, withheld: Collection[str]) -> Iterator[Finding]:
    """Yield one finding for each food of the menu as laid that may not be given, and for each unknown one."""
    laid = case.menu.laid if case.menu is not None else ()
    if not laid:
        return
    if "loading" in withheld:
        yield find("gate.withheld_part", "menu", part="loading")
    refused = refused_foods(case, withheld)
    for one in laid:
        food = case.larder.food_of(one.food)
        if food is None:
            yield find("gate.unknown_item", f"{one.food}, {one.slot}")
        elif one.food in refused:
            yield find("gate.refused_item", f"{food.name}, {one.slot}", why=refused[one.food])
