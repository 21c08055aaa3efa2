"""The table of foods: USDA Standard Reference 28, per 100 g, each value with the code of its source.

`tools/make_foods.py` makes it. A blank is unknown, never 0. Carbohydrate is by difference, fibre included.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import NamedTuple

SOURCES = {
    "1": "analysed",
    "4": "calculated or from a like food",
    "5": "the maker's claim for what was added",
    "6": "analysed, several sources",
    "7": "assumed zero",
    "8": "calculated from a label",
    "9": "calculated by the maker",
    "11": "several kinds of source",
    "12": "analysed by the maker",
    "13": "analysed, from the literature",
}
"""What the table's codes of sources mean, in our words."""


class Value(NamedTuple):
    """An amount in 100 g, in the unit that ends its column's name, and the table's code of its source."""

    amount: float
    code: str


class Measure(NamedTuple):
    """One of the table's household measures: its sequence number, and the grams of one."""

    sequence: str
    one_g: float
    all_g: float


class TableRow(NamedTuple):
    """A food of the table."""

    number: str
    description: str
    refuse_percent: float
    protein_kcal_per_g: float | None
    fat_kcal_per_g: float | None
    carb_kcal_per_g: float | None
    values: dict[str, Value]
    measures: dict[str, Measure]

    def amount(self, column: str) -> float | None:
        """Return the amount of a column, or None where the table does not know it."""
        held = self.values.get(column)
        return None if held is None else held.amount


@cache
def table_rows() -> dict[str, TableRow]:
    """Return every food of the table by its number."""
    text = files("provand.larder").joinpath("foods.tsv").read_text("utf-8")
    head, *lines = [line.split("\t") for line in text.splitlines() if not line.startswith("#")]
    return {line[0]: _row(dict(zip(head, line, strict=True))) for line in lines}


def _row(cells: dict[str, str]) -> TableRow:
    number, description = cells.pop("sr28"), cells.pop("description")
    measures = [_measure(text) for text in cells.pop("measures").split()]
    refuse = cells.pop("refuse_percent")
    factors = {name: cells.pop(name) for name in ("protein_kcal_per_g", "fat_kcal_per_g", "carb_kcal_per_g")}
    return TableRow(
        number=number,
        description=description,
        refuse_percent=float(refuse or 0),
        values={name: _value(text) for name, text in cells.items() if text},
        measures={measure.sequence: measure for measure in measures},
        **{name: float(text) if text else None for name, text in factors.items()},
    )


def _value(text: str) -> Value:
    amount, code = text.split()
    return Value(float(amount), code)


def _measure(text: str) -> Measure:
    sequence, count, grams = text.split(":")
    return Measure(sequence, float(grams) / float(count), float(grams))
