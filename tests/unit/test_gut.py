"""What the gut equations must do whatever is eaten."""

from __future__ import annotations

from itertools import pairwise

import pytest

from provand.physiology.gut import (
    FRUCTOSE_CEILING_G_PER_MIN,
    GLUCOSE_CEILING_G_PER_MIN,
    NEAT_CARB_G_PER_L,
    emptying_rate_per_min,
    fructose_absorption_g_per_min,
    glucose_absorption_g_per_min,
    left_in_stomach_ml,
    min_fructose_g_per_h,
    mixed_osmolality_mmol_per_kg,
    neat_emptying_rate_per_min,
    plateau_burned_g_per_min,
    steady_stomach_ml,
    water_for_gel_ml,
)


def test_stronger_drinks_leave_more_slowly_and_lie_higher() -> None:
    strengths = [10.0 * step for step in range(26)]
    rates = [emptying_rate_per_min(carb_g_per_l=strength) for strength in strengths]
    volumes = [steady_stomach_ml(drunk_ml_per_h=600.0, carb_g_per_l=strength) for strength in strengths]
    assert all(later < earlier for earlier, later in pairwise(rates))
    assert all(later > earlier for earlier, later in pairwise(volumes))


def test_the_floor_for_neat_gels_meets_the_curve_and_never_slows_it() -> None:
    below = neat_emptying_rate_per_min(carb_g_per_l=NEAT_CARB_G_PER_L, stomach_carb_g=25.0)
    assert below == emptying_rate_per_min(carb_g_per_l=NEAT_CARB_G_PER_L)
    for strength in (20.0, 180.0, 180.001, 300.0, 700.0):
        for grams in (0.5, 5.0, 25.0, 100.0):
            floored = neat_emptying_rate_per_min(carb_g_per_l=strength, stomach_carb_g=grams)
            assert floored >= emptying_rate_per_min(carb_g_per_l=strength)
            assert floored <= emptying_rate_per_min(carb_g_per_l=min(strength, NEAT_CARB_G_PER_L))


def test_a_neat_gel_is_gone_in_an_hour_or_so_and_not_in_a_day() -> None:
    bare = emptying_rate_per_min(carb_g_per_l=700.0) * 25.0
    floored = neat_emptying_rate_per_min(carb_g_per_l=700.0, stomach_carb_g=25.0) * 25.0
    assert floored == pytest.approx(0.5)
    assert floored > 10 * bare


def test_absorption_rises_with_what_waits_and_stays_under_its_ceiling() -> None:
    for absorbed, ceiling in (
        (lambda grams: glucose_absorption_g_per_min(gut_glucose_g=grams), GLUCOSE_CEILING_G_PER_MIN),
        (lambda grams: fructose_absorption_g_per_min(gut_fructose_g=grams), FRUCTOSE_CEILING_G_PER_MIN),
    ):
        rates = [absorbed(grams) for grams in (0.0, 0.1, 1.0, 10.0, 100.0, 1000.0)]
        assert rates[0] == 0.0
        assert all(later > earlier for earlier, later in pairwise(rates))
        assert rates[-1] < ceiling


def test_more_glucose_than_its_ceiling_burns_no_faster_but_fructose_beside_it_does() -> None:
    full = plateau_burned_g_per_min(glucose_g_per_min=1.2, fructose_g_per_min=0.0)
    assert plateau_burned_g_per_min(glucose_g_per_min=2.0, fructose_g_per_min=0.0) == full
    assert plateau_burned_g_per_min(glucose_g_per_min=1.2, fructose_g_per_min=0.6) > full + 0.4


def test_water_found_for_a_gel_brings_it_to_what_was_wanted() -> None:
    water = water_for_gel_ml(gel_osmolality_mmol_per_kg=6000.0, gel_water_g=30.0, wanted_mmol_per_kg=290.0)
    mixed = mixed_osmolality_mmol_per_kg(
        gel_osmolality_mmol_per_kg=6000.0, gel_water_g=30.0, added_water_g=water
    )
    assert mixed == pytest.approx(290.0)


def test_glucose_stays_at_sixty_an_hour_or_less_beside_the_least_fructose() -> None:
    for carb in (0.0, 30.0, 60.0, 60.5, 90.0, 120.0):
        fructose = min_fructose_g_per_h(carb_g_per_h=carb)
        assert fructose >= 0
        assert carb - fructose <= 60.0


def test_a_drink_leaves_but_never_grows() -> None:
    left = [
        left_in_stomach_ml(drunk_ml=500.0, carb_g_per_l=80.0, elapsed_min=float(t)) for t in range(0, 120, 10)
    ]
    assert left[0] == 500.0
    assert all(0 < later < earlier for earlier, later in pairwise(left))
