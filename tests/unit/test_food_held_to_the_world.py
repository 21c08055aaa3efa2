"""The larder held to what others say: the table's own factors, yields, densities, caffeine, errors made."""

from __future__ import annotations

import pytest

from provand.larder.food import Food, food_of, foods
from provand.larder.raw import raw_foods
from provand.larder.table import TableRow, table_rows
from provand.physiology.chemistry import label_energy_kcal, table_energy_kcal

ALCOHOL_KCAL_PER_G = 6.93
"""The table's factor for alcohol (Merrill and Watt)."""
KJ_PER_KCAL = 4.184


def named(food_id: str) -> Food:
    food = food_of(food_id)
    assert food is not None, food_id
    return food


def by_own_factors_kcal(row: TableRow) -> float | None:
    """Return the energy of a food of the table by its own factors, or None where it has none."""
    factors = (row.protein_kcal_per_g, row.fat_kcal_per_g, row.carb_kcal_per_g)
    parts = [row.amount(name) for name in ("protein_g", "fat_g", "carb_by_difference_g")]
    if any(one is None for one in (*factors, *parts)):
        return None
    protein, fat, carb = (part or 0.0 for part in parts)
    of_protein, of_fat, of_carb = (factor or 0.0 for factor in factors)
    energy = table_energy_kcal(
        protein_g=protein,
        fat_g=fat,
        carb_g=carb,
        protein_kcal_per_g=of_protein,
        fat_kcal_per_g=of_fat,
        carb_kcal_per_g=of_carb,
    )
    return energy + ALCOHOL_KCAL_PER_G * (row.amount("alcohol_g") or 0)


def test_the_tables_energy_is_that_of_its_own_factors() -> None:
    compared = 0
    for row in table_rows().values():
        energy, printed = by_own_factors_kcal(row), row.amount("energy_kcal")
        if energy is None or printed is None:
            continue
        assert energy == pytest.approx(printed, abs=OFF.get(row.number, 1.0)), (row.number, row.description)
        compared += 1
    assert compared >= 170


OFF = {"09240": 1.8, "18060": 1.2, "20061": 2.0, "20133": 3.1}
"""Foods whose printed energy is off that of their printed parts by so many kcal: the table's own slips."""


def test_four_four_nine_would_not_give_the_tables_energy() -> None:
    """S11-104: raw rice, 365 kcal in the table, 365.35 by its factors, 351.66 by the European rule."""
    rice = table_rows()["20044"]
    assert by_own_factors_kcal(rice) == pytest.approx(365.35, abs=0.01)
    eu = label_energy_kcal(
        carb_g=78.65, polyol_g=0, erythritol_g=0, protein_g=7.13, fat_g=0.66, alcohol_g=0, organic_acid_g=0,
        fibre_g=1.3,
    )  # fmt: skip
    assert eu == pytest.approx(351.66, abs=0.01)
    held = raw_foods()["dry-white-rice"].per_100g.energy_kcal
    assert held is not None and held.mid == 365


def test_the_tables_kilojoules_are_its_kilocalories() -> None:
    for row in table_rows().values():
        kcal, kj = row.amount("energy_kcal"), row.amount("energy_kj")
        assert kcal is not None and kj is not None
        assert kj == pytest.approx(kcal * KJ_PER_KCAL, abs=4.0), row.number


@pytest.mark.parametrize(
    ("food", "dry_per_cooked"),
    [
        ("white-rice", 2.84),
        ("parboiled-rice", 3.11),
        ("brown-rice", 2.98),  # 3.36 in release 26: release 28 has the raw at 76.25 g and the boiled at 25.58
        ("short-grain-rice", 2.75),
        ("pasta", 2.42),
        ("fresh-pasta", 2.20),
        ("egg-noodles", 2.83),
        ("rice-noodles", 3.34),
        ("couscous", 3.33),
        ("bulgur", 4.08),
        ("quinoa", 3.01),
        ("porridge", 5.64),
    ],
)
def test_dry_to_cooked(food: str, dry_per_cooked: float) -> None:
    assert 1 / named(food).bought.g_per_eaten_g == pytest.approx(dry_per_cooked, abs=0.006)


