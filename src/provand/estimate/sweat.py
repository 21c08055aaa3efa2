"""How much this athlete sweats in this race: heat balance over the forecast's corners, tests carried over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product
from typing import NamedTuple

from provand.case.case import Case
from provand.estimate.demand import Demand
from provand.estimate.heat import Heat
from provand.estimate.pace import PaceTable
from provand.estimate.sweat_model import CLOTHING_CLO, Air, lost_ml, modelled_l_per_h
from provand.estimate.weighed import SweatTests, read_tests
from provand.figure import Figure, Range, Trace
from provand.finding import Finding, find
from provand.physiology.heat_balance import body_surface_m2, core_temp_c, heat_balance
from provand.physiology.sweat import cool_air_sweat_l_per_h
from provand.protocol.figures import Z_5_95, from_rule
from provand.protocol.rules import assumption

COOL_STRETCH_C = range(10, 21)
"""Where the cool-air term fades out, in whole degrees."""


class Sweat(NamedTuple):
    """Sweat rates of the pace cases, low of the coolest forecast to high of the warmest; the middle loss."""

    rates: tuple[Figure, Figure, Figure]
    middle_least_loss_ml: Figure
    balanced: bool
    tested: bool
    findings: tuple[Finding, ...]

    def low_loss_ml(self, index: int, elapsed_s: float) -> float:
        """Return the low estimate of sweat lost since the start, for one pace case."""
        return lost_ml(self.rates[index].value.low, elapsed_s)


def _corners(case: Case, heat: Heat, end: str) -> list[Air]:
    """Return the air at the cool or the warm end of the forecast; wind and humidity both ways."""
    weather = case.weather
    temp = getattr(weather.air_temp_c, end)
    rise = getattr(heat.radiant_rise_c.value, end)
    humidity = {weather.humidity_frac.low, weather.humidity_frac.high}
    wind = {weather.wind_m_per_s.low, weather.wind_m_per_s.high}
    return [Air(temp, h, w, rise) for h, w in product(sorted(humidity), sorted(wind))]


def _middle(case: Case, heat: Heat) -> Air:
    weather = case.weather
    return Air(
        weather.air_temp_c.mid,
        weather.humidity_frac.mid,
        weather.wind_m_per_s.mid,
        heat.radiant_rise_c.value.mid,
    )


class _End(NamedTuple):
    """One end of the forecast: its air temperature, and the model's rate there were the air another."""

    air_temp_c: float
    modelled_in: Callable[[float], float]

    @property
    def modelled_l_per_h(self) -> float:
        return self.modelled_in(self.air_temp_c)


def _ends(case: Case, heat: Heat, model: Callable[[Air], float]) -> tuple[_End, _End, _End]:
    """Return the least of the cool end, the middle, and the most of the warm end of the forecast."""
    cool, warm, middle = _corners(case, heat, "low"), _corners(case, heat, "high"), _middle(case, heat)
    air = case.weather.air_temp_c

    def least(temp: float) -> float:
        return min(model(corner._replace(air_temp_c=temp)) for corner in cool)

    def most(temp: float) -> float:
        return max(model(corner._replace(air_temp_c=temp)) for corner in warm)

    floor, roof = least(air.low), most(air.high)

    def between(temp: float) -> float:
        return min(max(model(middle._replace(air_temp_c=temp)), floor), roof)

    return _End(air.low, least), _End(air.mid, between), _End(air.high, most)


def sweat_of(trace: Trace, case: Case, pace: PaceTable, demand: Demand, heat: Heat) -> Sweat:
    """Return the sweat rate of each pace case as a range, from the heat balance and the tests there are."""
    mass = trace["athlete.body_mass_kg"]
    surface = trace.apply(
        body_surface_m2, "athlete.surface_m2", body_mass_kg=mass, height_m=trace["athlete.height_m"]
    )
    length = case.course.length_m
    findings: list[Finding] = []
    tests = read_tests(trace, case, surface_m2=surface.value.mid, findings=findings)
    rates, middles, balanced = [], [], True
    corners = _corners(case, heat, "low")
    for index, one in enumerate(pace.cases):
        power = mass.value.mid * demand.mean_w_per_kg(index, one)
        speed = length / one.finish_s

        def model(air: Air, power: float = power, speed: float = speed) -> float:
            return modelled_l_per_h(power_w=power, surface_m2=surface.value.mid, speed_m_per_s=speed, air=air)

        balanced = balanced and _holds(case, heat, power / surface.value.mid, speed)
        rates.append(_rate(trace, case, one.name, _ends(case, heat, model), tests))
        middles.append(
            _middle_loss_ml(corners, tests, model, surface_m2=surface.value.mid, finish_s=one.finish_s)
        )
    least = trace.add(
        "sweat.middle_least_loss_ml",
        min(middles),
        how="equation",
        by="middle loss at the finish of the case that sweats least, cool-air term added",
        source="zouhal2011",
        at="cool_air_sweat_l_per_h beside the heat balance at the coolest forecast",
        mark="estimate",
        inputs=[*rates, surface, trace["weather.air_temp_c"]],
    )
    return Sweat((rates[0], rates[1], rates[2]), least, balanced, tests.used > 0, tuple(findings))


