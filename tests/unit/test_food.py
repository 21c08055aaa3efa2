"""Foods of the larder: states, portions, marks, what 100 g hold, what a shop sells."""

from __future__ import annotations

import re

import pytest

from provand.larder.composition import AMOUNTS
from provand.larder.food import FOURTEEN, Food, Portion, food_of, foods
from provand.larder.table import SOURCES, table_rows

NOT_EATEN = re.compile(
    r"\b(?:dry(?! heat)|raw|uncooked|powder|concentrate|(?<!enriched )flour|unprepared)\b", re.IGNORECASE
)
EATEN_RAW = {
    "raw-carrots", "tomato", "lettuce", "cucumber", "spinach", "raw-onion", "green-pepper", "avocado", "tofu",
    "fresh-orange-juice",
    # dried fruit is "uncooked" in the table's words
    "dried-figs", "dried-apricots", "prunes",
}  # fmt: skip
FROM_POWDER = {"lemonade", "jelly", "orange-juice"}
FAMILIES_LEFT = {"treacle"}


def named(food_id: str) -> Food:
    food = food_of(food_id)
    assert food is not None, food_id
    return food


def test_a_menu_has_more_than_158_foods_to_choose_from() -> None:
    usable = [f for f in foods() if (f.per_100g.caffeine_mg and f.per_100g.caffeine_mg.high == 0)]
    assert len(usable) >= 158
    assert len({f.id for f in foods()}) == len({f.name for f in foods()}) == len(foods())


def test_nothing_dry_raw_or_concentrated_can_stand_on_a_plate() -> None:
    wrong = [
        f"{food.id}: {described}"
        for food in foods()
        if NOT_EATEN.search(described := table_rows()[food.source_id].description)
        and food.id not in EATEN_RAW | FROM_POWDER
        and "fruit" not in food.roles
    ]
    assert not wrong


def test_dry_food_is_what_is_bought_and_not_what_is_eaten() -> None:
    rice, oats, pasta = named("white-rice"), named("porridge"), named("pasta")
    assert 1 / rice.bought.g_per_eaten_g == pytest.approx(2.84, abs=0.005)
    assert 1 / oats.bought.g_per_eaten_g == pytest.approx(5.64, abs=0.005)
    assert 1 / pasta.bought.g_per_eaten_g == pytest.approx(2.42, abs=0.005)
    assert rice.bought.name == "long-grain white rice"


def test_carbohydrate_is_without_fibre() -> None:
    banana = named("banana").per_100g
    assert banana.carb_g is not None and banana.fibre_g is not None
    assert banana.carb_g.mid == pytest.approx(22.84 - 2.6)
    assert banana.fibre_g.mid == 2.6


def test_unknown_fibre_leaves_a_range_and_never_nought() -> None:
    rice = named("short-grain-rice").per_100g
    assert table_rows()["20453"].amount("fibre_g") is None
    assert rice.fibre_g is not None and rice.carb_g is not None
    assert rice.fibre_g.high == 0.9
    assert (rice.carb_g.low, rice.carb_g.high) == (pytest.approx(28.73 - 0.9), 28.73)


def test_a_sugar_that_the_table_leaves_blank_is_unknown() -> None:
    jam = named("jam").per_100g
    assert jam.fructose_g is None and jam.glucose_g is None
    assert jam.sugars_g is not None


def test_fructose_counts_the_half_of_table_sugar_and_the_rest_counts_as_glucose() -> None:
    honey = named("honey").per_100g
    assert honey.fructose_g is not None and honey.glucose_g is not None and honey.carb_g is not None
    assert honey.fructose_g.mid == pytest.approx(41.41, abs=0.005)
    assert honey.glucose_g.mid == pytest.approx(honey.carb_g.mid - honey.fructose_g.mid)


def test_only_what_has_none_is_said_to_have_none() -> None:
    """Our own noughts fill what the table leaves blank: never a sugar, a fibre, a salt."""
    for food in foods():
        row = table_rows()[food.source_id]
        for name in set(AMOUNTS) & {"sugars_g", "starch_g", "sodium_mg", "fat_g", "protein_g", "energy_kcal"}:
            assert (getattr(food.per_100g, name) is None) == (row.amount(name) is None), (food.id, name)


