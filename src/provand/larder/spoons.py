"""Household measures: level teaspoons and tablespoons, in quarters."""

from __future__ import annotations

import math

from provand.figure import Range
from provand.larder.ingredient import Ingredient, mix_limits
from provand.phrase import Name, Phrase, Unit, phrase, rounded_number
from provand.record import Record

TEASPOONS_IN_A_TABLESPOON = 3
QUARTERS = {0: "", 1: "¼", 2: "½", 3: "¾"}


class Spoons(Record):
    """So many quarters of a level teaspoon of something, or whole tablets, and what they come to."""

    ingredient: str
    name: str
    quarters_count: int = 0
    pieces_count: int | None = None
    volume_ml: float | None = None
    mass_g: Range

    @property
    def counts(self) -> bool:
        """True where any of it goes in."""
        return bool(self.pieces_count or self.quarters_count or self.volume_ml)

    @property
    def says(self) -> str:
        """The measure in words, without any weight: `2 tablespoons and 1½ teaspoons of table sugar`."""
        return self.words.text

    @property
    def words(self) -> Phrase:
        """That measure, to be said in any language."""
        name = Name(name=self.name, kind="food")
        if self.pieces_count is not None:
            return phrase("{count} × {name}", count=self.pieces_count, name=name)
        if self.volume_ml is not None:
            amount = phrase("{amount} ml", amount=rounded_number(self.volume_ml))
            return phrase("{amount} of {name}", amount=amount, name=name)
        if self.quarters_count == 0:
            return phrase("no {name}: it is less than a quarter of a teaspoon", name=name)
        return phrase("{amount} of {name}", amount=self._of_spoons(), name=name)

    def _of_spoons(self) -> Phrase:
        tablespoons, left = divmod(self.quarters_count, 4 * TEASPOONS_IN_A_TABLESPOON)
        whole, quarters = divmod(left, 4)
        large = _many(str(tablespoons), tablespoons, "tablespoon")
        small = _many(f"{whole or ''}{QUARTERS[quarters]}", left / 4, "teaspoon")
        if tablespoons and left:
            return phrase("{these} and {more}", these=large, more=small)
        return large if tablespoons else small


def _many(written: str, count: float, unit: str) -> Phrase:
    spoons = Unit(one=unit, many=f"{unit}s", things_count=max(count, 1), kind="portion")
    return phrase("{count} {unit}", count=written, unit=spoons)


def spoons_of(one: Ingredient, amount_g: float, *, most_g: float = math.inf) -> Spoons | None:
    """Return so much of an ingredient in quarter teaspoons, `most_g` at most; None without a spoon."""
    if one.piece_g is not None:
        pieces = max(1, math.floor(amount_g / one.piece_g + 0.5))
        return Spoons(
            ingredient=one.id,
            name=one.name,
            pieces_count=pieces,
            mass_g=Range.exact(pieces * one.piece_g),
        )
    if one.density_g_per_ml is not None:
        volume_ml = 5.0 * math.floor(amount_g / one.density_g_per_ml / 5 + 1e-9)
        mass = Range.exact(volume_ml * one.density_g_per_ml)
        return Spoons(ingredient=one.id, name=one.name, volume_ml=volume_ml, mass_g=mass)
    if one.spoon_g is None:
        return None
    quarters = math.floor(4 * amount_g / one.spoon_g.mid + 0.5)
    if quarters / 4 * one.spoon_g.mid > most_g:
        quarters = math.floor(4 * most_g / one.spoon_g.mid)
    error = mix_limits().spoon_error_frac
    low, mid, high = (quarters / 4 * end for end in (one.spoon_g.low, one.spoon_g.mid, one.spoon_g.high))
    return Spoons(
        ingredient=one.id,
        name=one.name,
        quarters_count=quarters,
        mass_g=Range.of(min(low, mid * (1 - error)), max(high, mid * (1 + error)), mid),
    )
