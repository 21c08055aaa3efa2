"""What the goals count, number by number; the solver's engine on models small enough to see through."""

from __future__ import annotations

import math

import pytest
from schedule import invented_inputs

from provand.finding import CannotWork
from provand.planner.points import (
    caffeine_points,
    carb_grams_off,
    carb_misses,
    gap_points,
    gaps,
    grade_points,
    target_mg,
    wide,
)
from provand.planner.solve import Lexicographic, Model, Objective


@pytest.mark.parametrize(
    ("gap_min", "points"), [(26, 0), (31, 0), (21, 0), (33, 40), (19, 40), (41, 1000), (31.5, 2)]
)
def test_a_gap_costs_its_squared_minutes_outside_five_round_the_best(gap_min: float, points: int) -> None:
    assert gap_points(60 * gap_min, 26 * 60) == points


@pytest.mark.parametrize(
    ("grade", "gel", "points"),
    [
        (0.015, False, 0),
        (0.035, False, 20),
        (0.035, True, 40),
        (-0.05, True, 0),
        (-0.06, False, 6),
        (-0.06, True, 12),
    ],
)
def test_a_climb_costs_more_than_a_fall_and_a_gel_twice_as_much(grade: float, gel: bool, points: int) -> None:
    assert grade_points(grade, gel=gel) == points


@pytest.mark.parametrize(("share", "points"), [(0.43, 0), (0.6, 0), (0.67, 0), (0.40, 30), (0.80, 130)])
def test_caffeine_costs_nothing_in_the_middle_of_the_race(share: float, points: int) -> None:
    assert caffeine_points(share) == points


@pytest.mark.parametrize(
    ("counted_mg", "misses", "grams"),
    [(90_000, 0, 0), (85_000, 0, 5), (84_900, 1, 6), (95_000, 0, 5), (95_100, 1, 6), (0, 17, 90)],
)
def test_a_miss_of_5_g_is_none_either_way(counted_mg: int, misses: int, grams: int) -> None:
    assert carb_misses(90_000, counted_mg) == misses
    assert carb_grams_off(90_000, counted_mg) == grams


def test_the_target_counts_to_the_tenth_of_a_gram() -> None:
    assert target_mg(invented_inputs(carb_target_g=93.76)) == 93_800


def test_gaps_widen_where_few_intakes_fill_a_long_race() -> None:
    usual = gaps(invented_inputs(carb_target_g=94.0), 6600.0, 22_000)
    assert (usual.min_s / 60, usual.best_s / 60, usual.max_s / 60) == (16, 26, 42)
    long = gaps(invented_inputs(carb_target_g=110.0), 16_800.0, 22_000)
    assert (long.min_s / 60, long.best_s / 60, long.max_s / 60) == (16, 51, 82)
    assert wide(usual).min_s < usual.min_s
    assert wide(usual).max_s == math.inf


def pair() -> tuple[Model, int, int]:
    """Return a model of two choices of which one must be made."""
    model = Model()
    one, other = model.choice(), model.choice()
    model.row({one: 1, other: 1}, lower=1, upper=1)
    return model, one, other


def test_a_goal_reached_is_kept_by_the_goals_after_it() -> None:
    model, one, other = pair()
    solver = Lexicographic(model)
    assert solver.minimise(Objective("first", {one: 3, other: 2}, constant=1)) == 3
    assert solver.minimise(Objective("second", {one: 0, other: 9})) == 9
    assert (solver.value_of(one), solver.value_of(other)) == (0, 1)


def test_of_two_equal_choices_neither_is_the_only_one_until_a_weight_decides() -> None:
    model, one, other = pair()
    solver = Lexicographic(model)
    solver.minimise(Objective("nothing", {}))
    assert not solver.is_only([one, other])
    assert solver.minimise(Objective("tie-break", {one: 1, other: 2})) == 1
    assert solver.is_only([one, other])
    assert solver.value_of(one) == 1


def test_what_is_feasible_is_told_from_what_is_not() -> None:
    model, one, _ = pair()
    model.row({one: 2}, lower=1, upper=1)
    assert Lexicographic(model).minimise(Objective("any", {})) is None


def test_an_unbounded_goal_is_an_error() -> None:
    model = Model()
    column = model.column(lower=-math.inf, integer=True)
    with pytest.raises(CannotWork, match="without a proof"):
        Lexicographic(model).minimise(Objective("down", {column: 1}))
