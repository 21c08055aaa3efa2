"""Under 75 minutes: rinses, mouthfuls, one gel; the line about thirst; intakes tied to a time."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from schedule import invented_inputs

from provand.case.case import Wishes
from provand.case.course import Served, Station
from provand.case.intake import Intake
from provand.figure import Range
from provand.planner.check import judge
from provand.planner.if_then import EMERGENCY, IF_THEN, drinking_sentence
from provand.planner.places import first_named, permitted_ml, place_of, pours_water, room_ml
from provand.planner.problem import RaceInputs, Solution, ThirstLine
from provand.planner.race import pose, solve
from provand.safety.refusals import refused_items

TEN_KM = {"distance_m": 10_000.0, "goal_s": 2900.0, "station_every_m": 2400.0, "wishes": Wishes()}


def lay(**changes: Any) -> tuple[RaceInputs, Solution]:
    inputs = invented_inputs(**{**TEN_KM, **changes})
    return inputs, solve(pose(inputs))


def test_a_rinse_stands_at_each_station_that_serves_something_rehearsed_to_rinse_with() -> None:
    inputs, solution = lay(mode="rinse", rehearsed=("sports-drink",), ceiling_ml_per_h=600.0)
    assert [take.at_m for take in solution.intakes] == [station.at_m for station in inputs.stations]
    assert {(take.item, take.amount) for take in solution.intakes} == {("sports-drink", "rinse")}
    assert not solution.proven


def test_too_few_stations_for_a_rinse_at_each_eighth_is_said() -> None:
    _, few = lay(mode="rinse", rehearsed=("sports-drink",), ceiling_ml_per_h=600.0)
    said = next(f for f in few.findings if f.code == "planner.too_few_stations")
    assert said.facts == {"wanted": 7, "count": 4}
    _, many = lay(mode="rinse", rehearsed=("sports-drink",), ceiling_ml_per_h=900.0, station_every_m=1200.0)
    assert "planner.too_few_stations" not in {f.code for f in many.findings}


@pytest.mark.parametrize(
    "changes",
    [
        {"rehearsed": ()},
        {"refused": {"sports-drink": "contains gluten"}},
        {"withheld": frozenset({"fructose"})},
        {"served": ("water",)},
        {"ceiling_ml_per_h": 20.0},
        {"forbidden_s": ((0.0, 4000.0, False),)},
    ],
)
def test_no_rinse_where_it_would_break_a_limit(changes: dict[str, Any]) -> None:
    _, solution = lay(**{"mode": "rinse", "rehearsed": ("sports-drink",), **changes})
    assert solution.intakes == ()


def test_a_rinse_is_allowed_in_a_window_that_allows_it() -> None:
    _, solution = lay(
        mode="rinse", rehearsed=("sports-drink",), ceiling_ml_per_h=600.0, forbidden_s=((0.0, 4000.0, True),)
    )
    assert len(solution.intakes) == 4
    assert solution.thirst.amount == "none"


def test_the_thirst_line_comes_before_a_rinse() -> None:
    """The rinse is counted as if it were swallowed, within what the line pours anyhow."""
    inputs, solution = lay(mode="rinse", rehearsed=("sports-drink",), ceiling_ml_per_h=250.0)
    assert solution.thirst.first_station == 0
    assert judge(pose(inputs), solution.intakes, solution.thirst).broken == ()


def test_one_rehearsed_gel_is_enough_in_a_short_race() -> None:
    hour = {"distance_m": 15_000.0, "goal_s": 4300.0}
    _, solution = lay(
        **hour, mode="small", rehearsed=("gel-isotonic",), carb_g_per_h=20.0, ceiling_ml_per_h=600.0
    )
    assert [take.item for take in solution.intakes] == ["gel-isotonic"]
    assert solution.proven
    _, more = lay(
        **hour, mode="small", rehearsed=("gel-isotonic",), carb_g_per_h=40.0, ceiling_ml_per_h=600.0
    )
    assert len(more.intakes) == 1


def test_a_mouthful_is_taken_where_a_station_serves_carbohydrate() -> None:
    _, solution = lay(mode="small", rehearsed=("sports-drink",), carb_g_per_h=9.0, ceiling_ml_per_h=600.0)
    assert solution.intakes
    assert {take.amount for take in solution.intakes} == {"mouthful"}


def test_without_anything_to_eat_a_short_race_falls_back_to_rinses() -> None:
    _, solution = lay(mode="small", rehearsed=("sports-drink",), carb_g_per_h=0.0, ceiling_ml_per_h=600.0)
    assert {take.amount for take in solution.intakes} == {"rinse"}


# The line about thirst.


def station(name: str, at_m: float, *items: str) -> Station:
    return Station(name=name, at_m=at_m, serves=tuple(Served(item=item) for item in items))


STATIONS = (station("Windmill", 5000.0, "water"), station("Tollgate", 9000.0, "water"))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (ThirstLine(amount="cup", first_station=0), "Thirsty? Drink: a cup of water. Not thirsty? Run past."),
        (
            ThirstLine(amount="mouthful", first_station=1),
            "From Tollgate on: thirsty? Drink: a mouthful of water. Not thirsty? Run past.",
        ),
        (ThirstLine(), "Let thirst lead. Very thirsty? Tell the medical team."),
    ],
)
def test_the_line_about_thirst_names_amount_and_first_station(line: ThirstLine, says: str) -> None:
    assert drinking_sentence(line, "Tollgate" if line.first_station else "") == says


def test_the_line_never_orders_and_never_forbids() -> None:
    for line in (ThirstLine(amount="half", first_station=0), ThirstLine()):
        words = drinking_sentence(line, "").lower()
        assert not any(word in words for word in ("must", "never", "do not", "don't", "always"))


def on_course(*stations: Station, **changes: Any) -> RaceInputs:
    inputs = invented_inputs(**changes)
    course = inputs.case.course.model_copy(update={"stations": stations})
    return invented_inputs(case=inputs.case.model_copy(update={"course": course}), **changes)


def test_the_line_names_its_first_station_only_where_water_stands_before_it() -> None:
    inputs = on_course(station("Bend", 2000.0, "sports-drink"), *STATIONS)
    assert first_named(inputs, ThirstLine(amount="cup", first_station=1)) == ""
    assert first_named(inputs, ThirstLine(amount="cup", first_station=2)) == "Tollgate"


def test_the_line_pours_water_and_nothing_else() -> None:
    served = ("cola", "sports-drink", "fizz-from-somewhere")
    inputs = on_course(*(station(item, 3000.0 * n, item) for n, item in enumerate(served, 1)))
    cup = ThirstLine(amount="cup", first_station=0)
    assert [permitted_ml(inputs, n, cup) for n in range(3)] == [0, 0, 0]
    refused = on_course(station("Mill", 3000.0, "water"), refused={"water": "banned"})
    assert permitted_ml(refused, 0, cup) == 0


def test_an_unknown_product_is_planned_as_water_unless_something_is_excluded() -> None:
    inputs = on_course(station("Mill", 3000.0, "fizz-from-somewhere"))
    assert pours_water(inputs, 0)
    athlete = inputs.case.athlete.model_copy(update={"allergens": ("milk",)})
    case = inputs.case.model_copy(update={"athlete": athlete})
    assert not pours_water(invented_inputs(case=case, refused=refused_items(case, inputs.items)), 0)


def test_an_unknown_product_is_no_water_for_one_to_whom_water_is_not_given() -> None:
    inputs = on_course(station("Mill", 3000.0, "fizz-from-somewhere", "water"))
    assert pours_water(inputs, 0)
    assert not pours_water(invented_inputs(case=inputs.case, refused={"water": "banned by hand"}), 0)


def test_what_the_line_pours_is_the_fullest_cup_of_water_of_each_station() -> None:
    big = Served(item="water", cup_ml=300.0, fill_frac=Range.of(0.5, 0.8))
    inputs = invented_inputs()
    course = inputs.case.course.model_copy(
        update={
            "stations": (
                station("Windmill", 5000.0, "sports-drink", "water"),
                Station(name="B", at_m=9000.0, serves=(big,)),
            )
        }
    )
    inputs = invented_inputs(case=inputs.case.model_copy(update={"course": course}))
    cup = ThirstLine(amount="cup", first_station=0)
    assert [permitted_ml(inputs, n, cup) for n in (0, 1)] == [150, 240]
    half = ThirstLine(amount="half", first_station=1)
    assert [permitted_ml(inputs, n, half) for n in (0, 1)] == [0, 120]


def test_the_fixed_lines_are_short_and_speak_of_sickness_and_of_a_lost_item() -> None:
    assert [line.when for line in IF_THEN] == ["Feel sick?", "Lost one, or missed one?"]
    assert all(len(word) <= 9 for line in IF_THEN for word in f"{line.when} {line.then}".split())
    assert "Never two at once" in IF_THEN[1].then
    assert "medical team" in EMERGENCY


# Places and times.


def test_an_intake_tied_to_a_time_is_laid_where_the_goal_case_is_then() -> None:
    inputs = invented_inputs()
    at_clock = datetime(2026, 12, 6, 9, 50, tzinfo=ZoneInfo("Europe/Dublin"))
    assert place_of(inputs, Intake(item="gel-25", at_elapsed_s=3000.0)) == 8400.0
    assert place_of(inputs, Intake(item="gel-25", at_elapsed_s=90_000.0)) == inputs.case.course.length_m
    assert place_of(inputs, Intake(item="gel-25", at_clock=at_clock)) == 8400.0
    assert place_of(inputs, Intake(item="gel-25", at_m=8432.0)) == 8432.0


def test_the_ceiling_is_rounded_down_after_the_drink_before_the_start() -> None:
    inputs = invented_inputs(ceiling_ml_per_h=350.0, pre_start_ml=30.5)
    at_10_km = 350 / 3600 * 7500 * 0.96 * 10_000 / 21_100
    assert room_ml(inputs, 10_000.0) == int(at_10_km - 30.5)
    assert room_ml(inputs, 10_050.0) == room_ml(inputs, 10_000.0)
