"""What a schedule must never look like: each test names the nonsense it keeps off the page."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import pytest
from schedule import invented_inputs

from provand.case.case import Wishes
from provand.case.intake import Intake
from provand.larder.item import Item
from provand.planner.check import judge
from provand.planner.limits import stops_of
from provand.planner.points import is_meal
from provand.planner.problem import RaceInputs, Solution, ThirstLine
from provand.planner.race import NearestPlan, pose, solve


def lay(**changes: Any) -> tuple[RaceInputs, Solution]:
    inputs = invented_inputs(**changes)
    return inputs, solve(pose(inputs))


def goals(solution: Solution) -> dict[str, int]:
    return {goal.name: goal.value for goal in solution.goals}


def kinds(solution: Solution) -> set[str]:
    return {take.item for take in solution.intakes} - {"water"}


def codes(solution: Solution) -> set[str]:
    return {finding.code for finding in solution.findings}


def meals_min(inputs: RaceInputs, intakes: Sequence[Intake]) -> list[float]:
    stops = stops_of(inputs, intakes)
    return [stop.place.goal_s / 60 for stop in stops if is_meal(stop.counted_mg)]


def item(inputs: RaceInputs, item_id: str, **changes: Any) -> Item:
    """Return an item of the shelf with another id and other properties."""
    old = inputs.items[item_id]
    label = old.label.model_copy(update=changes.pop("label", {}))
    return old.model_copy(update={"label": label, **changes})


def test_a_rhythm_of_25_minutes_is_not_refused_by_the_hourly_limit() -> None:
    """22 g every 25 min are 53 g/h, though some hour holds three of them: 66 g."""
    inputs, solution = lay(
        rehearsed=("gel-isotonic",),
        wishes=Wishes(),
        pockets_ml=(400.0,),
        carb_g_per_h=44.0,
        upper_rate_g_per_h=60.0,
    )
    assert len(meals_min(inputs, solution.intakes)) == 4
    assert goals(solution)["carbohydrate to 5 g"] == 0


def test_a_gut_that_stood_empty_gives_no_credit() -> None:
    """A 40 g gel needs 80 g/h, however long nothing was eaten before it."""
    _, at_70 = lay(rehearsed=("gel-40",), wishes=Wishes(), upper_rate_g_per_h=79.0)
    _, at_80 = lay(rehearsed=("gel-40",), wishes=Wishes(), upper_rate_g_per_h=80.0)
    assert not kinds(at_70)
    assert kinds(at_80) == {"gel-40"}


def test_an_unknown_sugar_counts_as_glucose() -> None:
    unknown = item(
        invented_inputs(),
        "gel-40",
        id="unsaid",
        label={"sugars_g": None, "glucose_g": None, "fructose_g": None},
    )
    _, solution = lay(rehearsed=("unsaid",), items=(unknown,), wishes=Wishes())
    assert not kinds(solution)
    assert "planner.short" in codes(solution)


def test_no_scraps_fill_the_last_grams() -> None:
    """Cups of sports drink at two stations give 5 g for certain: not worth a line."""
    _, with_drink = lay(rehearsed=("gel-isotonic", "sports-drink"), wishes=Wishes(), station_every_m=10_000.0)
    assert kinds(with_drink) == {"gel-isotonic"}


def test_where_a_drink_gives_enough_it_is_planned() -> None:
    inputs, solution = lay(
        rehearsed=("sports-drink",),
        wishes=Wishes(),
        station_every_m=2000.0,
        served=("sports-drink", "water"),
        ceiling_ml_per_h=600.0,
    )
    assert kinds(solution) == {"sports-drink"}
    assert len(stops_of(inputs, solution.intakes)) >= 7


def test_the_wish_for_caffeine_is_met_only_with_caffeine_on_the_page() -> None:
    _, met = lay(wishes=Wishes(caffeine_mg=75))
    assert goals(met)["caffeine wish"] == 0
    assert "gel-25-caffeine" in kinds(met)
    _, unmet = lay(wishes=Wishes(caffeine_mg=75), rehearsed=("gel-25",))
    assert goals(unmet)["caffeine wish"] == 75


def test_caffeine_above_the_wish_is_never_planned() -> None:
    """With only caffeine gels rehearsed the carbohydrate comes short; the dose is not raised to fill it."""
    _, solution = lay(wishes=Wishes(caffeine_mg=80), rehearsed=("gel-25-caffeine",))
    assert sum(take.item == "gel-25-caffeine" for take in solution.intakes) == 1
    assert "planner.short" in codes(solution)


def test_without_a_wish_no_caffeine_is_planned_and_the_plan_says_so() -> None:
    _, solution = lay(wishes=Wishes())
    assert "gel-25-caffeine" not in kinds(solution)
    assert any("none is wished for" in finding.sentence for finding in solution.findings)


def test_caffeine_of_the_morning_counts_in_any_two_hours() -> None:
    early_dose = ((-2700.0, 150.0),)
    inputs, solution = lay(wishes=Wishes(caffeine_mg=75), earlier_caffeine=early_dose, caffeine_single_mg=200)
    dose = next(take for take in solution.intakes if take.item == "gel-25-caffeine")
    assert dose.at_m is not None
    assert inputs.pace.early.time_at_s(dose.at_m) > 7200 - 2700


def test_few_large_intakes_are_no_goal() -> None:
    """Three of 40 g would be fewer lines than four of 22; both are one kind, and the nearer total wins."""
    inputs, solution = lay(
        rehearsed=("gel-40", "gel-isotonic"), wishes=Wishes(), pockets_ml=(400.0,), carb_g_per_h=42.5
    )
    assert kinds(solution) == {"gel-isotonic"}
    assert len(meals_min(inputs, solution.intakes)) == 4


def test_intakes_are_spread_over_the_race() -> None:
    inputs, solution = lay(rehearsed=("gel-isotonic",), wishes=Wishes(), pockets_ml=(400.0,))
    times = meals_min(inputs, solution.intakes)
    assert 16 <= times[0] <= 42
    assert all(16 <= after - before <= 42 for before, after in pairwise(times))
    assert goals(solution)["evenness"] == 0


def test_a_slow_race_on_little_is_spread_to_its_end() -> None:
    """Five gels in five hours: 42 min between them would leave the last hour and a half without."""
    inputs, solution = lay(
        distance_m=32_000.0,
        goal_s=18_000.0,
        rehearsed=("gel-isotonic",),
        wishes=Wishes(),
        pockets_ml=(400.0,),
        carb_g_per_h=22.0,
        walker=True,
    )
    times = meals_min(inputs, solution.intakes)
    assert len(times) == 5
    assert times[-1] > 220


def test_no_gel_on_a_climb_where_a_gentler_place_is_near() -> None:
    inputs, solution = lay(rehearsed=("gel-isotonic",), wishes=Wishes(), pockets_ml=(400.0,))
    grades = [stop.place.grade_frac for stop in stops_of(inputs, solution.intakes)]
    steep = [place.grade_frac for place in pose(inputs).places if place.grade_frac > 0.025]
    assert steep
    assert max(grades) < 0.025


def test_a_gel_that_needs_water_stands_where_water_is() -> None:
    _, solution = lay(rehearsed=("gel-25",), wishes=Wishes())
    for take in solution.intakes:
        assert take.at_m in {5000.0, 10_000.0, 15_000.0}
    assert {take.item for take in solution.intakes} == {"gel-25", "water"}


def test_a_gel_that_needs_no_water_is_not_tied_to_stations() -> None:
    _, solution = lay(rehearsed=("gel-isotonic",), wishes=Wishes(), pockets_ml=(400.0,))
    assert any(take.at_m not in {5000.0, 10_000.0, 15_000.0, 20_000.0} for take in solution.intakes)


def test_a_gel_is_never_taken_with_sports_drink() -> None:
    inputs = invented_inputs(
        rehearsed=("gel-25", "gel-isotonic", "sports-drink"), served=("sports-drink", "water")
    )
    for made in pose(inputs).patterns:
        for pattern in made:
            textures = {inputs.item_of(take.item).texture for take in pattern.takes}
            assert not {"gel", "drink"} <= textures


def test_a_flask_of_water_frees_a_gel_from_the_stations() -> None:
    flask = item(invented_inputs(), "water", id="flask", name="Flask", pocket_ml=150.0, divides_into=3)
    flask = flask.model_copy(
        update={"label": flask.label.model_copy(update={"pack_ml": 150.0, "water_ml": 100.0})}
    )
    _, solution = lay(
        rehearsed=("gel-25",),
        wishes=Wishes(),
        items=(flask,),
        served=("sports-drink",),
        pockets_ml=(300.0, 160.0),
    )
    assert {take.item for take in solution.intakes} == {"gel-25", "flask"}


def test_a_gel_of_half_the_hours_glucose_is_planned_as_printed() -> None:
    """30 g on a pack that does not split its sugars, at about 60 g/h: the label's rounding is no ban."""
    printed = {"carb_g": 30.0, "sugars_g": None, "fructose_g": None, "sucrose_g": None, "glucose_g": None}
    gel = item(invented_inputs(), "gel-25", id="gel-30", name="Gel", label=printed, with_water=False)
    _, solution = lay(
        rehearsed=("gel-30",), items=(gel,), wishes=Wishes(), pockets_ml=(500.0,), carb_g_per_h=43.0
    )
    assert kinds(solution) == {"gel-30"}
    assert goals(solution)["carbohydrate to 5 g"] == 0
    assert {take.portion_frac for take in solution.intakes if take.item == "gel-30"} == {1.0}