@pytest.mark.parametrize(
    ("food", "density_g_per_ml"),
    [
        ("whole-milk", 1.031),
        ("orange-juice", 1.052),
        ("cola", 1.04),
        ("honey", 1.433),
        ("maple-syrup", 1.331),
        ("olive-oil", 0.913),
    ],
)
def test_densities(food: str, density_g_per_ml: float) -> None:
    assert named(food).density_g_per_ml == pytest.approx(density_g_per_ml, abs=0.003)


@pytest.mark.parametrize(
    ("number", "measure", "grams"), [("19335", "2", 4.2), ("02047", "1", 6.0), ("18372", "1", 4.6)]
)
def test_a_teaspoon_of_sugar_salt_and_soda(number: str, measure: str, grams: float) -> None:
    assert table_rows()[number].measures[measure].one_g == grams


@pytest.mark.parametrize(
    ("food", "caffeine_mg"),
    [
        ("coffee", 40),
        ("espresso", 212),
        ("black-tea", 20),
        ("decaf-coffee", 1),
        ("decaf-tea", 1),
        ("cola", 9),
        ("energy-drink", 38),
        ("milk-chocolate", 20),
        ("dark-chocolate", 43),
        ("very-dark-chocolate", 80),
    ],
)
def test_caffeine_in_100_g(food: str, caffeine_mg: float) -> None:
    held = named(food).per_100g.caffeine_mg
    assert held is not None and held.mid == caffeine_mg


def test_decaf_is_not_nought() -> None:
    held = named("decaf-coffee").holds(237).caffeine_mg
    assert held is not None and held.low > 1 and held.mid == pytest.approx(2.37)


def test_parts_measured_apart_pass_the_carbohydrate_by_little_and_equal_it_nowhere_by_rule() -> None:
    over = []
    for row in table_rows().values():
        parts = [row.amount(name) for name in ("sugars_g", "starch_g", "fibre_g")]
        total = row.amount("carb_by_difference_g")
        if total is not None and all(part is not None for part in parts):
            over.append((sum(part or 0 for part in parts) - total, row.number))
    assert 0.5 < max(over)[0] <= 1.65, max(over)
    assert min(over)[0] < -0.5


def test_100_g_of_rice_is_not_100_g_of_rice() -> None:
    """Dry against cooked: about 78 g of carbohydrate in dry rice, 28 g in boiled."""
    dry, boiled = raw_foods()["dry-white-rice"].per_100g.carb_g, named("white-rice").per_100g.carb_g
    assert dry is not None and boiled is not None
    assert dry.mid == pytest.approx(78.65) and boiled.mid == pytest.approx(27.77)


def test_table_sugar_is_one_to_one() -> None:
    sugar = named("sugar").per_100g
    assert sugar.fructose_g is not None and sugar.glucose_g is not None
    assert sugar.fructose_g.mid / sugar.glucose_g.mid == pytest.approx(1, abs=0.12)


def test_a_gram_of_salt_is_not_a_gram_of_sodium() -> None:
    sodium = raw_foods()["salt"].holds(1).sodium_mg
    assert sodium is not None and sodium.mid == pytest.approx(393, abs=6)


def test_whole_fruit_and_wholemeal_show_what_the_fibre_limit_is_for() -> None:
    """Fibre and fat counted as loading: 200 g of carbohydrate as wholemeal bread bring over 30 g of fibre."""
    bread, rice = named("wholemeal-bread").per_100g, named("white-rice").per_100g
    assert bread.carb_g is not None and bread.fibre_g is not None
    assert rice.carb_g is not None and rice.fibre_g is not None
    assert 200 / bread.carb_g.mid * bread.fibre_g.mid > 30
    assert 200 / rice.carb_g.mid * rice.fibre_g.mid < 3


def test_no_food_holds_more_than_itself() -> None:
    for food in foods():
        held = food.per_100g
        parts = [held.water_ml, held.carb_g, held.fibre_g, held.fat_g, held.protein_g, held.alcohol_g]
        low = sum(part.low for part in parts if part is not None)
        assert 88 <= low <= 101.5 or food.id == "soy-sauce", (food.id, low)  # its salt
