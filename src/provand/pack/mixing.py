"""The drinks that an athlete mixes, for the kitchen: by weight and by spoon, and for how many bottles."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from provand.finding import BadInput, NoPlanFits
from provand.larder.drink_words import handed_out
from provand.larder.ingredient import cupboard
from provand.larder.item import Item
from provand.larder.mixing import DrinkRecipe, mixed
from provand.pack.carried import loads
from provand.pack.letters import printable
from provand.pack.tongue import say, say_n
from provand.plan.document import Plan
from provand.safety.refusals import refused_in_drinks


def to_mix(plan: Plan) -> Iterator[dict[str, Any]]:
    """Yield each drink of the race that the athlete mixes, with its recipe for one bottle.

    Nothing that is withheld or left out goes in. What cannot be mixed so, or told in spoons to who reads no
    weights, is told by the practitioner.
    """
    for item, count in own_bottles(plan):
        name = printable(item.name, "items")
        yield {
            "title": say_n("{name}: {n} bottle", "{name}: {n} bottles", count, name=name),
            "lines": [printable(line, "items") for line in _lines(plan, item)],
        }


def own_bottles(plan: Plan) -> list[tuple[Item, int]]:
    """Return each drink that is carried and has a recipe, with its bottles; none where fluid is withheld."""
    bottles: dict[str, int] = {}
    for load in loads(plan):
        bottles[load.item] = bottles.get(load.item, 0) + load.packs_count
    carried = [(plan.case.item(item_id), count) for item_id, count in bottles.items()]
    return [
        (item, count)
        for item, count in carried
        if item is not None and item.recipe is not None and "fluid" not in plan.withheld
    ]


def _lines(plan: Plan, item: Item) -> list[str]:
    recipe = _recipe(plan, item)
    lines = [] if recipe is None else list(handed_out(recipe, plan.withheld))
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
    water, drink = f"{other.water_ml:,.0f}", f"{other.drink_ml:,.0f}"
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


def _recipe(plan: Plan, item: Item) -> DrinkRecipe | None:
    """Return the recipe for this athlete; None where it would not be the drink that was planned."""
    assert item.recipe is not None
    at_hand = cupboard(plan.case.items)
    items = {name: one.item for name, one in at_hand.items()}
    refused = refused_in_drinks(plan.case, items, plan.withheld)
    try:
        recipe = mixed(item.recipe, at_hand, refused=refused, withheld=plan.withheld)
    except (BadInput, NoPlanFits):
        return None
    return recipe if recipe.as_wished else None