def test_three_kinds_are_not_planned_for_three_grams() -> None:
    """Four thin gels are 88 g of 91; one of another kind among them would make it 91."""
    _, solution = lay(
        rehearsed=("gel-25", "gel-isotonic", "chews"), wishes=Wishes(), pockets_ml=(400.0,), carb_g_per_h=43.7
    )
    assert kinds(solution) == {"gel-isotonic"}


def test_one_line_about_thirst_covers_every_station_that_a_mouthful_fits() -> None:
    """Each station has the same permission; what is left out lies before any loss."""
    inputs, solution = lay(ceiling_ml_per_h=100.0, station_every_m=2500.0)
    first = solution.thirst.first_station
    assert first is not None
    assert goals(solution)["thirst, stations left out"] == first > 0
    sooner = ThirstLine(amount="mouthful", first_station=first - 1)
    assert [f.code for f in judge(pose(inputs), (), sooner).broken] == ["planner.fluid"]


def test_thirst_at_all_stations_comes_before_carbohydrate() -> None:
    """Under a low ceiling the gels' own water gives way to a mouthful at each station."""
    _, solution = lay(
        ceiling_ml_per_h=130.0, rehearsed=("gel-isotonic",), wishes=Wishes(), pockets_ml=(400.0,)
    )
    assert goals(solution)["carbohydrate to 5 g"] > 0
    assert solution.thirst.amount == "mouthful"
    assert {"planner.short", "planner.fluid_binds"} <= codes(solution)


