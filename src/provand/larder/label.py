"""A label as printed, and what it means: conventions, bases, sugars, salt."""

from __future__ import annotations

from datetime import date
from typing import Literal, Self

from pydantic import Field, model_validator

from provand.figure import Range
from provand.larder.composition import Composition
from provand.record import Record

Convention = Literal["EU", "US"]
Basis = Literal["100 g", "100 ml", "serving", "pack"]


def amount(doc: str, high: float, *, low: float = 0) -> float | None:
    """Return a field for a printed amount that may be missing: None is unknown, never zero."""
    field: float | None = Field(default=None, description=doc, json_schema_extra={"bounds": [low, high]})
    return field


class Label(Record):
    """The printed values for one basis, never converted.

    EU: carbohydrate excludes fibre, salt is printed. US: total carbohydrate includes fibre, sodium is
    printed. A value that is not printed is unknown.
    """

    convention: Convention = Field(
        description="EU (carbohydrate without fibre, salt) or US (total carbohydrate, sodium)"
    )
    basis: Basis = Field(description="what the printed amounts refer to: 100 g, 100 ml, serving or pack")
    pack_g: float | None = amount("net mass of the pack", 5000)
    pack_ml: float | None = amount("net volume of the pack", 5000)
    serving_g: float | None = amount("mass of one serving", 2000)
    serving_ml: float | None = amount("volume of one serving", 2000)
    carb_g: float | None = amount("carbohydrate as printed", 1000)
    fibre_g: float | None = amount("fibre as printed", 500)
    sugars_g: float | None = amount("sugars as printed", 1000)
    glucose_g: float | None = amount(
        "glucose, dextrose, maltodextrin and starch, where the pack states them", 1000
    )
    fructose_g: float | None = amount("free fructose, where the pack states it", 1000)
    sucrose_g: float | None = amount("table sugar, where the pack states it", 1000)
    fat_g: float | None = amount("fat as printed", 500)
    protein_g: float | None = amount("protein as printed", 500)
    salt_g: float | None = amount("salt as printed", 100)
    sodium_mg: float | None = amount("sodium as printed", 40000)
    caffeine_mg: float | None = amount(
        "caffeine as printed; no mention on a pack that must state it is 0", 5000
    )
    water_ml: float | None = amount(
        "water in it, where known; else estimated from mass less what is dissolved", 5000
    )
    ingredients: str = Field(default="", description="the list of ingredients as printed")
    seen_on: date | None = Field(default=None, description="the day the pack was read")

    @model_validator(mode="after")
    def _possible(self) -> Self:
        carb, mass = self.available_carb_g(), self._basis_g()
        if carb is not None and carb < 0:
            raise ValueError("fibre is more than the total carbohydrate")
        if carb is not None and mass is not None and carb > mass:
            raise ValueError(f"{carb:g} g of carbohydrate cannot be in {mass:g} g")
        salt, sodium = self.salt_g, self.sodium_mg
        if salt is not None and sodium is not None and abs(sodium - salt * 400) > max(25, 0.1 * sodium):
            raise ValueError("salt and sodium disagree: salt is sodium x 2.5")
        parts = [p for p in (self.glucose_g, self.fructose_g, self.sucrose_g) if p is not None]
        if carb is not None and sum(parts) > carb * 1.05 + 0.5:
            raise ValueError("the sugars stated come to more than the carbohydrate")
        if self.basis == "pack" or self.portion_of_pack() is not None:
            return self
        raise ValueError(f"printed per {self.basis}, so the pack needs its size in the same unit")

    def _basis_g(self) -> float | None:
        return {"100 g": 100.0, "100 ml": None, "serving": self.serving_g, "pack": self.pack_g}[self.basis]

    def portion_of_pack(self) -> float | None:
        """Return how many times the printed basis one pack is, or None where the sizes do not tell."""
        if self.basis == "pack":
            return 1.0
        if self.basis == "100 g":
            return None if self.pack_g is None else self.pack_g / 100
        if self.basis == "100 ml":
            return None if self.pack_ml is None else self.pack_ml / 100
        if self.serving_g and self.pack_g:
            return self.pack_g / self.serving_g
        if self.serving_ml and self.pack_ml:
            return self.pack_ml / self.serving_ml
        return None

    def available_carb_g(self) -> float | None:
        """Return the carbohydrate without fibre, for the printed basis."""
        if self.carb_g is None or self.convention == "EU":
            return self.carb_g
        return None if self.fibre_g is None else self.carb_g - self.fibre_g

    def printed_sodium_mg(self) -> float | None:
        """Return the sodium for the printed basis: as printed, or salt by the label law (salt / 2.5)."""
        if self.sodium_mg is not None:
            return self.sodium_mg
        return None if self.salt_g is None else self.salt_g * 400


