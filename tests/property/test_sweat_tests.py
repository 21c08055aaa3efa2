"""Sweat tests move the estimate with care: never far, and never so that warmer air lowers it."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from typing import Any

import pytest
from cases import at_pace, case

from provand.case.case import SweatTest
from provand.figure import Range
from provand.plan.body_work import BodyWork, work_out
from provand.protocol.rules import value
from provand.safety.screening import Screening

CLEAR = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)
REACH_C = value("sweat.test_reach").mid


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


def rate(*tests: SweatTest, air_c: tuple[float, float] = (26.0, 30.0)) -> Range:
    """Return the sweat rate at a pace that the heat does not slow."""
    return at_pace(case(tests=tests, air_c=air_c, sun="overcast"), 6720.0).sweat.rates[1].value


def low_ml_per_h(*tests: SweatTest, air_c: tuple[float, float] = (26.0, 30.0)) -> float:
    return rate(*tests, air_c=air_c).low


def ceiling_ml(*tests: SweatTest, air_c: tuple[float, float] = (26.0, 30.0)) -> float:
    return work(*tests, air_c=air_c).ceilings.fluid.low[-1]


@pytest.mark.parametrize("test_c", [10.0, 12.0, 14.0])
@pytest.mark.parametrize("loss_kg", [0.8, 1.2, 2.0])
def test_a_test_in_the_cool_raises_a_hot_race_no_further_than_one_at_the_edge_of_its_reach(
    loss_kg: float, test_c: float
) -> None:
    tested = weighed_run(loss_kg, test_c)
    edge = low_ml_per_h(tested, air_c=(test_c + REACH_C, test_c + REACH_C + 4))
    hot = low_ml_per_h(tested)
    assert edge <= hot <= max(edge, low_ml_per_h()) + 1e-9


@pytest.mark.parametrize("warmer_c", [0.1, 3.0, 8.0])
def test_just_beyond_its_reach_a_test_above_the_model_still_holds_what_it_holds_within(
    warmer_c: float,
) -> None:
    tested = weighed_run(1.2, 14.0)
    within, beyond = (low_ml_per_h(tested, air_c=(low, low + 2)) for low in (22.0, 22.0 + warmer_c))
    assert beyond >= within > low_ml_per_h(air_c=(22.0, 24.0))


@pytest.mark.parametrize("loss_kg", [1.2, 2.0])
@pytest.mark.parametrize("race_c", [8.0, 13.0, 17.5])
def test_in_air_far_cooler_than_its_own_a_test_raises_nothing(race_c: float, loss_kg: float) -> None:
    air_c = (race_c, race_c + 2)
    assert 0 < low_ml_per_h(weighed_run(loss_kg, 26.0), air_c=air_c) <= low_ml_per_h(air_c=air_c)


def test_a_test_below_the_model_lowers_the_middle_in_every_air() -> None:
    for low in range(0, 38, 2):
        air_c = (float(low), low + 2.0)
        tested, plain = (work(*tests, air_c=air_c) for tests in ((weighed_run(0.25, 18.0),), ()))
        assert tested.sweat.rates[1].value.mid <= plain.sweat.rates[1].value.mid
        assert tested.ceilings.fluid.low[-1] <= plain.ceilings.fluid.low[-1]


def test_in_warmer_air_a_test_adds_no_more_litres_than_it_stood_above_the_model_of_its_day() -> None:
    extra = []
    for low in (16.0, 19.0, 22.0):
        tested, plain = (rate(*tests, air_c=(low, low)) for tests in ((weighed_run(1.3, 16.0),), ()))
        extra.append(tested.mid - plain.mid)
    assert extra[0] > 0
    assert extra[2] == pytest.approx(extra[1])


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
def test_a_test_without_loss_is_told_and_counts_as_the_least_that_runners_lose(loss_kg: float) -> None:
    done = work(weighed_run(loss_kg, 26.0))
    assert any(finding.code == "sweat.test_no_loss" for finding in done.sweat.findings)
    assert done.ceilings.fluid.low == work(weighed_run(0.15, 26.0)).ceilings.fluid.low
    assert done.ceilings.fluid.low[-1] < work().ceilings.fluid.low[-1]


@pytest.mark.parametrize("race_c", [4.0, 14.0, 20.0, 26.0, 33.0])
def test_the_more_a_test_shows_the_higher_the_ceiling_or_the_same(race_c: float) -> None:
    air_c = (race_c, race_c + 3)
    ceilings = [
        ceiling_ml(weighed_run(loss_kg, 20.0), air_c=air_c)
        for loss_kg in (0.0, 0.1, 0.2, 0.4, 0.7, 1.0, 1.5, 2.5, 3.4)
    ]
    assert all(more >= less for less, more in pairwise(ceilings))
    assert race_c == 4.0 or ceilings[-1] > ceilings[0]


def test_a_test_of_less_than_half_an_hour_is_refused() -> None:
    with pytest.raises(ValueError, match="duration_s"):
        weighed_run(0.5, 20.0, duration_s=1500.0)
