"""What somebody brings to the race, counted in whole packs, and the bottles among it that are mixed."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import NamedTuple

from provand.case.case import Case
from provand.case.intake import Source
from provand.finding import BadInput, NoPlanFits
from provand.larder.drink_words import handed_out
from provand.larder.food import Bought, food_of
from provand.larder.ingredient import Ingredient, cupboard
from provand.larder.item import Item
from provand.larder.mixing import DrinkRecipe, mixed
from provand.larder.raw import raw_foods
from provand.larder.shopping import Need, Use
from provand.plan.document import RaceSchedule, Take
from provand.safety.refusals import refused_in_drinks

BROUGHT: tuple[Source, ...] = ("pocket", "bag", "crew", "table")
"""Where a thing comes from that somebody brings: all but the stations of the race."""
SPORTS_FOOD = "sports food"
"""Where a shop has powders and tablets for sport: common practice, no source."""


class Packs(NamedTuple):
    """So many whole packs of an item from one place; `take` is the first of them that is taken."""

    take: Take
    packs_count: int


def brought(case: Case, race: RaceSchedule, source: Source) -> Iterator[Packs]:
    """Yield what comes from one place, in the order in which it is first taken."""
    takes = [take for stop in race.stops for take in stop.takes if take.got_from == source]
    for item_id in dict.fromkeys(take.item for take in takes):
        same = [take for take in takes if take.item == item_id]
        yield Packs(same[0], packs_count(same, case.item(item_id)))


def packs_count(takes: Iterable[Take], item: Item | None) -> int:
    """Return how many whole packs some takes of one item need, one at least."""
    parts_count = item.divides_into if item is not None else 1
    pieces_count = sum(round(take.portion_frac * parts_count) for take in takes if take.amount == "whole")
    return max(1, -(-pieces_count // parts_count))


class Bottles(NamedTuple):
    """A drink of one's own with a recipe, and for how many bottles it is mixed."""

    item: Item
    bottles_count: int


def own_bottles(case: Case, race: RaceSchedule, withheld: Collection[str]) -> tuple[Bottles, ...]:
    """Return each drink that is brought and has a recipe; none where fluid is withheld."""
    counts: dict[str, int] = {}
    for source in BROUGHT:
        for packs in brought(case, race, source):
            counts[packs.take.item] = counts.get(packs.take.item, 0) + packs.packs_count
    known = [(case.item(item_id), count) for item_id, count in counts.items()]
    return tuple(
        Bottles(item, count)
        for item, count in known
        if item is not None and item.recipe is not None and "fluid" not in withheld
    )


def recipe_for(case: Case, item: Item, withheld: Collection[str]) -> DrinkRecipe | None:
    """Return the recipe of a bottle for this athlete; None where it would be another drink than planned."""
    assert item.recipe is not None
    at_hand = cupboard(case.items)
    items = {name: one.item for name, one in at_hand.items()}
    try:
        recipe = mixed(
            item.recipe, at_hand, refused=refused_in_drinks(case, items, withheld), withheld=withheld
        )
    except (BadInput, NoPlanFits):
        return None
    return recipe if recipe.as_wished else None


def needs_of_bottles(case: Case, race: RaceSchedule, withheld: Collection[str]) -> Iterator[Need]:
    """Yield what goes into the bottles that are mixed: as weighed for one, times the bottles.

    A bottle whose recipe is not told to the athlete is told by the practitioner, and so is what it needs.
    """
    at_hand = cupboard(case.items)
    for item, bottles_count in own_bottles(case, race, withheld):
        recipe = recipe_for(case, item, withheld)
        if recipe is None or not handed_out(recipe, withheld):
            continue
        use = Use(name=item.name, kind="bottle", uses_count=bottles_count)
        for one in recipe.weighed.amounts:
            bought = _bought(at_hand[one.ingredient])
            yield Need(one.ingredient, bought, bottles_count * one.mass_g * bought.g_per_eaten_g, use)


def _bought(ingredient: Ingredient) -> Bought:
    """Return how a shop sells an ingredient: as the larder knows it, a product in the packs of its label."""
    is_product = ingredient.item.texture in ("powder", "capsule") and ingredient.solute is None
    known = None if is_product else food_of(ingredient.id) or raw_foods().get(ingredient.id)
    if known is not None:
        return known.bought
    pack_g = ingredient.item.label.pack_g if is_product else None
    return Bought(
        name=ingredient.name,
        aisle=SPORTS_FOOD,
        g_per_eaten_g=1.0,
        pack_g=() if pack_g is None else (pack_g,),
        pack_word="pack" if ingredient.piece_g is None else "tablet",
    )
