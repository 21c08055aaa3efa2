"""What a drink is mixed from: powders and salts of the kitchen, and a product's powder by its label."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from pydantic import Field

from provand.figure import Range
from provand.larder.composition import Composition
from provand.larder.food import Food, food_of
from provand.larder.item import Item
from provand.larder.label import Label
from provand.larder.shelf import shelf
from provand.physiology.chemistry import (
    CITRATE_G_PER_MOL,
    GLUCOSE_G_PER_MOL,
    SALT_G_PER_MOL,
    SUCROSE_G_PER_MOL,
    SUGAR_VOLUME_ML_PER_G,
    maltodextrin_mosm_per_l,
    osmolarity_mosm_per_l,
    sodium_of_salt_mg,
)
from provand.record import Record

NONE = Range.exact(0.0)


class MixLimits(Record):
    """What a drink is judged by (data: `ingredients.toml`, each with its mark)."""

    salty_mg_per_l: float
    most_sodium_mg_per_l: float
    sweet_g_per_l: float
    least_energy_kcal_per_l: float
    most_energy_kcal_per_l: float
    isotonic_mosm_per_kg: tuple[float, float]
    spoon_error_frac: float
    osmolality_error_frac: float
    coarse_frac: float
    juice_error_frac: float
    juice_osmoles_frac: float
    usual_fructose_ratio: float
    own_dextrose_equivalent_percent: float


class Solute(Record):
    """How the osmoles of an ingredient are counted: by molar mass, or by the length of its chains."""

    solute_g_per_mol: float | None = None
    particle_count: float = 1
    dextrose_equivalent_percent: Range | None = None
    splits_in_acid: bool = False


class Ingredient(Record):
    """One thing that goes into a drink; `one_g` is what a gram of it holds, `item` its marks and words."""

    id: str
    name: str
    words: tuple[str, ...] = ()
    kind: Literal["carbohydrate", "salt"]
    item: Item
    one_g: Composition
    solute: Solute | None = None
    spoon_g: Range | None = Field(default=None, description="a level teaspoon; None is not known")
    soluble_g_per_kg: float | None = Field(default=None, description="in a kilogram of water near 20 °C")
    sweetness_ratio: float = 0.0
    piece_g: float | None = Field(default=None, description="mass of one, where it comes in tablets")
    density_g_per_ml: float | None = Field(
        default=None, description="of a liquid, which is measured by volume"
    )

    @property
    def fructose_share_frac(self) -> float | None:
        """How much of its carbohydrate is fructose; None where the label does not tell."""
        carb, fructose = self.one_g.carb_g, self.one_g.fructose_g
        return None if carb is None or fructose is None or carb.mid == 0 else fructose.mid / carb.mid

    @property
    def may_be_sour(self) -> bool:
        """True for a juice, and for a product, which may hold an acid; the powders of a kitchen hold none."""
        return self.solute is None

    @property
    def room_ml_per_g(self) -> float:
        """The room that a gram takes in a drink: of a powder its carbohydrate's, of a juice all of it."""
        if self.density_g_per_ml is not None:
            return 1 / self.density_g_per_ml
        return SUGAR_VOLUME_ML_PER_G * (self.one_g.carb_g or NONE).mid

    @property
    def water_ml_per_g(self) -> float:
        """The water that a gram of a juice brings; that of a powder is not counted."""
        return 0.0 if self.density_g_per_ml is None else (self.one_g.water_ml or NONE).mid

    def mosm_per_l(self, *, amount_g_per_l: float, in_acid: bool) -> Range:
        """Return the osmoles that so much of it brings to a litre; sucrose in acid may have split in two."""
        held = self.one_g.times(amount_g_per_l)
        if self.density_g_per_ml is not None:
            return _of_a_juice_mosm_per_l(held.carb_g or NONE)
        if self.solute is None:
            return _of_a_product_mosm_per_l(held)
        if self.solute.dextrose_equivalent_percent is not None:
            return _of_chains_mosm_per_l(held.carb_g or NONE, self.solute.dextrose_equivalent_percent)
        counted = held.carb_g if self.kind == "carbohydrate" else Range.exact(amount_g_per_l)
        assert counted is not None
        assert self.solute.solute_g_per_mol is not None
        low, mid, high = (
            osmolarity_mosm_per_l(
                solute_g_per_l=end,
                solute_g_per_mol=self.solute.solute_g_per_mol,
                particle_count=self.solute.particle_count,
            )
            for end in (counted.low, counted.mid, counted.high)
        )
        return Range.of(low, high * 2 if self.solute.splits_in_acid and in_acid else high, mid)


