"""What to buy for foods that are to be eaten: as bought, in whole packs, less what is in the house."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from itertools import product

from provand.larder.food import Food
from provand.record import Record

AISLES = (
    "bread", "breakfast", "dry goods", "tins and jars", "chilled", "fruit and vegetables", "frozen", "drinks",
    "sweets and snacks",
)  # fmt: skip
"""The order in which a list of shopping is walked."""
MOST_PACKS = 12
"""Of one size; above it the largest size is taken as often as it fits."""


class Packs(Record):
    """So many packs of one size."""

    packs_count: int
    pack_g: float


class ShoppingLine(Record):
    """One thing to buy: how much is needed as bought, what is there, the packs, and what is left over."""

    name: str
    aisle: str
    need_g: float
    have_g: float
    packs: tuple[Packs, ...]
    pack_word: str
    left_g: float
    foods: tuple[str, ...]

    @property
    def is_to_buy(self) -> bool:
        return bool(self.packs)


def shopping(eaten_g: Mapping[Food, float], in_house_g: Mapping[str, float]) -> tuple[ShoppingLine, ...]:
    """Return what to buy, by aisle and name; foods that are bought as one thing are added up first.

    `eaten_g` is what is eaten of each food [g], `in_house_g` what is there, by food id, as bought [g].
    """
    bought: dict[str, list[Food]] = {}
    for food in eaten_g:
        bought.setdefault(food.bought.name, []).append(food)
    lines = [_line(foods, eaten_g, in_house_g) for foods in bought.values()]
    return tuple(sorted(lines, key=lambda line: (_place(line.aisle), line.name)))


def _place(aisle: str) -> int:
    return AISLES.index(aisle) if aisle in AISLES else len(AISLES)


def _line(foods: list[Food], eaten_g: Mapping[Food, float], in_house_g: Mapping[str, float]) -> ShoppingLine:
    first = foods[0].bought
    need_g = math.fsum(eaten_g[food] * food.bought.g_per_eaten_g for food in foods)
    have_g = math.fsum(in_house_g.get(food.id, 0.0) for food in foods)
    short_g = max(0.0, need_g - have_g)
    packs = _packs(short_g, first.pack_g)
    bought_g = math.fsum(one.packs_count * one.pack_g for one in packs)
    return ShoppingLine(
        name=first.name,
        aisle=first.aisle,
        need_g=need_g,
        have_g=have_g,
        packs=packs,
        pack_word=first.pack_word,
        left_g=have_g + bought_g - need_g,
        foods=tuple(food.id for food in foods),
    )


def _packs(short_g: float, sizes_g: Iterable[float]) -> tuple[Packs, ...]:
    """Return the packs with the least left over, and of these the fewest."""
    sizes = sorted(set(sizes_g), reverse=True)
    if short_g <= 0 or not sizes:
        return ()
    whole = max(0, math.ceil(short_g / sizes[0]) - MOST_PACKS)
    rest_g = short_g - whole * sizes[0]
    most = [min(MOST_PACKS, math.ceil(rest_g / size)) for size in sizes]
    enough = [
        counts
        for counts in product(*(range(count + 1) for count in most))
        if math.fsum(c * size for c, size in zip(counts, sizes, strict=True)) >= rest_g - 1e-6
    ]
    best = min(
        enough,
        key=lambda counts: (round(sum(c * s for c, s in zip(counts, sizes, strict=True)), 3), sum(counts)),
    )
    counted = [(best[0] + whole, sizes[0]), *zip(best[1:], sizes[1:], strict=True)]
    return tuple(Packs(packs_count=count, pack_g=size) for count, size in counted if count)
