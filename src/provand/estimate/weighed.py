"""What sweat tests say: each beside the heat balance of its own day, carried to the race with care.

A test in cool air, where the heat balance knows little, must not multiply a hot race: the offset is taken
on the heat balance with the cool-air term, held inside what runners differ by, and from far away in
temperature a test may lower the estimate and never raise it.
"""

from __future__ import annotations

import math
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
    sweat_test_l_per_h,
    weight_of_tests_frac,
)
from provand.protocol.asks import typed
from provand.protocol.figures import Z_5_95
from provand.protocol.rules import value


class SweatTests(NamedTuple):
    """How many tests counted, their mean offset from the model, their distance from the race in degrees."""

    used: int
    offset: Figure | None
    far_c: float

    def carried_l_per_h(self, modelled_l_per_h: float) -> float:
        """Return the sweat rate expected in the race from the model's and the tests."""
        if self.offset is None:
            return modelled_l_per_h
        return carried_sweat_l_per_h(
            modelled_l_per_h=modelled_l_per_h,
            log_offset_ratio=self.offset.value.mid,
            weight_frac=weight_of_tests_frac(test_count=self.used),
        )

    def sigma_ratio(self) -> float:
        """Return the logarithmic spread that is left."""
        if not self.used:
            return value("sweat.spread").mid
        return carried_sigma_ratio(test_count=self.used, temp_difference_c=self.far_c)


def read_tests(trace: Trace, case: Case, *, surface_m2: float, findings: list[Finding]) -> SweatTests:
    """Return what the tests of a case say, and add to the findings what must be said of them."""
    found = [
        (measured, apart, test.air_temp_c)
        for number, test in enumerate(case.athlete.sweat_tests, 1)
        if (measured := _measured(trace, case, number, test))
        and (apart := _offset(case, test, measured, surface_m2, findings)) is not None
    ]
    if not case.athlete.sweat_tests:
        findings.append(find("sweat.untested", "athlete.sweat_tests"))
    if not found:
        return SweatTests(0, None, 0.0)
    mean_c = math.fsum(temp for *_, temp in found) / len(found)
    air = case.weather.air_temp_c
    far_c = max(abs(mean_c - air.low), abs(mean_c - air.mid))
    mean = math.fsum(apart for _, apart, _ in found) / len(found)
    offset = trace.add(
        "sweat.test_offset_ratio",
        _careful(mean, far_c, mean_c, air.mid, findings),
        how="equation",
        by="log_offset_ratio on heat balance and cool-air term, mean of the tests, with care",
        source="smith2021",
        at="offset on the model of each test day; the care is ours",
        mark="estimate",
        inputs=[measured for measured, *_ in found],
    )
    return SweatTests(len(found), offset, far_c)


def _careful(offset: float, far_c: float, test_c: float, race_c: float, findings: list[Finding]) -> float:
    """Return the offset inside what runners differ by; from far away in temperature it only lowers."""
    most = Z_5_95 * carried_sigma_ratio(test_count=0, temp_difference_c=0)
    if abs(offset) > most:
        findings.append(find("sweat.test_extreme", "athlete.sweat_tests"))
    held = min(max(offset, -most), most)
    if far_c <= value("sweat.test_reach").mid:
        return held
    findings.append(
        find("sweat.test_far", "athlete.sweat_tests", test_c=round(test_c, 1), race_c=round(race_c, 1))
    )
    return min(held, 0.0)


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


def _offset(
    case: Case, test: SweatTest, measured: Figure, surface_m2: float, findings: list[Finding]
) -> float | None:
    """Return how far a test lies from the model of its day; None, with a finding, where it says nothing."""
    about = f"athlete.sweat_tests[{case.athlete.sweat_tests.index(test) + 1}]"
    if measured.value.mid <= 0:
        findings.append(find("sweat.test_no_loss", about))
        return None
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
    return log_offset_ratio(measured_l_per_h=measured.value.mid, modelled_l_per_h=balance + cool)
