"""WBGT, sun and flags, beside an open implementation of the standards and at their edges."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from pythermalcomfort.models import solar_gain, wbgt

from provand.physiology.heat import (
    clear_sky_w_per_m2,
    flag,
    heat_slow_down_frac,
    radiant_rise_c,
    unsuccessful_starters_frac,
)
from provand.physiology.wbgt import (
    direct_beam_frac,
    globe_temp_c,
    natural_wet_bulb_c,
    outdoor_wbgt_c,
    wbgt_shade_c,
    wbgt_sun_c,
)


def outdoors(**changed: float) -> float:
    mild = {
        "air_temp_c": 22.0, "humidity_frac": 0.55, "pressure_hpa": 1005.0, "wind_m_per_s": 2.0,
        "solar_w_per_m2": 600.0, "direct_frac": 0.6, "cos_zenith_ratio": 0.7, "stop_kelvin": 1e-6,
    }  # fmt: skip
    return outdoor_wbgt_c(**{**mild, **changed})


def test_the_runners_radiant_rise_follows_the_standard_over_the_whole_sky() -> None:
    headings = np.arange(0.0, 180.1, 7.5)
    weights = np.ones_like(headings)
    weights[[0, -1]] = 0.5
    for height, beam, absorbed, albedo in product(
        range(0, 91, 10), (200.0, 1000.0), (0.57, 0.84), (0.05, 0.6)
    ):
        gain = solar_gain(
            sol_altitude=height, sharp=headings, sol_radiation_dir=beam, sol_transmittance=1, f_svv=1,
            f_bes=1, asw=absorbed, posture="standing", floor_reflectance=albedo, round_output=False,
        )  # fmt: skip
        mean = float(np.average(gain.delta_mrt, weights=weights))
        ours = radiant_rise_c(
            direct_w_per_m2=beam,
            sun_elevation_deg=float(height),
            absorbed_frac=absorbed,
            ground_albedo_frac=albedo,
        )
        assert ours == pytest.approx(mean, rel=0.03), (height, beam, absorbed, albedo)


@pytest.mark.parametrize(
    ("wet", "globe", "air"), [(25.0, 32.0, 20.0), (18.0, 41.0, 27.0), (10.0, 12.0, 11.0)]
)
def test_the_sums_are_those_of_the_standard(wet: float, globe: float, air: float) -> None:
    sun = wbgt(twb=wet, tg=globe, tdb=air, with_solar_load=True, round_output=False).wbgt
    shade = wbgt(twb=wet, tg=globe, round_output=False).wbgt
    assert wbgt_sun_c(natural_wet_bulb_c=wet, globe_temp_c=globe, air_temp_c=air) == pytest.approx(float(sun))
    assert wbgt_shade_c(natural_wet_bulb_c=wet, globe_temp_c=globe) == pytest.approx(float(shade))


def test_sun_and_humidity_raise_it_and_wind_lowers_it_in_the_sun() -> None:
    here = outdoors()
    assert outdoors(solar_w_per_m2=900.0) > here
    assert outdoors(humidity_frac=0.8) > here
    assert outdoors(wind_m_per_s=6.0) < here
    assert outdoors(solar_w_per_m2=0.0, direct_frac=0.0) < here


def test_a_coarse_stop_stays_within_three_hundredths_of_a_degree() -> None:
    for air, sun in product((5.0, 20.0, 35.0), (0.0, 400.0, 900.0)):
        settled = outdoors(air_temp_c=air, solar_w_per_m2=sun)
        assert outdoors(air_temp_c=air, solar_w_per_m2=sun, stop_kelvin=0.02) == pytest.approx(
            settled, abs=0.03
        )


def test_it_settles_in_steam_and_high_up_where_the_authors_repetition_swings() -> None:
    steam = {
        "air_temp_c": 50.0, "humidity_frac": 1.0, "pressure_hpa": 600.0, "wind_m_per_s": 0.13,
        "solar_w_per_m2": 1100.0, "direct_frac": 0.9, "cos_zenith_ratio": 0.1,
    }  # fmt: skip
    fine = natural_wet_bulb_c(**steam, stop_kelvin=1e-8)
    assert natural_wet_bulb_c(**steam, stop_kelvin=0.02) == pytest.approx(fine, abs=0.05)
    assert globe_temp_c(**steam, stop_kelvin=1e-8) > 50.0


def test_with_the_sun_down_nothing_comes_straight_from_it() -> None:
    assert direct_beam_frac(solar_w_per_m2=0.0, cos_zenith_ratio=0.5, sun_distance_ratio=1.0) == 0.0
    assert direct_beam_frac(solar_w_per_m2=20.0, cos_zenith_ratio=0.0, sun_distance_ratio=1.0) == 0.0
    night = outdoors(solar_w_per_m2=0.0, direct_frac=0.0, cos_zenith_ratio=-0.4)
    assert night == outdoors(solar_w_per_m2=0.0, direct_frac=0.0, cos_zenith_ratio=0.9)


def test_no_ground_sees_more_sun_than_stands_above_the_air() -> None:
    for cosine in np.linspace(0.02, 1.0, 50):
        assert 0 < clear_sky_w_per_m2(cos_zenith_ratio=float(cosine)) < 1367 * cosine


def test_flags_change_at_their_edges_and_not_before() -> None:
    edges = [(9.999, "white"), (10.0, "green"), (17.999, "green"), (18.0, "yellow"), (22.999, "yellow"),
             (23.0, "red"), (28.0, "red"), (28.001, "black")]  # fmt: skip
    assert [flag(wbgt_c=value) for value, _ in edges] == [colour for _, colour in edges]


def test_cool_races_are_not_called_slow_and_the_curve_of_failures_has_its_least_near_eight() -> None:
    assert heat_slow_down_frac(wbgt_c=8.0, slowing_frac_per_c=0.0057) == 0.0
    least = min(range(10, 250), key=lambda tenth: unsuccessful_starters_frac(wbgt_c=tenth / 10))
    assert least / 10 == pytest.approx(7.9, abs=0.05)