def _holds(case: Case, heat: Heat, metabolic: float, speed: float) -> bool:
    """Whether sweating can keep the body in balance at the warm end of the forecast."""
    return all(
        heat_balance(
            metabolic_w_per_m2=metabolic,
            core_temp_c=core_temp_c(metabolic_w_per_m2=metabolic),
            air_temp_c=air.air_temp_c,
            radiant_temp_c=air.air_temp_c + air.radiant_rise_c,
            humidity_frac=air.humidity_frac,
            air_speed_m_per_s=speed,
            ground_speed_m_per_s=min(speed, 1.5),
            clothing_clo=CLOTHING_CLO,
        ).can_hold
        for air in _corners(case, heat, "high")
    )


def _rate(trace: Trace, case: Case, name: str, ends: tuple[_End, _End, _End], tests: SweatTests) -> Figure:
    """Return one pace case's sweat rate: model and tests in the middle, 5 to 95 % of runners around it."""
    cool, mid, warm = (1000 * end.modelled_l_per_h for end in ends)
    rests_on = (
        *(f"race.{name}_finish_s", "athlete.surface_m2", "demand.energy_kcal_per_race"),
        *("weather.air_temp_c", "weather.humidity_frac", "weather.wind_m_per_s", "heat.radiant_rise_c"),
    )
    middle = trace.add(
        f"sweat.{name}_modelled_ml_per_h",
        Range(low=cool, mid=mid, high=warm),
        how="equation",
        by="heat_balance_sweat_l_per_h, mean over headings, at the corners of the forecast",
        source="iso7933",
        at="required sweat rate; runners stand outside its range",
        mark="pkg",
        inputs=[trace[figure_id] for figure_id in rests_on],
        caveats=[find("sweat.outside_standard", f"sweat.{name}_modelled_ml_per_h")],
    )
    band = assumption("sweat.spread")
    low, between, high = (
        1000 * tests.rate_l_per_h(end.modelled_in, air_temp_c=end.air_temp_c, normal_score_ratio=score)
        for end, score in zip(ends, (-Z_5_95, 0.0, Z_5_95), strict=True)
    )
    return from_rule(
        trace,
        f"sweat.{name}_ml_per_h",
        band,
        Range(low=low, mid=min(max(between, low), high), high=high, means="p5-p95"),
        by="tests carried over, with the spread that is left"
        if tests.used
        else "model, between-runner spread",
        inputs=[middle] if tests.offset is None else [middle, tests.offset],
    )


def _middle_loss_ml(
    corners: Sequence[Air],
    tests: SweatTests,
    model: Callable[[Air], float],
    *,
    surface_m2: float,
    finish_s: float,
) -> float:
    """Return the middle loss at the finish at the coolest forecast; a test moves it to the safer side only.

    Between 10 and 20 C the cool-air term falls while the heat balance rises, and for slow and light people
    their sum dips to nothing, an artefact of joining the two: nobody loses less because the air is warmer.
    So in that stretch the loss is what it was in the coolest part of it, where it was more.
    """

    def loss(temp: float) -> float:
        air = [corner._replace(air_temp_c=temp) for corner in corners]
        base = min(map(model, air))
        extra = cool_air_sweat_l_per_h(air_temp_c=temp, body_surface_m2=surface_m2)
        return lost_ml(1000 * (min(base, tests.carried_l_per_h(base)) + extra), finish_s)

    coolest = corners[0].air_temp_c
    return max(map(loss, [coolest, *(float(temp) for temp in COOL_STRETCH_C if temp <= coolest)]))
