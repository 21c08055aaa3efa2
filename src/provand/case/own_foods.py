"""Own foods at the door: a file of labels and recipes becomes foods, or all its faults are told at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from provand.case.files import read_toml, toml_in
from provand.case.food_table import TABLES
from provand.case.walk import Walk, near, nearest
from provand.finding import BadInput, find
from provand.larder.food import Food, food_of, foods
from provand.larder.own import LabelFood, Recipe, same_names
from provand.larder.raw import raw_foods

KINDS = ("foods", "recipes")


def read_own_foods(path: Path) -> tuple[Food, ...]:
    """Return the own foods of a TOML file; BadInput names every fault with its place."""
    return own_foods_of(read_toml(path))


def check_toml(name: str) -> None:
    """Raise BadInput for the name of a table: it says nothing of portions, roles and allergens."""
    if Path(name).suffix.lower() in TABLES:
        raise BadInput(find("larder.table_on_menu", name))


def own_foods_in(data: bytes, name: str) -> tuple[Food, ...]:
    """Return the own foods in the bytes of a file that a case names; each fault says the file, too."""
    check_toml(name)
    try:
        return own_foods_of(toml_in(data, name))
    except BadInput as error:
        told = (one.model_copy(update={"about": _in_file(one.about, name)}) for one in error.findings)
        raise BadInput(*told) from None


def _in_file(about: str, name: str) -> str:
    return about if about == name else f"{name}, {about}"


def own_foods_of(data: Mapping[str, Any]) -> tuple[Food, ...]:
    """Return the foods that plain data describes: labels, then recipes, each from what stands before it."""
    walk = Walk()
    for key in data:
        if key not in KINDS:
            walk.fail(find("entry.unknown_key", key, key=key, near=near(key, KINDS)))
    made: dict[str, Food] = {}
    for at, one in enumerate(walk.records(LabelFood, data.get("foods", []), "foods", "foods") or (), 1):
        _keep(walk, made, one.food(), f"foods[{at}]")
    recipes = walk.records(Recipe, data.get("recipes", []), "recipes", "recipes") or ()
    for at, recipe in enumerate(recipes, 1):
        dish = _dish(walk, made, recipe, f"recipes[{at}]")
        if dish is not None:
            _keep(walk, made, dish, f"recipes[{at}]")
    for food, other in same_names([*foods(), *made.values()]):
        walk.fail(find("larder.same_name", food.id, name=food.name, other=other.id))
    walk.settle()
    return tuple(made.values())


def _keep(walk: Walk, made: dict[str, Food], food: Food, about: str) -> None:
    if food.id in made or food_of(food.id) is not None or food.id in raw_foods():
        walk.fail(find("larder.same_id", f"{about}.id", id=food.id))
    made[food.id] = food


def _dish(walk: Walk, made: Mapping[str, Food], recipe: Recipe, about: str) -> Food | None:
    """Return the food of a recipe, or None after keeping what is wrong with it."""
    known = {food.id for food in foods()} | set(made) | set(raw_foods())
    strange = [(at, part.food) for at, part in enumerate(recipe.ingredients, 1) if part.food not in known]
    for at, name in strange:
        place = f"{about}.ingredients[{at}].food"
        close = nearest(name, known)
        hint = f"Did you mean '{close}'?" if close else "provand foods lists them."
        walk.fail(find("larder.no_such_part", place, food=name, near=hint))
    if strange:
        return None
    try:
        return recipe.food(lambda name: made.get(name) or food_of(name) or raw_foods()[name])
    except ValueError as error:
        walk.fail(find("entry.impossible", about, problem=str(error)))
        return None
