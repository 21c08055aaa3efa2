"""Foods of the larder as the planner takes them: known amounts alone, and what each stands on."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from typing import NamedTuple

from provand.larder.food import Food
from provand.planner.menu.problem import PlateFood
from provand.safety.foods import never_laid

LEAST_CARB_G = 1.0
"""A drink with less carbohydrate than this is drunk to thirst: no menu plans it."""


class Plated(NamedTuple):
    """The foods that a menu may be laid of, and why each of the others is left out, by id."""

    foods: tuple[PlateFood, ...]
    left_out: dict[str, str]


def plated(foods: Iterable[Food]) -> Plated:
    """Return foods as the planner takes them. What may not be eaten is to be taken out before."""
    listed = list(foods)
    left_out = {food.id: reason for food in listed if (reason := why_not(food))}
    return Plated(tuple(_plate_food(food) for food in listed if food.id not in left_out), left_out)


def why_not(food: Food) -> str:
    """Return why a menu does not plan a food, or an empty string."""
    held, is_drink = food.holds(food.portion.unit_g), set(food.roles) == {"drink"}
    reasons = {
        "its carbohydrate is not known": held.carb_g is None,
        "its fibre is not known": held.fibre_g is None,
        "its fat or protein is not known": held.fat_g is None or held.protein_g is None,
        "water and tea are drunk to thirst": is_drink
        and held.carb_g is not None
        and held.carb_g.high < LEAST_CARB_G,
    }
    return next((reason for reason, holds in reasons.items() if holds), "") or never_laid(food)


def _plate_food(food: Food) -> PlateFood:
    held = food.holds(food.portion.unit_g)
    assert held.carb_g and held.fibre_g and held.fat_g and held.protein_g
    return PlateFood(
        id=food.id,
        name=food.name,
        family=food.family,
        buy=food.bought.name,
        roles=food.roles,
        meals=food.meals,
        kitchens=food.kitchens,
        levels_count=food.portion.counts,
        unit_g=food.portion.unit_g,
        carb_g=held.carb_g.mid,
        max_fibre_g=held.fibre_g.high,
        max_fat_g=held.fat_g.high,
        min_protein_g=held.protein_g.low,
        max_protein_g=held.protein_g.high,
        goes_with=food.goes_with or _carriers().get(food.family),
        sweet_drink=food.sweet_drink,
        dislike=food.dislike,
    )


@cache
def _carriers() -> dict[str, tuple[str, ...]]:
    """Return by family what a protein stands on; one that is not listed stands on anything."""
    text = files("provand.planner.menu").joinpath("goes_with.toml").read_text("utf-8")
    data = tomllib.loads(text)
    kinds = data["kinds"]
    return {
        family: tuple(name for kind in named for name in kinds.get(kind, [kind]))
        for family, named in data["protein"].items()
    }
