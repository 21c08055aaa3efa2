"""What must hold of the ceilings for every athlete and every forecast."""

from __future__ import annotations

import inspect
from copy import deepcopy
from typing import Any

import pytest
from cases import AtPace, air, at_pace, bodies, case, weighed_runs
from hypothesis import given, settings
from hypothesis import strategies as st

from provand.case.case import Rehearsed, SweatTest
from provand.estimate.demand import demand_of
from provand.larder.shelf import shelf
from provand.physiology.sodium import sodium_line_l
from provand.physiology.sweat import cool_air_sweat_l_per_h
from provand.plan.body_work import BodyWork, work_out
from provand.safety.ceilings import Allowance, SodiumLine, ceiling_ml
from provand.safety.counting import MOUTHFUL_ML
from provand.safety.screening import Screening
from provand.simulation.body import Feed, simulate, water_change_ml
from provand.simulation.prepare import person_of, steps_of

CLEAR = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)
CAREFUL = Screening(outcome="note", fluid_care="half", sodium_line_mmol_per_l=137.0)
UNSEEN = Screening(
    outcome="withheld", withheld=("fluid", "sodium", "grams"), fluid_care="half", sodium_line_mmol_per_l=140.0
)
TESTS = st.lists(weighed_runs(), max_size=3).map(tuple)
QUICK = settings(max_examples=30, deadline=None, derandomize=True)


@settings(QUICK, max_examples=80)
@given(
    bodies(),
    air(),
    TESTS,
    st.floats(3600, 16200),
    st.tuples(st.floats(0, 30), st.floats(0.1, 12), st.floats(0, 4), st.floats(0, 4), st.floats(-3, 10)),
)
def test_the_fluid_ceiling_never_falls_as_air_warms(
    body: dict[str, Any],
    weather: dict[str, Any],
    tests: tuple[SweatTest, ...],
    finish_s: float,
    airs_c: tuple[float, float, float, float, float],
) -> None:
    coolest, warmer, over, over_warmer, apart = airs_c
    tests = tuple(test.model_copy(update={"air_temp_c": coolest - apart}) for test in tests)
    cool, warm = (
        at_pace(case(air_c=(low, low + wide), tests=tests, **body, **weather), finish_s)
        for low, wide in ((coolest, over), (coolest + warmer, over_warmer))
    )
    for screening in (CLEAR, CAREFUL, UNSEEN):
        before, after = (one.ceilings(screening).fluid.low for one in (cool, warm))
        assert all(high >= low - 1e-6 for low, high in zip(before, after, strict=True))


@QUICK
@given(bodies(), st.floats(-5, 30), st.floats(0.1, 10))
def test_nor_does_it_fall_at_the_finish_when_the_heat_slows_the_slow_case(
    body: dict[str, Any], coolest: float, warmer: float
) -> None:
    facts = {**body, "sun": "overcast"}
    cool, warm = (
        work_out(case(air_c=(low, low + 3), **facts), CLEAR).ceilings.fluid.low[-1]
        for low in (coolest, coolest + warmer)
    )
    assert warm >= cool - 1


def water_at_finish_ml(at: AtPace, index: int, sweat_ml_per_h: float) -> float:
    """Return the body's water above the start at the finish of one case, all of the ceiling drunk."""
    ceiling, one = at.ceilings(CLEAR).fluid, at.pace.cases[index]
    demand = demand_of(deepcopy(at.trace), at.case, at.pace, loaded="ordinary")
    if demand.walker:
        return water_change_ml(ceiling.low[-1], one.finish_s / 60, sweat_ml_per_h)
    drunk = zip(ceiling.x_m, ceiling.low, (0.0, *ceiling.low), strict=False)
    feeds = [Feed(x_m, now_ml - before_ml, 0, 0) for x_m, now_ml, before_ml in drunk]
    body = person_of(at.case, demand, sweat_ml_per_h, "mid", "mid")
    run = simulate(steps_of(at.case, at.pace, demand, index), feeds, body)
    assert run.drunk_ml[-1] == pytest.approx(ceiling.low[-1])
    return run.water_change_ml[-1]


def middle_ml_per_h(at: AtPace, index: int) -> float:
    """Return the sweat of the middle member: the rate in the middle of the forecast, cool-air sweat added."""
    cool = cool_air_sweat_l_per_h(
        air_temp_c=at.case.weather.air_temp_c.mid, body_surface_m2=at.trace["athlete.surface_m2"].value.mid
    )
    return at.sweat.rates[index].value.mid + 1000 * cool


