"""The night-before card: packing first, the morning by the clock, one sheet in large type."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from menued import plan_with
from paper import boxes, is_tagged, pages, said, words
from plans import a_case, a_plan, a_stop, a_take, some_lines

from provand.case.case import Case, Pocket
from provand.figure import Range
from provand.finding import CannotWork
from provand.pack.night import morning, night_card, night_data
from provand.pack.sheet import own_start
from provand.plan.document import Line, Plan
from provand.plan.withheld import WEIGHTS
from provand.protocol.loading import neat


def titles(plan: Plan) -> list[str]:
    return [rung["title"] for day in night_data(plan, "a4")["days"] for rung in day["rungs"]]


def clocks(plan: Plan) -> dict[str, str]:
    return {rung["title"]: rung["at"] for day in night_data(plan, "a4")["days"] for rung in day["rungs"]}


def groups(plan: Plan) -> dict[str, list[str]]:
    listed = night_data(plan, "a4")["lay_out"]["groups"]
    return {group["place"]: [row["text"] for row in group["rows"]] for group in listed}


def with_pockets(*rooms_ml: float, pocket_ml: float | None = 30, carried_by: str = "athlete") -> Case:
    case = a_case()
    pockets = tuple(
        Pocket(name=f"pocket {n}", room_ml=room, carried_by=carried_by) for n, room in enumerate(rooms_ml, 1)
    )
    items = tuple(item.model_copy(update={"pocket_ml": pocket_ml}) for item in case.items)
    athlete = case.athlete.model_copy(update={"pockets": pockets})
    return a_case(athlete=athlete, items=items)


def crowded() -> Plan:
    """Return a plan with everything that a morning can hold, in long words."""
    case, start = a_case(), own_start(a_plan())[0]
    names = (
        *("Your tablet", "Wake up", "Breakfast", "Drink with it", "Your usual coffee", "Top-up", "Leave"),
        *("Bag drop", "Warm-up", "Into your pen", "Last toilet", "While you wait", "Eat again"),
    )
    says = "At this time, as your clinician fixed it; nothing here moves it. No food from 03:30 to 04:30."
    lines = tuple(
        Line(at=start - timedelta(minutes=200 - 14 * n), title=title, says=says)
        for n, title in enumerate(names)
    )
    case = case.model_copy(
        update={"race": case.race.model_copy(update={"name": "The Long Ridge and Lower Lake Half Marathon"})}
    )
    return a_plan(case, morning=lines)


def test_packing_stands_first_and_the_own_start_last() -> None:
    told = said(night_card(a_plan(), "a4"))
    order = [told.index(word) for word in ("Lay out tonight", "Wake up", "Breakfast", "You cross the start")]
    assert order == sorted(order)
    assert titles(a_plan())[-1] == "You cross the start line"


def test_each_pack_is_laid_out_for_the_pocket_that_the_planner_put_it_in() -> None:
    found = groups(a_plan(with_pockets(30, 60)))
    in_pockets = {place: rows for place, rows in found.items() if place.startswith("Pocket")}
    assert in_pockets == {
        "Pocket: pocket 1": ["1 × lemon gel"],
        "Pocket: pocket 2": ["1 × orange chews", "1 × gel with caffeine"],
    }


def test_where_packs_do_not_go_in_no_pocket_is_named_and_none_is_left_out() -> None:
    for case in (with_pockets(30), with_pockets(90, pocket_ml=None), a_case()):
        assert groups(a_plan(case))["In your pockets"] == [
            *("1 × lemon gel", "1 × orange chews", "1 × gel with caffeine"),
        ]


def test_a_pocket_that_another_carries_says_who() -> None:
    assert "Pocket: pocket 1, carried by the guide" in groups(
        a_plan(with_pockets(90, carried_by="the guide"))
    )


def test_what_comes_from_a_bag_or_a_crew_is_laid_out_for_them_and_stations_are_not() -> None:
    case = a_case()
    stops = (
        a_stop(4600.0, a_take("gel", case, got_from="bag", portion=1.5), case=case),
        a_stop(9100.0, a_take("gel", case, got_from="bag"), case=case),
        a_stop(13_400.0, a_take("chews", case, got_from="crew", portion=0.25), case=case),
        a_stop(
            17_300.0,
            a_take("sports-drink", case, got_from="station", amount="half"),
            case=case,
            station="Ferry Lane",
        ),
    )
    found = groups(a_plan(case, stops=stops))
    assert found["In the bag you hand in"] == ["3 × lemon gel", "Dry clothes", "Food for after the race"]
    assert found["For your crew"] == ["1 × orange chews"]
    assert "sports drink" not in str(found)


def test_a_drink_has_no_time_and_stands_with_the_line_before_it() -> None:
    assert "Drink" not in titles(a_plan())
    toilet = next(rung for rung in morning(a_plan()) if rung.title == "Last toilet")
    assert toilet.says[-2:] == (("Drink:", True), ("A cup of water if you are thirsty.", True))


def test_the_clock_is_large_the_own_start_larger_and_the_gun_lighter() -> None:
    placed = {word.text: word.size_pt for word in words(night_card(a_plan(), "a4"))}
    assert placed["04:36"] >= 16
    assert placed["07:34"] == pytest.approx(placed["04:36"] * 20 / 16)
    kinds = {rung.title: rung.kind for rung in morning(a_plan())}
    assert kinds["The gun"] == "gun"
    assert kinds["You cross the start line"] == "start"


def test_a_gun_at_the_own_start_is_not_told_twice() -> None:
    case = a_case()
    case = a_case(race=case.race.model_copy(update={"own_offset_s": Range.exact(0.0)}))
    assert "The gun" not in titles(a_plan(case))
    assert clocks(a_plan(case))["You cross the start line"] == "07:30"


def test_the_start_line_says_how_late_it_may_be() -> None:
    assert "It may be as late as 07:38." in said(night_card(a_plan(), "a4"))


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("made", [a_plan, crowded, plan_with], ids=["usual", "crowded", "menu"])
def test_it_is_one_tagged_sheet_and_its_words_are_large_enough_for_bad_light(made: Any, paper: Any) -> None:
    data = night_card(made(), paper)
    assert pages(data) == 1
    assert is_tagged(data)
    rows = [w for w in words(data) if 40 < w.top_mm < 255 and w.text[:1].isalpha()]
    assert min(word.size_pt for word in rows) >= 8.7
    assert data == night_card(made(), paper)


def test_every_line_has_a_box_to_tick_but_gun_and_start() -> None:
    ticks = [box for box in boxes(night_card(a_plan(), "a4")) if 3.5 < box.width_mm < 8 and box.left_mm > 150]
    assert len(ticks) == len(titles(a_plan())) - 2


def test_the_evening_meal_and_the_breakfast_of_a_menu_are_told_in_portions() -> None:
    plan = plan_with()
    assert clocks(plan)["Dinner"] == "19:00"
    told = said(night_card(plan, "a4"))
    assert "3 cups pasta" in told
    for meal in plan.menu.meals if plan.menu else ():
        if meal.meal == "race meal":
            assert f"{meal.foods[0].says} {meal.foods[0].name}" in told


def test_a_coffee_at_the_time_of_breakfast_is_told_as_coffee_and_not_as_the_food() -> None:
    plan = plan_with()
    (meal,) = (one for one in plan.menu.meals if one.meal == "race meal") if plan.menu else ()
    says = "As much as you usually have."
    lines = (
        Line(at=neat(meal.at), title="Breakfast", says="Something you know."),
        Line(at=neat(meal.at), title="Your usual coffee", says=says),
    )
    told = {rung.title: rung.says for rung in morning(plan.model_copy(update={"morning": lines}))}
    assert meal.foods[0].name in told["Breakfast"][0][0]
    assert told["Your usual coffee"] == ((says, False),)


def test_a_race_just_after_midnight_has_no_bed_on_the_evening_that_is_its_morning() -> None:
    case = a_case()
    race = case.race.model_copy(update={"gun": case.race.gun.replace(hour=0, minute=30)})
    case = a_case(race=race)
    start = own_start(a_plan(case))[0]
    lines = (Line(at=start - timedelta(hours=3), title="Small breakfast", says="Something you know."),)
    assert titles(a_plan(case, morning=lines)) == [
        *("Lay it all out", "Small breakfast", "The gun", "You cross the start line"),
    ]


def test_who_made_it_for_which_race_and_code_stand_on_it_and_a_draft_has_none() -> None:
    told = said(night_card(a_plan(), "a4"))
    for words_ in (
        "Made for Tove Askerby by Ines Halloway",
        "no medical advice",
        a_plan().code,
        "000 000 000",
    ):
        assert words_ in told
    assert "Ill? Do not start if you have a fever" in told
    draft = said(night_card(a_plan(), "a4", draft=True))
    assert a_plan().code not in draft
    assert "Draft, not issued" in draft


def test_with_weights_withheld_a_weight_stops_the_writing() -> None:
    plan = a_plan(withheld=("grams",))
    assert not WEIGHTS.search(said(night_card(plan, "a4")))
    line = Line(at=own_start(plan)[0] - timedelta(hours=3), title="Breakfast", says="200 g of rice.")
    with pytest.raises(CannotWork, match="200 g"):
        night_card(plan.model_copy(update={"morning": (line, *some_lines(plan.case)["morning"])}), "a4")
