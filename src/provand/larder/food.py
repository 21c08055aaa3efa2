"""Foods of the larder: what may stand on a plate, in household portions; our own data beside the table's.

What is in `foods/*.toml` is ours: names, roles, portions, packs, dislikes. What 100 g hold is the table's.
Only food as it is eaten is here: nothing dry, raw or concentrated can be put on a plate.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, Literal, NamedTuple, Self

from pydantic import Field, model_validator

from provand.figure import Range
from provand.larder.composition import Composition
from provand.larder.item import Allergen, Diet
from provand.larder.table import TableRow, table_rows
from provand.physiology.chemistry import fructose_in_mix_g
from provand.record import Record, rounded

Role = Literal[
    "bread", "spread", "cereal", "milk", "starch", "sauce", "protein", "vegetable", "fruit", "drink", "sweet",
    "savoury", "soup",
]  # fmt: skip
MealKind = Literal["breakfast", "snack", "lunch", "dinner"]
Kitchen = Literal["full", "kettle", "none", "petrol station", "hotel breakfast"]
"""What is at hand where a meal is eaten: it says what can be cooked, or bought there."""
State = Literal["as eaten", "cooked", "drunk"]
Source = Literal["sr28", "label", "recipe", "table"]

FOURTEEN: tuple[Allergen, ...] = (
    "gluten", "crustaceans", "egg", "fish", "peanut", "soya", "milk", "nuts", "celery", "mustard", "sesame",
    "sulphite", "lupin", "molluscs",
)  # fmt: skip
CUP_ML = 236.588
"""The table's cup, US customary."""
FL_OZ_ML = 29.5735
DIETS: Mapping[str, int] = {"any": 0, "vegetarian": 1, "vegan": 2}
SUGARS: Mapping[str, tuple[tuple[Allergen, ...], tuple[Allergen, ...]]] = {
    "none": ((), ("fructose", "sorbitol")),
    "fructose": (("fructose",), ()),
    "fructose, no sorbitol": (("fructose",), ("sorbitol",)),
    "fructose; sorbitol unknown": (("fructose",), ()),
    "fructose and sorbitol": (("fructose", "sorbitol"), ()),
    "unknown": ((), ()),
}
"""Which of the two sugars a food is said to contain, and to be free from."""


class Portion(Record):
    """A household unit, its mass, and how many of them may stand on a plate."""

    unit: str = Field(min_length=1)
    plural: str = Field(min_length=1)
    unit_g: float = Field(json_schema_extra={"bounds": [0.5, 1000]})
    counts: tuple[float, ...] = Field(min_length=1, max_length=5)
    measure: str = Field(default="", description="the row of the table's measures it is")

    @model_validator(mode="after")
    def _rising(self) -> Self:
        if list(self.counts) != sorted(set(self.counts)) or self.counts[0] <= 0:
            raise ValueError("counts of portions must rise, from above 0")
        return self

    def says(self, count: float) -> str:
        """Return so many of the unit in words: `1.5 cups`."""
        return f"{count:g} {self.unit if count <= 1 else self.plural}"


_MANY = {
    "batch": "batches",
    "box": "boxes",
    "bunch": "bunches",
    "loaf": "loaves",
    "squash": "squashes",
}


def many_packs(word: str) -> str:
    """Return the plural of what a shop sells something in: `bottles`, `loaves`."""
    return _MANY.get(word, f"{word}s")


class Bought(Record):
    """A food as a shop sells it: dry rice for boiled rice."""

    name: str
    aisle: str
    g_per_eaten_g: float = Field(json_schema_extra={"bounds": [0.005, 5]})
    pack_g: tuple[float, ...]
    pack_word: str


class DishPart(Record):
    """What is bought for one batch of a dish of one's own: the food by id, its packs, how much of it [g]."""

    food: str
    bought: Bought
    need_g: float


class Food(Record):
    """Something that may stand on a plate. An allergen not stated to be absent counts as contained."""

    id: str = Field(pattern=r"^[a-z][a-z0-9-]*$")
    name: str = Field(min_length=1, max_length=40)
    also: str = ""
    source: Source
    source_id: str
    family: str
    roles: tuple[Role, ...]
    meals: tuple[MealKind, ...]
    kitchens: tuple[Kitchen, ...]
    portion: Portion
    per_100g: Composition
    state: State
    goes_with: tuple[str, ...] = ()
    bought: Bought
    contains: tuple[Allergen, ...] = ()
    free_from: tuple[Allergen, ...] = ()
    diet: Diet = "any"
    why: str
    ingredients: str = ""
    density_g_per_ml: float | None = None
    sweet_drink: bool = False
    dislike: int = Field(default=0, ge=0, le=4)
    parts: tuple[DishPart, ...] = Field(default=(), exclude_if=lambda parts: not parts)

    @model_validator(mode="after")
    def _marks_agree(self) -> Self:
        both = sorted(set(self.contains) & set(self.free_from))
        if both:
            raise ValueError(f"{', '.join(both)} cannot be both contained and absent")
        return self

    @property
    def is_own(self) -> bool:
        """Whether somebody typed it: a label, a recipe, a row of a table of one's own."""
        return self.source != "sr28"

    @property
    def batch_g(self) -> float | None:
        """The mass of one batch of a dish when done; None of what is bought as it is."""
        return self.bought.pack_g[0] if self.parts else None

    def holds(self, mass_g: float) -> Composition:
        """Return what so many grams of it hold, as eaten."""
        return self.per_100g.times(mass_g / 100)

    def refused_for(self, allergens: tuple[str, ...], words: tuple[str, ...], diet: str) -> str:
        """Return why this athlete may not have the food, or an empty string; unknown counts as contained."""
        for allergen in allergens:
            if allergen in self.contains:
                return f"contains {allergen}"
            if allergen not in self.free_from:
                return f"not stated to be free from {allergen}"
        text = f"{self.name} {self.also} {self.family} {self.bought.name} {self.ingredients}".lower()
        for word in words:
            if word.lower() in text:
                return f"contains {word}"
            if not self.ingredients:
                return f"no list of ingredients to look for {word} in"
        if DIETS[self.diet] < DIETS[diet]:
            return f"not stated to be {diet}"
        return ""


