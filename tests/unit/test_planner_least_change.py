"""Solving again near an earlier schedule: a loss changes its own line, and the rest of the page stays."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from schedule import invented_inputs

from provand.case.case import Pocket, Wishes
from provand.case.intake import Intake
from provand.planner.lost import Anchored, anchored
from provand.planner.patterns import Line, lines_by_place
from provand.planner.problem import RaceInputs, Solution
from provand.planner.race import pose, solve

AT_HAND = ("gel-25", "gel-isotonic", "gel-25-caffeine", "sports-drink")
EMPTY_STATIONS = {"first": 0, "second": 1, "third": 2}


@cache
def before() -> tuple[RaceInputs, Solution]:
    """Return an invented half with a gel, a caffeine gel and a gel at three stations, and its schedule."""
    inputs = invented_inputs(
        pockets_ml=(200.0,),
        rehearsed=AT_HAND,
        ceiling_ml_per_h=500.0,
        carb_g_per_h=36.0,
    )
    inputs = replace(inputs, items={name: inputs.items[name] for name in (*AT_HAND, "water")})
    return inputs, solve(pose(inputs))


def again(*, anchored: bool = True, **changes: Any) -> tuple[RaceInputs, Solution]:
    """Return the race with parts of its case changed, solved near the earlier schedule, or from nothing."""
    inputs, solution = before()
    wishes = changes.pop("wishes", inputs.case.wishes)
    wishes = wishes.model_copy(update={"anchor": solution.intakes if anchored else ()})
    changed = replace(inputs, case=inputs.case.model_copy(update={"wishes": wishes, **changes}))
    return changed, solve(pose(changed))


def lines(inputs: RaceInputs, solution: Solution) -> dict[float, Line]:
    return lines_by_place(inputs, solution.intakes)


def other_lines(changed: RaceInputs, solution: Solution) -> int:
    """Return how many lines of the page are not as they were, whatever the planner counts."""
    old, new = lines(*before()), lines(changed, solution)
    return sum(old.get(x_m) != new.get(x_m) for x_m in {*old, *new})


def goal(solution: Solution, name: str) -> int:
    return next(goal.value for goal in solution.goals if goal.name == name)


def station_without_water(number: int) -> dict[str, Any]:
    course = before()[0].case.course
    stations = tuple(
        station.model_copy(update={"serves": ()}) if n == number else station
        for n, station in enumerate(course.stations)
    )
    return {"course": course.model_copy(update={"stations": stations})}


@cache
def with_an_empty_station(number: int, *, anchored: bool = True) -> tuple[RaceInputs, Solution]:
    return again(anchored=anchored, **station_without_water(number))


def fewer_gels() -> dict[str, Any]:
    athlete = before()[0].case.athlete.model_copy(update={"pockets": (Pocket(name="belt", room_ml=130.0),)})
    return {"athlete": athlete}


def test_one_gel_lost_takes_one_line_off_and_leaves_all_others() -> None:
    changed, solution = again(**fewer_gels())
    assert other_lines(changed, solution) == 1
    assert len(lines(changed, solution)) == 2
    assert goal(solution, "caffeine wish") == 0


@pytest.mark.parametrize("number", [0, 2], ids=["first", "third"])
def test_an_empty_station_changes_the_line_there_and_no_other(number: int) -> None:
    changed, solution = with_an_empty_station(number)
    assert other_lines(changed, solution) == 1
    assert goal(solution, "lines changed") == 1


def test_the_caffeine_wish_is_kept_where_its_station_is_empty_though_that_changes_a_second_line() -> None:
    changed, solution = with_an_empty_station(1)
    assert goal(solution, "caffeine wish") == 0
    assert "gel-25-caffeine" in {take.item for take in solution.intakes}
    assert other_lines(changed, solution) == 2


def test_an_item_that_is_gone_changes_the_lines_that_held_it() -> None:
    wishes = before()[0].case.wishes.model_copy(update={"banned": ("gel-25",)})
    changed, solution = again(wishes=wishes)
    held = [x_m for x_m, line in lines(*before()).items() if "gel-25" in {item for item, _, _ in line}]
    assert other_lines(changed, solution) == len(held) == 2


@pytest.mark.parametrize("number", EMPTY_STATIONS.values(), ids=EMPTY_STATIONS)
def test_from_nothing_the_same_loss_would_change_more_lines(number: int) -> None:
    near = other_lines(*with_an_empty_station(number))
    fresh = other_lines(*with_an_empty_station(number, anchored=False))
    assert near < fresh


def test_staying_near_costs_no_carbohydrate_and_no_wish() -> None:
    for number in EMPTY_STATIONS.values():
        near = with_an_empty_station(number)[1]
        fresh = with_an_empty_station(number, anchored=False)[1]
        for name in ("carbohydrate to 5 g", "evenness", "thirst, amount", "caffeine wish"):
            assert goal(near, name) == goal(fresh, name)


def two_gels_near(*places_m: float) -> Solution:
    """Solve a half with room for two gels near an earlier schedule of gels at these places."""
    anchor = tuple(Intake(item="gel-isotonic", at_m=at_m) for at_m in places_m)
    inputs = invented_inputs(
        rehearsed=("gel-isotonic",), wishes=Wishes(anchor=anchor), pockets_ml=(140.0,), carb_g_per_h=32.0
    )
    return solve(pose(replace(inputs, items={n: inputs.items[n] for n in ("gel-isotonic", "water")})))


def test_the_gap_that_a_lost_gel_leaves_moves_no_other_gel_and_is_told() -> None:
    """One of three is lost; the card says: take the next one as planned."""
    solution = two_gels_near(4000.0, 8800.0, 13_600.0)
    kept = {take.at_m for take in solution.intakes}
    assert len(kept & {4000.0, 8800.0, 13_600.0}) == 2
    assert goal(solution, "lines changed") == 1
    assert goal(solution, "evenness") == 0
    assert solution.proven
    assert "planner.uneven" in {finding.code for finding in solution.findings}


def test_a_long_gap_that_no_lost_gel_leaves_is_evened_out() -> None:
    solution = two_gels_near(4000.0, 13_600.0)
    assert goal(solution, "evenness") == 0
    assert goal(solution, "lines changed") > 0


@pytest.mark.parametrize(
    ("gap_m", "left"),
    [
        ((4000.0, 13_600.0), True),
        ((0.0, 8800.0), True),
        ((4000.0, 8800.0), False),
        ((0.0, 13_600.0), False),
        ((4000.0, 13_700.0), False),
        ((3900.0, 13_600.0), False),
    ],
)
def test_a_lost_gel_leaves_one_gap_between_places_of_the_earlier_schedule(
    gap_m: tuple[float, float], left: bool
) -> None:
    assert Anchored((4000.0, 8800.0, 13_600.0)).is_left(*gap_m) is left


def test_only_what_feeds_leaves_a_gap() -> None:
    sip = Intake(item="water", at_m=5000.0, amount="cup", got_from="station", station="Station 1")
    gel = Intake(item="gel-isotonic", at_m=8800.0)
    inputs = invented_inputs(wishes=Wishes(anchor=(sip, gel)))
    assert anchored(inputs).meals_m == (8800.0,)
