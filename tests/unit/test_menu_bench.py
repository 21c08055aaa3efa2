"""The bench of the menu: as many foods as it says, a hand that is a rival, two solvers on one file."""

from __future__ import annotations

from pathlib import Path

import pytest
from menu import NODES, beside_a_hand, two_solvers
from menu_foods import invented_foods, many_foods
from menu_posed import posed

from provand.planner.menu.checker import checked
from provand.planner.menu.greedy import greedy
from provand.planner.menu.lay import lay


def test_there_are_as_many_foods_as_asked_for_and_they_are_liked_more_or_less() -> None:
    foods = many_foods(158)
    assert len({food.id for food in foods}) == 158
    assert {food.dislike for food in foods} == {0, 1, 2, 3, 4}


def test_the_hand_lays_a_dish_at_every_meal_and_the_solver_lays_a_better_menu() -> None:
    problem = posed()
    by_hand = greedy(problem)
    assert {one.slot for one in by_hand} == {slot.id for slot in problem.slots}
    assert not [found for found in checked(problem, by_hand) if found.code == "menu.goes_with_nothing"]
    assert beside_a_hand(problem, lay(problem)) == 0.0


def test_the_second_solver_does_not_contradict_the_first(tmp_path: Path) -> None:
    pytest.importorskip("pyscipopt")
    disliked = tuple(food for food in invented_foods() if food.id not in ("bagel", "jelly-sweets"))
    ours, other = two_solvers(posed(foods=disliked), tmp_path, NODES)
    assert ours.bound <= other.value and other.bound <= ours.value + 1e-6