def test_a_larger_sip_never_costs_a_gel() -> None:
    """Half a cup would fit with two gels less; the line says a mouthful."""
    inputs, solution = lay(
        ceiling_ml_per_h=230.0,
        rehearsed=("gel-isotonic",),
        wishes=Wishes(),
        pockets_ml=(400.0,),
        carb_g_per_h=43.0,
    )
    assert goals(solution)["carbohydrate to 5 g"] == 0
    assert solution.thirst.amount == "mouthful"
    fewer = solution.intakes[2:]
    half = ThirstLine(amount="half", first_station=solution.thirst.first_station)
    assert judge(pose(inputs), fewer, half).broken == ()


def test_the_permitted_drink_is_counted_as_drunk() -> None:
    inputs, solution = lay()
    line = solution.thirst
    assert line.amount == "half"
    whole = ThirstLine(amount="cup", first_station=line.first_station)
    assert "planner.fluid" in {f.code for f in judge(pose(inputs), solution.intakes, whole).broken}


def test_a_rate_that_does_not_fit_the_time_in_which_eating_is_possible_is_said_first() -> None:
    inputs = invented_inputs(goal_s=5400.0, carb_g_per_h=78.0, upper_rate_g_per_h=60.0)
    said = [finding for finding in pose(inputs).findings if finding.code == "planner.short_window"]
    assert len(said) == 1
    assert "Lower the rate" in said[0].next_step


