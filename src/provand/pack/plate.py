"""What stands on a plate and in a basket, in the language spoken: portions, foods, meals, packs."""

from __future__ import annotations

from provand.case.case import Case
from provand.case.menu import MealName
from provand.larder.food import Food, many_packs
from provand.larder.shopping import ShoppingLine, Use
from provand.pack.letters import printable
from provand.pack.tongue import in_digits, listed, named, named_n, say, say_n, spoken
from provand.phrase import to_say, trimmed_number
from provand.plan.document import MenuFood, MenuPlan

MEALS: dict[MealName, str] = {
    "breakfast": to_say("Breakfast"),
    "morning snack": to_say("Morning snack"),
    "lunch": to_say("Lunch"),
    "afternoon snack": to_say("Afternoon snack"),
    "dinner": to_say("Dinner"),
    "evening snack": to_say("Evening snack"),
    "race meal": to_say("Race meal"),
    "top-up": to_say("Top-up"),
}


def meal_name(meal: MealName) -> str:
    """Return the name of a meal as a heading."""
    return say(MEALS[meal])


def portion_words(food: MenuFood, case: Case | None) -> str:
    """Return how much of a food is eaten: `2 cups`, or `2` of what is counted by itself."""
    known = _known(food, case)
    if known is None:
        return printable(food.says, food.food)
    count = in_digits(trimmed_number(food.portions_count, 3))
    return count if _is_counted(known) else say("{count} {unit}", count=count, unit=_unit(food, known))


def food_words(food: MenuFood, case: Case | None) -> str:
    """Return what is eaten: `white rice`, or `bagels` of what is counted by itself."""
    known = _known(food, case)
    if known is None:
        return printable(food.name, food.food)
    return _unit(food, known) if _is_counted(known) else printable(named(known.name, "food"), food.food)


def eaten_words(food: MenuFood, case: Case | None) -> str:
    """Return how much of what is eaten: `2 cups white rice`, `2 bagels`."""
    how_much, what = portion_words(food, case), food_words(food, case)
    known = _known(food, case)
    if known is not None and _is_counted(known):
        return say("{count} {unit}", count=how_much, unit=what)
    return say("{portion} {food}", portion=how_much, food=what)


def _known(food: MenuFood, case: Case | None) -> Food | None:
    """Return a food of the larder that has a name in another language; None where the plan's own words do."""
    return None if spoken().is_ours or case is None else case.larder.food_of(food.food)


def _is_counted(known: Food) -> bool:
    return known.name == known.portion.unit


def _unit(food: MenuFood, known: Food) -> str:
    portion = known.portion
    return printable(named_n(portion.unit, portion.plural, food.portions_count, "portion"), food.food)


def aisle_name(aisle: str) -> str:
    """Return the name of an aisle as a heading."""
    name = named(aisle, "aisle")
    return name[:1].upper() + name[1:]


def bought_name(line: ShoppingLine) -> str:
    """Return the name of a thing as a shop has it."""
    return printable(named(line.name, "food"), "shopping")


def packs_in_words(line: ShoppingLine) -> str:
    """Return packs in words: `2 bags of 500 g`; by weight where no pack is known: `94 g`."""
    if line.loose_g:
        return say("{amount} g", amount=trimmed_number(line.loose_g, 0 if line.loose_g >= 10 else 1))
    told = ""
    for one in line.packs:
        packs = named_n(line.pack_word, many_packs(line.pack_word), one.packs_count, "pack")
        words = say("{n} {packs} of {size}", n=one.packs_count, packs=packs, size=_size(one.pack_g))
        told = say("{these} and {more}", these=told, more=words) if told else words
    return told


def _size(grams: float) -> str:
    if grams >= 1000:
        return say("{amount} kg", amount=trimmed_number(grams / 1000, 3))
    return say("{amount} g", amount=trimmed_number(grams, 2))


def portions_bought_for(line: ShoppingLine, menu: MenuPlan, case: Case | None) -> str:
    """Return what a thing is bought for, in household portions: `for 3 cups, 2 bagels`."""
    foods = [food for meal in menu.meals for food in meal.foods if food.food in line.foods]
    return say("for {portions}", portions=listed([*(_how_much(food, case) for food in foods), *_uses(line)]))


def bought_for_what_is_made(line: ShoppingLine) -> str:
    """Return for which dishes and bottles a thing is bought: `for our pudding (2 batches)`, or nothing."""
    return say("for {portions}", portions=listed(_uses(line))) if line.uses else ""


def _uses(line: ShoppingLine) -> list[str]:
    return [_use(use) for use in line.uses]


def _use(use: Use) -> str:
    name = printable(use.name, "shopping")
    if use.kind == "batch":
        return say_n("{name} ({n} batch)", "{name} ({n} batches)", use.uses_count, name=name)
    return say_n("{name} ({n} bottle)", "{name} ({n} bottles)", use.uses_count, name=name)


def _how_much(food: MenuFood, case: Case | None) -> str:
    is_counted = food.says == f"{food.portions_count:g}"
    return eaten_words(food, case) if is_counted else portion_words(food, case)
