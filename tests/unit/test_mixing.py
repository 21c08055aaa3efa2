"""Drinks: recipes by weight and by spoon, what gives way, what is withheld, and what dissolved sugar does."""

from __future__ import annotations

import re
from typing import Any

import pytest

from provand.finding import BadInput, NoPlanFits, OnHold
from provand.larder.drink_wish import DrinkWish
from provand.larder.drink_words import figures, handed_out, ledger, sums, way_words
from provand.larder.ingredient import cupboard, from_item, ingredients
from provand.larder.item import Item
from provand.larder.label import Label
from provand.larder.mixing import DrinkRecipe, mixed
from provand.larder.wished import wish_of
from provand.plan.withheld import WEIGHTS
from provand.safety.refusals import may_hold_fructose

AT_HAND = cupboard()


def drink(*sources: str, **wished: Any) -> DrinkRecipe:
    """Return the recipe of a wish for a litre of drink, unless another volume is wished for."""
    more = {name: wished.pop(name) for name in ("withheld", "refused") if name in wished}
    return mixed(DrinkWish(**{"volume_ml": 1000, "sources": sources, **wished}), AT_HAND, **more)


def codes(recipe: DrinkRecipe) -> set[str]:
    return {one.code for one in (*recipe.gave_way, *recipe.findings)}


def grams(recipe: DrinkRecipe) -> dict[str, float]:
    return {one.ingredient: one.exact_g for one in recipe.weighed.amounts}


# In 1 l, and made up to 1 l.


def test_sugar_added_to_a_litre_makes_more_than_a_litre_and_a_weaker_drink() -> None:
    made_up = drink("sugar", carb_g_per_l=80, how="made up to")
    assert made_up.weighed.drink_ml == 1000
    assert made_up.weighed.water_ml == pytest.approx(950.4)
    assert made_up.weighed.strength.carb_g_per_l is not None
    assert made_up.weighed.strength.carb_g_per_l.mid == pytest.approx(80)
    added = made_up.other_way  # S11-110: the same 80 g in a litre of water
    assert added.drink_ml == pytest.approx(1049.6)
    assert added.strength.carb_g_per_l is not None
    assert added.strength.carb_g_per_l.mid == pytest.approx(76.2, abs=0.05)


@pytest.mark.parametrize("how", ["added to", "made up to"])
@pytest.mark.parametrize("strength", [20, 60, 90, 200])
def test_the_wished_strength_is_that_of_the_finished_drink_in_either_way(how: str, strength: float) -> None:
    recipe = drink("sugar", carb_g_per_l=strength, how=how, volume_ml=750)
    (sugar,) = recipe.weighed.amounts
    volume = 750 if how == "made up to" else 750 + 0.62 * sugar.exact_g
    assert sugar.exact_g / volume * 1000 == pytest.approx(strength)


def test_the_words_of_each_way_say_what_is_measured() -> None:
    recipe = drink("sugar", carb_g_per_l=80, how="made up to")
    assert way_words(recipe.weighed, "made up to") == (
        "Put everything into the bottle and fill up to 1,000 ml: that takes 950 ml of water."
    )
    assert way_words(recipe.other_way, "added to") == (
        "Measure 1,000 ml of water and add everything: it makes 1,050 ml."
    )


# Sugars and their ratio.


def test_a_ratio_is_mixed_from_the_two_sources_that_lie_round_it() -> None:
    recipe = drink("maltodextrin", "fructose", carb_g_per_l=80, fructose_ratio=0.8, how="made up to")
    held = {one.ingredient: one.exact_g for one in recipe.weighed.amounts}
    assert held["fructose"] == pytest.approx(35.56, abs=0.01)  # S11-109
    assert held["maltodextrin"] * 0.95 == pytest.approx(44.44, abs=0.01)
    assert set(grams(drink("sugar", "maltodextrin", "fructose", carb_g_per_l=80, fructose_ratio=0.8))) == {
        "sugar", "maltodextrin",
    }  # fmt: skip


def test_table_sugar_alone_cannot_have_another_ratio_than_its_own_and_says_what_would() -> None:
    recipe = drink("sugar", carb_g_per_l=60, fructose_ratio=0.5)
    (fault,) = recipe.gave_way
    assert fault.code == "mix.ratio"
    assert "1 to 1" in fault.line()
    assert "maltodextrin" in fault.next_step
    assert set(grams(recipe)) == {"sugar"}