def test_nothing_is_eaten_too_early_or_too_late() -> None:
    inputs, solution = lay(
        rehearsed=("gel-isotonic",), wishes=Wishes(), pockets_ml=(400.0,), carb_g_per_h=60.0
    )
    stops = stops_of(inputs, solution.intakes)
    assert all(stop.place.early_s >= 12 * 60 for stop in stops)
    assert all(stop.place.slow_s <= inputs.pace.slow.finish_s - 15 * 60 for stop in stops)


@pytest.mark.parametrize("edge", [3000.0, 4300.0])
def test_nothing_is_taken_where_any_case_may_pass_inside_a_forbidden_window(edge: float) -> None:
    inputs, solution = lay(forbidden_s=((edge, edge + 900, True),), pockets_ml=(400.0,))
    for stop in stops_of(inputs, solution.intakes):
        assert stop.place.slow_s < edge or stop.place.early_s > edge + 900
    first = solution.thirst.first_station
    assert first is not None
    assert inputs.pace.early.time_at_s(inputs.stations[first].at_m) > edge + 900


def test_nothing_unrehearsed_is_planned_but_by_the_practitioner() -> None:
    _, by_default = lay(rehearsed=(), wishes=Wishes())
    assert not kinds(by_default)
    assert "planner.nothing_to_eat" in codes(by_default)
    _, by_hand = lay(rehearsed=(), wishes=Wishes(rehearsed_only=False))
    assert kinds(by_hand)
    assert "planner.unrehearsed" in codes(by_hand)


@pytest.mark.parametrize(
    ("part", "absent"),
    [("caffeine", {"gel-25-caffeine"}), ("fructose", {"gel-25", "gel-25-caffeine", "sports-drink"})],
)
def test_what_holds_a_withheld_part_is_not_planned(part: str, absent: set[str]) -> None:
    _, solution = lay(
        withheld=frozenset({part}), rehearsed=("gel-25", "gel-isotonic", "gel-25-caffeine", "sports-drink")
    )
    assert kinds(solution)
    assert not kinds(solution) & absent


def test_with_fluid_withheld_no_water_is_planned_and_thirst_pairs_the_gel() -> None:
    _, solution = lay(withheld=frozenset({"fluid"}), rehearsed=("gel-25",), wishes=Wishes())
    assert {take.item for take in solution.intakes} == {"gel-25"}
    assert {take.at_m for take in solution.intakes} <= {5000.0, 10_000.0, 15_000.0}


def test_a_refused_drink_leaves_water_at_its_station() -> None:
    inputs, solution = lay(
        refused={"sports-drink": "contains gluten"}, rehearsed=("sports-drink", "gel-25"), wishes=Wishes()
    )
    assert kinds(solution) == {"gel-25"}
    assert solution.thirst.amount != "none"
    assert all("sports-drink" not in p.kinds for made in pose(inputs).patterns for p in made)


def test_what_does_not_go_into_the_pockets_is_not_planned() -> None:
    """Two pockets of 100 ml take one 70 ml gel each, though two more would fit by volume."""
    _, solution = lay(rehearsed=("gel-isotonic",), wishes=Wishes(), pockets_ml=(105.0, 105.0))
    assert len(solution.intakes) == 2


def test_a_shortfall_names_what_would_help_and_by_how_much() -> None:
    _, solution = lay(rehearsed=("gel-isotonic",), wishes=Wishes(), pockets_ml=(70.0,), refused={})
    short = next(f for f in solution.findings if f.code == "planner.short")
    more = next(f for f in solution.findings if f.code == "planner.closer_with")
    assert short.facts["short_g"] == pytest.approx(93.8 - 22)
    assert more.facts["left_g"] == 6
    assert more.facts["wishes"] == "one more pocket of about 210 ml"
    assert "planner.little_room" in codes(solution)
    assert "planner.fluid_binds" not in codes(solution)


def test_evenness_gives_way_before_carbohydrate_and_it_is_said() -> None:
    """Stations 9 km apart are 53 min apart; the gels that need their water go there all the same."""
    _, solution = lay(rehearsed=("gel-25",), wishes=Wishes(), station_every_m=8800.0)
    assert {take.at_m for take in solution.intakes} == {8800.0, 17_600.0}
    assert goals(solution)["evenness"] > 0
    assert "planner.uneven" in codes(solution)


PIN = Intake(item="gel-isotonic", at_m=12_300.0)