def _of_a_juice_mosm_per_l(carb: Range) -> Range:
    """Return the osmoles of a juice: from sucrose alone up to single sugars with its acids and minerals."""
    low = osmolarity_mosm_per_l(solute_g_per_l=carb.low, solute_g_per_mol=SUCROSE_G_PER_MOL, particle_count=1)
    return Range.of(low, _sugar(carb.high) * (1 + mix_limits().juice_osmoles_frac))


def _of_chains_mosm_per_l(carb: Range, chains: Range) -> Range:
    low, mid, high = (
        maltodextrin_mosm_per_l(maltodextrin_g_per_l=amount, dextrose_equivalent_percent=equivalent)
        for amount, equivalent in (
            (carb.low, chains.low), (carb.mid, chains.mid), (carb.high, chains.high),
        )
    )  # fmt: skip
    return Range.of(low, high, mid)


def _of_a_product_mosm_per_l(held: Composition) -> Range:
    """Return the osmoles of a product's powder: from long chains up to single sugars, salted."""
    carb = held.carb_g or NONE
    fructose = held.fructose_g or Range.of(0.0, carb.high)
    chains = max(0.0, carb.low - fructose.low)
    least = maltodextrin_mosm_per_l(
        maltodextrin_g_per_l=chains, dextrose_equivalent_percent=mix_limits().own_dextrose_equivalent_percent
    ) + _sugar(fructose.low)
    sodium = held.sodium_mg or NONE
    one_salt = sodium_of_salt_mg(salt_g=1.0, sodium_count=1, salt_g_per_mol=SALT_G_PER_MOL)
    one_citrate = sodium_of_salt_mg(salt_g=1.0, sodium_count=3, salt_g_per_mol=CITRATE_G_PER_MOL)
    salted = osmolarity_mosm_per_l(
        solute_g_per_l=sodium.high / one_salt, solute_g_per_mol=SALT_G_PER_MOL, particle_count=2
    )
    milder = osmolarity_mosm_per_l(
        solute_g_per_l=sodium.low / one_citrate, solute_g_per_mol=CITRATE_G_PER_MOL, particle_count=4
    )
    return Range.of(least + milder, _sugar(carb.high) + salted)


def _sugar(amount_g_per_l: float) -> float:
    return osmolarity_mosm_per_l(
        solute_g_per_l=amount_g_per_l, solute_g_per_mol=GLUCOSE_G_PER_MOL, particle_count=1
    )


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(files("provand.larder").joinpath("ingredients.toml").read_text("utf-8"))


@cache
def mix_limits() -> MixLimits:
    """Return what drinks are judged by."""
    return MixLimits(**_data()["limits"])


@cache
def ingredients() -> tuple[Ingredient, ...]:
    """Return the powders and salts of a kitchen, none of them of a brand (data: `ingredients.toml`)."""
    return tuple(_ingredient(entry) for entry in _data()["ingredients"])


def _ingredient(entry: Mapping[str, Any]) -> Ingredient:
    carb = _range(entry["carb_frac"]) if "carb_frac" in entry else NONE
    of_fructose = entry.get("fructose_frac", 0.0)
    fructose = _part(carb, of_fructose)
    glucose = _part(carb, 1 - of_fructose)
    count = entry.get("sodium_count", 0)
    sodium = 0.0
    if count:
        sodium = sodium_of_salt_mg(salt_g=1.0, sodium_count=count, salt_g_per_mol=entry["solute_g_per_mol"])
    exact = dict.fromkeys(("fibre_g", "fat_g", "protein_g", "caffeine_mg"), NONE)
    return Ingredient(
        id=entry["id"],
        name=entry["name"],
        words=tuple(entry["words"]),
        kind=entry["kind"],
        item=_item(entry, carb.mid, fructose.mid, sodium),
        one_g=Composition(
            mass_g=Range.exact(1.0),
            carb_g=carb,
            glucose_g=glucose,
            fructose_g=fructose,
            sodium_mg=Range.exact(sodium),
            **exact,
        ),
        solute=Solute(
            solute_g_per_mol=entry.get("solute_g_per_mol"),
            particle_count=entry.get("particle_count", 1),
            dextrose_equivalent_percent=_range(entry.get("dextrose_equivalent_percent")),
            splits_in_acid=entry.get("splits_in_acid", False),
        ),
        spoon_g=_range(entry["spoon_g"]),
        soluble_g_per_kg=entry.get("soluble_g_per_kg"),
        sweetness_ratio=entry.get("sweetness_ratio", 0.0),
    )


