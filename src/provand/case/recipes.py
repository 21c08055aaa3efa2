"""Own drinks by recipe: whether the recipe can be mixed, and comes to what the label of the drink says."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from provand.case.walk import near
from provand.figure import Range
from provand.finding import BadInput, Finding, NoPlanFits, find
from provand.larder.ingredient import cupboard
from provand.larder.item import Item
from provand.larder.mixing import Batch, mixed
from provand.units import shown

APART_FRAC = 0.1
"""Ours: label and recipe of one drink may differ by so much; more is another drink."""
APART_SODIUM_MG = 50.0
"""Ours: below it, a pinch of salt and what rounding leaves decide."""


def check_recipes(items: Iterable[Item]) -> Iterator[Finding]:
    """Yield what is wrong with recipes of drinks: what goes in, and what they come to beside the label."""
    listed = list(items)
    own = [item for item in listed if item.recipe is not None]
    if not own:
        return
    at_hand = cupboard(listed)
    for item in own:
        recipe, about = item.recipe, f"items.{item.id}.recipe"
        assert recipe is not None
        if item.texture != "drink":
            yield find("mix.no_drink", about, name=item.name, texture=item.texture)
            continue
        strange = [source for source in recipe.sources if source not in at_hand]
        if strange:
            for source in strange:
                yield find("mix.unknown_source", f"{about}.sources", name=source, near=near(source, at_hand))
            continue
        try:
            made = mixed(recipe, at_hand)
        except (BadInput, NoPlanFits) as error:
            yield from (one.model_copy(update={"about": about}) for one in error.findings)
            continue
        yield from _differs(item, made.weighed, about)


def _differs(item: Item, made: Batch, about: str) -> Iterator[Finding]:
    """Yield a fault for each amount that the label of a bottle tells otherwise than its recipe."""
    said, held = item.holds, made.holds
    pairs = (
        ("volume", "ml", item.label.pack_ml, made.drink_ml, 0.0),
        ("carbohydrate", "g", _mid(said.carb_g), _mid(held.carb_g), 0.0),
        ("sodium", "mg", _mid(said.sodium_mg), _mid(held.sodium_mg), APART_SODIUM_MG),
    )
    for what, unit, label, recipe, slack in pairs:
        if label is None or recipe is None:
            continue
        if abs(label - recipe) > max(slack, APART_FRAC * max(label, recipe)):
            told = [f"{shown(amount, unit)} {unit}" for amount in (label, recipe)]
            yield find("mix.another_drink", about, name=item.name, what=what, label=told[0], recipe=told[1])


def _mid(amount: Range | None) -> float | None:
    return None if amount is None else amount.mid