def _halfwidth_g(value_g: float, convention: Convention) -> float:
    """Return half the rounding step of a printed mass (EU guidance 2012; US 21 CFR 101.9(c))."""
    if convention == "US":
        return 0.5
    return 0.5 if value_g >= 10 else 0.05


def _ranged(value: float | None, half: float, portion: float) -> Range | None:
    if value is None:
        return None
    if value == 0:
        return Range.exact(0.0)
    return Range(low=max(0.0, value - half) * portion, mid=value * portion, high=(value + half) * portion)


def composition_of(label: Label) -> Composition:
    """Return what one pack holds; printed values are ranges of half their rounding step."""
    portion = label.portion_of_pack() or 1.0
    halves = {
        name: _ranged(
            getattr(label, name), _halfwidth_g(getattr(label, name) or 0, label.convention), portion
        )
        for name in ("fibre_g", "fat_g", "protein_g")
    }
    available = label.available_carb_g()
    carb = _ranged(available, _halfwidth_g(available or 0, label.convention), portion)
    sodium = label.printed_sodium_mg()
    half_sodium = 5.0 if label.salt_g is None or (sodium or 0) < 400 else 20.0
    glucose, fructose = _sugar_split(label, portion)
    mass = label.pack_g if label.pack_g is not None else None
    return Composition(
        mass_g=None if mass is None else Range.exact(mass),
        water_ml=_water(label, carb),
        carb_g=carb,
        glucose_g=glucose,
        fructose_g=fructose,
        sodium_mg=_ranged(sodium, half_sodium, portion),
        caffeine_mg=None if label.caffeine_mg is None else Range.exact(label.caffeine_mg * portion),
        **halves,
    )


def _sugar_split(label: Label, portion: float) -> tuple[Range | None, Range | None]:
    """Return glucose-like and fructose carbohydrate; unknown where the pack does not tell.

    A pack whose sugars are printed as 0 holds no fructose: all of it is starch or maltodextrin.
    """
    carb = label.available_carb_g()
    if carb == 0:
        return Range.exact(0.0), Range.exact(0.0)
    if label.sugars_g == 0 and carb is not None:
        return Range.exact(carb * portion), Range.exact(0.0)
    if label.fructose_g is None and label.sucrose_g is None:
        return None, None
    fructose = (label.fructose_g or 0) + (label.sucrose_g or 0) / 2
    if carb is None:
        return None, Range.exact(fructose * portion)
    return Range.exact(max(0.0, carb - fructose) * portion), Range.exact(fructose * portion)


def _water(label: Label, carb: Range | None) -> Range | None:
    portion = label.portion_of_pack() or 1.0
    if label.water_ml is not None:
        return Range.exact(label.water_ml * portion)
    if label.pack_ml is not None:
        return Range.of(0.9 * label.pack_ml, label.pack_ml)
    if label.pack_g is None or carb is None:
        return None
    solids = carb.mid + portion * ((label.protein_g or 0) + (label.fat_g or 0) + (label.fibre_g or 0))
    left = max(0.0, label.pack_g - solids)
    return Range(low=0.8 * left, mid=0.9 * left, high=left)