def test_a_ratio_above_all_sources_takes_the_highest_and_asks_for_fructose() -> None:
    recipe = drink("sugar", "maltodextrin", carb_g_per_l=60, fructose_ratio=1.5)
    assert set(grams(recipe)) == {"sugar"}
    assert "fructose beside it" in recipe.gave_way[0].next_step


def test_without_a_ratio_the_usual_one_is_taken_and_said_only_where_there_is_a_choice() -> None:
    both = drink("sugar", "maltodextrin", carb_g_per_l=60)
    assert both.weighed.strength.fructose_g_per_l is not None
    assert both.weighed.strength.glucose_g_per_l is not None
    ratio = both.weighed.strength.fructose_g_per_l.mid / both.weighed.strength.glucose_g_per_l.mid
    assert ratio == pytest.approx(0.8, abs=0.02)
    assert "mix.usual_ratio" in codes(both)
    assert "mix.usual_ratio" not in codes(drink("sugar", carb_g_per_l=60))
    assert not drink("sugar", carb_g_per_l=60).gave_way


def test_half_of_table_sugar_counts_as_fructose_as_on_labels() -> None:
    holds = drink("sugar", carb_g_per_l=60).weighed.holds
    assert holds.carb_g is not None
    assert holds.fructose_g is not None
    assert holds.fructose_g.mid == holds.carb_g.mid / 2


# Sodium.


def test_salt_is_not_sodium_and_citrate_is_not_salt() -> None:
    salt, citrate = (drink(one, sodium_mg_per_l=700, how="made up to") for one in ("salt", "citrate"))
    assert grams(salt)["salt"] == pytest.approx(1.779, abs=0.001)  # S11-106
    assert grams(citrate)["citrate"] == pytest.approx(2.985, abs=0.001)


def test_sodium_over_what_people_drink_gives_way_to_the_most() -> None:
    recipe = drink("sugar", "salt", carb_g_per_l=60, sodium_mg_per_l=2500)
    assert [one.code for one in recipe.gave_way] == ["mix.sodium_taste"]
    assert recipe.met.sodium_mg_per_l == 1500
    assert recipe.weighed.strength.sodium_mg_per_l is not None
    assert recipe.weighed.strength.sodium_mg_per_l.mid == pytest.approx(1500, rel=0.04)
    assert "mix.salty" in codes(recipe)


def test_what_the_powder_brings_counts_before_any_salt_is_added() -> None:
    alone = drink("powder", carb_g_per_l=60, sodium_mg_per_l=100)
    assert [one.code for one in alone.gave_way] == ["mix.sodium_own"]
    with_salt = drink("powder", "salt", carb_g_per_l=60, sodium_mg_per_l=700)
    assert with_salt.weighed.strength.sodium_mg_per_l is not None
    assert with_salt.weighed.strength.sodium_mg_per_l.mid == pytest.approx(700, rel=0.05)
    assert grams(with_salt)["salt"] < grams(drink("salt", sodium_mg_per_l=700))["salt"]


def test_sodium_without_any_salt_says_so_and_gives_what_there_is() -> None:
    recipe = drink("sugar", carb_g_per_l=60, sodium_mg_per_l=500)
    assert [one.code for one in recipe.gave_way] == ["mix.no_salt"]
    assert recipe.met.sodium_mg_per_l == 0


def test_a_tablet_goes_in_whole_and_counts_once() -> None:
    recipe = drink("sugar", "salt-capsule", carb_g_per_l=60, sodium_mg_per_l=500, volume_ml=750)
    tablet = recipe.weighed.amounts[-1]
    assert tablet.pieces_count == 2
    assert tablet.holds.sodium_mg is not None
    assert tablet.holds.sodium_mg.mid == pytest.approx(400)
    assert "mix.counts_once" in codes(recipe)


def test_salt_lifts_no_ceiling_and_a_recipe_orders_nobody_to_drink() -> None:
    assert {"mix.no_order", "mix.no_ceiling"} <= codes(drink("salt", sodium_mg_per_l=500))
    assert "mix.no_ceiling" not in codes(drink("sugar", carb_g_per_l=60))


