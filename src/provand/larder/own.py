"""A practice's own foods: from the label of a pack, or by a recipe from other foods."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from typing import Any, NamedTuple, Self

from pydantic import Field, model_validator

from provand.figure import Range
from provand.larder.composition import Composition, total
from provand.larder.food import (
    DIETS,
    FOURTEEN,
    Bought,
    DishPart,
    Food,
    Kitchen,
    MealKind,
    Portion,
    Role,
    State,
)
from provand.larder.item import Allergen, Diet
from provand.larder.label import Label, composition_of
from provand.larder.raw import Raw
from provand.record import Record, rounded

EVERY: tuple[Allergen, ...] = (*FOURTEEN, "fructose", "sorbitol")
WATER_G_PER_ML = 1.0


def _mass(doc: str, high_g: float, **more: Any) -> Any:
    return Field(description=doc, json_schema_extra={"bounds": [0.1, high_g]}, **more)


class OnPlate(Record):
    """What a label and a recipe are both to say: how the food is called, and how it stands on a plate."""

    id: str = Field(pattern=r"^[a-z][a-z0-9-]*$", description="short id, lower case with hyphens")
    name: str = Field(min_length=1, max_length=40, description="what the athlete calls it")
    also: str = Field(default="", description="other words for it, to be found by")
    family: str = Field(default="", description="what it is a kind of, as bread; its own kind when left out")
    roles: tuple[Role, ...] = Field(default=(), description="what it is on a plate; none: on no menu")
    meals: tuple[MealKind, ...] = Field(
        default=("breakfast", "snack", "lunch", "dinner"), description="the meals it is eaten at"
    )
    kitchens: tuple[Kitchen, ...] = Field(
        default=("full", "kettle", "none"),
        description="what must be at hand: full, kettle, none, petrol, hotel",
    )
    state: State = Field(default="as eaten", description="as eaten, cooked or drunk; never dry or raw")
    unit: str = Field(default="portion", min_length=1, description="the word for one of it, as slice")
    units: str = Field(default="", description="that word for several")
    most: int = Field(default=2, ge=1, le=5, description="how many may stand on a plate")
    goes_with: tuple[str, ...] = Field(default=(), description="families that a sauce or spread may stand on")
    sweet_drink: bool = Field(default=False, description="true for a drink with sugar")
    dislike: int = Field(default=0, ge=0, le=4, description="0 liked by most, 4 by few")
    aisle: str = Field(default="own foods", description="where a shop has it")
    contains: tuple[Allergen, ...] = Field(default=(), description="allergens it contains")
    free_from: tuple[Allergen, ...] = Field(default=(), description="allergens stated to be absent")
    why: str = Field(default="", description="why the marks are as they are")

    def portion(self, unit_g: float) -> Portion:
        """Return the household portion of so many grams."""
        counts = tuple(float(count) for count in range(1, self.most + 1))
        return Portion(unit=self.unit, plural=self.units or self.unit, unit_g=rounded(unit_g), counts=counts)

    def _shared(self) -> dict[str, Any]:
        given = (
            "id",
            "name",
            "also",
            "roles",
            "meals",
            "kitchens",
            "state",
            "goes_with",
            "sweet_drink",
            "dislike",
        )
        return {**{name: getattr(self, name) for name in given}, "family": self.family or self.name}


class LabelFood(OnPlate):
    """A food by the label of its pack, printed values as they stand there."""

    one_g: float = _mass("mass of one portion", 1000)
    diet: Diet = Field(default="any", description="strictest diet it suits: vegan, vegetarian, or any")
    alcohol_g: float | None = Field(
        default=None,
        description="alcohol in 100 g; 0 where the pack tells of none, unknown when left out",
        json_schema_extra={"bounds": [0, 100]},
    )
    label: Label = Field(description="the label as printed")

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.label.pack_g is None:
            raise ValueError(
                "a portion is told by mass, so the label needs the pack's mass, beside its volume"
            )
        if composition_of(self.label).carb_g is None:
            raise ValueError("carbohydrate without fibre is unknown: a US label needs its fibre, too")
        if set(self.contains) & set(self.free_from):
            raise ValueError("an allergen cannot be both contained and absent")
        return self

    def food(self) -> Food:
        """Return the food that the label describes."""
        pack_g = self.label.pack_g
        assert pack_g is not None  # held to above
        alcohol = None if self.alcohol_g is None else Range.exact(self.alcohol_g)
        holds = composition_of(self.label).times(100 / pack_g).model_copy(update={"alcohol_g": alcohol})
        density = None if self.label.pack_ml is None else rounded(pack_g / self.label.pack_ml)
        return Food(
            **self._shared(),
            source="label",
            source_id=f"{self.label.convention} label, per {self.label.basis}",
            portion=self.portion(self.one_g),
            per_100g=holds,
            bought=Bought(
                name=self.name, aisle=self.aisle, g_per_eaten_g=1.0, pack_g=(pack_g,), pack_word="pack"
            ),
            contains=self.contains,
            free_from=self.free_from,
            diet=self.diet,
            why=self.why or "As typed from the pack.",
            ingredients=self.label.ingredients,
            density_g_per_ml=density,
        )


class Part(Record):
    """An ingredient of a recipe: a food of the larder, an own one, or something raw or dry."""

    food: str = Field(min_length=1, description="id of a food, or of something raw or dry")
    mass_g: float | None = _mass("how much of it", 20_000, default=None)
    portions_count: float | None = Field(
        default=None, description="or how many household portions", json_schema_extra={"bounds": [0.05, 100]}
    )

    @model_validator(mode="after")
    def _one_amount(self) -> Self:
        if (self.mass_g is None) == (self.portions_count is None):
            raise ValueError("an ingredient has either a mass or a count of portions")
        return self


class Recipe(OnPlate):
    """A dish of one's own: ingredients, what the whole weighs when done, how many portions it makes."""

    ingredients: tuple[Part, ...] = Field(min_length=1, description="ingredients with their amounts")
    done_g: float | None = _mass(
        "mass of the whole when done; the sum of the parts if left out", 50_000, default=None
    )
    makes: int = Field(ge=1, le=100, description="how many portions it makes")

    def food(self, named: Callable[[str], Food | Raw]) -> Food:
        """Return the dish as a food; ValueError says what it cannot be."""
        parts = [_held(part, named(part.food)) for part in self.ingredients]
        raw = total(part.holds for part in parts)
        raw_g = math.fsum(part.mass_g for part in parts)
        done_g = raw_g if self.done_g is None else self.done_g
        holds = raw.model_copy(update={"mass_g": Range.exact(done_g), "water_ml": _water(raw, raw_g, done_g)})
        contains = _of_any(self.contains, (part.of.contains for part in parts))
        free_from = _of_all(self.free_from, contains, [part.of.free_from for part in parts])
        return Food(
            **self._shared(),
            source="recipe",
            source_id="; ".join(f"{part.of.name} {part.mass_g:g} g" for part in parts),
            portion=self.portion(done_g / self.makes),
            per_100g=holds.times(100 / done_g),
            bought=Bought(
                name=self.name,
                aisle=self.aisle,
                g_per_eaten_g=1.0,
                pack_g=(rounded(done_g),),
                pack_word="batch",
            ),
            contains=contains,
            free_from=free_from,
            diet=min((part.of.diet for part in parts), key=lambda diet: DIETS[diet]),
            why=self.why or f"By its ingredients: {'; '.join(part.of.name for part in parts)}.",
            ingredients=_ingredients(parts),
            parts=tuple(part for held in parts for part in _to_buy(held)),
        )


