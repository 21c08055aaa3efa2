"""Caffeine at the edges of its equation, and printed labels beside true contents."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from provand.physiology.caffeine import caffeine_in_body_mg, caffeine_peak_h
from provand.physiology.chemistry import (
    SALT_G_PER_MOL,
    label_salt_g,
    label_sodium_mg,
    salt_for_sodium_g,
    sodium_mg,
    sodium_mmol,
    sodium_of_salt_mg,
)
from provand.physiology.label_rounding import (
    eu_printed_energy,
    eu_printed_grams,
    eu_printed_salt,
    us_printed_energy,
    us_printed_fat,
    us_printed_grams,
    us_printed_sodium,
)

steady = settings(derandomize=True, deadline=None)


def in_body(*, absorption: float, elapsed: float, half_life: float = 5.0, dose: float = 100.0) -> float:
    return caffeine_in_body_mg(
        dose_mg=dose,
        available_frac=1.0,
        absorption_per_h=absorption,
        half_life_h=half_life,
        elapsed_h=elapsed,
    )


def test_equal_rates_are_no_division_by_zero_and_no_jump() -> None:
    equal = math.log(2) / 5.0
    exactly = in_body(absorption=equal, elapsed=3.0)
    for nudge in (1e-12, 1e-9, 1e-6):
        assert in_body(absorption=equal * (1 + nudge), elapsed=3.0) == pytest.approx(exactly, rel=1e-5)
        assert in_body(absorption=equal * (1 - nudge), elapsed=3.0) == pytest.approx(exactly, rel=1e-5)


@steady
@given(absorption=st.floats(1.2, 5), half_life=st.floats(1.5, 11), elapsed=st.floats(0, 48))
def test_never_more_is_in_the_body_than_was_taken(
    absorption: float, half_life: float, elapsed: float
) -> None:
    amount = in_body(absorption=absorption, half_life=half_life, elapsed=elapsed)
    assert 0 <= amount <= 100.0


@steady
@given(absorption=st.floats(1.2, 5), half_life=st.floats(1.5, 11))
def test_nothing_stands_higher_than_the_peak(absorption: float, half_life: float) -> None:
    peak = caffeine_peak_h(absorption_per_h=absorption, half_life_h=half_life)
    top = in_body(absorption=absorption, half_life=half_life, elapsed=peak)
    for off in (0.5, 0.9, 1.1, 2.0):
        assert in_body(absorption=absorption, half_life=half_life, elapsed=peak * off) <= top


@steady
@given(st.floats(0, 5000))
def test_sodium_goes_to_salt_and_moles_and_back(milligrams: float) -> None:
    assert label_sodium_mg(salt_g=label_salt_g(sodium_mg=milligrams)) == pytest.approx(milligrams)
    assert sodium_mg(sodium_mmol=sodium_mmol(sodium_mg=milligrams)) == pytest.approx(milligrams)
    salt = salt_for_sodium_g(sodium_mg=milligrams, sodium_count=1.0, salt_g_per_mol=SALT_G_PER_MOL)
    weighed = sodium_of_salt_mg(salt_g=salt, sodium_count=1.0, salt_g_per_mol=SALT_G_PER_MOL)
    assert weighed == pytest.approx(milligrams)


def test_salt_on_a_scale_holds_less_sodium_than_the_label_rule_says() -> None:
    weighed = sodium_of_salt_mg(salt_g=1.0, sodium_count=1.0, salt_g_per_mol=SALT_G_PER_MOL)
    assert 390 < weighed < label_sodium_mg(salt_g=1.0) == 400


@pytest.mark.parametrize(
    ("printed", "text"),
    [
        (eu_printed_energy(energy_kcal=313.5), "314"),
        (eu_printed_grams(part_g=0.5), "0"),
        (eu_printed_grams(part_g=0.55), "0.6"),
        (eu_printed_grams(part_g=9.96), "10"),
        (eu_printed_grams(part_g=10.5), "11"),
        (eu_printed_salt(salt_g=0.0124), "0"),
        (eu_printed_salt(salt_g=0.0125), "0.01"),
        (eu_printed_salt(salt_g=0.996), "1"),
        (us_printed_energy(energy_kcal=4.9), "0"),
        (us_printed_energy(energy_kcal=50.0), "50"),
        (us_printed_energy(energy_kcal=55.0), "60"),
        (us_printed_sodium(sodium_mg=4.9), "0"),
        (us_printed_sodium(sodium_mg=140.0), "140"),
        (us_printed_sodium(sodium_mg=145.0), "150"),
        (us_printed_grams(part_g=0.49), "0"),
        (us_printed_grams(part_g=0.99), "less than 1"),
        (us_printed_grams(part_g=1.5), "2"),
        (us_printed_fat(fat_g=0.74), "0.5"),
        (us_printed_fat(fat_g=4.8), "5"),
    ],
)
def test_labels_round_as_the_rules_say_at_their_edges(printed: str, text: str) -> None:
    assert printed == text


@steady
@given(st.floats(0.51, 200))
def test_a_printed_gram_lies_within_half_its_step_of_the_truth(amount: float) -> None:
    step = 1 if amount >= 10 else 0.1
    assert abs(float(eu_printed_grams(part_g=amount)) - amount) <= step / 2 + 1e-6