# Solubility and taste.


def test_what_does_not_dissolve_gives_way_to_the_most_that_does() -> None:
    recipe = drink("glucose", carb_g_per_l=700, how="made up to")
    assert [one.code for one in recipe.gave_way] == ["mix.dissolves"]
    assert recipe.met.carb_g_per_l is not None
    (glucose,) = recipe.weighed.amounts
    assert glucose.exact_g <= 0.9 * (recipe.weighed.water_ml + 1)
    assert drink("glucose", carb_g_per_l=recipe.met.carb_g_per_l, how="made up to").gave_way == ()


def test_a_very_sweet_drink_is_said_to_be_and_one_of_maltodextrin_is_not() -> None:
    assert "mix.sweet" in codes(drink("sugar", carb_g_per_l=150))
    assert "mix.sweet" not in codes(drink("maltodextrin", carb_g_per_l=150))
    assert "mix.strong" in codes(drink("maltodextrin", carb_g_per_l=150))
    assert "mix.strong" not in codes(drink("sugar", carb_g_per_l=80))


# Osmolality.


def test_osmolality_is_the_sum_over_the_water_with_its_error_round_it() -> None:
    recipe = drink("glucose", carb_g_per_l=50, how="made up to")
    value = recipe.weighed.strength.osmolality_mosm_per_kg
    assert value.mid == pytest.approx(277.5 / 0.969, rel=0.01)
    assert value.low < 0.94 * value.mid
    assert value.high > 1.07 * value.mid


def test_sucrose_beside_a_product_that_may_be_sour_may_count_double() -> None:
    plain = drink("sugar", carb_g_per_l=60).weighed.strength.osmolality_mosm_per_kg
    assert plain.high < 1.1 * plain.mid
    sour = drink("sugar", "powder", carb_g_per_l=60, fructose_ratio=0.8)
    sugar = next(one for one in sour.weighed.amounts if one.ingredient == "sugar")
    assert sugar.osmoles_mosm_per_l.high == pytest.approx(2 * sugar.osmoles_mosm_per_l.mid)


def test_maltodextrin_of_unknown_chains_has_a_wide_osmolality() -> None:
    value = drink("maltodextrin", carb_g_per_l=60).weighed.strength.osmolality_mosm_per_kg
    assert value.high > 3 * value.low


# Spoons.


def test_spoons_are_quarters_and_what_they_really_give_is_worked_out_anew() -> None:
    recipe = drink("sugar", "salt", carb_g_per_l=60, sodium_mg_per_l=500, volume_ml=750)
    assert [one.says for one in recipe.spoons] == [
        "3 tablespoons and 2¼ teaspoons of table sugar", "¼ teaspoon of table salt",
    ]  # fmt: skip
    assert recipe.spooned is not None
    sodium = recipe.spooned.strength.sodium_mg_per_l
    assert sodium is not None
    assert sodium.mid == pytest.approx(1000 * 1.5 * 393.4 / recipe.spooned.drink_ml, rel=0.001)
    assert sodium.low < 0.9 * sodium.mid < sodium.mid < 0.9 * sodium.high
    coarse = next(one for one in recipe.findings if one.code == "mix.coarse")
    assert "151 %" in coarse.sentence
    assert coarse.next_step == "Mix 2.25 l at once."
    fine = drink("sugar", "salt", carb_g_per_l=60, sodium_mg_per_l=500, volume_ml=2250)
    assert "mix.coarse" not in codes(fine)


@pytest.mark.parametrize("volume", [500, 750, 1000, 1300])
@pytest.mark.parametrize("salt", ["salt", "citrate", "soda"])
def test_no_spoon_brings_more_sodium_than_people_drink(salt: str, volume: float) -> None:
    recipe = drink("sugar", salt, carb_g_per_l=60, sodium_mg_per_l=1500, volume_ml=volume, how="made up to")
    assert recipe.spooned is not None
    assert recipe.spooned.strength.sodium_mg_per_l is not None
    assert 0 < recipe.spooned.strength.sodium_mg_per_l.mid <= 1500.01