def test_brewed_drinks_vary_twofold_in_caffeine() -> None:
    coffee = named("coffee").per_100g.caffeine_mg
    assert coffee is not None and coffee.mid == 40
    assert coffee.high / coffee.low == pytest.approx(2)


def test_what_a_portion_holds_goes_by_its_mass() -> None:
    rice = named("white-rice")
    held = rice.holds(2 * rice.portion.unit_g)
    assert held.carb_g is not None and held.mass_g is not None
    assert held.mass_g.mid == 316
    assert held.carb_g.mid == pytest.approx(3.16 * 27.77)


def test_a_household_unit_is_one_of_the_table_and_no_odd_one() -> None:
    for food in foods():
        assert food.portion.measure in table_rows()[food.source_id].measures, food.id
        assert not re.search(r"\boz\b|yield|NLEA|unit", food.portion.unit), food.id
        most_g = food.portion.unit_g * food.portion.counts[-1]
        assert most_g <= 640, (food.id, most_g)


def test_counts_of_a_portion_rise() -> None:
    with pytest.raises(ValueError, match="must rise"):
        Portion(unit="cup", plural="cups", unit_g=100, counts=(2, 1))


def test_twins_of_one_food_share_a_family_and_pairs_name_families_that_exist() -> None:
    families = {food.family for food in foods()}
    assert {named(x).family for x in ("white-rice", "parboiled-rice", "short-grain-rice")} == {"rice"}
    assert {named(x).family for x in ("orange-juice", "fresh-orange-juice")} == {"orange juice"}
    for food in foods():
        assert set(food.goes_with) <= families, food.id
        if {"spread", "sauce"} & set(food.roles):
            assert food.goes_with, f"{food.id} may stand on anything"


def test_every_food_can_be_bought_in_packs_and_says_why_it_is_marked_so() -> None:
    for food in foods():
        assert food.bought.pack_g and food.bought.aisle and food.why, food.id


def test_oats_malt_and_wheat_hold_gluten() -> None:
    for food_id in ("porridge", "granola", "malt-syrup", "corn-flakes", "white-bread", "pasta", "couscous",
                    "bulgur", "pearl-barley", "soy-sauce", "hard-granola-bar"):  # fmt: skip
        assert "gluten" in named(food_id).contains, food_id
    assert named("porridge").refused_for(("gluten",), (), "any") == "contains gluten"


def test_what_is_not_stated_counts_as_contained() -> None:
    assert named("white-bread").refused_for(("milk",), (), "any") == "not stated to be free from milk"
    assert named("rice-cakes").refused_for(("gluten",), (), "any") == "not stated to be free from gluten"
    assert named("white-rice").refused_for(FOURTEEN, (), "vegan") == ""


def test_a_word_is_looked_for_and_where_there_is_no_list_the_food_is_refused() -> None:
    assert named("boiled-potatoes").refused_for((), ("potato",), "any") == "contains potato"
    assert named("boiled-potatoes").refused_for((), ("garlic",), "any") == ""
    assert named("tomato-sauce").refused_for((), ("garlic",), "any").startswith("no list of ingredients")


def test_diets_are_held_to() -> None:
    assert named("salmon").refused_for((), (), "vegetarian") == "not stated to be vegetarian"
    assert named("skimmed-milk").refused_for((), (), "vegetarian") == ""
    assert named("skimmed-milk").refused_for((), (), "vegan") == "not stated to be vegan"
    assert named("honey").refused_for((), (), "vegan") == "not stated to be vegan"
    for food in foods():
        if food.diet == "vegan":
            assert not {"milk", "egg", "fish", "crustaceans", "molluscs"} & set(food.contains), food.id


def test_what_is_said_to_be_free_of_fructose_holds_none_by_the_table() -> None:
    for food in foods():
        row = table_rows()[food.source_id]
        known = [row.amount(name) for name in ("fructose_g", "sucrose_g")]
        if "fructose" in food.free_from:
            assert sum(amount or 0 for amount in known) <= 0.1, food.id
            assert (
                (row.amount("sugars_g") or 0) <= 0.15 or "milk" in food.contains or "egg" in food.contains
            ), food.id
        elif all(amount is not None for amount in known):
            assert "fructose" in food.contains or sum(amount or 0 for amount in known) <= 0.7, food.id


def test_every_value_has_a_known_source() -> None:
    for row in table_rows().values():
        for name, value in row.values.items():
            assert value.code in SOURCES, (row.number, name)
