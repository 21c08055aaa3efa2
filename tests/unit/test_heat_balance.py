"""The heat balance beside a standard's own program, and what it must do anywhere."""

from __future__ import annotations

import math
from itertools import pairwise, product

import pytest
from pythermalcomfort.models import phs
from pythermalcomfort.utilities import met_to_w_m2

from provand.physiology.heat_balance import (
    BALANCE_LIMIT_RATIO,
    MOST_SWEAT_W_PER_M2,
    HeatBalance,
    core_temp_c,
    heat_balance,
    radiation_w_per_m2_per_kelvin,
)
from provand.physiology.sweat import heat_balance_sweat_l_per_h, sweat_loss_l


def balance(
    *,
    metabolic: float = 575.0,
    air: float = 20.0,
    sun: float = 0.0,
    humidity: float = 0.5,
    speed: float = 3.0,
) -> HeatBalance:
    """Return the balance of a runner in calm air."""
    return heat_balance(
        metabolic_w_per_m2=metabolic,
        core_temp_c=core_temp_c(metabolic_w_per_m2=metabolic),
        air_temp_c=air,
        radiant_temp_c=air + sun,
        humidity_frac=humidity,
        air_speed_m_per_s=speed,
        ground_speed_m_per_s=speed,
        clothing_clo=0.2,
    )


@pytest.mark.parametrize(
    ("metabolic", "air", "sun", "humidity", "speed"),
    [(200, 30, 0, 0.45, 1.0), (240, 25, 10, 0.60, 1.5), (150, 35, 0, 0.40, 1.2), (250, 20, 20, 0.50, 1.4)],
)
def test_it_agrees_with_predicted_heat_strain_once_that_has_settled(
    metabolic: float, air: float, sun: float, humidity: float, speed: float
) -> None:
    settled = phs(
        tdb=air, tr=air + sun, v=speed, rh=100 * humidity, met=metabolic / met_to_w_m2, clo=0.2,
        posture="standing", wme=0, a_p=0, walk_sp=speed, duration=960, acclimatized=100,
        limit_inputs=False, round_output=False,
    )  # fmt: skip
    ours = heat_balance(
        metabolic_w_per_m2=metabolic,
        core_temp_c=float(settled.t_re),
        air_temp_c=air,
        radiant_temp_c=air + sun,
        humidity_frac=humidity,
        air_speed_m_per_s=speed,
        ground_speed_m_per_s=speed,
        clothing_clo=0.2,
    )
    assert ours.sweat_w_per_m2 == pytest.approx(float(settled.sweat_rate_watt), abs=0.15)
    assert ours.skin_temp_c == pytest.approx(float(settled.t_sk), abs=0.02)


def test_every_result_is_finite_whatever_the_weather() -> None:
    for air, sun, humidity, metabolic, speed in product(
        (-20, 0, 20, 35, 50), (-5, 0, 60), (0.05, 1.0), (100, 900), (0.0, 1.0, 6.0)
    ):
        found = balance(metabolic=metabolic, air=air, sun=sun, humidity=humidity, speed=speed)
        assert all(map(math.isfinite, found)), (air, sun, humidity, metabolic, speed)
        assert 0 <= found.sweat_w_per_m2 <= MOST_SWEAT_W_PER_M2


def test_heat_that_cannot_be_shed_is_said_and_not_turned_into_litres() -> None:
    swamp = balance(air=38.0, humidity=0.95)
    assert not swamp.can_hold
    assert swamp.wettedness_ratio >= BALANCE_LIMIT_RATIO
    assert swamp.sweat_w_per_m2 == MOST_SWEAT_W_PER_M2
    assert balance(air=20.0).can_hold


def test_warmer_air_never_lowers_the_sweat_rate() -> None:
    for humidity, metabolic, sun in product((0.3, 0.6, 0.9), (350, 575, 800), (0, 15)):
        rates = [
            balance(metabolic=metabolic, air=air / 2, sun=sun, humidity=humidity).sweat_w_per_m2
            for air in range(0, 90)
        ]
        assert all(later >= earlier - 1e-9 for earlier, later in pairwise(rates)), (humidity, metabolic, sun)


def test_in_the_cold_no_sweat_is_asked_for() -> None:
    assert balance(air=-5.0).sweat_w_per_m2 == 0.0


def test_more_air_speed_than_was_measured_counts_as_the_most() -> None:
    assert balance(speed=6.0) == balance(speed=3.0)


def test_surroundings_as_warm_as_the_surface_are_no_division_by_zero() -> None:
    same = radiation_w_per_m2_per_kelvin(surface_temp_c=30.0, radiant_temp_c=30.0)
    near = radiation_w_per_m2_per_kelvin(surface_temp_c=30.0, radiant_temp_c=30.0001)
    assert same == pytest.approx(near, rel=1e-6)


def test_a_bigger_body_sweats_in_proportion_to_its_surface() -> None:
    def rate(surface: float) -> float:
        return heat_balance_sweat_l_per_h(
            metabolic_w_per_m2=575.0, air_temp_c=28.0, radiant_temp_c=28.0, humidity_frac=0.5,
            air_speed_m_per_s=3.0, ground_speed_m_per_s=1.5, clothing_clo=0.2, body_surface_m2=surface,
        )  # fmt: skip

    assert rate(2.0) == pytest.approx(rate(1.6) * 2.0 / 1.6)


def test_lost_sweat_lags_ten_minutes_behind_the_rate() -> None:
    losses = [sweat_loss_l(sweat_l_per_h=1.0, elapsed_min=float(minute)) for minute in range(0, 200, 5)]
    assert losses[0] == 0.0
    assert all(later > earlier for earlier, later in pairwise(losses))
    assert losses[-1] == pytest.approx((195 - 10) / 60, abs=1e-6)
