"""How much this athlete sweats in this race: heat balance over the forecast's corners, tests carried over."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import product
from typing import NamedTuple

from provand.case.case import Case, SweatTest
from provand.estimate.demand import REST_W_PER_KG, Demand
from provand.estimate.heat import Heat, runner_wind_m_per_s, test_rise_c
from provand.estimate.pace import PaceTable
from provand.figure import Figure, Range, Trace
from provand.finding import Finding, find
from provand.physiology.cost import minetti_running_j_per_kg_per_m
from provand.physiology.heat_balance import body_surface_m2, core_temp_c, heat_balance
from provand.physiology.sweat import (
    carried_sigma_ratio,
    carried_sweat_l_per_h,
    cool_air_sweat_l_per_h,
    heat_balance_sweat_l_per_h,
    log_offset_ratio,
    sweat_at_score_l_per_h,
    sweat_loss_l,
    sweat_test_l_per_h,
    weight_of_tests_frac,
)
from provand.protocol.figures import Z_5_95, from_rule
from provand.protocol.rules import assumption, value

CLOTHING_CLO = 0.2
HEADINGS = ((0.0, 1), (45.0, 2), (90.0, 2), (135.0, 2), (180.0, 1))
"""Angles between wind and runner, with how many of the eight headings of a loop each stands for."""
COOL_FULL_BELOW_C, COOL_FULLY_OVER_C = 10, 20


class Air(NamedTuple):
    """One state of the air that a runner may meet."""

    air_temp_c: float
    humidity_frac: float
    wind_m_per_s: float
    radiant_rise_c: float


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


def lost_ml(sweat_ml_per_h: float, elapsed_s: float) -> float:
    """Return the sweat lost after a time at a steady rate, with the lag of sweating."""
    return 1000 * sweat_loss_l(sweat_l_per_h=sweat_ml_per_h / 1000, elapsed_min=elapsed_s / 60)


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


def sweat_of(trace: Trace, case: Case, pace: PaceTable, demand: Demand, heat: Heat) -> Sweat:
    """Return the sweat rate of each pace case as a range, from the heat balance and the tests there are."""
    mass = trace["athlete.body_mass_kg"]
    surface = trace.apply(
        body_surface_m2, "athlete.surface_m2", body_mass_kg=mass, height_m=trace["athlete.height_m"]
    )
    length = case.course.length_m
    findings: list[Finding] = []
    tests = _Tests.read(trace, case, surface.value.mid, findings)
    rates, middles, balanced = [], [], True
    corners = _corners(case, heat, "low")
    for index, one in enumerate(pace.cases):
        power = mass.value.mid * demand.mean_w_per_kg(index, one)
        speed = length / one.finish_s

        def model(air: Air, power: float = power, speed: float = speed) -> float:
            return modelled_l_per_h(power_w=power, surface_m2=surface.value.mid, speed_m_per_s=speed, air=air)

        cool = min(map(model, corners))
        warm = max(map(model, _corners(case, heat, "high")))
        mid = model(_middle(case, heat))
        balanced = balanced and _holds(case, heat, power / surface.value.mid, speed)
        rates.append(_rate(trace, case, one.name, (cool, mid, warm), tests))
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


class _Tests(NamedTuple):
    """What the tests say: how many counted, their mean offset from the model, their mean temperature."""

    used: int
    offset: Figure | None
    mean_temp_c: float

    @classmethod
    def read(cls, trace: Trace, case: Case, surface_m2: float, findings: list[Finding]) -> _Tests:
        offsets, temps, figures = [], [], []
        for number, test in enumerate(case.athlete.sweat_tests, 1):
            measured = _measured(trace, case, number, test)
            figures.append(measured)
            modelled = _modelled_test(case, test, surface_m2)
            if modelled < value("sweat_test.least").mid:
                findings.append(find("sweat.test_in_cool", f"athlete.sweat_tests[{number - 1}]"))
                continue
            offsets.append(log_offset_ratio(measured_l_per_h=measured.value.mid, modelled_l_per_h=modelled))
            temps.append(test.air_temp_c)
        if not offsets:
            if not case.athlete.sweat_tests:
                findings.append(find("sweat.untested", "athlete.sweat_tests"))
            return cls(0, None, case.weather.air_temp_c.mid)
        mean_temp = math.fsum(temps) / len(temps)
        if abs(mean_temp - case.weather.air_temp_c.mid) > value("sweat.test_reach").mid:
            findings.append(
                find(
                    "sweat.test_far",
                    "athlete.sweat_tests",
                    test_c=round(mean_temp, 1),
                    race_c=round(case.weather.air_temp_c.mid, 1),
                )
            )
        offset = trace.add(
            "sweat.test_offset_ratio",
            math.fsum(offsets) / len(offsets),
            how="equation",
            by="log_offset_ratio, mean of the tests",
            source="smith2021",
            at="offset on the heat balance of each test day",
            mark="estimate",
            inputs=figures,
        )
        return cls(len(offsets), offset, mean_temp)


def _measured(trace: Trace, case: Case, number: int, test: SweatTest) -> Figure:
    given: Callable[[str, float], Figure] = lambda name, value: trace.given(  # noqa: E731
        f"sweat.test{number}_{name}", value, f"sweat test of {test.on.isoformat()}"
    )
    energy = (
        case.athlete.body_mass_kg
        * test.speed_m_per_s
        * test.duration_s
        * minetti_running_j_per_kg_per_m(grade_frac=0.0)
        / 4184
    )
    return trace.apply(
        sweat_test_l_per_h,
        f"sweat.test{number}_l_per_h",
        mass_before_kg=given("mass_before_kg", test.mass_before_kg),
        mass_after_kg=given("mass_after_kg", test.mass_after_kg),
        drunk_kg=given("drunk_kg", test.drunk_ml / 1000),
        eaten_kg=given("eaten_kg", test.eaten_g / 1000),
        voided_kg=given("voided_kg", test.urine_ml / 1000),
        kit_gain_kg=given("kit_gain_kg", test.kit_gain_kg),
        energy_kcal=given("energy_kcal", energy),
        duration_min=given("duration_min", test.duration_s / 60),
    )


def _modelled_test(case: Case, test: SweatTest, surface_m2: float) -> float:
    power = case.athlete.body_mass_kg * (
        minetti_running_j_per_kg_per_m(grade_frac=0.0) * test.speed_m_per_s + REST_W_PER_KG
    )
    air = Air(test.air_temp_c, test.humidity_frac, test.wind_m_per_s, test_rise_c(test.sun))
    return modelled_l_per_h(power_w=power, surface_m2=surface_m2, speed_m_per_s=test.speed_m_per_s, air=air)


def _carried(tests: _Tests, modelled: float) -> float:
    if tests.offset is None:
        return modelled
    return carried_sweat_l_per_h(
        modelled_l_per_h=modelled,
        log_offset_ratio=tests.offset.value.mid,
        weight_frac=weight_of_tests_frac(test_count=tests.used),
    )


def _rate(trace: Trace, case: Case, name: str, modelled: Sequence[float], tests: _Tests) -> Figure:
    """Return one pace case's sweat rate: model and tests in the middle, 5 to 95 % of runners around it."""
    cool, mid, warm = (1000 * rate for rate in modelled)
    rests_on = (
        *(f"race.{name}_finish_s", "athlete.surface_m2", "demand.energy_kcal_per_race"),
        *("weather.air_temp_c", "weather.humidity_frac", "weather.wind_m_per_s", "heat.radiant_rise_c"),
    )
    middle = trace.add(
        f"sweat.{name}_modelled_ml_per_h",
        Range(low=cool, mid=min(max(mid, cool), warm), high=warm),
        how="equation",
        by="heat_balance_sweat_l_per_h, mean over headings, at the corners of the forecast",
        source="iso7933",
        at="required sweat rate; runners stand outside its range",
        mark="pkg",
        inputs=[trace[figure_id] for figure_id in rests_on],
        caveats=[find("sweat.outside_standard", f"sweat.{name}_modelled_ml_per_h")],
    )
    band = assumption("sweat.spread")
    far = abs(tests.mean_temp_c - case.weather.air_temp_c.mid)
    sigma = carried_sigma_ratio(test_count=tests.used, temp_difference_c=far) if tests.used else band.band.mid
    values = [
        1000
        * sweat_at_score_l_per_h(
            middle_l_per_h=_carried(tests, getattr(middle.value, end) / 1000),
            sigma_ratio=sigma,
            normal_score_ratio=score,
        )
        for end, score in (("low", -Z_5_95), ("mid", 0.0), ("high", Z_5_95))
    ]
    return from_rule(
        trace,
        f"sweat.{name}_ml_per_h",
        band,
        Range(low=values[0], mid=values[1], high=values[2], means="p5-p95"),
        by="tests carried over, with the spread that is left"
        if tests.used
        else "model, between-runner spread",
        inputs=[middle] if tests.offset is None else [middle, tests.offset],
    )


def _middle_loss_ml(
    corners: Sequence[Air],
    tests: _Tests,
    model: Callable[[Air], float],
    *,
    surface_m2: float,
    finish_s: float,
) -> float:
    """Return the middle loss at the finish at the coolest forecast; a test moves it to the safer side only.

    Between 10 and 20 C the cool-air term falls while the heat balance rises, and their sum may dip: there
    the least of that stretch counts, so that warmer air never lowers what may be drunk.
    """

    def loss(temp: float) -> float:
        air = [corner._replace(air_temp_c=temp) for corner in corners]
        base = min(map(model, air))
        extra = cool_air_sweat_l_per_h(air_temp_c=temp, body_surface_m2=surface_m2)
        return lost_ml(1000 * (min(base, _carried(tests, base)) + extra), finish_s)

    coolest = corners[0].air_temp_c
    if coolest >= COOL_FULLY_OVER_C:
        return loss(coolest)
    dip = min(loss(float(temp)) for temp in range(COOL_FULL_BELOW_C, COOL_FULLY_OVER_C + 1))
    return dip if coolest >= COOL_FULL_BELOW_C else min(loss(coolest), dip)
