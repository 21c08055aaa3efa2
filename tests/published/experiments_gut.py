"""The feeding trials, run over the equations of the gut.

A small simulation of its own, in steps of 0.05 min, so that the rows prove the equations and not the
simulation of the race.
"""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from harness import experiment

from provand.physiology.energy import CARB_KCAL_PER_G
from provand.physiology.gut import (
    BODY_RATE_PER_MIN,
    burned_g_per_min,
    emptying_half_time_min,
    emptying_rate_per_min,
    fructose_absorption_g_per_min,
    glucose_absorption_g_per_min,
)

STEP_MIN = 0.05
WATCH_MIN = 15.0


class Pools(NamedTuple):
    """What stands in each pool (g), and what has come in, been burned and left since the start (g)."""

    volume_ml: float
    stomach_glucose_g: float
    stomach_fructose_g: float
    gut_glucose_g: float
    gut_fructose_g: float
    body_glucose_g: float
    body_fructose_g: float
    eaten_g: float
    burned_g: float
    left_g: float

    @property
    def rate_g_per_min(self) -> float:
        return burned_g_per_min(body_glucose_g=self.body_glucose_g, body_fructose_g=self.body_fructose_g)


def _stepped(p: Pools) -> Pools:
    stomach_g = p.stomach_glucose_g + p.stomach_fructose_g
    carb_g_per_l = 1000 * stomach_g / p.volume_ml if p.volume_ml > 0 else 0.0
    stays = math.exp(-emptying_rate_per_min(carb_g_per_l=carb_g_per_l) * STEP_MIN)
    into_g, into_f = (1 - stays) * p.stomach_glucose_g, (1 - stays) * p.stomach_fructose_g
    taken_g = STEP_MIN * glucose_absorption_g_per_min(gut_glucose_g=p.gut_glucose_g)
    taken_f = STEP_MIN * fructose_absorption_g_per_min(gut_fructose_g=p.gut_fructose_g)
    used_g = STEP_MIN * BODY_RATE_PER_MIN * p.body_glucose_g
    used_f = STEP_MIN * BODY_RATE_PER_MIN * p.body_fructose_g
    return p._replace(
        volume_ml=p.volume_ml * stays,
        stomach_glucose_g=p.stomach_glucose_g - into_g,
        stomach_fructose_g=p.stomach_fructose_g - into_f,
        gut_glucose_g=p.gut_glucose_g + into_g - taken_g,
        gut_fructose_g=p.gut_fructose_g + into_f - taken_f,
        body_glucose_g=p.body_glucose_g + taken_g - used_g,
        body_fructose_g=p.body_fructose_g + taken_f - used_f,
        burned_g=p.burned_g + STEP_MIN * p.rate_g_per_min,
        left_g=p.left_g + used_g + used_f,
    )


@cache
def _course(feeds: tuple[tuple[float, float, float, float], ...], until_min: float) -> tuple[Pools, ...]:
    """Return the pools after every step; a feed is (minute, ml, g glucose, g fructose)."""
    pools = Pools(*[0.0] * len(Pools._fields))
    course = []
    waiting = sorted(feeds)
    for step in range(round(until_min / STEP_MIN)):
        while waiting and waiting[0][0] <= step * STEP_MIN + 1e-9:
            _, ml, glucose, fructose = waiting.pop(0)
            pools = pools._replace(
                volume_ml=pools.volume_ml + ml,
                stomach_glucose_g=pools.stomach_glucose_g + glucose,
                stomach_fructose_g=pools.stomach_fructose_g + fructose,
                eaten_g=pools.eaten_g + glucose + fructose,
            )
        pools = _stepped(pools)
        course.append(pools)
    return tuple(course)


def _sipped(
    glucose: float, fructose: float, ml_per_h: float, fed_min: float, until: float
) -> tuple[Pools, ...]:
    """Return the course of steady feeding: every 15 min from 0 on, before `fed_min`; rates in g/min."""
    feeds = tuple(
        (WATCH_MIN * number, ml_per_h * WATCH_MIN / 60, glucose * WATCH_MIN, fructose * WATCH_MIN)
        for number in range(math.ceil(fed_min / WATCH_MIN))
    )
    return _course(feeds, until)


def _mean_rate(course: tuple[Pools, ...], from_min: float, to_min: float) -> float:
    window = course[round(from_min / STEP_MIN) : round(to_min / STEP_MIN)]
    return math.fsum(pools.rate_g_per_min for pools in window) / len(window)


@experiment
def burned_in_window_g_per_min(
    *, glucose_g_per_min: float, fructose_g_per_min: float, drunk_ml_per_h: float, fed_min: float,
    from_min: float, to_min: float,
) -> float:  # fmt: skip
    """Return the mean rate of burning over a window of a trial fed every 15 min."""
    return _mean_rate(
        _sipped(glucose_g_per_min, fructose_g_per_min, drunk_ml_per_h, fed_min, to_min), from_min, to_min
    )