def test_a_pinned_intake_stays_where_it_is_and_the_rest_is_laid_around_it() -> None:
    inputs, solution = lay(rehearsed=("gel-isotonic",), pockets_ml=(400.0,), wishes=Wishes(pinned=(PIN,)))
    assert PIN in solution.intakes
    assert len(meals_min(inputs, solution.intakes)) == 4
    assert solution.proven


@pytest.mark.parametrize(
    ("pin", "changes", "reason"),
    [
        (Intake(item="gel-isotonic", at_m=20_800.0), {}, "last 15 minutes"),
        (PIN, {"refused": {"gel-isotonic": "contains soya"}}, "contains soya"),
        (PIN, {"ceiling_ml_per_h": 30.0}, "fluid"),
        (PIN, {"forbidden_s": ((4200.0, 4800.0, False),)}, "window"),
        (PIN, {"pockets_ml": (60.0,)}, "pockets hold 60"),
        (Intake(item="gel-25-caffeine", at_m=12_300.0), {"withheld": frozenset({"caffeine"})}, "caffeine"),
    ],
)
def test_a_pinned_intake_that_breaks_a_limit_is_refused_with_the_reason(
    pin: Intake, changes: dict[str, Any], reason: str
) -> None:
    inputs = invented_inputs(wishes=Wishes(pinned=(pin,), caffeine_mg=75), **changes)
    with pytest.raises(NearestPlan) as refusal:
        solve(pose(inputs))
    assert [finding.code for finding in refusal.value.findings] == ["planner.pin_refused"]
    assert reason in refusal.value.findings[0].sentence
    nearest = refusal.value.nearest
    assert pin not in nearest.intakes
    assert judge(pose(inputs), nearest.intakes, nearest.thirst).broken == ()


@pytest.mark.parametrize("unknown", ["caffeine_mg", "carb_g"])
def test_what_no_label_tells_is_refused_where_it_is_pinned_and_told_where_it_is_given(unknown: str) -> None:
    label = {unknown: None, "sugars_g": None, "glucose_g": None, "fructose_g": None}
    unread = item(invented_inputs(), "gel-isotonic", id="unread", name="Unread gel", label=label)
    pin = Intake(item="unread", at_m=12_300.0)
    changes = {"items": (unread,), "rehearsed": ("unread",)}
    with pytest.raises(NearestPlan):
        solve(pose(invented_inputs(wishes=Wishes(pinned=(pin,)), **changes)))
    _, given = lay(wishes=Wishes(pinned=(pin,), schedule="as given"), **changes)
    assert given.intakes == (pin,)
    assert codes(given) & {"planner.caffeine_single", "planner.glucose"}


def test_a_lost_item_changes_its_own_line_only() -> None:
    other = item(invented_inputs(), "gel-isotonic", id="other", name="Other")
    changes = {"pockets_ml": (400.0,), "items": (other,)}
    _, before = lay(wishes=Wishes(), rehearsed=("gel-isotonic",), **changes)
    lost = before.intakes[1].model_copy(update={"item": "other"})
    anchor = (before.intakes[0], lost, *before.intakes[2:])
    _, again = lay(wishes=Wishes(anchor=anchor), rehearsed=("gel-isotonic",), **changes)
    assert goals(again)["lines changed"] == 1
    assert set(again.intakes) >= {before.intakes[0], *before.intakes[2:]}


def test_solving_around_an_earlier_schedule_that_still_fits_changes_nothing() -> None:
    _, before = lay()
    _, again = lay(wishes=Wishes(caffeine_mg=75, anchor=before.intakes))
    assert again.intakes == before.intakes
    assert goals(again)["lines changed"] == 0


def test_a_schedule_as_given_is_judged_and_left_as_it_is() -> None:
    given = (
        Intake(item="gel-isotonic", at_m=5200.0),
        Intake(item="gel-isotonic", at_m=6000.0),
        Intake(item="gel-25", at_m=20_900.0),
    )
    _, solution = lay(wishes=Wishes(pinned=given, schedule="as given"))
    assert solution.intakes == given
    assert not solution.proven
    assert solution.solver_s == 0
    assert {"planner.uneven", "planner.no_water", "planner.too_late"} <= codes(solution)
    assert "planner.pin_refused" not in codes(solution)
