"""What sweat tests say: each beside the heat balance of its own day, carried to the race with care.

A test in cool air, where the heat balance knows little, must not multiply a hot race: the offset is taken
on the heat balance with the cool-air term and held inside what runners differ by. Tests that lie above the
model raise it by no more litres than they stood above it, and only within their reach in temperature. Nobody
sweats less because the air is warmer, so in air warmer than the tests' no rate is below one in cooler air.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import NamedTuple

from provand.case.case import Case, SweatTest
from provand.estimate.demand import J_PER_KCAL, REST_W_PER_KG
from provand.estimate.heat import test_rise_c
from provand.estimate.sweat_model import Air, modelled_l_per_h
from provand.figure import Figure, Trace
from provand.finding import Finding, find
from provand.physiology.cost import minetti_running_j_per_kg_per_m
from provand.physiology.sweat import (
    carried_sigma_ratio,
    carried_sweat_l_per_h,
    cool_air_sweat_l_per_h,
    log_offset_ratio,
    sweat_at_score_l_per_h,
    sweat_test_l_per_h,
    weight_of_tests_frac,
)
from provand.protocol.asks import typed
from provand.protocol.figures import Z_5_95
from provand.protocol.rules import value


class SweatTests(NamedTuple):
    """How many tests counted, their mean offset from the model, their mean air, the model's rate in it."""

    used: int = 0
    offset: Figure | None = None
    air_temp_c: float = 0.0
    modelled_l_per_h: float = 0.0

    def carried_l_per_h(self, modelled_l_per_h: float, *, near: bool = True) -> float:
        """Return the sweat rate expected in the race from the model's and the tests.

        Tests below the model lower it in proportion. Tests above it raise it in proportion or by the litres
        they stood above it, whichever is less, and from far away (not `near`) not at all.
        """
        if self.offset is None or (self.offset.value.mid > 0 and not near):
            return modelled_l_per_h
        raised = self.offset.value.mid > 0
        moved = min(modelled_l_per_h, self.modelled_l_per_h) if raised else modelled_l_per_h
        carried = carried_sweat_l_per_h(
            modelled_l_per_h=moved,
            log_offset_ratio=self.offset.value.mid,
            weight_frac=weight_of_tests_frac(test_count=self.used),
        )
        return carried + modelled_l_per_h - moved

    def rate_l_per_h(
        self, modelled_in: Callable[[float], float], *, air_temp_c: float, normal_score_ratio: float
    ) -> float:
        """Return the sweat rate at a place of its band, in air of this temperature.

        `modelled_in` gives the model's rate in air of a temperature, pace and all else held. In air warmer
        than the tests' the rate is the most of all whole degrees from theirs on: it never falls as air warms,
        and beyond the tests' reach it is never below what it is at the edge of it.
        """
        apart = self._degrees_apart(air_temp_c)
        own = self._in_band(modelled_in(air_temp_c), apart, normal_score_ratio)
        if not self.used or air_temp_c <= self.air_temp_c:
            return own
        cooler = (
            self._in_band(modelled_in(self.air_temp_c + degrees), degrees, normal_score_ratio)
            for degrees in range(apart)
        )
        return max([own, *cooler])

    def _degrees_apart(self, air_temp_c: float) -> int:
        """Return the whole degrees between the tests' air and this, counted up."""
        return math.ceil(round(abs(air_temp_c - self.air_temp_c), 6))

    def _in_band(self, modelled_l_per_h: float, degrees_apart: int, normal_score_ratio: float) -> float:
        near = degrees_apart <= value("sweat.test_reach").mid
        return sweat_at_score_l_per_h(
            middle_l_per_h=self.carried_l_per_h(modelled_l_per_h, near=near),
            sigma_ratio=self._sigma_ratio(degrees_apart, near=near),
            normal_score_ratio=normal_score_ratio,
        )

    def _sigma_ratio(self, degrees_apart: int, *, near: bool) -> float:
        """Return the logarithmic spread that is left; from far away never less than without a test."""
        untested = value("sweat.spread").mid
        if not self.used:
            return untested
        left = carried_sigma_ratio(test_count=self.used, temp_difference_c=degrees_apart)
        return left if near else max(left, untested)


