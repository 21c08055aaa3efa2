"""Five invented athletes: each menu is laid, passes the check, and reads like food.

`python -m pytest -s tests/unit/test_menu_fixed.py` prints the menus.
"""

from __future__ import annotations

from functools import cache

import pytest
from menu_people import PEOPLE, Person, as_text, problem_of

from provand.larder.food import food_of
from provand.planner.menu.checker import checked
from provand.planner.menu.lay import lay
from provand.planner.menu.problem import MenuProblem, MenuSolution

EVERYBODY = pytest.mark.parametrize("person", PEOPLE, ids=lambda person: person.name.split(",")[0])


@cache
def laid_for(person: Person) -> tuple[MenuProblem, MenuSolution]:
    problem = problem_of(person)
    solution = lay(problem)
    print("\n" + as_text(person, problem, solution.laid))
    return problem, solution


@EVERYBODY
def test_a_menu_passes_the_check_and_liking_is_within_a_step_of_dislike(person: Person) -> None:
    problem, solution = laid_for(person)
    assert solution.findings == () and checked(problem, solution.laid) == ()
    assert {goal.name: goal.gap for goal in solution.goals}["liking"] <= 2


@EVERYBODY
def test_nothing_is_laid_that_the_person_may_not_have(person: Person) -> None:
    problem, solution = laid_for(person)
    for one in solution.laid:
        food = food_of(one.food) or next(own for own in person.own if own.id == one.food)
        assert not food.refused_for(person.allergens, (), person.diet), food.name
        assert problem.slot_of[one.slot].kitchen in food.kitchens


@EVERYBODY
def test_dinner_is_a_dinner(person: Person) -> None:
    """No dinner of pretzels and juice: a starch or bread, a protein, and nothing that is a snack."""
    problem, solution = laid_for(person)
    for slot in (slot for slot in problem.slots if slot.kind in ("lunch", "dinner")):
        plate = [problem.food_of[one.food] for one in solution.laid if one.slot == slot.id]
        roles = {role for food in plate for role in food.roles}
        assert roles & {"starch", "bread"} and "protein" in roles
        assert all(slot.kind in food.meals for food in plate)
        assert "sauce" in roles or "starch" not in roles


@EVERYBODY
def test_sweet_drinks_are_few(person: Person) -> None:
    problem, solution = laid_for(person)
    for day in range(len(problem.days)):
        drinks = [
            one
            for one in solution.laid
            if problem.slot_of[one.slot].day == day and problem.food_of[one.food].sweet_drink
        ]
        assert len(drinks) <= 2


def test_who_reads_no_weights_and_minors_get_a_menu_of_the_same_solver_in_portions() -> None:
    """A target held inside, no limit by body mass: the menu is foods and counts of household units."""
    person = Person("Wren Aldous, portions alone", 50.0, 6.0, ("full",))
    problem = problem_of(person)
    limit = problem.days[0]._replace(max_fat_g=None, min_protein_g=None, max_protein_g=None)
    solution = lay(MenuProblem(slots=problem.slots, days=(limit,), foods=problem.foods))
    assert solution.findings == ()
    assert all(one.portions_count in problem.food_of[one.food].levels_count for one in solution.laid)
