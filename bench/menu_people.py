"""Five invented athletes and their menus: who they are, where they eat, what they may not have."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from menu_posed import FIVE, slots_of

from provand.figure import Range
from provand.larder.food import Food, food_of, foods
from provand.planner.menu.checker import carb_g, eaten_at
from provand.planner.menu.foods import plated
from provand.planner.menu.limits import day_limits
from provand.planner.menu.problem import Kitchen, Menu, MenuProblem


class Person(NamedTuple):
    """An invented athlete: body mass, what was ticked for the days before, kitchens by day and meal."""

    name: str
    body_mass_kg: float
    carb_g_per_kg: float
    days: tuple[Sequence[Kitchen] | Kitchen, ...]
    diet: str = "any"
    allergens: tuple[str, ...] = ()
    own: tuple[Food, ...] = ()


def own(like: str, name: str, per_100g: tuple[float, float, float, float], **marks: Any) -> Food:
    """Return an invented food of a person's own, typed from its label: carbohydrate, fibre, fat, protein."""
    plain = food_of(like)
    assert plain is not None
    names = ("carb_g", "fibre_g", "fat_g", "protein_g")
    held = plain.per_100g.model_copy(
        update={name: Range.exact(amount_g) for name, amount_g in zip(names, per_100g, strict=True)}
    )
    shop = plain.bought.model_copy(update={"name": name})
    given = {"id": f"own-{like}", "name": name, "source": "label", "per_100g": held, "bought": shop}
    return plain.model_copy(update=given | marks)


FREE_OF_GLUTEN: dict[str, Any] = {"contains": (), "free_from": ("gluten",)}
OWN_BREAD = own("white-bread", "white bread without milk", (49.0, 2.6, 2.0, 8.5), diet="vegan")
GLUTEN_FREE = (
    own("white-bread", "gluten-free white bread", (46.0, 3.0, 4.0, 4.0), **FREE_OF_GLUTEN),
    own("corn-flakes", "gluten-free corn flakes", (84.0, 2.0, 1.0, 7.0), **FREE_OF_GLUTEN),
    own("sponge-cake", "gluten-free sponge cake", (55.0, 1.0, 8.0, 4.0), **FREE_OF_GLUTEN),
)
TRAVEL: tuple[Kitchen, ...] = (
    "hotel breakfast",
    "petrol station",
    "petrol station",
    "petrol station",
    "hotel breakfast",
)
PEOPLE = (
    Person("Ovid Marsh, eats everything, two days at home", 68.0, 10.0, ("full", "full")),
    Person("Vera Linden, vegan, a day at home", 58.0, 8.0, ("full",), diet="vegan", own=(OWN_BREAD,)),
    Person(
        "Cosima Hale, coeliac, a day at home",
        62.0,
        9.0,
        ("full",),
        allergens=("gluten",),
        own=GLUTEN_FREE,
    ),
    Person("Tam Rowan, hotel breakfast, then petrol stations", 75.0, 8.0, (TRAVEL,)),
    Person("Nils Quay, a night shift with a kettle", 70.0, 8.0, ("kettle",)),
)
"""All of them are invented."""


def problem_of(person: Person) -> MenuProblem:
    """Return the problem of one athlete, of the foods of the larder that they may have."""
    allowed = [
        food for food in (*foods(), *person.own) if not food.refused_for(person.allergens, (), person.diet)
    ]
    limit = day_limits(body_mass_kg=person.body_mass_kg, carb_g=person.carb_g_per_kg * person.body_mass_kg)
    slots = tuple(s for day, places in enumerate(person.days) for s in slots_of(FIVE, places, day=day))
    return MenuProblem(slots=slots, days=(limit,) * len(person.days), foods=plated(allowed).foods)


def as_text(person: Person, problem: MenuProblem, menu: Menu) -> str:
    """Return a menu as lines that people read, with the carbohydrate of each meal and day."""
    known = {food.id: food for food in (*foods(), *person.own)}
    lines = [f"{person.name}: {person.body_mass_kg:g} kg, {person.carb_g_per_kg:g} g/kg a day"]
    for slot in problem.slots:
        foods_there = ", ".join(
            _line(known[one.food], one.portions_count) for one in menu if one.slot == slot.id
        )
        lines.append(f"  {slot.id:<14} {carb_g(eaten_at(problem, menu, slot)):4.0f} g  {foods_there}")
    for day, limit in enumerate(problem.days):
        plate = [one for slot in problem.slots if slot.day == day for one in eaten_at(problem, menu, slot)]
        sums_g = [
            sum(getattr(one.food, name) * one.portions_count for one in plate)
            for name in ("carb_g", "max_fibre_g", "max_fat_g", "min_protein_g")
        ]
        target = f"target {limit.carb_g:.0f} g" if limit.carb_g else "no target"
        lines.append(
            f"  day {day + 1}: {sums_g[0]:.0f} g of carbohydrate ({target}),"
            f" fibre {sums_g[1]:.0f}, fat {sums_g[2]:.0f}, protein {sums_g[3]:.0f} g"
        )
    return "\n".join(lines)


def _line(food: Food, count: float) -> str:
    return f"{food.name} {food.portion.says(count)}"