def test_a_product_has_no_spoon_of_ours() -> None:
    recipe = drink("powder", carb_g_per_l=60)
    assert recipe.spooned is None
    assert "mix.no_spoon" in codes(recipe)


def test_what_a_scale_of_tenths_cannot_weigh_is_said() -> None:
    assert "mix.coarse_scale" in codes(drink("salt", sodium_mg_per_l=100, volume_ml=100))


# Words.


def test_the_printed_rows_of_the_ledger_add_up_to_the_printed_total() -> None:
    recipe = drink("maltodextrin", "fructose", "citrate", carb_g_per_l=73, fructose_ratio=0.77,
                   sodium_mg_per_l=613, volume_ml=713)  # fmt: skip
    *rows, total = ledger(recipe.weighed)
    for at, cell in enumerate(total.cells):
        printed = [float(re.sub("[^0-9.]", "", row.cells[at])) for row in rows]
        assert sum(printed) == pytest.approx(float(re.sub("[^0-9.]", "", cell)))


def test_every_figure_shows_its_sum_with_its_source() -> None:
    recipe = drink("sugar", "salt", carb_g_per_l=60, sodium_mg_per_l=500, volume_ml=750)
    told = " ".join(sums(recipe))
    assert "750 ml of water + 0.62 ml × 47.0 g of dry sugars = 779 ml" in told
    assert "47.0 g / 0.779 l = 60.3 g/l" in told
    assert "4 kcal × 60.3 g/l = 241 kcal/l" in told
    assert "efsa2011drinks" in told
    assert "our estimate" in told


def test_osmolality_is_for_the_practitioner_alone() -> None:
    recipe = drink("sugar", "salt", carb_g_per_l=60, sodium_mg_per_l=500)
    assert "osmolality" in {one.name for one in figures(recipe.weighed.strength)}
    assert not re.search("osm", " ".join(handed_out(recipe)), re.IGNORECASE)


# Withheld, refused, unknown.


def test_portions_only_gets_spoons_and_no_weight() -> None:
    recipe = drink("sugar", "salt", carb_g_per_l=60, sodium_mg_per_l=500, volume_ml=2250)
    text = " ".join(handed_out(recipe, ["grams"]))
    assert "tablespoons" in text
    assert not WEIGHTS.search(text)
    assert handed_out(drink("powder", carb_g_per_l=60), ["grams"]) == ()


def test_withheld_sodium_adds_none_and_shows_none() -> None:
    recipe = drink("sugar", "salt", carb_g_per_l=60, sodium_mg_per_l=500, withheld=["sodium"])
    assert set(grams(recipe)) == {"sugar"}
    assert "mix.sodium_withheld" in codes(recipe)
    told = " ".join(
        (*sums(recipe, ["sodium"]), *(f.name for f in figures(recipe.weighed.strength, ["sodium"])))
    )
    assert "sodium" not in told.lower()
    assert "osmol" not in told.lower()
    with pytest.raises(NoPlanFits):
        drink("salt", sodium_mg_per_l=500, withheld=["sodium"])


def test_withheld_fluid_has_no_recipe() -> None:
    with pytest.raises(OnHold):
        drink("sugar", carb_g_per_l=60, withheld=["fluid"])


def test_what_this_person_may_not_have_stays_out_with_the_reason() -> None:
    recipe = drink("sugar", "maltodextrin", carb_g_per_l=60, refused={"sugar": "contains fructose"})
    assert set(grams(recipe)) == {"maltodextrin"}
    assert "contains fructose" in recipe.gave_way[0].line()
    with pytest.raises(NoPlanFits):
        drink("sugar", carb_g_per_l=60, refused={"sugar": "contains fructose"})


@pytest.mark.parametrize("one", ingredients(), ids=lambda one: one.id)
def test_what_holds_fructose_is_known_to_the_rule_that_withholds_it(one: Any) -> None:
    assert may_hold_fructose(one.item) == (one.id in ("sugar", "fructose"))


def test_powders_that_may_be_of_wheat_are_not_stated_to_be_free_from_gluten() -> None:
    refused = {one.id for one in ingredients() if one.item.refused_for(("gluten",), (), "any")}
    assert refused == {"maltodextrin", "glucose"}


