"""What lies in the kitchen: the menu of the last days, the list of shopping, what is mixed for the race."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from provand.larder.shopping import ShoppingLine
from provand.pack.letters import printable
from provand.pack.mixing import to_mix
from provand.pack.night import packing
from provand.pack.sheet import common, own_start_words, texts
from provand.pack.tongue import say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import day, no_weights, short_day, wall_clock
from provand.plan.document import MenuBlock, MenuFood, MenuMeal, MenuPlan, Plan
from provand.plan.menu import WholeGrams, whole_grams

KITCHENS = {
    "full": "",
    "kettle": "kettle only",
    "none": "nothing to cook with",
    "petrol station": "from a petrol station",
    "hotel breakfast": "hotel breakfast",
}
NOT_TO_BUY = (
    "Wholemeal bread, bran cereals, beans, lentils, nuts, seeds, raw vegetables, dried fruit by the bag.",
    "Fried food, pastry, cream sauces, fatty meat and cheese.",
    "Anything new.",
)
"""What fills the gut without filling the stores, or has not been tried: common practice, no source."""


def home_sheet(plan: Plan, paper: Paper, *, draft: bool = False) -> bytes:
    """Return menu, shopping, drinks to mix and packing as a PDF; a draft says so on every sheet.

    Without a menu there are drinks and packing alone. With weights withheld there are household portions
    alone, and no size of any pack.
    """
    data = home_data(plan, paper, draft=draft)
    if "grams" in plan.withheld:
        no_weights(texts(data), "home.pdf")
    return pdf("home.typ", data)


def home_data(plan: Plan, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the sheet prints."""
    title = say("Mix and lay out for the race") if plan.menu is None else say("Menu and shopping")
    shared = common(plan, title, paper, draft=draft)
    athlete = printable(plan.case.athlete.name, "athlete.name")
    start = f"{day(plan.case.race.gun.date())}, {own_start_words(plan, ' to ')}"
    return shared | {
        "athlete": athlete,
        "start": start,
        "menu": None if plan.menu is None else _menu(plan, plan.menu),
        "no_menu": {
            "heading": say("Mix and lay out for {name}", name=athlete),
            "start": say("Your own start: {start}.", start=start),
            "packets": say("Read each packet for what you must not eat: a recipe can change."),
        },
        "drinks": list(to_mix(plan)),
        "mix_title": say("Mix for the race, for each bottle"),
        "pack": {"title": say("Lay out for the race"), "groups": list(packing(plan, shared["code"]))},
    }


def _menu(plan: Plan, menu: MenuPlan) -> dict[str, Any]:
    """Return the days of the menu and its shopping."""
    in_words = "grams" in plan.withheld
    listed = list(aisles(menu, in_words=in_words))
    return {
        "blocks": [_block(plan, menu, number, in_words=in_words) for number in range(len(menu.blocks))],
        "in_words": in_words,
        "aisles": listed,
        "first": _in_first_column(listed),
        "there": [] if in_words else list(_there(menu)),
        "not_to_buy": [] if in_words else list(NOT_TO_BUY),
    }


def _block(plan: Plan, menu: MenuPlan, number: int, *, in_words: bool) -> dict[str, Any]:
    eaten = [(meal, grams) for meal, grams in whole_grams(menu, number) if meal.foods]
    return {
        "name": _when(menu.blocks[number]),
        "days": [
            {"name": day(on), "meals": [_meal(meal, grams, in_words=in_words) for meal, grams in same]}
            for on, same in groupby(eaten, key=lambda entry: entry[0].on)
        ],
        "total": "" if in_words or not eaten else f"{eaten[-1][1].so_far_g} g",
        "target": "" if in_words else _target(plan, menu),
    }


def _target(plan: Plan, menu: MenuPlan) -> str:
    figure = plan.figure(menu.target)
    return f"{figure.value.mid:.0f} g" if figure is not None else ""


def _when(block: MenuBlock) -> str:
    start, end = (f"{short_day(moment.date())} {wall_clock(moment)}" for moment in (block.start, block.end))
    return f"{start} to {end}"


def _meal(meal: MenuMeal, grams: WholeGrams, *, in_words: bool) -> dict[str, Any]:
    def told(grams: int) -> str:
        return "" if in_words else str(grams)

    return {
        "at": wall_clock(meal.at),
        "name": meal.meal.capitalize(),
        "where": KITCHENS[meal.kitchen],
        "foods": [
            {
                "says": printable(food.says, food.food),
                "name": printable(food.name, food.food),
                "carb": told(held_g),
            }
            for food, held_g in zip(meal.foods, grams.foods_g, strict=True)
        ],
        "carb": told(grams.meal_g),
        "so_far": told(grams.so_far_g),
    }


def aisles(menu: MenuPlan, *, in_words: bool) -> Iterator[dict[str, Any]]:
    """Yield what is to be bought, by aisle."""
    to_buy = [line for line in menu.shopping if line.is_to_buy]
    for aisle, lines in groupby(to_buy, key=lambda line: line.aisle):
        listed = [
            {"what": _portions(line, menu) if in_words else packs_in_words(line), **_name(line)}
            for line in lines
        ]
        for entry, line in zip(listed, [one for one in to_buy if one.aisle == aisle], strict=True):
            entry["note"] = "" if in_words else f"{line.left_g:.0f} g left over" if line.left_g >= 1 else ""
        yield {"name": aisle.capitalize(), "lines": listed}


def _in_first_column(listed: Sequence[dict[str, Any]]) -> int:
    """Return how many aisles stand in the first of two columns, which holds a little more than half."""
    sizes = [len(aisle["lines"]) + 1 for aisle in listed]
    return next((at for at in range(len(sizes) + 1) if 2 * sum(sizes[:at]) >= sum(sizes)), 0)


def _name(line: ShoppingLine) -> dict[str, str]:
    return {"name": printable(line.name, "shopping")}


def packs_in_words(line: ShoppingLine) -> str:
    """Return packs in words: `2 bags of 500 g`."""
    return " and ".join(
        f"{one.packs_count} {line.pack_word}{'s' if one.packs_count > 1 else ''} of {_size(one.pack_g)}"
        for one in line.packs
    )


def _size(grams: float) -> str:
    return f"{grams / 1000:g} kg" if grams >= 1000 else f"{grams:g} g"


def _portions(line: ShoppingLine, menu: MenuPlan) -> str:
    """Return what a thing is bought for, in household portions: `for 3 cups, 2 cups`."""
    eaten = [_eaten(food) for meal in menu.meals for food in meal.foods if food.food in line.foods]
    return f"for {', '.join(eaten)}"


def _eaten(food: MenuFood) -> str:
    """Return how much is eaten: `2 cups`, and of what is counted by itself `2 bagels`."""
    return f"{food.says} {food.name}" if food.says == f"{food.portions_count:g}" else food.says


def _there(menu: MenuPlan) -> Iterator[str]:
    """Yield what is in the house already and enough."""
    for line in menu.shopping:
        if not line.is_to_buy:
            yield f"{printable(line.name, 'shopping')}, {line.need_g:.0f} g of {line.have_g:.0f} g"
