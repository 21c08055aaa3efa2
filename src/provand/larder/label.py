"""A label as printed, and what it means: conventions, bases, sugars, salt."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from typing import Any, Literal, Self

from pydantic import Field, model_validator

from provand.figure import Range
from provand.larder.composition import Composition
from provand.larder.parts import Parts, energy_faults
from provand.record import Record

Convention = Literal["EU", "US"]
Basis = Literal["100 g", "100 ml", "serving", "pack"]


def amount(doc: str, high: float, *, low: float = 0, **more: Any) -> float | None:
    """Return a field for a printed amount that may be missing: None is unknown, never zero."""
    field: float | None = Field(
        default=None, description=doc, json_schema_extra={"bounds": [low, high]}, **more
    )
    return field


def _is_unsaid(value: float | None) -> bool:
    return value is None


class Label(Record):
    """The printed values for one basis, never converted.

    EU: carbohydrate excludes fibre, salt is printed. US: total carbohydrate includes fibre, sodium is
    printed. A value that is not printed is unknown.
    """

    convention: Convention = Field(
        description="EU (carbohydrate without fibre, salt) or US (total carbohydrate, sodium)"
    )
    basis: Basis = Field(description="what the printed amounts refer to: 100 g, 100 ml, serving or pack")
    pack_g: float | None = amount("net mass of the pack", 5000, low=0.1)
    pack_ml: float | None = amount("net volume of the pack", 5000, low=0.1)
    serving_g: float | None = amount("mass of one serving", 2000, low=0.1)
    serving_ml: float | None = amount("volume of one serving", 2000, low=0.1)
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
    polyols_g: float | None = amount(
        "polyols as printed, part of the carbohydrate", 500, exclude_if=_is_unsaid
    )
    energy_kcal: float | None = amount("energy as printed, kcal or kJ", 20_000, exclude_if=_is_unsaid)
    ingredients: str = Field(default="", description="the list of ingredients as printed")
    seen_on: date | None = Field(default=None, description="the day the pack was read")

    @model_validator(mode="after")
    def _possible(self) -> Self:
        faults = [*self._carb_faults(), *self._salt_faults(), *self._energy_faults()]
        if self.portion_of_pack() is None:
            faults.append(f"printed per {self.basis}, so the pack needs its size in the same unit")
        if faults:
            raise ValueError("; ".join(faults))
        return self

    def _carb_faults(self) -> Iterator[str]:
        carb, mass = self.available_carb_g(), self._basis_g()
        if carb is None:
            return
        solids = carb + sum(part or 0 for part in (self.fibre_g, self.fat_g, self.protein_g))
        if carb < 0:
            yield "fibre is more than the total carbohydrate"
        elif mass is not None and carb > mass:
            yield f"{carb:g} g of carbohydrate cannot be in {mass:g} g"
        elif mass is not None and solids > mass + 2:
            yield f"carbohydrate, fibre, fat and protein come to {solids:g} g of {mass:g} g"
        if (self.sugars_g or 0) > max(carb, 0) + 1:
            yield "the sugars are more than the carbohydrate"
        stated = sum(part or 0 for part in (self.glucose_g, self.fructose_g, self.sucrose_g))
        if stated > max(carb, 0) * 1.05 + 0.5:
            yield "the sugars stated come to more than the carbohydrate"

    def _salt_faults(self) -> Iterator[str]:
        salt, sodium = self.salt_g, self.sodium_mg
        if salt is not None and sodium is not None and abs(sodium - salt * 400) > max(25, 0.1 * sodium):
            yield "salt and sodium disagree: salt is sodium x 2.5"

    def _energy_faults(self) -> Iterator[str]:
        carb = self.available_carb_g()
        if (self.polyols_g or 0) > (0 if carb is None else carb):
            yield "the polyols are more than the carbohydrate"
        elif self.energy_kcal is not None:
            parts = Parts(carb, self.fibre_g, self.fat_g, self.protein_g, self.polyols_g)
            yield from energy_faults(parts, mass_g=self._basis_g(), energy_kcal=self.energy_kcal)

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


@lru_cache(maxsize=512)
def composition_of(label: Label) -> Composition:
    """Return what one pack holds; printed values are ranges of half their rounding step."""
    portion = label.portion_of_pack()
    if portion is None:
        raise ValueError("a label that gives no size of its pack cannot be made")
    printed = {name: getattr(label, name) for name in ("fibre_g", "fat_g", "protein_g")}
    others = {
        name: _ranged(value, _halfwidth_g(value or 0, label.convention), portion)
        for name, value in printed.items()
    }
    carb = _carb(label, portion)
    sodium = label.printed_sodium_mg()
    half_sodium = 5.0 if label.salt_g is None or (sodium or 0) < 400 else 20.0
    glucose, fructose = _sugar_split(label, carb, portion)
    return Composition(
        mass_g=None if label.pack_g is None else Range.exact(label.pack_g),
        water_ml=_water(label, carb, portion),
        carb_g=carb,
        glucose_g=glucose,
        fructose_g=fructose,
        sodium_mg=_ranged(sodium, half_sodium, portion),
        caffeine_mg=None if label.caffeine_mg is None else Range.exact(label.caffeine_mg * portion),
        sugars_g=_printed(label, "sugars_g", portion),
        polyols_g=_printed(label, "polyols_g", portion),
        energy_kcal=_ranged(label.energy_kcal, _energy_halfwidth_kcal(label), portion),
        **others,
    )


def _printed(label: Label, name: str, portion: float) -> Range | None:
    value: float | None = getattr(label, name)
    return _ranged(value, _halfwidth_g(value or 0, label.convention), portion)


def _energy_halfwidth_kcal(label: Label) -> float:
    """Return half the rounding step of printed energy: 1 kcal, or by the US rule 5 up to 50, then 10."""
    if label.convention == "EU":
        return 0.5
    return 2.5 if (label.energy_kcal or 0) <= 50 else 5.0


def _carb(label: Label, portion: float) -> Range | None:
    """Return the available carbohydrate; a US label rounds both the total and the fibre taken from it."""
    available = label.available_carb_g()
    half = _halfwidth_g(available or 0, label.convention)
    if label.convention == "US" and label.fibre_g:
        half += _halfwidth_g(label.fibre_g, "US")
    return _ranged(available, half, portion)


def _sugar_split(label: Label, carb: Range | None, portion: float) -> tuple[Range | None, Range | None]:
    """Return glucose-like and fructose carbohydrate; unknown where the pack does not tell.

    A pack whose sugars are printed as 0 holds no fructose: all of it is starch or maltodextrin. What is
    not fructose counts as glucose, so a sugar left unsaid errs to the side of the one that is limited.
    """
    if carb is not None and (carb.high == 0 or label.sugars_g == 0):
        return carb, Range.exact(0.0)
    if label.fructose_g is None and label.sucrose_g is None:
        return None, None
    fructose_g = ((label.fructose_g or 0) + (label.sucrose_g or 0) / 2) * portion
    if carb is None:
        return None, Range.exact(fructose_g)
    low, mid, high = (max(0.0, end - fructose_g) for end in (carb.low, carb.mid, carb.high))
    return Range(low=low, mid=mid, high=high), Range.exact(fructose_g)


def _water(label: Label, carb: Range | None, portion: float) -> Range | None:
    if label.water_ml is not None:
        return Range.exact(label.water_ml * portion)
    if label.pack_ml is not None:
        return Range.of(0.9 * label.pack_ml, label.pack_ml)
    if label.pack_g is None or carb is None:
        return None
    solids = carb.mid + portion * ((label.protein_g or 0) + (label.fat_g or 0) + (label.fibre_g or 0))
    left = max(0.0, label.pack_g - solids)
    return Range(low=0.8 * left, mid=0.9 * left, high=left)