@experiment
def burned_at_g_per_min(
    *,
    glucose_g_per_min: float,
    fructose_g_per_min: float,
    drunk_ml_per_h: float,
    fed_min: float,
    at_min: float,
) -> float:
    """Return the rate of burning at one minute of a trial fed every 15 min."""
    return _sipped(glucose_g_per_min, fructose_g_per_min, drunk_ml_per_h, fed_min, at_min)[-1].rate_g_per_min


@experiment
def burned_part_in_window_g_per_min(
    *, glucose_g_per_min: float, fructose_g_per_min: float, drunk_ml_per_h: float, fed_min: float,
    from_min: float, to_min: float, of_fructose: float,
) -> float:  # fmt: skip
    """Return the mean rate of burning one of the two sugars over a window."""
    course = _sipped(glucose_g_per_min, fructose_g_per_min, drunk_ml_per_h, fed_min, to_min)
    window = course[round(from_min / STEP_MIN) : round(to_min / STEP_MIN)]
    return math.fsum(
        burned_g_per_min(
            body_glucose_g=p.body_glucose_g * (1 - of_fructose),
            body_fructose_g=p.body_fructose_g * of_fructose,
        )
        for p in window
    ) / len(window)


@experiment
def burned_by_g(
    *,
    glucose_g_per_min: float,
    fructose_g_per_min: float,
    drunk_ml_per_h: float,
    fed_min: float,
    at_min: float,
) -> float:
    """Return the grams burned by a minute of a trial fed every 15 min."""
    return _sipped(glucose_g_per_min, fructose_g_per_min, drunk_ml_per_h, fed_min, at_min)[-1].burned_g


@experiment
def waiting_g(
    *, glucose_g_per_min: float, fructose_g_per_min: float, drunk_ml_per_h: float, fed_min: float,
    at_min: float, in_gut: float,
) -> float:  # fmt: skip
    """Return the sugar in the intestine (1) or the stomach (0) at a minute."""
    p = _sipped(glucose_g_per_min, fructose_g_per_min, drunk_ml_per_h, fed_min, at_min)[-1]
    stomach = p.stomach_glucose_g + p.stomach_fructose_g
    return in_gut * (p.gut_glucose_g + p.gut_fructose_g) + (1 - in_gut) * stomach


@experiment
def once_burned_by_g(*, glucose_g: float, fructose_g: float, drunk_ml: float, at_min: float) -> float:
    """Return the grams burned by a minute after one drink."""
    return _course(((0.0, drunk_ml, glucose_g, fructose_g),), at_min)[-1].burned_g


@experiment
def once_peak_g_per_min(*, glucose_g: float, fructose_g: float, drunk_ml: float) -> float:
    """Return the highest rate of burning after one drink."""
    return max(p.rate_g_per_min for p in _course(((0.0, drunk_ml, glucose_g, fructose_g),), 240.0))


@experiment
def once_peak_min(*, glucose_g: float, fructose_g: float, drunk_ml: float) -> float:
    """Return the minute of the highest rate of burning after one drink."""
    rates = [p.rate_g_per_min for p in _course(((0.0, drunk_ml, glucose_g, fructose_g),), 240.0)]
    return (rates.index(max(rates)) + 1) * STEP_MIN


@experiment
def doses_burned_by_g(
    *, dose_g: float, dose_ml: float, dose_count: float, first_min: float, every_min: float, at_min: float
) -> float:
    """Return the grams burned by a minute when equal glucose drinks are taken at equal distances."""
    feeds = tuple((first_min + every_min * n, dose_ml, dose_g, 0.0) for n in range(round(dose_count)))
    return _course(feeds, at_min)[-1].burned_g


@experiment
def unaccounted_g(
    *,
    glucose_g_per_min: float,
    fructose_g_per_min: float,
    drunk_ml_per_h: float,
    fed_min: float,
    at_min: float,
) -> float:
    """Return what is missing between sugar eaten and sugar in the pools or gone from them."""
    p = _sipped(glucose_g_per_min, fructose_g_per_min, drunk_ml_per_h, fed_min, at_min)[-1]
    pools = (p.stomach_glucose_g, p.stomach_fructose_g, p.gut_glucose_g, p.gut_fructose_g)
    return p.eaten_g - math.fsum(pools) - p.body_glucose_g - p.body_fructose_g - p.left_g


@experiment
def emptied_over_water_ratio(*, carb_g_per_l: float, dose_ml: float, dose_count: float) -> float:
    """Return the volume emptied in 120 min of drinks every 15 min, over that of water."""

    def emptied(strength: float) -> float:
        feeds = tuple(
            (WATCH_MIN * n, dose_ml, strength * dose_ml / 1000, 0.0) for n in range(round(dose_count))
        )
        return dose_ml * dose_count - _course(feeds, 120.0)[-1].volume_ml

    return emptied(carb_g_per_l) / emptied(0.0)


@experiment
def meal_half_time_min(*, energy_kcal: float, meal_ml: float) -> float:
    """Return the half-time of a mixed liquid meal, its energy counted as carbohydrate."""
    return emptying_half_time_min(carb_g_per_l=energy_kcal / CARB_KCAL_PER_G / (meal_ml / 1000))
