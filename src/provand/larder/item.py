"""Items: something with a label that can be carried, poured or eaten; allergens and exclusions."""

from __future__ import annotations

from functools import cached_property
from typing import Literal, Self

from pydantic import Field, model_validator

from provand.larder.composition import Composition
from provand.larder.drink_wish import DrinkWish
from provand.larder.label import Label, composition_of
from provand.record import Record

Texture = Literal["gel", "chew", "solid", "drink", "water", "powder", "capsule"]
Allergen = Literal[
    "gluten", "crustaceans", "egg", "fish", "peanut", "soya", "milk", "nuts", "celery", "mustard", "sesame",
    "sulphite", "lupin", "molluscs", "fructose", "sorbitol",
]  # fmt: skip
"""The fourteen of EU 1169/2011 Annex II, and two sugars that some people cannot have."""
Diet = Literal["any", "vegetarian", "vegan"]

WATER = "water"


class Item(Record):
    """Something to eat or drink in a race. An allergen that is not listed as absent counts as contained."""

    id: str = Field(pattern=r"^[a-z][a-z0-9-]*$", description="short id, lower case with hyphens")
    name: str = Field(
        min_length=1, max_length=40, description="what the athlete calls it, as printed on the strip"
    )
    texture: Texture = Field(description="gel, chew, solid, drink, water, powder or capsule")
    label: Label = Field(description="the label as printed")
    with_water: bool = Field(default=False, description="true when it must be taken with water")
    pocket_ml: float | None = Field(
        default=None, description="room one takes in a pocket", json_schema_extra={"bounds": [0, 2000]}
    )
    divides_into: int = Field(
        default=1, ge=1, le=20, description="in how many portions one can be taken (chews: pieces)"
    )
    contains: tuple[Allergen, ...] = Field(default=(), description="allergens it contains")
    free_from: tuple[Allergen, ...] = Field(default=(), description="allergens stated to be absent")
    diet: Diet = Field(default="any", description="strictest diet it suits: vegan, vegetarian, or any")
    ingredients_note: str = Field(default="", description="why the allergen marks are as they are")
    recipe: DrinkWish | None = Field(
        default=None,
        description="how the athlete mixes it, where it is a drink of one's own",
        exclude_if=lambda recipe: recipe is None,
    )
    batch: str = Field(default="", description="batch number, for athletes who are tested")

    @model_validator(mode="after")
    def _marks_agree(self) -> Self:
        both = sorted(set(self.contains) & set(self.free_from))
        if both:
            raise ValueError(f"{', '.join(both)} cannot be both contained and absent")
        return self

    @cached_property
    def holds(self) -> Composition:
        """What one pack (of a drink served in cups: 100 ml) holds."""
        return composition_of(self.label)

    def may_contain(self, allergen: str) -> bool:
        """True unless the item states that this allergen is absent."""
        return allergen not in self.free_from

    def refused_for(self, allergens: tuple[str, ...], words: tuple[str, ...], diet: str) -> str:
        """Return why this athlete may not have the item, or an empty string."""
        for allergen in allergens:
            if allergen in self.contains:
                return f"contains {allergen}"
            if self.may_contain(allergen):
                return f"not stated to be free from {allergen}"
        text = f"{self.name} {self.label.ingredients}".lower()
        for word in words:
            if not self.label.ingredients:
                return f"no list of ingredients to look for {word} in"
            if word.lower() in text:
                return f"contains {word}"
        if {"any": 0, "vegetarian": 1, "vegan": 2}[self.diet] < {"any": 0, "vegetarian": 1, "vegan": 2}[diet]:
            return f"not stated to be {diet}"
        return ""
