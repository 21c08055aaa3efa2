"""Own foods, from labels with their conventions and by recipes; every fault is told with its place."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from provand.case.own_foods import own_foods_of
from provand.finding import BadInput
from provand.larder.food import Food
from provand.larder.raw import raw_foods

BAR = """
[[foods]]
id = "our-oat-bar"
name = "our oat bar"
roles = ["sweet"]
unit = "bar"
one = "45 g"
contains = ["gluten"]
free_from = ["milk", "egg"]
diet = "vegan"
[foods.label]
convention = "EU"
basis = "100 g"
pack = "90 g"
carb = "62 g"
fibre = "6 g"
fat = "12 g"
protein = "8 g"
salt = "0,3 g"
energy = "1680 kJ"
ingredients = "oats, glucose syrup, oil"
"""
PUDDING = """
[[recipes]]
id = "our-rice-pudding"
name = "our rice pudding"
state = "cooked"
makes = 4
done = "900 g"
ingredients = [
  {food = "skimmed-milk", mass = "1000 g"},
  {food = "dry-short-grain-rice", mass = "120 g"},
  {food = "sugar", portions = 10},
]
"""


def made(text: str) -> tuple[Food, ...]:
    return own_foods_of(tomllib.loads(text))


def faults(text: str) -> list[str]:
    with pytest.raises(BadInput) as refused:
        made(text)
    return [finding.line() for finding in refused.value.findings]


def mid(food: Food, name: str, grams: float = 100) -> float:
    amount: Any = getattr(food.holds(grams), name)
    assert amount is not None, name
    value: float = amount.mid
    return value


def test_a_label_per_100_g_makes_a_portion_of_its_own_mass() -> None:
    (bar,) = made(BAR)
    assert mid(bar, "carb_g", 45) == pytest.approx(27.9)
    assert mid(bar, "sodium_mg", 45) == pytest.approx(54)
    assert bar.portion.says(2) == "2 bar"
    assert bar.bought.pack_g == (90,)


def test_energy_in_kilojoules_is_read_by_its_unit() -> None:
    (bar,) = made(BAR)
    assert mid(bar, "energy_kcal") == pytest.approx(1680 / 4.184)


def test_an_american_label_counts_its_fibre_in_and_a_european_one_does_not() -> None:
    (bar,) = made(BAR.replace('"EU"', '"US"').replace('salt = "0,3 g"', 'sodium = "120 mg"'))
    assert mid(bar, "carb_g") == pytest.approx(62 - 6)


def test_an_american_label_without_fibre_leaves_carbohydrate_unknown_and_is_refused() -> None:
    text = BAR.replace('"EU"', '"US"').replace('fibre = "6 g"', "")
    assert "a US label needs its fibre" in faults(text)[0]


def test_per_100_g_taken_for_the_pack_cannot_pass_where_the_pack_is_lighter() -> None:
    text = BAR.replace('basis = "100 g"\npack = "90 g"', 'basis = "pack"\npack = "45 g"')
    assert "62 g of carbohydrate cannot be in 45 g" in faults(text)[0]


def test_parts_that_come_to_more_than_the_whole_are_refused() -> None:
    assert "come to 118 g of 100 g" in faults(BAR.replace('fat = "12 g"', 'fat = "42 g"'))[0]


def test_kilojoules_typed_as_kilocalories_are_refused() -> None:
    told = faults(BAR.replace('"1680 kJ"', '"1680 kcal"'))
    assert "it reads like kJ" in told[0]


def test_salt_and_sodium_that_disagree_are_refused() -> None:
    assert "salt is sodium x 2.5" in faults(BAR + 'sodium = "300 mg"\n')[0]


def test_negative_water_and_negative_amounts_are_refused() -> None:
    assert "outside what is allowed" in faults(BAR + 'water = "-5 ml"\n')[0]


def test_a_name_or_id_that_another_food_has_is_refused() -> None:
    assert "the name of honey, too" in faults(BAR.replace('"our oat bar"', '"Honey"'))[0]
    assert "the id of another food" in faults(BAR.replace('id = "our-oat-bar"', 'id = "honey"'))[0]
    (told,) = faults(BAR + BAR.replace('id = "our-oat-bar"', 'id = "our-bar"'))
    assert told.startswith("our-bar: 'our oat bar' is the name of our-oat-bar, too")


def test_a_recipe_adds_up_its_ingredients_and_takes_the_water_from_the_mass_when_done() -> None:
    (pudding,) = made(PUDDING)
    rice = raw_foods()["dry-short-grain-rice"].per_100g
    assert rice.carb_g is not None
    whole_g = 10 * 4.96 + 1.2 * rice.carb_g.mid + 0.42 * 99.98
    assert mid(pudding, "carb_g", 900) == pytest.approx(whole_g)
    assert mid(pudding, "water_ml", 900) == pytest.approx(908.4 + 1.2 * 13.29 + 0.0084 - 262)
    assert pudding.portion.unit_g == 225


def test_boiled_away_or_taken_up_changes_strength_and_not_the_whole() -> None:
    (thick,), (thin,) = made(PUDDING), made(PUDDING.replace('"900 g"', '"1100 g"'))
    assert mid(thick, "carb_g", 900) == pytest.approx(mid(thin, "carb_g", 1100))
    assert mid(thick, "carb_g") > mid(thin, "carb_g")


def test_a_dish_cannot_weigh_less_than_its_dry_parts() -> None:
    assert "less than its parts without any water" in faults(PUDDING.replace('"900 g"', '"100 g"'))[0]


def test_a_dish_contains_what_any_part_contains_and_is_free_of_what_all_are_free_of() -> None:
    (pudding,) = made(PUDDING)
    assert pudding.contains == ("milk", "fructose")
    assert "gluten" in pudding.free_from and "milk" not in pudding.free_from
    assert pudding.diet == "vegetarian"
    (with_oats,) = made(PUDDING.replace("dry-short-grain-rice", "dry-oats"))
    assert "gluten" in with_oats.contains
    assert with_oats.refused_for(("nuts",), (), "any") == "not stated to be free from nuts"


def test_what_is_stated_cannot_free_a_dish_of_what_a_part_contains() -> None:
    (dish,) = made(PUDDING.replace("makes = 4", 'makes = 4\nfree_from = ["milk", "gluten"]'))
    assert dish.refused_for(("milk",), (), "any") == "contains milk"


def test_a_dish_of_an_own_food_can_be_made() -> None:
    text = BAR + PUDDING.replace('{food = "sugar", portions = 10}', '{food = "our-oat-bar", portions = 2}')
    assert mid(made(text)[1], "carb_g", 900) == pytest.approx(49.6 + 1.2 * (79.15 - 1.2) + 0.9 * 62)


def test_an_ingredient_that_nobody_knows_is_told_with_what_is_near() -> None:
    told = faults(PUDDING.replace("skimmed-milk", "skimed-milk"))
    assert told == ["recipes[1].ingredients[1].food: there is no food 'skimed-milk' here for the recipe. "
                    "Did you mean 'skimmed-milk'?"]  # fmt: skip


def test_an_ingredient_has_one_amount() -> None:
    assert (
        "either a mass or a count"
        in faults(PUDDING.replace('mass = "1000 g"', 'mass = "1 kg", portions = 2'))[0]
    )
    assert "no household portion" in faults(PUDDING.replace('mass = "120 g"', "portions = 2"))[0]


def test_every_fault_is_told_at_once() -> None:
    text = BAR.replace('"45 g"', '"45"').replace('"12 g"', '"12 ounces"') + 'colour = "red"\n'
    places = [line.split(":")[0] for line in faults(text)]
    assert places == ["foods[1].one", "foods[1].label.fat", "foods[1].label.colour"]


def test_nothing_dry_or_raw_stands_on_a_plate() -> None:
    assert "not a choice" in faults(BAR.replace('unit = "bar"', 'unit = "bar"\nstate = "dry"'))[0]
