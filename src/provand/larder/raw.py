"""Foods for a recipe: dry, raw, powders; none of them can stand on a plate."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from provand.larder.composition import Composition
from provand.larder.food import Bought, bought_uncooked, marks_of, per_100g
from provand.larder.item import Allergen, Diet
from provand.larder.table import table_rows
from provand.record import Record


class Raw(Record):
    """An ingredient that is bought, and not eaten as it is."""

    id: str
    name: str
    source_id: str
    per_100g: Composition
    contains: tuple[Allergen, ...]
    free_from: tuple[Allergen, ...]
    diet: Diet
    ingredients: str
    bought: Bought

    def holds(self, mass_g: float) -> Composition:
        """Return what so many grams of it hold."""
        return self.per_100g.times(mass_g / 100)


@cache
def raw_foods() -> dict[str, Raw]:
    """Return every ingredient by its id (data: `raw.toml`)."""
    entries = tomllib.loads(files("provand.larder").joinpath("raw.toml").read_text("utf-8"))
    shared = entries.pop("group")
    return {raw_id: _raw(raw_id, shared | entry) for raw_id, entry in entries.items()}


def _raw(raw_id: str, entry: dict[str, object]) -> Raw:
    row = table_rows()[str(entry["sr28"])]
    marks = marks_of(entry)
    return Raw(
        id=raw_id,
        name=str(entry["name"]),
        source_id=row.number,
        per_100g=per_100g(row, entry),
        contains=marks.contains,
        free_from=marks.free_from,
        diet=marks.diet,
        ingredients=marks.ingredients,
        bought=bought_uncooked().get(row.number) or _by_weight(entry),
    )


def _by_weight(entry: dict[str, object]) -> Bought:
    """Return what is bought under its own name, in packs of which nothing is known."""
    return Bought(
        name=str(entry["name"]), aisle=str(entry["aisle"]), g_per_eaten_g=1.0, pack_g=(), pack_word=""
    )
