"""What one intake gives: what is swallowed for certain, and the most that a limit has to count.

The planner, the gate and the simulation all count here, so that one cup is never two amounts. A floor
reads the low ends of `contents`; a limit reads `fluid_ml`, `max_glucose_g` and `max_caffeine_mg`, which
take a cup as poured, a rinse as swallowed and an unknown amount as without end.
"""

from __future__ import annotations

import math

from provand.case.course import Served
from provand.case.intake import Intake
from provand.figure import Range
from provand.finding import BadInput, find
from provand.larder.composition import AMOUNTS, Composition
from provand.larder.item import Item
from provand.protocol.rules import value

MOUTHFUL_ML = value("cup.mouthful").high
"""A mouthful as poured."""

SWALLOWED_ML = value("cup.swallowed")
"""What is swallowed from one part-filled cup at pace."""

SHARE_OF_CUP = {"cup": 1.0, "half": 0.5}


def is_poured(intake: Intake) -> bool:
    """True when the intake is counted by the cup, false when it is counted by the pack."""
    return intake.amount != "whole"


def poured_ml(intake: Intake, served: Served | None) -> Range:
    """Return what is poured for an intake by the cup; BadInput where the size of the cup is not known."""
    if intake.amount in ("mouthful", "rinse"):
        return Range.exact(MOUTHFUL_ML * intake.portion_frac)
    if served is None:
        raise BadInput(find("safety.no_cup", intake.item, amount=intake.amount))
    share = SHARE_OF_CUP[intake.amount] * intake.portion_frac
    return Range.of(served.poured_ml.low * share, served.poured_ml.high * share)


def swallowed_ml(intake: Intake, served: Served | None) -> Range:
    """Return what is swallowed of an intake by the cup: 40 to 70 ml of each cup that holds so much."""
    poured = poured_ml(intake, served)
    if intake.amount == "rinse":
        return Range(low=0.0, mid=0.0, high=poured.high)
    most, least = SWALLOWED_ML.high * intake.portion_frac, SWALLOWED_ML.low * intake.portion_frac
    return Range.of(min(least, poured.low), min(most, poured.high))


def contents(intake: Intake, item: Item, served: Served | None = None) -> Composition:
    """Return what is swallowed with one intake; unknown amounts stay None.

    `served` is the cup that the station pours; packs need none. BadInput where a cup's size or a drink's
    volume is not known.
    """
    if not is_poured(intake):
        return item.holds.times(intake.portion_frac)
    return _per_pack(item, swallowed_ml(intake, served))


def fluid_ml(intake: Intake, item: Item, served: Served | None = None) -> float:
    """Return the fluid that the ceiling counts: a cup as poured, a drink as its volume, else the most water.

    Where neither water nor mass of an item is known the answer is infinite: the ceiling then refuses it.
    """
    if is_poured(intake):
        return poured_ml(intake, served).high
    label, water = item.label, item.holds.water_ml
    sizes = (label.pack_ml, None if water is None else water.high)
    known_ml = [size_ml for size_ml in sizes if size_ml is not None]
    if not known_ml and label.pack_g is not None:
        known_ml = [label.pack_g]
    return max(known_ml) * intake.portion_frac if known_ml else math.inf


def max_glucose_g(intake: Intake, item: Item, served: Served | None = None) -> float:
    """Return the most glucose: a pack as printed, a cup as poured.

    An unknown split counts as all glucose, unknown carbohydrate as infinite. The rounding of a label is finer
    than the limit, which is "about" so much.
    """
    most = as_poured(intake, item, served)
    amount = most.glucose_g or most.carb_g
    if amount is None:
        return math.inf
    return amount.high if is_poured(intake) else amount.mid


def max_caffeine_mg(intake: Intake, item: Item, served: Served | None = None) -> float:
    """Return the most caffeine, a cup as poured; unknown counts as infinite."""
    amount = as_poured(intake, item, served).caffeine_mg
    return math.inf if amount is None else amount.high


def as_poured(intake: Intake, item: Item, served: Served | None = None) -> Composition:
    """Return what one intake holds when every drop poured is swallowed."""
    if not is_poured(intake):
        return item.holds.times(intake.portion_frac)
    return _per_pack(item, poured_ml(intake, served))


def _per_pack(item: Item, volume_ml: Range) -> Composition:
    if item.label.pack_ml is None:
        raise BadInput(find("safety.no_volume", item.id))
    packs = [end / item.label.pack_ml for end in (volume_ml.low, volume_ml.mid, volume_ml.high)]
    holds = item.holds
    held = {name: getattr(holds, name) for name in AMOUNTS}
    return Composition(
        **{
            name: None
            if amount is None
            else Range.of(amount.low * packs[0], amount.high * packs[2], amount.mid * packs[1])
            for name, amount in held.items()
        }
    )
