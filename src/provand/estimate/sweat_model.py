"""The heat-balance sweat rate of a runner on a loop, and what is lost by then."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from provand.estimate.heat import runner_wind_m_per_s
from provand.physiology.sweat import heat_balance_sweat_l_per_h, sweat_loss_l

CLOTHING_CLO = 0.2
HEADINGS = ((0.0, 1), (45.0, 2), (90.0, 2), (135.0, 2), (180.0, 1))
"""Angles between wind and runner, with how many of the eight headings of a loop each stands for."""


class Air(NamedTuple):
    """One state of the air that a runner may meet."""

    air_temp_c: float
    humidity_frac: float
    wind_m_per_s: float
    radiant_rise_c: float


def lost_ml(sweat_ml_per_h: float, elapsed_s: float) -> float:
    """Return the sweat lost after a time at a steady rate, with the lag of sweating."""
    return 1000 * sweat_loss_l(sweat_l_per_h=sweat_ml_per_h / 1000, elapsed_min=elapsed_s / 60)


@lru_cache(maxsize=4096)  # the last look, and each edit of a schedule, meet the same air again
def modelled_l_per_h(*, power_w: float, surface_m2: float, speed_m_per_s: float, air: Air) -> float:
    """Return the heat-balance sweat rate of a runner on a loop: the mean over eight headings of the wind."""
    wind = runner_wind_m_per_s(air.wind_m_per_s)
    rates = []
    for angle, weight in HEADINGS:
        across = wind * math.sin(math.radians(angle))
        along = speed_m_per_s + wind * math.cos(math.radians(angle))
        rate = heat_balance_sweat_l_per_h(
            metabolic_w_per_m2=power_w / surface_m2,
            air_temp_c=air.air_temp_c,
            radiant_temp_c=air.air_temp_c + air.radiant_rise_c,
            humidity_frac=air.humidity_frac,
            air_speed_m_per_s=max(0.1, math.hypot(along, across)),
            ground_speed_m_per_s=min(speed_m_per_s, 1.5),
            clothing_clo=CLOTHING_CLO,
            body_surface_m2=surface_m2,
        )
        rates.append(rate * weight)
    return math.fsum(rates) / 8