@cache
def foods() -> tuple[Food, ...]:
    """Return every food of the larder that may stand on a plate, in the order of its files."""
    return tuple(_food(food_id, entry) for food_id, entry in _entries())


@cache
def _by_id() -> dict[str, Food]:
    return {food.id: food for food in foods()}


def food_of(food_id: str) -> Food | None:
    """Return the food of that id, or None."""
    return _by_id().get(food_id)


class Larder(NamedTuple):
    """The foods that somebody may lay: own ones, if any, before those that every larder has."""

    own: tuple[Food, ...] = ()

    @property
    def foods(self) -> tuple[Food, ...]:
        return (*self.own, *foods())

    def food_of(self, food_id: str) -> Food | None:
        """Return the food of that id, or None."""
        return next((food for food in self.own if food.id == food_id), None) or food_of(food_id)


@cache
def bought_uncooked() -> dict[str, Bought]:
    """Return how a shop sells what is dry or raw, by the table's number of that; a gram bought is a gram."""
    found: dict[str, Bought] = {}
    for food_id, entry in _entries():
        bought = _by_id()[food_id].bought.model_copy(update={"g_per_eaten_g": 1.0})
        for kind in ("dry", "raw"):
            if kind in entry:
                found.setdefault(entry[kind], bought)
    return found


def _entries() -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield each food's own data, with what its file says of all its foods."""
    folder = files("provand.larder").joinpath("foods")
    for path in sorted(folder.iterdir(), key=lambda path: path.name):
        entries = tomllib.loads(path.read_text("utf-8"))
        shared = entries.pop("group")
        for food_id, entry in entries.items():
            yield food_id, shared | entry


@cache
def _marks() -> dict[str, dict[str, Any]]:
    return tomllib.loads(files("provand.larder").joinpath("marks.toml").read_text("utf-8"))


class Marks(NamedTuple):
    """What a food contains, what it is free from, the strictest diet it suits, why, and what is in it."""

    contains: tuple[Allergen, ...]
    free_from: tuple[Allergen, ...]
    diet: Diet
    why: str
    ingredients: str


def marks_of(entry: Mapping[str, Any]) -> Marks:
    """Return the marks of a food's own data: those of its kind, and what is said of it alone."""
    kind = _marks()[entry["marks"]]
    contains, free_from = _allergens(entry, kind)
    alone = kind.get("alone") if entry.get("alone", True) else None
    return Marks(
        contains=contains,
        free_from=free_from,
        diet=entry.get("diet", kind["diet"]),
        why=entry.get("why", kind["why"]),
        ingredients="" if alone is None else f"{entry['name']} {alone}".strip(),
    )


def _food(food_id: str, entry: dict[str, Any]) -> Food:
    row = table_rows()[entry["sr28"]]
    return Food(
        **marks_of(entry)._asdict(),
        id=food_id,
        name=entry["name"],
        also=entry.get("also", ""),
        source="sr28",
        source_id=row.number,
        family=entry["family"],
        roles=entry["roles"],
        meals=entry["meals"],
        kitchens=entry["kitchens"],
        portion=_portion(entry, row),
        per_100g=per_100g(row, entry),
        state=entry["state"],
        goes_with=entry.get("goes_with", ()),
        bought=_bought(entry, row),
        density_g_per_ml=_density_g_per_ml(entry, row),
        sweet_drink=entry.get("sweet_drink", False),
        dislike=entry.get("dislike", 0),
    )


def _allergens(
    entry: Mapping[str, Any], marks: Mapping[str, Any]
) -> tuple[tuple[Allergen, ...], tuple[Allergen, ...]]:
    """Return what a food contains and what it is free from; what one list holds cannot be in the other."""
    has, lacks = SUGARS[entry["sugars"]]
    contains = {*marks.get("contains", ()), *entry.get("contains", ()), *has}
    stated = marks["free_from"]
    free = {*(FOURTEEN if stated == ["all"] else stated), *lacks} - {*marks.get("unknown", ()), *contains}
    order: tuple[Allergen, ...] = (*FOURTEEN, "fructose", "sorbitol")
    return tuple(one for one in order if one in contains), tuple(one for one in order if one in free)


