"""What a portion of anything holds, as ranges; None is unknown, and unknown plus known is unknown."""

from __future__ import annotations

import math
from collections.abc import Iterable

from provand.figure import Range
from provand.record import Record

ZERO = Range.exact(0.0)


class Composition(Record):
    """Contents of a gel, a food, a cup, a recipe or a day; every amount is for the portion as a whole.

    Carbohydrate is what is available: without fibre, polyols in. Maltodextrin, starch and half of sucrose
    count as glucose, the other half as fructose. Kilocalories and kilojoules are summed apart, each by its
    own factors.
    """

    mass_g: Range | None = None
    water_ml: Range | None = None
    carb_g: Range | None = None
    glucose_g: Range | None = None
    fructose_g: Range | None = None
    fibre_g: Range | None = None
    fat_g: Range | None = None
    protein_g: Range | None = None
    sodium_mg: Range | None = None
    caffeine_mg: Range | None = None
    sugars_g: Range | None = None
    starch_g: Range | None = None
    polyols_g: Range | None = None
    alcohol_g: Range | None = None
    energy_kcal: Range | None = None
    energy_kj: Range | None = None

    def times(self, portion_frac: float) -> Composition:
        """Return the contents of a portion of this: 0.5 is half, 2.0 is two."""
        if portion_frac == 1:
            return self
        return Composition(**{name: _scaled(getattr(self, name), portion_frac) for name in AMOUNTS})


AMOUNTS = tuple(Composition.model_fields)


def _scaled(amount: Range | None, portion: float) -> Range | None:
    if amount is None:
        return None
    return Range(
        low=amount.low * portion, mid=amount.mid * portion, high=amount.high * portion, means=amount.means
    )


def _added(amounts: list[Range | None]) -> Range | None:
    known = [amount for amount in amounts if amount is not None]
    if len(known) != len(amounts):
        return None
    means = "exact" if all(amount.means == "exact" for amount in known) else "bounds"
    return Range(
        low=math.fsum(a.low for a in known),
        mid=math.fsum(a.mid for a in known),
        high=math.fsum(a.high for a in known),
        means=means,
    )


def total(parts: Iterable[Composition]) -> Composition:
    """Return the contents of all parts together; one unknown makes that sum unknown."""
    listed = list(parts)
    return Composition(**{name: _added([getattr(part, name) for part in listed]) for name in AMOUNTS})
