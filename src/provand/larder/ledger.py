"""One ledger for what is eaten: exact sums, and printed columns that add up to their printed total."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from provand.larder.composition import Composition, total
from provand.larder.food import Food


class LedgerRow(NamedTuple):
    """So many household portions of a food, their mass, and what they hold."""

    food: Food
    portions_count: float
    mass_g: float
    holds: Composition


class Ledger(NamedTuple):
    """Rows of food and what they hold together; one unknown amount makes that sum unknown."""

    rows: tuple[LedgerRow, ...]
    holds: Composition


def ledger(eaten: Iterable[tuple[Food, float]]) -> Ledger:
    """Return the ledger of foods in household portions."""
    rows = tuple(_row(food, portions_count) for food, portions_count in eaten)
    return Ledger(rows, total(row.holds for row in rows))


def _row(food: Food, portions_count: float) -> LedgerRow:
    mass_g = portions_count * food.portion.unit_g
    return LedgerRow(food, portions_count, mass_g, food.holds(mass_g))


def whole_steps(amounts: Sequence[float], step: float = 1.0) -> list[int]:
    """Return amounts as whole steps whose sum is the rounded sum of the amounts.

    By largest remainder: each is rounded down, and what is missing goes, a step each, to those that lost
    most; of equal ones to the earlier. None is a whole step off its amount.
    """
    exact = [amount / step for amount in amounts]
    steps = [math.floor(value) for value in exact]
    missing = math.floor(math.fsum(exact) + 0.5) - sum(steps)
    by_loss = sorted(range(len(exact)), key=lambda at: (steps[at] - exact[at], at))
    for at in by_loss[:missing]:
        steps[at] += 1
    return steps
