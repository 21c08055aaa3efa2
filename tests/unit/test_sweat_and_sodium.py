"""Sweat tests carried to another day, and the sodium line of the fluid ceiling."""

from __future__ import annotations

import inspect
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from provand.physiology.sodium import serum_sodium_mmol_per_l, sodium_line_l, sodium_share_ratio
from provand.physiology.sweat import (
    REPEAT_SIGMA_RATIO,
    carried_sigma_ratio,
    carried_sweat_l_per_h,
    sweat_at_score_l_per_h,
    sweat_test_l_per_h,
    weight_of_tests_frac,
)

steady = settings(derandomize=True, deadline=None)


def test_more_tests_are_believed_more_and_leave_less_doubt_but_never_none() -> None:
    counts = (1.0, 2.0, 3.0, 5.0, 20.0)
    weights = [weight_of_tests_frac(test_count=count) for count in counts]
    spreads = [carried_sigma_ratio(test_count=count, temp_difference_c=0.0) for count in (0.0, *counts)]
    assert all(later > earlier for earlier, later in pairwise(weights))
    assert all(later < earlier for earlier, later in pairwise(spreads))
    assert weights[-1] < 1
    assert spreads[-1] > REPEAT_SIGMA_RATIO


def test_a_test_in_other_weather_leaves_more_doubt() -> None:
    near = carried_sigma_ratio(test_count=2.0, temp_difference_c=2.0)
    assert carried_sigma_ratio(test_count=2.0, temp_difference_c=12.0) > near


def test_a_test_pulls_the_model_towards_itself_but_not_past() -> None:
    offset = 0.3
    carried = carried_sweat_l_per_h(
        modelled_l_per_h=1.0, log_offset_ratio=offset, weight_frac=weight_of_tests_frac(test_count=1.0)
    )
    assert 1.0 < carried < 1.35


def test_the_band_stands_in_equal_ratios_about_its_middle() -> None:
    low, high = (
        sweat_at_score_l_per_h(middle_l_per_h=0.9, sigma_ratio=0.32, normal_score_ratio=score)
        for score in (-1.645, 1.645)
    )
    assert low * high == pytest.approx(0.9 * 0.9)


def test_urine_wet_kit_and_fuel_burned_all_count_in_a_sweat_test() -> None:
    def rate(**changed: float) -> float:
        plain = {
            "mass_before_kg": 70.0, "mass_after_kg": 69.0, "drunk_kg": 0.0, "eaten_kg": 0.0, "voided_kg": 0.0,
            "kit_gain_kg": 0.0, "energy_kcal": 0.0, "duration_min": 60.0,
        }  # fmt: skip
        return sweat_test_l_per_h(**{**plain, **changed})

    assert rate() == pytest.approx(1.0)
    assert rate(drunk_kg=0.3) == pytest.approx(1.3)
    assert rate(voided_kg=0.3) == pytest.approx(0.7)
    assert rate(kit_gain_kg=0.2) == pytest.approx(1.2)
    assert rate(energy_kcal=1000.0) == pytest.approx(0.8)


def line(*, loss: float, start: float = 140.0, sweat_sodium: float = 50.0, water: float = 40.0) -> float:
    return sodium_line_l(
        sweat_loss_l=loss,
        start_sodium_mmol_per_l=start,
        low_sodium_mmol_per_l=135.0,
        sweat_sodium_mmol_per_l=sweat_sodium,
        sweat_potassium_mmol_per_l=4.0,
        body_water_l=water,
    )


def test_no_argument_of_the_line_is_sodium_taken() -> None:
    assert set(inspect.signature(sodium_line_l).parameters) == {
        "sweat_loss_l", "start_sodium_mmol_per_l", "low_sodium_mmol_per_l", "sweat_sodium_mmol_per_l",
        "sweat_potassium_mmol_per_l", "body_water_l",
    }  # fmt: skip


@steady
@given(loss=st.floats(0, 10), start=st.floats(135, 145), sweat=st.floats(10, 100), water=st.floats(20, 70))
def test_saltier_sweat_or_a_lower_start_never_raises_the_line(
    loss: float, start: float, sweat: float, water: float
) -> None:
    here = line(loss=loss, start=start, sweat_sodium=sweat, water=water)
    assert line(loss=loss, start=start, sweat_sodium=sweat + 5, water=water) <= here + 1e-12
    assert line(loss=loss, start=start - 1, sweat_sodium=sweat, water=water) <= here


@steady
@given(loss=st.floats(0, 10), start=st.floats(135, 145), sweat=st.floats(10, 100), water=st.floats(20, 70))
def test_drunk_to_the_line_serum_sodium_is_135(loss: float, start: float, sweat: float, water: float) -> None:
    drunk = line(loss=loss, start=start, sweat_sodium=sweat, water=water)
    after = serum_sodium_mmol_per_l(
        start_sodium_mmol_per_l=start,
        body_water_l=water,
        water_gain_l=drunk - loss,
        cation_gain_mmol=-loss * (sweat + 4.0),
    )
    assert after == pytest.approx(135.0, abs=1e-6)


def test_the_share_of_sodium_put_back_holds_140() -> None:
    loss, sweat, drunk = 3.0, 60.0, 0.8
    share = sodium_share_ratio(
        sweat_sodium_mmol_per_l=sweat, sweat_potassium_mmol_per_l=4.0, drunk_frac=drunk
    )
    after = serum_sodium_mmol_per_l(
        start_sodium_mmol_per_l=140.0,
        body_water_l=40.0,
        water_gain_l=(drunk - 1) * loss,
        cation_gain_mmol=share * sweat * loss - (sweat + 4.0) * loss,
    )
    assert after == pytest.approx(140.0, abs=1e-9)
