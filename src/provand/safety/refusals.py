"""Items that an athlete may not have: exclusions, refusals, and what a withheld part leaves out."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from provand.case.case import Case
from provand.case.intake import Intake
from provand.figure import Range
from provand.larder.item import Item


def refused_items(case: Case, items: Mapping[str, Item]) -> dict[str, str]:
    """Return everything that this athlete may not be given, by id, with the reason.

    An allergen that is not stated to be absent counts as contained. So does what a station serves and no item
    describes, where the athlete leaves anything out; else that counts as water.
    """
    athlete, found = case.athlete, {}
    if athlete.allergens or athlete.excluded or athlete.diet != "any":
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

    Caffeine: anything labelled with it. Sodium: tablets and salt; drinks and food stay. Fluid: plain water,
    so that thirst alone is left. Fructose: anything with fructose or sorbitol. The other parts are not eaten.
    """
    held = item.holds
    adds = {
        "caffeine": _may_hold(held.caffeine_mg),
        "sodium": _is_salt(item),
        "fluid": item.texture == "water" and intake.amount != "rinse",
        "fructose": _may_hold(held.fructose_g) or bool({"fructose", "sorbitol"} & set(item.contains)),
    }
    return tuple(part for part, is_added in adds.items() if is_added and part in withheld)


def _may_hold(amount: Range | None) -> bool:
    return amount is None or amount.high > 0


def _is_salt(item: Item) -> bool:
    """True for a capsule or powder with sodium that is not for the most part carbohydrate."""
    if item.texture not in ("capsule", "powder") or not _may_hold(item.holds.sodium_mg):
        return False
    carb, mass = item.holds.carb_g, item.holds.mass_g
    return item.texture == "capsule" or carb is None or mass is None or 2 * carb.low < mass.high