def _range(ends: Any) -> Any:
    if ends is None:
        return None
    low, mid, high = (float(end) for end in ends)
    return Range.exact(mid) if low == high else Range.of(low, high, mid)


def _part(whole: Range, share: float) -> Range:
    ends = (whole.low * share, whole.mid * share, whole.high * share)
    return Range(low=ends[0], mid=ends[1], high=ends[2], means=whole.means)


def _item(entry: Mapping[str, Any], carb_frac: float, fructose_frac: float, sodium: float) -> Item:
    """Return the ingredient as an item of 100 g, for what looks at marks and lists of ingredients."""
    return Item(
        id=entry["id"],
        name=entry["name"],
        texture="powder",
        label=Label(
            convention="EU",
            basis="100 g",
            pack_g=100,
            carb_g=100 * carb_frac,
            fructose_g=100 * fructose_frac,
            fibre_g=0,
            fat_g=0,
            protein_g=0,
            sodium_mg=100 * sodium,
            caffeine_mg=0,
            ingredients=entry["name"],
        ),
        contains=tuple(entry.get("contains", ())),
        free_from=tuple(entry["free_from"]),
        diet=entry["diet"],
        ingredients_note=entry["why"],
    )


@cache
def juices() -> tuple[Ingredient, ...]:
    """Return the juices of the food table that a drink may be mixed with."""
    found = [food_of(food_id) for food_id in _data()["juices"]["foods"]]
    return tuple(_juice(food) for food in found if food is not None)


def _juice(food: Food) -> Ingredient:
    """Return a juice as an ingredient: the table's values, as wide as one carton differs from another."""
    error = mix_limits().juice_error_frac
    held = food.holds(1.0)
    wide = {name: _around(getattr(held, name), error) for name in ("carb_g", "glucose_g", "fructose_g")}
    label = Label(
        convention="EU",
        basis="100 g",
        pack_g=100,
        fructose_g=None if food.per_100g.fructose_g is None else food.per_100g.fructose_g.mid,
        carb_g=None if food.per_100g.carb_g is None else food.per_100g.carb_g.mid,
        caffeine_mg=0,
        ingredients=food.name,
    )
    return Ingredient(
        id=food.id,
        name=food.name,
        kind="carbohydrate",
        item=Item(
            id=food.id,
            name=food.name,
            texture="drink",
            label=label,
            contains=food.contains,
            free_from=food.free_from,
            diet=food.diet,
            ingredients_note=food.why,
        ),
        one_g=held.model_copy(update=wide),
        sweetness_ratio=1.0,
        density_g_per_ml=food.density_g_per_ml,
    )


def _around(value: Range | None, error_frac: float) -> Range | None:
    if value is None:
        return None
    return Range.of(value.low * (1 - error_frac), value.high * (1 + error_frac), value.mid)


def from_item(item: Item) -> Ingredient | None:
    """Return a product's powder or tablet as an ingredient; None where mass or carbohydrate is unknown.

    A tablet has no spoon and goes in whole. What the label leaves unknown stays unknown.
    """
    mass = item.label.pack_g
    if item.texture not in ("powder", "capsule") or mass is None or item.holds.carb_g is None:
        return None
    is_tablet = item.texture == "capsule"
    return Ingredient(
        id=item.id,
        name=item.name,
        kind="salt" if is_tablet or item.holds.carb_g.mid == 0 else "carbohydrate",
        item=item,
        one_g=item.holds.times(1 / mass),
        piece_g=mass if is_tablet else None,
    )


def cupboard(own: Iterable[Item] = ()) -> dict[str, Ingredient]:
    """Return everything that a drink may be mixed from, by id.

    A kitchen's powder comes before a product of the starter shelf, a product of one's own before both.
    """
    kitchen = {one.id: one for one in (*ingredients(), *juices())}
    return {**kitchen, **_products(shelf()), **kitchen, **_products(own)}


def _products(items: Iterable[Item]) -> dict[str, Ingredient]:
    made = [from_item(item) for item in items]
    return {one.id: one for one in made if one is not None}
