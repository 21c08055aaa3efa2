"""What to buy for foods that are to be eaten: as bought, in whole packs, less what is in the house."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from itertools import product
from typing import Literal, NamedTuple

from pydantic import Field

from provand.larder.food import Bought, Food
from provand.record import Record

AISLES = (
    "bread", "breakfast", "dry goods", "tins and jars", "chilled", "fruit and vegetables", "frozen", "drinks",
    "sweets and snacks", "sports food",
)  # fmt: skip
"""The order in which a list of shopping is walked."""
MOST_PACKS = 12
"""Of one size; above it the largest size is taken as often as it fits."""


TINY = 1e-6
"""Of a batch: so much of another one is rounding, and is not cooked."""


class Use(Record):
    """What a thing is bought for beside the meals: so many batches of a dish, so many bottles of a drink."""

    name: str
    kind: Literal["batch", "bottle"]
    uses_count: int


class Need(NamedTuple):
    """So much of a food or an ingredient, as bought [g]; `use` says what for, where no meal does."""

    food: str
    bought: Bought
    need_g: float
    use: Use | None = None


class Packs(Record):
    """So many packs of one size."""

    packs_count: int
    pack_g: float


class ShoppingLine(Record):
    """One thing to buy: how much is needed as bought, what is there, the packs, and what is left over.

    Where no size of a pack is known it is bought by weight, as much as is missing: `loose_g`.
    """

    name: str
    aisle: str
    need_g: float
    have_g: float
    packs: tuple[Packs, ...]
    pack_word: str
    left_g: float
    foods: tuple[str, ...]
    loose_g: float = Field(default=0.0, exclude_if=lambda loose_g: not loose_g)
    uses: tuple[Use, ...] = Field(default=(), exclude_if=lambda uses: not uses)

    @property
    def is_to_buy(self) -> bool:
        return bool(self.packs) or self.loose_g > 0


def needs_of(eaten_g: Mapping[Food, float], in_house_g: Mapping[str, float]) -> Iterator[Need]:
    """Yield what foods that are eaten need [g]; for a dish of one's own what its whole batches are made of.

    A dish that is in the house and enough is needed as it is.
    """
    for food, mass_g in eaten_g.items():
        batches_count = batches(food, mass_g, in_house_g.get(food.id, 0.0))
        if not batches_count:
            yield Need(food.id, food.bought, mass_g * food.bought.g_per_eaten_g)
        use = Use(name=food.name, kind="batch", uses_count=batches_count)
        for part in food.parts if batches_count else ():
            yield Need(part.food, part.bought, batches_count * part.need_g, use)


def batches(food: Food, eaten_g: float, have_g: float) -> int:
    """Return how many whole batches of a dish are cooked; 0 of what is bought as it is."""
    batch_g = food.batch_g
    return 0 if batch_g is None else math.ceil(max(0.0, (eaten_g - have_g) / batch_g - TINY))


def shopping(needs: Iterable[Need], in_house_g: Mapping[str, float]) -> tuple[ShoppingLine, ...]:
    """Return what to buy, by aisle and name; foods that are bought as one thing are added up first.

    `in_house_g` is what is there, by food id, as bought [g].
    """
    bought: dict[str, list[Need]] = {}
    for need in needs:
        bought.setdefault(need.bought.name, []).append(need)
    lines = [_line(same, in_house_g) for same in bought.values()]
    return tuple(sorted(lines, key=lambda line: (_place(line.aisle), line.name)))


def _place(aisle: str) -> int:
    return AISLES.index(aisle) if aisle in AISLES else len(AISLES)


def _line(needs: list[Need], in_house_g: Mapping[str, float]) -> ShoppingLine:
    first = needs[0].bought
    foods = tuple(dict.fromkeys(need.food for need in needs))
    need_g = math.fsum(need.need_g for need in needs)
    have_g = math.fsum(in_house_g.get(food, 0.0) for food in foods)
    short_g = max(0.0, need_g - have_g)
    packs = _packs(short_g, first.pack_g)
    loose_g = 0.0 if first.pack_g else short_g
    bought_g = math.fsum((loose_g, *(one.packs_count * one.pack_g for one in packs)))
    return ShoppingLine(
        name=first.name,
        aisle=first.aisle,
        need_g=need_g,
        have_g=have_g,
        packs=packs,
        pack_word=first.pack_word,
        left_g=have_g + bought_g - need_g,
        foods=foods,
        loose_g=loose_g,
        uses=tuple(need.use for need in needs if need.use is not None),
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