def product(**printed: Any) -> Item:
    label = Label(**{"convention": "EU", "basis": "100 g", "pack_g": 500, "carb_g": 90, **printed})
    return Item(id="house-mix", name="House mix", texture="powder", label=label)


def test_a_label_that_does_not_tell_its_sugars_has_unknown_fructose_and_no_ratio() -> None:
    own = cupboard([product(sodium_mg=400, caffeine_mg=0)])
    wish = DrinkWish(carb_g_per_l=60, volume_ml=500, sources=("house-mix",))
    recipe = mixed(wish, own)
    assert recipe.weighed.strength.fructose_g_per_l is None
    assert [one.value for one in figures(recipe.weighed.strength) if one.name == "of it fructose"] == [
        "unknown"
    ]
    with pytest.raises(BadInput, match="does not tell its sugars apart"):
        mixed(wish.model_copy(update={"fructose_ratio": 0.8}), own)


def test_a_label_without_sodium_stops_a_wish_for_sodium() -> None:
    own = cupboard([product()])
    with pytest.raises(BadInput, match="does not tell its sodium"):
        mixed(
            DrinkWish(carb_g_per_l=60, sodium_mg_per_l=500, volume_ml=500, sources=("house-mix", "salt")), own
        )


def test_a_printed_label_makes_the_strength_a_range() -> None:
    own = cupboard([product(sodium_mg=400, sugars_g=0, caffeine_mg=0)])
    carb = mixed(
        DrinkWish(carb_g_per_l=60, volume_ml=500, sources=("house-mix",)), own
    ).weighed.strength.carb_g_per_l
    assert carb is not None
    assert carb.low < carb.mid < carb.high


def test_a_powder_that_may_hold_caffeine_says_so() -> None:
    own = cupboard([product(sodium_mg=400, sugars_g=0)])
    recipe = mixed(DrinkWish(carb_g_per_l=60, volume_ml=500, sources=("house-mix",)), own)
    assert "mix.caffeine" in codes(recipe)


def test_a_gel_and_a_drink_are_no_powder() -> None:
    assert from_item(product().model_copy(update={"texture": "gel"})) is None
    assert {"water", "cola", "gel-25"}.isdisjoint(AT_HAND)


# As people type it.


@pytest.mark.parametrize(
    ("key", "text", "field", "value"),
    [
        ("carb", "60 g/l", "carb_g_per_l", 60),
        ("carb", "62,5 g/l", "carb_g_per_l", 62.5),
        ("carb", "60", "carb_g_per_l", 60),
        ("carb", "6 %", "carb_g_per_l", 60),
        ("sodium", "500 mg/l", "sodium_mg_per_l", 500),
        ("sodium", "0,5 g/l", "sodium_mg_per_l", 500),
        ("sodium", "20 mmol/l", "sodium_mg_per_l", 459.8),
        ("sodium", "40 mmol/l", "sodium_mg_per_l", 919.6),
        ("volume", "1,5 l", "volume_ml", 1500),
        ("volume", "", "volume_ml", 1000),
        ("ratio", "1:0.8", "fructose_ratio", 0.8),
        ("ratio", "2:1", "fructose_ratio", 0.5),
        ("ratio", "1 to 0,8", "fructose_ratio", 0.8),
        ("ratio", "0.8", "fructose_ratio", 0.8),
    ],
)
def test_a_wish_is_read_as_it_is_typed(key: str, text: str, field: str, value: float) -> None:
    wish = wish_of({"from": "sugar", key: text}, AT_HAND, how="added to")
    assert getattr(wish, field) == pytest.approx(value)


@pytest.mark.parametrize(
    ("key", "text", "code"),
    [
        ("carb", "60 g", "entry.unreadable"),
        ("carb", "8", "entry.ambiguous"),
        ("carb", "-60 g/l", "entry.outside"),
        ("sodium", "1", "entry.ambiguous"),
        ("volume", "750", "entry.ambiguous"),
        ("volume", "-1 l", "entry.outside"),
        ("ratio", "1:9", "entry.outside"),
        ("ratio", "much", "entry.unreadable"),
        ("from", "shugar", "mix.unknown_source"),
        ("from", "", "mix.no_source"),
    ],
)
def test_a_wish_that_cannot_be_read_says_where(key: str, text: str, code: str) -> None:
    with pytest.raises(BadInput) as refused:
        wish_of({"from": "sugar", key: text}, AT_HAND, how="added to")
    assert [(one.code, one.about) for one in refused.value.findings] == [(code, key)]


