"""The menu: what was nonsense once is not laid again, wishes are kept, and what cannot be kept is named."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from menu_foods import food, invented_foods
from menu_posed import FIVE, posed

from provand.finding import BadInput
from provand.planner.menu.checker import checked
from provand.planner.menu.greedy import greedy
from provand.planner.menu.lay import lay
from provand.planner.menu.limits import share_bands
from provand.planner.menu.problem import Laid, Menu, MenuProblem, MenuSolution, points
from provand.planner.menu.run import MenuRun
from provand.planner.menu.swaps import instead


@cache
def plain() -> MenuSolution:
    """Return the menu of a plain day, laid once for all tests."""
    return lay(posed())


def roles_at(problem: MenuProblem, menu: Menu, kind: str) -> list[set[str]]:
    return [
        {role for one in menu if one.slot == slot.id for role in problem.food_of[one.food].roles}
        for slot in problem.slots
        if slot.kind == kind
    ]


def without(problem: MenuProblem, *ids: str) -> MenuProblem:
    return replace(problem, foods=tuple(one for one in problem.foods if one.id not in ids))


def test_a_day_is_laid_within_every_limit_and_proven() -> None:
    problem, solution = posed(), plain()
    assert solution.findings == () and checked(problem, solution.laid) == ()
    assert solution.goals[0].value == 0 and solution.gap == 0


def test_lunch_and_dinner_have_protein_and_dinner_is_a_cooked_dish() -> None:
    problem, laid = posed(), plain().laid
    assert all("protein" in roles for kind in ("lunch", "dinner") for roles in roles_at(problem, laid, kind))
    assert all({"starch", "sauce"} <= roles for roles in roles_at(problem, laid, "dinner"))
    assert not any("savoury" in roles for roles in roles_at(problem, laid, "dinner"))


def test_at_most_two_sweet_drinks_a_day_where_they_are_liked_best() -> None:
    problem = posed(dislikes={one.id: 0 if one.sweet_drink else 2 for one in invented_foods()})
    laid = lay(problem).laid
    assert sum(problem.food_of[one.food].sweet_drink for one in laid) == 2


def test_no_sauce_stands_on_a_starch_that_does_not_bear_it() -> None:
    """Couscous with soy sauce is refused though both are liked best; so is milk without cereal."""
    liked = {one.id: 3 for one in invented_foods()} | {"couscous": 0, "soy-sauce": 0}
    problem = posed(dislikes=liked)
    dinner = {one.food for one in lay(problem).laid if one.slot.endswith("dinner")}
    assert not {"couscous", "soy-sauce"} <= dinner
    assert "menu.goes_with_nothing" in codes(problem, [Laid("1.1 breakfast", "skimmed-milk", 1)])


def test_the_least_mass_is_no_goal_so_dinner_is_not_sweets() -> None:
    problem = posed()
    dinner_g = sum(
        problem.food_of[one.food].unit_g * one.portions_count
        for one in plain().laid
        if one.slot.endswith("dinner")
    )
    assert dinner_g > 400


def test_one_version_of_a_family_is_laid() -> None:
    twins = tuple(
        replace(one, id=f"{one.id}-2", buy=f"{one.name} of another maker") for one in invented_foods()
    )
    problem = posed(foods=(*invented_foods(), *twins))
    families = [problem.food_of[one.food] for one in lay(problem).laid]
    assert len({one.family for one in families}) == len({one.id for one in families})


def test_a_starch_stands_once_a_day_and_mains_change_from_day_to_day() -> None:
    problem = posed(days=2)
    solution = lay(problem)
    mains = [
        problem.food_of[one.food].family
        for one in solution.laid
        if {"starch", "protein"} & set(problem.food_of[one.food].roles)
    ]
    assert len(mains) == len(set(mains))
    assert {goal.name: goal.value for goal in solution.goals}["monotony"] <= 2


def test_of_days_with_equal_rules_the_better_liked_comes_first() -> None:
    """Else the same menus are sought again in every order."""
    run = MenuRun(posed(days=3))
    assert run.met
    liking = [
        sum(
            value * run.solver.value_of(column) for column, value in run.made.liking(run.problem, day).items()
        )
        for day in range(3)
    ]
    assert liking == sorted(liking)
    assert liking[0] < liking[2]


def test_the_same_meals_each_day_where_one_wishes_to_repeat() -> None:
    problem = posed(days=2, variety="repeat")
    laid = lay(problem).laid
    days = [
        [(one.slot[2:], one.food, one.portions_count) for one in laid if one.slot[0] == day] for day in "12"
    ]
    assert days[0] == days[1] and days[0]


def test_a_day_of_another_kitchen_does_not_repeat_what_cannot_be_cooked_there() -> None:
    full, travel = posed(days=2).slots[:5], posed(days=2, kitchens="none").slots[5:]
    problem = posed(days=2, variety="repeat", slots=(*full, *travel))
    laid = lay(problem).laid
    assert checked(problem, laid) == ()
    assert {one.food for one in laid if one.slot[0] == "1"} != {
        one.food for one in laid if one.slot[0] == "2"
    }


def test_what_is_in_the_house_is_used_first_and_need_not_be_bought() -> None:
    house = {"potatoes": 900.0, "cooked-carrots": 300.0, "pretzels": 100.0}
    solution = lay(posed(in_house=house))
    assert set(house) <= {one.food for one in solution.laid}
    goals = {goal.name: goal.value for goal in solution.goals}
    assert goals["in the house, unused"] == 0
    assert goals["foods to buy"] <= len({one.food for one in solution.laid} - set(house))


@pytest.mark.parametrize("kitchen", ["kettle", "none", "petrol station"])
def test_nothing_is_laid_that_cannot_be_made_there(kitchen: str) -> None:
    problem = posed(kitchens=kitchen)
    solution = lay(problem)
    assert all(kitchen in problem.food_of[one.food].kitchens for one in solution.laid)
    assert solution.findings == ()


def test_a_pin_stays_and_the_rest_is_laid_round_it() -> None:
    pins = (Laid("1.3 lunch", "pasta", 1.0), Laid("1.2 snack", "pretzels", 3.0))
    problem = posed(pinned=pins)
    solution = lay(problem)
    assert set(pins) <= set(solution.laid) and solution.findings == ()


def test_a_meal_pinned_whole_gets_nothing_else_and_the_day_still_fits() -> None:
    pins = (Laid("1.5 dinner", "egg", 3.0), Laid("1.5 dinner", "roll", 3.0))
    solution = lay(posed(pinned=pins, whole=frozenset({"1.5 dinner"})))
    assert tuple(one for one in solution.laid if one.slot == "1.5 dinner") in (pins, pins[::-1])
    assert not [found for found in solution.findings if found.code.startswith("menu.carb")]


def test_a_pin_of_what_may_not_be_eaten_is_refused() -> None:
    with pytest.raises(BadInput, match="peanut"):
        lay(posed(pinned=(Laid("1.2 snack", "peanut-bar", 1.0),)))


def test_another_menu_differs_in_a_third_of_its_lines_from_each_that_was_shown() -> None:
    problem = posed()
    shown = [plain().laid]
    for _ in range(2):
        other = lay(replace(problem, avoid=tuple(shown)))
        assert other.findings == ()
        for menu in shown:
            lines = {(one.slot, one.food) for one in menu}
            again = {(one.slot, one.food) for one in other.laid} & lines
            assert len(again) <= 0.67 * len(lines)
        shown.append(other.laid)


def test_the_same_problem_gives_the_same_menu() -> None:
    assert lay(posed()) == plain()


def test_the_order_in_which_foods_are_handed_over_changes_nothing() -> None:
    problem = posed()
    assert lay(replace(problem, foods=problem.foods[::-1])) == plain()


def test_fibre_in_the_way_is_named_with_its_amount() -> None:
    brown = tuple(
        replace(one, max_fibre_g=one.max_fibre_g * 1.6) if one.carb_g > 5 else one for one in invented_foods()
    )
    problem = posed(foods=brown, max_fibre_g=5.0)
    solution = lay(problem)
    told = [found.code for found in solution.findings]
    assert "menu.carb_short" in told and "menu.fibre" not in told
    named = [found.sentence for found in solution.findings if found.code == "menu.fits_with"]
    assert any("more fibre" in sentence for sentence in named)


def test_taste_gives_way_before_carbohydrate() -> None:
    few = posed(
        days=2,
        kitchens="petrol station",
        foods=tuple(f for f in invented_foods() if "petrol station" in f.kitchens),
    )
    kept = ("roll", "jam", "ham", "apple-juice", "jelly-sweets", "sponge-cake", "apple-sauce", "banana")
    solution = lay(replace(few, foods=tuple(one for one in few.foods if one.id in kept)))
    told = {found.code for found in solution.findings}
    assert not told & {"menu.carb_short", "menu.carb_over"}
    assert told & {"menu.often", "menu.often_in_day", "menu.small_meal", "menu.large_meal"}


def test_a_meal_for_which_there_is_no_food_stays_empty_and_says_so() -> None:
    starchless = without(posed(), *(one.id for one in invented_foods() if "starch" in one.roles))
    problem = replace(starchless, slots=starchless.slots)
    solution = lay(problem)
    assert [found.about for found in solution.findings if found.code == "menu.nothing_at_hand"] == [
        "1.5 dinner"
    ]
    assert not [one for one in solution.laid if one.slot == "1.5 dinner"]


def test_without_any_protein_the_menu_is_laid_and_says_what_it_lacks() -> None:
    problem = without(posed(), *(one.id for one in invented_foods() if "protein" in one.roles))
    solution = lay(problem)
    assert {found.about for found in solution.findings if found.code == "menu.no_protein"} == {
        "1.3 lunch",
        "1.5 dinner",
    }
    assert not [found for found in solution.findings if found.code.startswith("menu.carb")]


def test_a_swap_keeps_the_limits_and_comes_near() -> None:
    problem, menu = posed(), plain().laid
    swaps = {one: instead(problem, menu, one) for one in menu}
    assert all(one.food != swap.laid.food for one, found in swaps.items() for swap in found)
    free = [(one, found[0]) for one, found in swaps.items() if found and found[0].faults == 0]
    assert len(free) >= 3
    for one, best in free:
        assert checked(problem, tuple(best.laid if line == one else line for line in menu)) == ()


def test_the_solver_is_better_than_a_hand() -> None:
    problem, solution = posed(), plain()
    by_hand = greedy(problem)
    assert len(checked(problem, by_hand)) > 0
    liking = {goal.name: goal.value for goal in solution.goals}["liking"]
    assert liking <= sum(points(problem, problem.food_of[one.food], one.portions_count) for one in by_hand)


def codes(problem: MenuProblem, laid: list[Laid]) -> set[str]:
    return {found.code for found in checked(problem, laid)}


@pytest.mark.parametrize(
    ("laid", "code"),
    [
        (Laid("1.5 dinner", "pretzels", 2), "menu.not_at_hand"),
        (Laid("1.9 supper", "roll", 2), "menu.no_such_meal"),
        (Laid("1.2 snack", "peanut-bar", 1), "menu.not_allowed"),
        (Laid("1.2 snack", "roll", 0), "menu.no_portion"),
        (Laid("1.2 snack", "jelly-sweets", 50), "menu.heavy"),
        (Laid("1.2 snack", "jelly-sweets", 30), "menu.large_meal"),
        (Laid("1.2 snack", "jelly-sweets", 40), "menu.carb_over"),
        (Laid("1.2 snack", "rice-cakes", 90), "menu.fibre"),
        (Laid("1.2 snack", "ginger-biscuits", 100), "menu.fat"),
        (Laid("1.3 lunch", "chicken-breast", 12), "menu.much_protein"),
        (Laid("1.3 lunch", "tomato-sauce", 1), "menu.goes_with_nothing"),
    ],
)
def test_the_check_finds_each_limit_that_is_passed(laid: Laid, code: str) -> None:
    problem = posed()
    sound = [one for one in plain().laid if one.slot != laid.slot]
    assert code in codes(problem, [*sound, laid])


def test_the_check_finds_what_is_missing_and_what_is_too_often() -> None:
    problem = posed()
    sound = list(plain().laid)
    dinner = [one for one in sound if one.slot == "1.5 dinner"]
    bare = [one for one in sound if one not in dinner]
    assert codes(problem, bare) >= {"menu.empty", "menu.carb_short", "menu.small_meal"}
    assert "menu.no_dish" in codes(problem, [*bare, Laid("1.5 dinner", "sorbet", 1)])
    assert "menu.no_protein" in codes(problem, [*bare, Laid("1.5 dinner", "sorbet", 1)])
    juices = [Laid(slot.id, "apple-juice", 1) for slot in problem.slots]
    assert codes(problem, juices) >= {"menu.sweet_drinks", "menu.often_in_day", "menu.often"}
    milks = [Laid("1.1 breakfast", "whole-milk", 1), Laid("1.2 snack", "skimmed-milk", 1)]
    assert "menu.versions" in codes(problem, milks)
    assert "menu.twice" in codes(problem, [dinner[0], dinner[0]])
    assert "menu.little_protein" in codes(problem, [Laid("1.2 snack", "jelly-sweets", 1)])
    assert "menu.pin_lost" in codes(replace(problem, pinned=(dinner[0],)), bare)


def test_a_large_portion_beside_a_dish_is_no_dish() -> None:
    problem = posed()
    plate = [
        Laid("1.5 dinner", "white-rice", 2),
        Laid("1.5 dinner", "soy-sauce", 1),
        Laid("1.5 dinner", "tofu", 1),
    ]
    about = {
        found.code
        for found in checked(problem, [*plate, Laid("1.5 dinner", "roll", 3)])
        if "dinner" in found.about
    }
    assert "menu.no_dish" in about
    assert "menu.no_dish" not in {
        found.code
        for found in checked(problem, [*plate, Laid("1.5 dinner", "roll", 1)])
        if "dinner" in found.about
    }


def test_protein_of_a_sandwich_is_no_protein_of_a_plate() -> None:
    """Ham goes with a roll; beside pasta, a roll does not carry it."""
    problem = posed()
    plate = [
        Laid("1.5 dinner", "pasta", 2),
        Laid("1.5 dinner", "tomato-sauce", 1),
        Laid("1.5 dinner", "ham", 1),
        Laid("1.5 dinner", "roll", 1),
    ]
    assert "menu.no_dish" in codes(problem, plate)


def test_shares_of_a_day_are_spread_and_hold_one_giant_dinner_off() -> None:
    bands = share_bands(FIVE)
    assert sum(low for low, _ in bands) < 1 < sum(high for _, high in bands)
    assert max(high for _, high in bands) < 0.4
    assert share_bands(("dinner",))[0][1] == 1.0


def test_a_food_at_the_edge_of_a_limit_never_passes_it_by_rounding() -> None:
    """Portions whose tenths would round down are counted up: the printed sum stays under the limit."""
    crumbs = food("crumb cake", "sweet", ("snack",), ("full",), 40, (1, 2), (61, 4.99, 3, 5))
    problem = posed(foods=(*invented_foods(), crumbs), max_fibre_g=15.0)
    laid = lay(problem).laid
    assert sum(problem.food_of[one.food].max_fibre_g * one.portions_count for one in laid) <= 15.0