@settings(QUICK, max_examples=60)
@given(
    bodies(),
    air(),
    TESTS,
    st.tuples(st.one_of(st.floats(3600, 12000), st.floats(12000, 60000)), st.floats(1.1, 5.5)),
    st.tuples(st.floats(-5, 32), st.floats(0, 4), st.floats(-6, 8)),
)
def test_a_middle_runner_who_drinks_to_the_ceiling_does_not_finish_above_the_start(
    body: dict[str, Any],
    weather: dict[str, Any],
    tests: tuple[SweatTest, ...],
    race: tuple[float, float],
    airs_c: tuple[float, float, float],
) -> None:
    """Runners and walkers, small and large, 3 to 60 km, cold to hot, tests far below and above the model.

    The middle member sweats no less than in cooler air, down to 10 C where the cool-air sweat fades from.
    """
    (length_m, m_per_s), (coolest, wide, apart) = race, airs_c
    finish_s = length_m / m_per_s
    tests = tuple(test.model_copy(update={"air_temp_c": coolest - apart}) for test in tests)
    facts = {**body, **weather, "tests": tests, "length_m": length_m, "goal_s": finish_s}
    at = at_pace(case(air_c=(coolest, coolest + wide), **facts), finish_s)
    cooler_c = min(coolest, 10.0)
    cooler = at_pace(case(air_c=(cooler_c, cooler_c), **facts), finish_s)
    for index in range(3):
        middle = max(middle_ml_per_h(one, index) for one in (at, cooler))
        assert water_at_finish_ml(at, index, middle) <= 1e-6


@QUICK
@given(bodies(), st.floats(-5, 32))
def test_the_ceiling_rises_along_the_course_and_is_never_none(body: dict[str, Any], coolest: float) -> None:
    fluid = work_out(case(air_c=(coolest, coolest + 4), **body), CLEAR).ceilings.fluid
    assert all(b >= a - 1e-9 for a, b in zip(fluid.low, fluid.low[1:], strict=False))
    assert fluid.low[0] <= 150
    assert fluid.low[-1] > 0


@QUICK
@given(bodies(), st.floats(24, 32))
def test_in_warm_air_the_ceiling_at_the_finish_is_the_low_loss_of_the_case_that_sweats_least(
    body: dict[str, Any], coolest: float
) -> None:
    work = work_out(case(air_c=(coolest, coolest + 3), **body), CLEAR)
    least = min(work.sweat.low_loss_ml(index, one.finish_s) for index, one in enumerate(work.pace.cases))
    allowed = work.trace["ceiling.cool_allowance_ml"].value.mid
    assert work.ceilings.fluid.low[-1] <= max(least, allowed) + 1e-6


@QUICK
@given(bodies(), st.floats(-5, 32))
def test_care_lowers_the_ceiling_everywhere(body: dict[str, Any], coolest: float) -> None:
    one = case(air_c=(coolest, coolest + 4), **body)
    usual, careful = (work_out(one, screening).ceilings.fluid for screening in (CLEAR, CAREFUL))
    assert all(b <= a + 1e-9 for a, b in zip(usual.low, careful.low, strict=True))
    assert careful.low[0] == 0


@QUICK
@given(
    bodies(),
    air(),
    TESTS,
    st.one_of(st.floats(-5, 15), st.floats(18, 30)),
    st.tuples(st.floats(0.85, 1.0), st.floats(1.0, 1.25), st.floats(0, 1)),
)
def test_whoever_finishes_between_early_and_slow_has_a_ceiling_of_their_own_that_is_hardly_lower(
    body: dict[str, Any],
    weather: dict[str, Any],
    tests: tuple[SweatTest, ...],
    coolest: float,
    shares: tuple[float, float, float],
) -> None:
    """Three cases stand for all between them; what they miss is less than half a mouthful."""
    early, slow, between = shares
    one = case(air_c=(coolest, coolest + 3), tests=tests, **body, **weather)
    within = early + between * (slow - early)
    wide = at_pace(one, body["goal_s"], shares=(early, 1.0, slow)).ceilings(CLEAR).fluid.low
    own = at_pace(one, body["goal_s"], shares=(within, within, within)).ceilings(CLEAR).fluid.low
    assert all(mine >= least - MOUTHFUL_ML / 2 for mine, least in zip(own, wide, strict=True))


def test_who_tells_no_sex_has_the_lower_body_water_under_the_sodium_line() -> None:
    long_and_hot = {"mass_kg": 45.0, "length_m": 60000.0, "air_c": (28.0, 30.0), "sun": "overcast"}
    woman, untold, man = (
        at_pace(case(sex=sex, **long_and_hot), 23400.0).ceilings(CAREFUL).fluid.low[-1]
        for sex in ("female", None, "male")
    )
    assert untold == woman < man