def test_ingredients_are_found_by_other_names_and_misspellings_are_helped() -> None:
    wish = wish_of({"from": "Dextrose, sodium  citrate, sugar"}, AT_HAND, how="added to")
    assert wish.sources == ("glucose", "citrate", "sugar")
    with pytest.raises(BadInput, match="Did you mean 'maltodextrin'"):
        wish_of({"from": "maltodextrn"}, AT_HAND, how="added to")


def test_every_fault_of_a_wish_is_told_at_once() -> None:
    with pytest.raises(BadInput) as refused:
        wish_of({"from": "sand", "carb": "x", "volume": "y"}, AT_HAND, how="added to")
    assert {one.about for one in refused.value.findings} == {"from", "carb", "volume"}


def test_nothing_wished_is_a_fault() -> None:
    with pytest.raises(BadInput, match="nothing is wished"):
        drink("sugar")


# Juice.


def test_juice_is_measured_by_volume_and_counts_with_its_own_water_and_sugars() -> None:
    recipe = drink(
        "orange-juice", "salt", carb_g_per_l=60, sodium_mg_per_l=500, how="made up to", volume_ml=750
    )
    juice = recipe.weighed.amounts[0]
    assert juice.volume_ml == 380
    assert recipe.weighed.water_ml == pytest.approx(370)
    assert recipe.weighed.strength.carb_g_per_l is not None
    assert recipe.weighed.strength.carb_g_per_l.mid == pytest.approx(60, rel=0.01)
    # the table's 11.24 g of carbohydrate and 2 mg of sodium in 100 g, at 1.052 g/ml
    assert juice.holds.carb_g is not None
    assert juice.holds.carb_g.mid == pytest.approx(380 * 1.05246 * 0.1124, rel=1e-4)
    assert juice.holds.sodium_mg is not None
    assert juice.holds.sodium_mg.mid == pytest.approx(8, abs=0.1)
    assert "380 ml of juice" in " ".join(sums(recipe))
    assert handed_out(recipe)[0] == "Measure 380 ml of orange juice, 0.9 g of table salt."


def test_a_juice_differs_from_carton_to_carton_so_its_strength_is_a_range() -> None:
    strength = drink("apple-juice", carb_g_per_l=60, how="made up to").weighed.strength
    assert strength.carb_g_per_l is not None
    assert strength.carb_g_per_l.low < 0.91 * strength.carb_g_per_l.mid
    assert strength.osmolality_mosm_per_kg.high > 1.5 * strength.osmolality_mosm_per_kg.low


@pytest.mark.parametrize("how", ["added to", "made up to"])
@pytest.mark.parametrize("juice", ["orange-juice", "apple-juice", "grape-juice"])
def test_no_drink_of_juice_takes_less_than_no_water(how: str, juice: str) -> None:
    for sources in ((juice,), (juice, "sugar"), (juice, "maltodextrin", "salt")):
        for strength in (40, 90, 110, 150, 400, 700):
            recipe = drink(*sources, carb_g_per_l=strength, how=how)
            assert recipe.weighed.water_ml >= 0
            assert recipe.other_way is None or recipe.other_way.water_ml >= 0


def test_a_juice_that_is_weaker_than_the_wish_gives_way() -> None:
    recipe = drink("apple-juice", carb_g_per_l=150, how="made up to")
    assert [one.code for one in recipe.gave_way] == ["mix.too_weak"]
    assert recipe.met.carb_g_per_l == 116
    assert not drink(
        "apple-juice", "maltodextrin", carb_g_per_l=150, fructose_ratio=0.5, how="made up to"
    ).gave_way


def test_juice_in_portions_is_poured_and_nothing_is_weighed() -> None:
    text = " ".join(handed_out(drink("orange-juice", carb_g_per_l=60, how="made up to"), ["grams"]))
    assert "ml of orange juice" in text
    assert not WEIGHTS.search(text)