def read_tests(trace: Trace, case: Case, *, surface_m2: float, findings: list[Finding]) -> SweatTests:
    """Return what the tests of a case say, and add to the findings what must be said of them."""
    found = [
        (measured, modelled, test.air_temp_c)
        for number, test in enumerate(case.athlete.sweat_tests, 1)
        if (measured := _measured(trace, case, number, test))
        and (modelled := _modelled(case, test, measured, surface_m2, findings)) is not None
    ]
    if not case.athlete.sweat_tests:
        findings.append(find("sweat.untested", "athlete.sweat_tests"))
    if not found:
        return SweatTests()
    test_c = _mean(temp for *_, temp in found)
    _say_if_far(case, test_c, findings)
    mean = _mean(_offset_ratio(measured.value.mid, modelled) for measured, modelled, _ in found)
    offset = trace.add(
        "sweat.test_offset_ratio",
        _careful(mean, findings),
        how="equation",
        by="log_offset_ratio on heat balance and cool-air term, mean of the tests, with care",
        source="smith2021",
        at="offset on the model of each test day; the care is ours",
        mark="estimate",
        inputs=[measured for measured, *_ in found],
    )
    modelled = math.exp(_mean(math.log(modelled) for _, modelled, _ in found))
    return SweatTests(len(found), offset, test_c, modelled)


def _mean(values: Iterable[float]) -> float:
    listed = list(values)
    return math.fsum(listed) / len(listed)


WIDEST_RATIO = Z_5_95 * carried_sigma_ratio(test_count=0, temp_difference_c=0)
"""How far an offset may go: what runners differ by."""


def _offset_ratio(measured_l_per_h: float, modelled_l_per_h: float) -> float:
    """Return the offset of one test; one that shows no loss counts as the least that runners lose."""
    if measured_l_per_h <= 0:
        return -WIDEST_RATIO
    return log_offset_ratio(measured_l_per_h=measured_l_per_h, modelled_l_per_h=modelled_l_per_h)


def _careful(offset: float, findings: list[Finding]) -> float:
    """Return the offset inside what runners differ by."""
    if abs(offset) > WIDEST_RATIO:
        findings.append(find("sweat.test_extreme", "athlete.sweat_tests"))
    return min(max(offset, -WIDEST_RATIO), WIDEST_RATIO)


def _say_if_far(case: Case, test_c: float, findings: list[Finding]) -> None:
    air, reach = case.weather.air_temp_c, value("sweat.test_reach").mid
    if max(abs(test_c - air.low), abs(test_c - air.mid)) > reach:
        warmer = find(
            "sweat.test_far",
            "athlete.sweat_tests",
            test_c=round(test_c, 1),
            race_c=round(air.mid, 1),
            reach_c=round(reach),
        )
        findings.append(warmer)


def _measured(trace: Trace, case: Case, number: int, test: SweatTest) -> Figure:
    """Return the sweat rate of one test; every number ends at the text as typed."""
    typed_l = {"drunk_kg": ("drunk_ml", 1000), "voided_kg": ("urine_ml", 1000), "eaten_kg": ("eaten_g", 1000)}
    plain = ("mass_before_kg", "mass_after_kg", "kit_gain_kg")
    fields = {name: (name, 1) for name in plain} | typed_l | {"duration_min": ("duration_s", 60)}
    figures = {
        name: trace.given(
            f"sweat.test{number}_{name}",
            getattr(test, field) / size,
            typed(case, f"athlete.sweat_tests.{number - 1}.{field}"),
        )
        for name, (field, size) in fields.items()
    }
    distance_m = test.speed_m_per_s * test.duration_s
    level_j_per_kg_per_m = minetti_running_j_per_kg_per_m(grade_frac=0.0)
    figures["energy_kcal"] = trace.add(
        f"sweat.test{number}_energy_kcal",
        case.athlete.body_mass_kg * distance_m * level_j_per_kg_per_m / J_PER_KCAL,
        how="equation",
        by="minetti_running_j_per_kg_per_m on the level, over the test's distance",
        source="minetti2002",
        at="regression of the net cost of running",
        mark="computed",
        inputs=[trace["athlete.body_mass_kg"], figures["duration_min"]],
    )
    return trace.apply(sweat_test_l_per_h, f"sweat.test{number}_l_per_h", **figures)


def _modelled(
    case: Case, test: SweatTest, measured: Figure, surface_m2: float, findings: list[Finding]
) -> float | None:
    """Return the model's rate on the day of a test; None, with a finding, where the test says nothing."""
    about = f"athlete.sweat_tests[{case.athlete.sweat_tests.index(test) + 1}]"
    if measured.value.mid <= 0:
        findings.append(find("sweat.test_no_loss", about))
    level_w_per_kg = minetti_running_j_per_kg_per_m(grade_frac=0.0) * test.speed_m_per_s + REST_W_PER_KG
    air = Air(test.air_temp_c, test.humidity_frac, test.wind_m_per_s, test_rise_c(test.sun))
    balance = modelled_l_per_h(
        power_w=case.athlete.body_mass_kg * level_w_per_kg,
        surface_m2=surface_m2,
        speed_m_per_s=test.speed_m_per_s,
        air=air,
    )
    if balance < value("sweat_test.least").mid:
        findings.append(find("sweat.test_in_cool", about))
        return None
    cool = cool_air_sweat_l_per_h(air_temp_c=test.air_temp_c, body_surface_m2=surface_m2)
    return balance + cool
