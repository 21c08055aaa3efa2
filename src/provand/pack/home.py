"""What lies in the kitchen: the menu of the last days, the list of shopping, what is mixed for the race."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations_with_replacement, groupby, pairwise
from typing import Any

from provand.case.case import Case
from provand.larder.shopping import ShoppingLine
from provand.pack.letters import printable
from provand.pack.mixing import to_mix
from provand.pack.night import packing
from provand.pack.plate import (
    aisle_name,
    bought_for_what_is_made,
    bought_name,
    food_words,
    meal_name,
    packs_in_words,
    portion_words,
    portions_bought_for,
)
from provand.pack.sheet import common, own_start_said, texts
from provand.pack.tongue import named, say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import day, no_weights, short_day, wall_clock
from provand.phrase import to_say
from provand.plan.document import MenuBlock, MenuMeal, MenuPlan, Plan
from provand.plan.menu import WholeGrams, whole_grams

KITCHENS = {
    "full": "",
    "kettle": to_say("kettle only"),
    "none": to_say("nothing to cook with"),
    "petrol station": to_say("from a petrol station"),
    "hotel breakfast": to_say("hotel breakfast"),
}
NOT_TO_BUY = (
    to_say(
        "Wholemeal bread, bran cereals, beans, lentils, nuts, seeds, raw vegetables, dried fruit by the bag."
    ),
    to_say("Fried food, pastry, cream sauces, fatty meat and cheese."),
    to_say("Anything new."),
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
    start = say("{day}, {start}", day=day(plan.case.race.gun.date()), start=own_start_said(plan))
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
    listed = list(aisles(menu, plan.case, in_words=in_words))
    return {
        "words": _words(plan, in_words=in_words),
        "blocks": [_block(plan, menu, number, in_words=in_words) for number in range(len(menu.blocks))],
        "in_words": in_words,
        "aisles": listed,
        "columns": {str(count): _in_columns(listed, count) for count in (2, 3)},
        "there": [] if in_words else list(_there(menu)),
        "not_to_buy": [] if in_words else [say(line) for line in NOT_TO_BUY],
    }


def _words(plan: Plan, *, in_words: bool) -> dict[str, str]:
    """Return the words of the sheet round menu and shopping; `start` is the part that stands out."""
    start = say("{day}, {start}", day=day(plan.case.race.gun.date()), start=own_start_said(plan))
    return {
        "heading": say("Menu for {athlete}", athlete=printable(plan.case.athlete.name, "athlete.name")),
        "start": start,
        "eat": say("Eat this before your start on {start}.", start=start),
        "portions": say("Portions are in cups, slices and spoons.")
        if in_words
        else say("The number at a food is its carbohydrate in grams; “so far” adds up the 24 hours."),
        "full": say("Full? Stop, and take the next snack a little earlier."),
        "thirsty": say("Drink when you are thirsty."),
        "shopping": say("Shopping"),
        "there": say("In the house already"),
        "leave": say("Leave these in the shop"),
        "read": say(
            "Read each packet for what you must not eat: a recipe can change. Sizes of packs differ from "
            "shop to shop."
        ),
    }


def _block(plan: Plan, menu: MenuPlan, number: int, *, in_words: bool) -> dict[str, Any]:
    eaten = [(meal, grams) for meal, grams in whole_grams(menu, number) if meal.foods]
    return {
        "name": _when(menu.blocks[number]),
        "days": [
            {"name": day(on), "meals": [_meal(meal, grams, plan, in_words=in_words) for meal, grams in same]}
            for on, same in groupby(eaten, key=lambda entry: entry[0].on)
        ],
        "total": "" if in_words or not eaten else say("{amount} g", amount=f"{eaten[-1][1].so_far_g}"),
        "target": "" if in_words else _target(plan, menu),
    }


def _target(plan: Plan, menu: MenuPlan) -> str:
    figure = plan.figure(menu.target)
    return say("of {amount} g", amount=f"{figure.value.mid:.0f}") if figure is not None else ""


def _when(block: MenuBlock) -> str:
    start, end = (f"{short_day(moment.date())} {wall_clock(moment)}" for moment in (block.start, block.end))
    return say("{start} to {end}", start=start, end=end)


def _meal(meal: MenuMeal, grams: WholeGrams, plan: Plan, *, in_words: bool) -> dict[str, Any]:
    def told(grams: int) -> str:
        return "" if in_words else str(grams)

    return {
        "at": wall_clock(meal.at),
        "name": meal_name(meal.meal),
        "where": named(KITCHENS[meal.kitchen]),
        "foods": [
            {
                "says": portion_words(food, plan.case),
                "name": food_words(food, plan.case),
                "carb": told(held_g),
            }
            for food, held_g in zip(meal.foods, grams.foods_g, strict=True)
        ],
        "carb": told(grams.meal_g),
        "so_far": "" if in_words else say("so far {amount}", amount=told(grams.so_far_g)),
    }


def aisles(menu: MenuPlan, case: Case | None = None, *, in_words: bool) -> Iterator[dict[str, Any]]:
    """Yield what is to be bought, by aisle."""
    to_buy = [line for line in menu.shopping if line.is_to_buy]
    for aisle, lines in groupby(to_buy, key=lambda line: line.aisle):
        listed = [
            {
                "what": portions_bought_for(line, menu, case) if in_words else packs_in_words(line),
                "name": bought_name(line),
                "note": "" if in_words else _note(line),
            }
            for line in lines
        ]
        yield {"name": aisle_name(aisle), "lines": listed}


def _note(line: ShoppingLine) -> str:
    """Return what a thing is for beside the meals, and what will be left over."""
    made_for, left = bought_for_what_is_made(line), _left(line)
    return say("{these}; {more}", these=made_for, more=left) if made_for and left else made_for or left


def _left(line: ShoppingLine) -> str:
    return say("{amount} g left over", amount=f"{line.left_g:.0f}") if line.left_g >= 1 else ""


def _in_columns(listed: Sequence[dict[str, Any]], count: int) -> list[list[dict[str, Any]]]:
    """Return aisles in order, in so many columns of which the longest is as short as it can be."""
    lines = [len(aisle["lines"]) + 1 for aisle in listed]
    every = (
        (0, *cuts, len(lines)) for cuts in combinations_with_replacement(range(len(lines) + 1), count - 1)
    )
    best = min(every, key=lambda cuts: max(sum(lines[start:end]) for start, end in pairwise(cuts)))
    return [list(listed[start:end]) for start, end in pairwise(best)]


def _there(menu: MenuPlan) -> Iterator[str]:
    """Yield what is in the house already and enough."""
    for line in menu.shopping:
        if not line.is_to_buy:
            yield say(
                "{food}, {need} g of {have} g",
                food=bought_name(line),
                need=f"{line.need_g:.0f}",
                have=f"{line.have_g:.0f}",
            )
