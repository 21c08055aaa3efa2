"""The drinks that an athlete mixes, for the kitchen: by weight and by spoon, and for how many bottles."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from provand.larder.drink_words import to_hand_out
from provand.larder.item import Item
from provand.larder.mixing import DrinkRecipe
from provand.pack.letters import printable
from provand.pack.tongue import said, say, say_n
from provand.phrase import rounded_number
from provand.plan.brought import own_bottles, recipe_for
from provand.plan.document import Plan


def to_mix(plan: Plan) -> Iterator[dict[str, Any]]:
    """Yield each drink of the race that the athlete mixes, with its recipe for one bottle.

    Nothing that is withheld or left out goes in. What cannot be mixed so, or told in spoons to who reads no
    weights, is told by the practitioner.
    """
    for item, count in own_bottles(plan.case, plan.race, plan.withheld):
        name = printable(item.name, "items")
        yield {
            "title": say_n("{name}: {n} bottle", "{name}: {n} bottles", count, name=name),
            "lines": [printable(line, "items") for line in _lines(plan, item)],
        }


def _lines(plan: Plan, item: Item) -> list[str]:
    recipe = recipe_for(plan.case, item, plan.withheld)
    lines = [] if recipe is None else [said(line) for line in to_hand_out(recipe, plan.withheld)]
    if recipe is None or not lines:
        maker = printable(plan.case.practitioner.name, "practitioner.name")
        return [say("Ask {name} how it is mixed.", name=maker)]
    if recipe.other_way is not None and "grams" not in plan.withheld:
        lines.append(_other(recipe))
    return lines


def _other(recipe: DrinkRecipe) -> str:
    """Return what the other way of measuring would make, so that nobody takes it for the same drink."""
    other = recipe.other_way
    assert other is not None
    water, drink = rounded_number(other.water_ml), rounded_number(other.drink_ml)
    if recipe.other_how == "made up to":
        return say(
            "Do not fill up to the {drink} ml mark instead: only {water} ml of water go in, and the drink is "
            "stronger.",
            drink=drink,
            water=water,
        )
    return say(
        "Do not measure {water} ml of water instead: that makes {drink} ml, and the drink is weaker.",
        drink=drink,
        water=water,
    )
