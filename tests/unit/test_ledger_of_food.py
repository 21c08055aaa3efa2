"""What is eaten is added exactly, and printed columns add up."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from provand.larder.food import Food, food_of, foods
from provand.larder.ledger import ledger, whole_steps

AMOUNTS = st.lists(st.floats(0, 2000, allow_nan=False), min_size=1, max_size=40)


def named(food_id: str) -> Food:
    food = food_of(food_id)
    assert food is not None
    return food


@given(AMOUNTS)
def test_printed_amounts_add_up_to_the_printed_total(amounts: list[float]) -> None:
    printed = whole_steps(amounts)
    assert sum(printed) == math.floor(math.fsum(amounts) + 0.5)
    assert all(abs(p - a) < 1 for p, a in zip(printed, amounts, strict=True))


def test_rounding_each_alone_would_drift() -> None:
    amounts = [20.4, 20.4, 20.4]
    assert sum(round(amount) for amount in amounts) == 60
    assert whole_steps(amounts) == [21, 20, 20]


def test_tenths_add_up_too() -> None:
    assert whole_steps([0.25, 0.25, 0.25], step=0.1) == [3, 3, 2]


def test_ten_tenths_are_one() -> None:
    tenth = named("white-rice").model_copy(update={"id": "tenth"})
    held = ledger([(tenth, 0.1)] * 10).holds
    assert held.mass_g is not None
    assert held.mass_g.mid == pytest.approx(tenth.portion.unit_g, rel=1e-15)


def test_the_order_of_rows_changes_no_total() -> None:
    known = [food for food in foods() if food.per_100g.sodium_mg is not None]
    there = ledger([(food, 1.5) for food in known]).holds
    back = ledger([(food, 1.5) for food in reversed(known)]).holds
    assert there == back


def test_250_g_of_boiled_rice_and_what_was_bought_for_it() -> None:
    rice = named("white-rice")
    held = ledger([(rice, 250 / rice.portion.unit_g)]).holds
    assert held.carb_g is not None
    assert held.carb_g.mid == pytest.approx(69.4, abs=0.05)
    assert 250 * rice.bought.g_per_eaten_g == pytest.approx(88.1, abs=0.05)


def test_one_unknown_makes_the_sum_unknown() -> None:
    assert ledger([(named("jam"), 1), (named("honey"), 1)]).holds.fructose_g is None
    assert ledger([(named("honey"), 2)]).holds.fructose_g is not None


def test_ten_g_per_kg_as_potatoes_is_more_than_a_stomach_holds() -> None:
    potatoes = named("boiled-potatoes").per_100g
    assert potatoes.carb_g is not None
    eaten_kg = 10 * 75 / potatoes.carb_g.mid / 10
    assert eaten_kg > 4
