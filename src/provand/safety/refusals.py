"""Items that an athlete may not have: exclusions, refusals, and what a withheld part leaves out."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Mapping
from functools import cache
from importlib.resources import files

from provand.card import Mark
from provand.case.case import Case
from provand.case.intake import Intake
from provand.figure import Range
from provand.larder.item import Item
from provand.record import Record


def refused_items(case: Case, items: Mapping[str, Item], withheld: Collection[str] = ()) -> dict[str, str]:
    """Return everything that this athlete may not be given, by id, with the reason.

    An allergen that is not stated to be absent counts as contained. So does what a station serves and no item
    describes, where the athlete leaves anything out or fructose is withheld; else that counts as water.
    """
    athlete, found = case.athlete, {}
    if athlete.leaves_out or "fructose" in withheld:
        served = {cup.item for station in case.course.stations for cup in station.serves}
        found.update(dict.fromkeys(sorted(served - set(items)), "nobody knows what is in it"))
    for item_id, item in items.items():
        why = item.refused_for(athlete.allergens, athlete.excluded, athlete.diet)
        if item_id in case.wishes.banned:
            why = "banned from the plan by hand"
        if item_id in athlete.refused:
            why = "refused by the athlete"
        if why:
            found[item_id] = why
    return found


def withheld_parts(intake: Intake, item: Item, withheld: Collection[str]) -> tuple[str, ...]:
    """Return the withheld parts that an intake would add to; what is not known counts as held.

    Caffeine: anything labelled with it. Sodium: tablets and salt; drinks and food stay. Fluid: water and
    drinks, so that thirst alone is left. Fructose: anything with it, or with what the body turns into it. The
    other parts are not eaten.
    """
    held = item.holds
    adds = {
        "caffeine": may_hold(held.caffeine_mg),
        "sodium": _is_salt(item),
        "fluid": item.texture in ("water", "drink") and intake.amount != "rinse",
        "fructose": may_hold_fructose(item),
    }
    return tuple(part for part, is_added in adds.items() if is_added and part in withheld)


def refused_in_drinks(
    case: Case, items: Mapping[str, Item], withheld: Collection[str] = ()
) -> dict[str, str]:
    """Return what may not go into this athlete's drink, by id, with the reason; of salt nothing is said here.

    As everywhere: an allergen not stated to be absent counts as contained, and so does caffeine or fructose
    that is not known, where it is withheld.
    """
    found = {
        item_id: f"{part} is withheld"
        for item_id, item in items.items()
        for part, is_held in (
            ("caffeine", may_hold(item.holds.caffeine_mg)),
            ("fructose", may_hold_fructose(item)),
        )
        if is_held and part in withheld
    }
    refused = refused_items(case, items, withheld)
    return found | {item_id: why for item_id, why in refused.items() if item_id in items}


class _Words(Record):
    """Words that stand for fructose in a list of ingredients, and phrases that look like them and do not."""

    mark: Mark
    harmless: tuple[str, ...]
    words: tuple[str, ...]


@cache
def _fructose_words() -> _Words:
    return _Words(**tomllib.loads(files("provand.safety").joinpath("fructose.toml").read_text("utf-8")))


def may_hold_fructose(item: Item) -> bool:
    """Return whether an item may hold fructose, sucrose, sorbitol, honey, isomalt or the like.

    Only what is known to hold none holds none: no fructose by its label, stated to be free of fructose and
    sorbitol, and a list of ingredients without any of the words in `fructose.toml`. Water without
    carbohydrate holds none.
    """
    held, listed = item.holds, item.label.ingredients.lower()
    if item.texture == "water" and not may_hold(held.carb_g):
        return False
    if may_hold(held.fructose_g) or item.may_contain("fructose") or item.may_contain("sorbitol"):
        return True
    known = _fructose_words()
    for phrase in known.harmless:
        listed = listed.replace(phrase, " ")
    text = f"{item.name.lower()} {listed}"
    return not item.label.ingredients or any(word in text for word in known.words)


def may_hold(amount: Range | None) -> bool:
    """Return whether there may be any of an amount; what is not known may be there."""
    return amount is None or amount.high > 0


def _is_salt(item: Item) -> bool:
    """True for a capsule or powder with sodium that is not for the most part carbohydrate."""
    if item.texture not in ("capsule", "powder") or not may_hold(item.holds.sodium_mg):
        return False
    carb, mass = item.holds.carb_g, item.holds.mass_g
    return item.texture == "capsule" or carb is None or mass is None or 2 * carb.low < mass.high
