"""Labels mean what they print: conventions, bases, sugars, salt; what is not printed is unknown."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from provand.figure import Range
from provand.larder.composition import AMOUNTS, Composition, total
from provand.larder.label import Label, composition_of
from provand.larder.shelf import shelf


def label(**printed: Any) -> Label:
    return Label(**{"convention": "EU", "basis": "pack", **printed})


def mid(amount: Range | None) -> float:
    assert amount is not None
    return amount.mid


def refused(**printed: Any) -> str:
    with pytest.raises(ValidationError) as caught:
        label(**printed)
    return str(caught.value)


def test_a_60_g_gel_at_40_g_in_100_g_holds_24_g() -> None:
    assert mid(composition_of(label(basis="100 g", pack_g=60, carb_g=40)).carb_g) == pytest.approx(24)


def test_per_serving_is_scaled_to_the_pack() -> None:
    holds = composition_of(label(basis="serving", serving_g=25, pack_g=100, carb_g=20, caffeine_mg=30))
    assert mid(holds.carb_g) == pytest.approx(80)
    assert holds.caffeine_mg == Range.exact(120)


def test_per_100_ml_is_scaled_to_the_volume() -> None:
    holds = composition_of(label(basis="100 ml", pack_ml=330, carb_g=10.6, sodium_mg=4))
    assert mid(holds.carb_g) == pytest.approx(34.98)


@pytest.mark.parametrize("basis", ["100 g", "100 ml", "serving"])
def test_a_basis_without_the_size_of_the_pack_is_refused(basis: str) -> None:
    assert "needs its size in the same unit" in refused(basis=basis, carb_g=20, pack_g=None)


def test_sizes_of_different_kinds_do_not_make_a_portion() -> None:
    assert "needs its size" in refused(basis="serving", serving_ml=30, pack_g=60, carb_g=20)


def test_an_eu_label_excludes_fibre_and_a_us_label_includes_it() -> None:
    eu = label(carb_g=30, fibre_g=4, pack_g=60)
    us = label(convention="US", carb_g=30, fibre_g=4, pack_g=60)
    assert (eu.available_carb_g(), us.available_carb_g()) == (30, 26)


def test_a_us_label_without_fibre_leaves_the_carbohydrate_unknown() -> None:
    assert composition_of(label(convention="US", carb_g=30, pack_g=60)).carb_g is None


def test_salt_is_two_and_a_half_times_sodium() -> None:
    """S11: salt 0.45 g gives 180 mg by the label law."""
    assert label(salt_g=0.45).printed_sodium_mg() == pytest.approx(180)
    assert mid(composition_of(label(salt_g=0.45, pack_g=40)).sodium_mg) == pytest.approx(180)


def test_salt_and_sodium_that_disagree_are_refused() -> None:
    assert label(salt_g=0.5, sodium_mg=200)
    assert "salt and sodium disagree" in refused(salt_g=0.5, sodium_mg=500)


def test_table_sugar_is_half_fructose() -> None:
    holds = composition_of(label(carb_g=30, sucrose_g=20, fructose_g=2, pack_g=50))
    assert mid(holds.fructose_g) == 12
    assert mid(holds.glucose_g) == 18


def test_a_split_that_is_not_printed_is_unknown_and_never_0() -> None:
    holds = composition_of(label(carb_g=30, sugars_g=12, pack_g=50))
    assert (holds.glucose_g, holds.fructose_g) == (None, None)


def test_a_pack_without_sugars_holds_no_fructose() -> None:
    holds = composition_of(label(carb_g=22, sugars_g=0, pack_g=65))
    assert holds.fructose_g == Range.exact(0)
    assert holds.glucose_g == holds.carb_g


def test_glucose_keeps_the_rounding_of_the_label_on_its_upper_side() -> None:
    holds = composition_of(label(carb_g=25, fructose_g=8, pack_g=40))
    assert holds.glucose_g == Range.of(16.5, 17.5, 17)


@pytest.mark.parametrize(
    ("convention", "printed", "low", "high"),
    [("EU", 25, 24.5, 25.5), ("EU", 9.4, 9.35, 9.45), ("US", 25, 24.5, 25.5), ("EU", 0, 0, 0)],
)
def test_a_printed_amount_is_its_rounding_interval(
    convention: str, printed: float, low: float, high: float
) -> None:
    carb = composition_of(label(convention=convention, carb_g=printed, fibre_g=0, pack_g=60)).carb_g
    assert carb is not None
    assert (carb.low, carb.high) == pytest.approx((low, high))


def test_a_us_total_less_fibre_carries_both_roundings() -> None:
    carb = composition_of(label(convention="US", carb_g=30, fibre_g=4, pack_g=60)).carb_g
    assert carb == Range.of(25, 27, 26)


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ({"carb_g": 70, "pack_g": 60}, "cannot be in 60 g"),
        ({"carb_g": 140, "basis": "100 g", "pack_g": 60}, "cannot be in 100 g"),
        ({"carb_g": 3, "fibre_g": 5, "convention": "US"}, "fibre is more than the total"),
        ({"carb_g": 10, "sugars_g": 14}, "sugars are more than the carbohydrate"),
        ({"carb_g": 10, "glucose_g": 8, "fructose_g": 8}, "come to more than the carbohydrate"),
        ({"carb_g": 40, "fat_g": 15, "protein_g": 20, "pack_g": 60}, "come to 75 g of 60 g"),
        ({"carb_g": -1}, "from 0 to 1000 is allowed"),
        ({"pack_g": 0, "basis": "100 g"}, "from 0.1 to 5000 is allowed"),
        ({"carb_g": float("nan")}, "finite"),
        ({"carbs_g": 10}, "Extra inputs"),
    ],
)
def test_what_no_pack_can_hold_is_refused(printed: dict[str, Any], said: str) -> None:
    assert said in refused(**printed)


def test_everything_wrong_with_a_label_is_said_at_once() -> None:
    said = refused(carb_g=70, pack_g=60, sugars_g=80, salt_g=0.1, sodium_mg=900)
    assert said.count("; ") == 2


def test_water_is_estimated_from_what_is_not_solid_and_taken_as_stated() -> None:
    gel = composition_of(label(carb_g=25, pack_g=40, fibre_g=0, fat_g=0, protein_g=0))
    assert gel.water_ml == Range.of(12, 15, 13.5)
    assert composition_of(label(carb_g=25, pack_g=40, water_ml=11)).water_ml == Range.exact(11)


def test_half_a_pack_holds_half_of_everything_known() -> None:
    for item in shelf():
        half = item.holds.times(0.5)
        for name in AMOUNTS:
            whole, part = getattr(item.holds, name), getattr(half, name)
            assert (part is None) == (whole is None)
            if whole is not None:
                assert (part.low, part.mid, part.high) == (whole.low / 2, whole.mid / 2, whole.high / 2)


def test_unknown_and_known_is_unknown() -> None:
    known, unknown = Composition(carb_g=Range.of(24, 26)), Composition(sodium_mg=Range.exact(5))
    assert total([known, known]).carb_g == Range.of(48, 52)
    assert total([known, unknown]).carb_g is None
    assert total([]).carb_g == Range.exact(0)


PARTS = st.floats(0, 100).map(lambda value: round(value, 1))


@given(carb=PARTS, fructose=PARTS, sucrose=PARTS, pack=st.floats(20, 200))
def test_glucose_and_fructose_come_to_the_carbohydrate(
    carb: float, fructose: float, sucrose: float, pack: float
) -> None:
    try:
        printed = label(basis="100 g", pack_g=pack, carb_g=carb, fructose_g=fructose, sucrose_g=sucrose)
    except ValidationError:
        return
    holds = composition_of(printed)
    assert holds.carb_g is not None
    assert holds.glucose_g is not None
    assert holds.fructose_g is not None
    if mid(holds.fructose_g) <= holds.carb_g.low:
        assert mid(holds.glucose_g) + mid(holds.fructose_g) == pytest.approx(mid(holds.carb_g), abs=1e-9)
    assert holds.glucose_g.low <= holds.glucose_g.high <= holds.carb_g.high
