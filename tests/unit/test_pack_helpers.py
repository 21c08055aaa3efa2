"""What crew, guide and relay team hold: where, when and what; danger signs; nothing of the athlete's body."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from paper import boxes, is_tagged, pages, said
from plans import a_case, a_plan, a_stop, a_take, elapsed_s

from provand.case.case import Case, Pocket
from provand.finding import CannotWork
from provand.pack.crew import crew_data, crew_sheet
from provand.pack.guide import MOST_ROWS, guide_card, guide_data
from provand.pack.plain import times_at
from provand.pack.relay import relay_data, relay_sheet
from provand.plan.document import Plan
from provand.planner.if_then import EMERGENCY
from provand.safety.page import safety_sentences

Maker = Callable[..., bytes]
MAKERS = pytest.mark.parametrize(
    "made", [crew_sheet, guide_card, relay_sheet], ids=["crew", "guide", "relay"]
)


def with_crew() -> Plan:
    case = a_case()
    stops = (
        a_stop(4600.0, a_take("gel", case), case=case, station="Millrace"),
        a_stop(
            9000.0,
            a_take("gel-caffeine", case, got_from="crew"),
            a_take("sports-drink", case, got_from="crew", amount="half"),
            case=case,
        ),
    )
    return a_plan(case, stops=stops)


def guided() -> Case:
    case = a_case()
    items = tuple(item.model_copy(update={"pocket_ml": 40}) for item in case.items)
    pockets = (
        Pocket(name="belt", room_ml=40),
        Pocket(name="guide's belt", room_ml=90, carried_by="the guide"),
    )
    return a_case(items=items, athlete=case.athlete.model_copy(update={"pockets": pockets}))


@MAKERS
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_helper_s_sheet_is_one_tagged_page_with_maker_and_code(made: Maker, paper: Any) -> None:
    data = made(a_plan(), paper)
    assert pages(data) == 1
    assert is_tagged(data)
    told = said(data)
    for part in ("Made by Ines Halloway", "Tove Askerby", "no medical advice", a_plan().code, "Invented"):
        assert part in told
    assert data == made(a_plan(), paper)
    draft = said(made(a_plan(), paper, draft=True))
    assert a_plan().code not in draft
    assert "Draft, not issued" in draft


@MAKERS
def test_no_word_of_the_athlete_s_body_or_health_stands_on_it(made: Maker) -> None:
    told = said(made(a_plan(), "a4")).casefold()
    assert not re.search(
        r"\bbody|mass|weigh|sweat|told us|allerg|clinician|screening|\d\s*(?:g|kg|mg|ml)\b", told
    )


@MAKERS
def test_a_weight_in_a_name_stops_the_writing_for_anybody(made: Maker) -> None:
    case = a_case()
    gel = a_take("gel", case, got_from="crew").model_copy(update={"name": "gel of 25 g"})
    with pytest.raises(CannotWork, match="25 g"):
        made(a_plan(case, stops=(a_stop(4000.0, gel, case=case),)), "a4")


class TestCrew:
    def test_times_are_by_the_clock_from_the_own_start_at_its_earliest_and_latest(self) -> None:
        (point, _) = crew_data(with_crew(), "a4")["points"]
        early, goal, slow = (round(elapsed_s(9000.0, s)) for s in (6360.0, 6720.0, 7440.0))

        def clock(seconds: int) -> str:
            return f"{7 + (30 * 60 + seconds) // 3600:02d}:{(30 * 60 + seconds) % 3600 // 60:02d}"

        assert point["times"] == [clock(240 + early), clock(360 + goal), clock(480 + slow)]

    def test_only_what_comes_from_the_crew_is_handed_over_and_a_drink_is_held_out(self) -> None:
        (point, finish) = crew_data(with_crew(), "a4")["points"]
        assert (point["name"], point["km"]) == ("On the course", "km 9.0")
        assert [one["text"] for one in point["hand"]] == [
            "gel with caffeine",
            "Hold out: half a cup of sports drink. Taken only if thirsty.",
        ]
        assert finish["name"] == "Finish"

    def test_without_crew_in_the_plan_all_stations_are_told_with_nothing_to_hand_over(self) -> None:
        data = crew_data(a_plan(), "a4")
        assert [point["name"] for point in data["points"]] == [
            *("Millrace", "Tollgate", "Kiln Top", "Ferry Lane", "Finish"),
        ]
        assert not any(point["hand"] for point in data["points"][:-1])
        assert "Nothing in this plan comes from a crew" in data["how"]

    def test_times_at_a_station_are_those_of_the_stop_there(self) -> None:
        plan = a_plan()
        times = times_at(plan, plan.race.stops[0].at_m)
        assert times is not None
        assert (times.low, times.mid, times.high) == pytest.approx(
            (plan.race.stops[0].early_s, plan.race.stops[0].goal_s, plan.race.stops[0].slow_s), abs=0.1
        )

    def test_struck_times_leave_the_earliest_alone(self) -> None:
        data = crew_data(a_plan(time_struck=True), "a4")
        assert data["heads"] == ["Where", "Be there by", "Hand over"]
        assert all(len(point["times"]) == 1 for point in data["points"])

    def test_what_is_left_out_is_never_given_and_never_explained(self) -> None:
        case = a_case()
        athlete = case.athlete.model_copy(
            update={"allergens": ("peanut",), "excluded": ("carmine",), "refused": ("chews",)}
        )
        never = crew_data(a_plan(a_case(athlete=athlete)), "a4")["never"]["says"]
        assert "Anything with peanuts." in never
        assert "Anything with carmine." in never
        assert "Orange chews: the runner will not take it." in never
        assert "Pain tablets, or any other medicine." in never
        assert "More to drink than the runner asks for." in never

    def test_danger_signs_are_the_safety_page_s_and_whom_to_call_stands_with_them(self) -> None:
        told = said(crew_sheet(a_plan(), "a4"))
        for section in safety_sentences()[1:4]:
            for line in section.says:
                assert line in told
        assert "Emergency number here" in told
        assert "Never two at once" in told


class TestGuide:
    def test_the_card_is_of_its_size_and_follows_the_athlete_s_order(self) -> None:
        data = guide_card(a_plan(), "a4")
        assert (180.0, 124.0) in [(round(b.width_mm, 1), round(b.height_mm, 1)) for b in boxes(data)]
        told = said(data)
        places = [told.index(place) for place in ("Millrace", "km 7.9", "Tollgate", "Kiln Top", "Ferry Lane")]
        assert places == sorted(places)
        assert told.count("left") == 4, "a side to tick at every table, and at no other place"
        assert "about 100 m ahead" in told
        assert EMERGENCY in told
        assert a_plan().race.drinking.sentence in told

    def test_what_is_in_the_guide_s_pocket_is_the_guide_s_to_carry(self) -> None:
        carries = guide_data(a_plan(guided()), "a4")["carries"]
        assert [row["text"] for row in carries["rows"]] == ["1 × orange chews", "1 × gel with caffeine"]
        assert guide_data(a_plan(), "a4")["carries"]["rows"] == []

    def test_more_lines_than_one_card_holds_go_on_another(self) -> None:
        case = a_case()
        gel = a_take("gel", case)
        plan = a_plan(
            case, stops=tuple(a_stop(1000.0 + 900 * n, gel, case=case) for n in range(MOST_ROWS + 2))
        )
        assert [len(rows) for rows in guide_data(plan, "a4")["cards"]] == [MOST_ROWS, 2]
        assert said(guide_card(plan, "a4")).count("lemon gel") == MOST_ROWS + 2

    def test_a_race_without_intakes_says_so(self) -> None:
        assert "Nothing is planned" in said(guide_card(a_plan(stops=()), "a4"))

    def test_struck_times_give_way_to_kilometres(self) -> None:
        (card,) = guide_data(a_plan(time_struck=True), "a4")["cards"]
        assert [row["when"] for row in card] == ["km 4.6", "km 7.9", "km 9.1", "km 13.4", "km 17.3"]


class TestRelay:
    def test_the_leg_is_taken_over_at_the_own_start_and_handed_over_at_the_finish(self) -> None:
        assert relay_data(a_plan(), "a4")["leg"] == [
            *("Tove Askerby", "21.1 km", "07:34 to 07:38", "09:20", "09:28", "09:42"),
        ]

    def test_struck_times_tell_no_hand_over(self) -> None:
        assert relay_data(a_plan(time_struck=True), "a4")["leg"][3:] == ["", "", ""]

    def test_what_the_runner_has_along_is_told_and_that_nothing_else_is_given(self) -> None:
        told = said(relay_sheet(with_crew(), "a4"))
        assert "On the runner: 1 × lemon gel" in told
        assert "For your crew: 1 × gel with caffeine, 1 × sports drink" in told
        assert "nothing else" in told
        assert "what is taken comes from the stations" in said(relay_sheet(a_plan(stops=()), "a4"))