def _portion(entry: Mapping[str, Any], row: TableRow) -> Portion:
    unit, plural, sequence, *times = entry["unit"]
    measure = row.measures[str(sequence)]
    unit_g = rounded(measure.one_g * (times[0] if times else 1))
    return Portion(unit=unit, plural=plural, unit_g=unit_g, counts=entry["counts"], measure=str(sequence))


def _bought(entry: Mapping[str, Any], row: TableRow) -> Bought:
    return Bought(
        name=entry["buy"],
        aisle=entry["aisle"],
        g_per_eaten_g=rounded(_g_per_eaten_g(entry, row)),
        pack_g=entry["packs"],
        pack_word=entry.get("pack_word", "pack"),
    )


def _g_per_eaten_g(entry: Mapping[str, Any], row: TableRow) -> float:
    """Return the grams bought for a gram eaten.

    Dry to cooked by the carbohydrate of both, raw to cooked by their protein; else as estimated, or by the
    table's waste.
    """
    for kind, column in (("dry", "carb_by_difference_g"), ("raw", "protein_g")):
        if kind in entry:
            held, bought = row.amount(column), table_rows()[entry[kind]].amount(column)
            assert held is not None and bought  # both are known of every food named so
            return held / bought
    return float(entry.get("yield", 100 / (100 - row.refuse_percent)))


def _density_g_per_ml(entry: Mapping[str, Any], row: TableRow) -> float | None:
    for key, volume_ml in (("fl_oz", FL_OZ_ML), ("cup", CUP_ML)):
        if key in entry:
            return rounded(row.measures[str(entry[key])].all_g / volume_ml)
    return None


def per_100g(row: TableRow, entry: Mapping[str, Any]) -> Composition:
    """Return what 100 g hold. A blank is unknown, but for what our own data say is not in it (`nil`).

    Carbohydrate is made available: by difference less fibre; where fibre is unknown, from that at our
    estimate of the most it can be up to all of it; without an estimate it is unknown.
    """
    known = {name: _amount(row, name, entry) for name in PLAIN}
    carb, fibre = _carb_and_fibre(row, entry)
    glucose, fructose = _sugar_split(row, carb)
    return Composition(
        mass_g=Range.exact(100.0),
        water_ml=_amount(row, "water_g", entry),
        carb_g=carb,
        glucose_g=glucose,
        fructose_g=fructose,
        fibre_g=fibre,
        caffeine_mg=_varied(_amount(row, "caffeine_mg", entry), entry.get("varies", 1.0)),
        **known,
    )


PLAIN = (
    "fat_g", "protein_g", "sodium_mg", "sugars_g", "starch_g", "alcohol_g", "energy_kcal", "energy_kj",
)  # fmt: skip
"""Amounts that are taken from the table as they are."""


def _amount(row: TableRow, name: str, entry: Mapping[str, Any]) -> Range | None:
    amount = row.amount(name)
    if amount is None and name in entry.get("nil", ()):
        amount = 0.0
    return None if amount is None else Range.exact(amount)


def _varied(amount: Range | None, fold: float) -> Range | None:
    """Return an amount as a range whose ends are so many fold apart."""
    if amount is None or fold == 1:
        return amount
    half = math.sqrt(fold)
    return Range.of(rounded(amount.mid / half), rounded(amount.mid * half), amount.mid)


def _carb_and_fibre(row: TableRow, entry: Mapping[str, Any]) -> tuple[Range | None, Range | None]:
    total_g, fibre_g = row.amount("carb_by_difference_g"), row.amount("fibre_g")
    if total_g is None:
        return None, None
    if fibre_g is not None:
        return Range.exact(rounded(max(0.0, total_g - fibre_g))), Range.exact(fibre_g)
    if "max_fibre_g" not in entry:
        return None, None
    most_g = entry["max_fibre_g"]
    return Range.of(rounded(total_g - most_g), total_g), Range.of(0.0, most_g)


def _sugar_split(row: TableRow, carb: Range | None) -> tuple[Range | None, Range | None]:
    """Return glucose-like and fructose carbohydrate; unknown where fructose or sucrose is unknown."""
    if carb is None:
        return None, None
    if row.amount("sugars_g") == 0:
        return carb, Range.exact(0.0)
    free_g, sucrose_g = row.amount("fructose_g"), row.amount("sucrose_g")
    if free_g is None or sucrose_g is None:
        return None, None
    fructose_g = rounded(fructose_in_mix_g(free_fructose_g=free_g, sucrose_g=sucrose_g))
    low, mid, high = (rounded(max(0.0, end - fructose_g)) for end in (carb.low, carb.mid, carb.high))
    return Range(low=low, mid=mid, high=high, means=carb.means), Range.exact(fructose_g)