class _Held(NamedTuple):
    """An ingredient with what it brings."""

    of: Food | Raw
    mass_g: float
    holds: Composition


def _held(part: Part, of: Food | Raw) -> _Held:
    mass_g = part.mass_g
    if mass_g is None:
        if isinstance(of, Raw):
            raise ValueError(f"{of.name} has no household portion: give its mass")
        mass_g = (part.portions_count or 0) * of.portion.unit_g
    if of.per_100g.carb_g is None:
        raise ValueError(f"the carbohydrate of {of.name} is unknown")
    return _Held(of, mass_g, of.holds(mass_g))


def _to_buy(held: _Held) -> Iterator[DishPart]:
    """Yield what is bought for an ingredient; a dish in a dish is made anew, in proportion."""
    of = held.of
    if isinstance(of, Food) and of.batch_g is not None:
        for part in of.parts:
            yield part.model_copy(update={"need_g": rounded(part.need_g * held.mass_g / of.batch_g)})
        return
    yield DishPart(food=of.id, bought=of.bought, need_g=rounded(held.mass_g * of.bought.g_per_eaten_g))


def _water(raw: Composition, raw_g: float, done_g: float) -> Range | None:
    """Return the water of what is done: that of the parts, and what was taken up or lost on the way."""
    if raw.water_ml is None:
        return None
    gained_ml = (done_g - raw_g) / WATER_G_PER_ML
    if raw.water_ml.high + gained_ml < 0:
        raise ValueError(f"done it weighs {done_g:g} g, less than its parts without any water")
    low, mid, high = (
        max(0.0, end + gained_ml) for end in (raw.water_ml.low, raw.water_ml.mid, raw.water_ml.high)
    )
    return Range(low=low, mid=mid, high=high, means=raw.water_ml.means)


def _of_any(stated: Iterable[Allergen], held: Iterable[tuple[Allergen, ...]]) -> tuple[Allergen, ...]:
    named = {*stated, *(one for marks in held for one in marks)}
    return tuple(one for one in EVERY if one in named)


def _of_all(
    stated: Iterable[Allergen], contains: tuple[Allergen, ...], held: list[tuple[Allergen, ...]]
) -> tuple[Allergen, ...]:
    """Return what every ingredient is free from, and what is stated besides and no ingredient contains."""
    shared = {one for one in EVERY if all(one in marks for marks in held)}
    return tuple(one for one in EVERY if one in {*shared, *stated} and one not in contains)


def _ingredients(parts: Iterable[_Held]) -> str:
    """Return the list of ingredients, or nothing where that of one part is not known."""
    lists = [part.of.ingredients for part in parts]
    return "; ".join(lists) if all(lists) else ""


def same_names(foods: Iterable[Food]) -> Iterator[tuple[Food, Food]]:
    """Yield each food that has the name of an earlier one, with that one."""
    seen: dict[str, Food] = {}
    for food in foods:
        key = " ".join(food.name.casefold().split())
        if key in seen:
            yield food, seen[key]
        seen.setdefault(key, food)
