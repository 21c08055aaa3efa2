"""Sweat tests move the estimate with care: never far, never upwards from another climate."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from cases import case

from provand.case.case import SweatTest
from provand.plan.body_work import BodyWork, work_out
from provand.safety.screening import Screening

CLEAR = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)


def weighed_run(loss_kg: float, air_temp_c: float, **changes: Any) -> SweatTest:
    facts = {
        "on": date(2026, 10, 10),
        "mass_before_kg": 64.0,
        "mass_after_kg": 64.0 - loss_kg,
        "drunk_ml": 0.0,
        "urine_ml": 0.0,
        "duration_s": 3600.0,
        "speed_m_per_s": 3.0,
        "air_temp_c": air_temp_c,
        "humidity_frac": 0.6,
        "wind_m_per_s": 1.5,
        **changes,
    }
    return SweatTest.model_validate(facts)


def work(*tests: SweatTest, air_c: tuple[float, float] = (26.0, 30.0)) -> BodyWork:
    return work_out(case(tests=tests, air_c=air_c, sun="overcast"), CLEAR)


def ceiling_ml(*tests: SweatTest, air_c: tuple[float, float] = (26.0, 30.0)) -> float:
    return work(*tests, air_c=air_c).ceilings.fluid.low[-1]


@pytest.mark.parametrize("test_c", [10.0, 12.0, 14.0])
@pytest.mark.parametrize("loss_kg", [0.8, 1.2, 2.0])
def test_a_test_in_the_cool_never_raises_the_ceiling_of_a_hot_race(test_c: float, loss_kg: float) -> None:
    assert ceiling_ml(weighed_run(loss_kg, test_c)) <= ceiling_ml()


def test_a_test_in_the_cool_that_shows_little_sweat_lowers_the_low_estimate() -> None:
    rates = [work(*tests).sweat.rates[1].value.mid for tests in ((), (weighed_run(0.3, 14.0),))]
    assert rates[1] < rates[0]


def test_like_tests_raise_a_heavy_sweaters_ceiling_within_what_runners_differ_by() -> None:
    like = [weighed_run(1.9, 26.0) for _ in range(3)]
    assert ceiling_ml() < ceiling_ml(*like) <= ceiling_ml() * 1.77 / 0.59


def test_a_test_beyond_what_runners_differ_by_counts_as_the_edge_of_it() -> None:
    extreme = weighed_run(3.4, 26.0)
    assert any(finding.code == "sweat.test_extreme" for finding in work(extreme).sweat.findings)
    assert ceiling_ml(extreme) == ceiling_ml(weighed_run(3.9, 26.0))
    assert ceiling_ml(extreme) < 2.3 * ceiling_ml()


@pytest.mark.parametrize("loss_kg", [0.0, 0.05])
def test_a_test_without_loss_is_told_and_moves_nothing(loss_kg: float) -> None:
    done = work(weighed_run(loss_kg, 26.0))
    assert any(finding.code == "sweat.test_no_loss" for finding in done.sweat.findings)
    assert done.ceilings.fluid.low == work().ceilings.fluid.low


def test_a_test_of_less_than_half_an_hour_is_refused() -> None:
    with pytest.raises(ValueError, match="duration_s"):
        weighed_run(0.5, 20.0, duration_s=1500.0)
