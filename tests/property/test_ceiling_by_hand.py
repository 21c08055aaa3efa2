"""The fluid ceiling of drawn cases, reckoned a second time by code that shares nothing with the program's."""

from __future__ import annotations

from typing import Any

import by_hand
import pytest
from cases import air, at_pace, bodies, case, weighed_runs
from hypothesis import given, settings
from hypothesis import strategies as st

from provand.case.case import SweatTest
from provand.estimate.heat import test_rise_c as sun_rise_c
from provand.safety.screening import Screening

CARES = (by_hand.Care(sodium=140.0, half=False), by_hand.Care(sodium=137.0, half=True))


def screening(care: by_hand.Care) -> Screening:
    return Screening(
        outcome="note", fluid_care="half" if care.half else "usual", sodium_line_mmol_per_l=care.sodium
    )


def told(test: SweatTest) -> by_hand.Weighed:
    outside = by_hand.Outside(test.air_temp_c, test.humidity_frac, test.wind_m_per_s, sun_rise_c(test.sun))
    return by_hand.Weighed(test.mass_before_kg - test.mass_after_kg, test.speed_m_per_s, outside)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    bodies(),
    air(),
    st.lists(weighed_runs(), max_size=2).map(tuple),
    st.floats(4200, 16000),
    st.tuples(st.one_of(st.floats(-5, 14), st.floats(16, 34)), st.floats(-6, 12)),
)
def test_the_ceiling_at_every_place_is_what_the_equations_alone_come_to(
    body: dict[str, Any],
    weather: dict[str, Any],
    tests: tuple[SweatTest, ...],
    finish_s: float,
    airs_c: tuple[float, float],
) -> None:
    coolest, apart = airs_c
    tests = tuple(test.model_copy(update={"air_temp_c": coolest - apart}) for test in tests)
    at = at_pace(case(air_c=(coolest, coolest + 2), tests=tests, **body, **weather), finish_s)
    who = by_hand.Runner(body["mass_kg"], body["height_m"], body["sex"])
    way = by_hand.Way(at.case.course.x_m, at.case.course.elevation_m)
    alone = by_hand.ceilings_ml(
        who,
        by_hand.Sky(coolest, weather["humidity"], weather["wind"]),
        by_hand.tests_of(who, [told(test) for test in tests]),
        way,
        [finish_s * share for share in (0.95, 1.0, 1.1)],
    )
    for care in CARES:
        fluid = at.ceilings(screening(care)).fluid
        found = dict(zip(fluid.x_m, fluid.low, strict=True))
        assert [found[x_m] for x_m in way.xs] == pytest.approx(alone(care), rel=1e-4, abs=0.01)