def test_salt_in_what_is_carried_and_rehearsed_moves_no_place_of_the_ceiling() -> None:
    """A small body, long out in the heat: what binds is the sodium line."""
    plain = case(mass_kg=45.0, length_m=60000.0, goal_s=23400.0, air_c=(28.0, 30.0), sun="overcast")
    salted = tuple(
        item.model_copy(update={"label": item.label.model_copy(update={"sodium_mg": 2000.0})})
        for item in shelf()
    )
    athlete = plain.athlete.model_copy(
        update={"rehearsed": tuple(Rehearsed(item=item.id) for item in salted), "sweat_tests": ()}
    )
    salty = plain.model_copy(update={"items": salted, "athlete": athlete})
    sweet = work_out(plain, CAREFUL)
    assert sweet.ceilings.fluid.low[-1] < sweet.sweat.low_loss_ml(2, sweet.pace.slow.finish_s)
    assert work_out(salty, CAREFUL).ceilings.fluid == sweet.ceilings.fluid


def test_salt_eaten_or_drunk_is_no_argument_of_the_fluid_ceiling() -> None:
    names = {
        name
        for function in (sodium_line_l, ceiling_ml, SodiumLine.at_ml, Allowance.at_ml)
        for name in inspect.signature(function).parameters
    }
    assert names.isdisjoint({"sodium_mg", "salt_g", "sodium_drunk_mmol", "intakes", "items"})


@QUICK
@given(
    low_loss_ml=st.floats(0, 4000),
    elapsed_s=st.floats(0, 20000),
    whole_ml=st.floats(0, 500),
    line=st.builds(
        SodiumLine, st.floats(137, 145), st.just(135.0), st.floats(15, 60), st.just(4.0), st.floats(22, 60)
    ),
)
def test_the_ceiling_is_never_above_the_sodium_line_nor_below_zero(
    low_loss_ml: float, elapsed_s: float, whole_ml: float, line: SodiumLine
) -> None:
    allowance = Allowance(whole_ml, 150, 1800)
    got = ceiling_ml(low_loss_ml=low_loss_ml, elapsed_s=elapsed_s, allowance=allowance, line=line)
    assert 0 <= got <= line.at_ml(low_loss_ml) + 1e-9
    assert got <= max(low_loss_ml, whole_ml) + 1e-9


FEEDS = st.lists(
    st.tuples(st.floats(0, 21000), st.floats(0, 200), st.floats(0, 60), st.floats(0, 30)), max_size=12
)


def bodies_work(facts: dict[str, Any]) -> BodyWork:
    return work_out(case(**facts), CLEAR)


@QUICK
@given(bodies(), FEEDS, st.sampled_from(["low", "mid", "high"]), st.sampled_from(["low", "mid", "high"]))
def test_what_is_eaten_equals_pools_plus_outflow_and_energy_closes(
    body: dict[str, Any], drawn: list[tuple[float, float, float, float]], start: str, share: str
) -> None:
    one = case(**body)
    work = work_out(one, CLEAR)
    if work.demand.walker:
        return
    feeds = [Feed(*row) for row in drawn]
    run = simulate(
        steps_of(one, work.pace, work.demand, 1), feeds, person_of(one, work.demand, 600, start, share)
    )
    assert abs(run.eaten_g - run.unabsorbed_and_pools_g - run.outflow_g) < 1e-9 * max(1.0, run.eaten_g)
    assert abs(run.energy_kcal - 3.74 * run.used_g - 9.75 * run.fat_g) < 1e-7 * run.energy_kcal
    floor = work.demand.muscle_floor_g
    assert floor is not None
    assert min(run.muscle_g) >= floor.value.mid - 1e-9
    assert min(run.liver_g) >= 0
    assert min(run.waiting_g) >= -1e-12


@QUICK
@given(bodies(), st.floats(0, 400))
def test_drink_never_lowers_the_gain_of_water(body: dict[str, Any], more_ml: float) -> None:
    one = case(**body)
    work = work_out(one, CLEAR)
    if work.demand.walker:
        return
    person = person_of(one, work.demand, 600, "mid", "mid")
    steps = steps_of(one, work.pace, work.demand, 1)
    dry, wet = (simulate(steps, [Feed(5000, ml, 20, 5)], person) for ml in (100, 100 + more_ml))
    assert wet.water_change_ml[-1] >= dry.water_change_ml[-1] - 1e-9
