"""What was planned beforehand, where it is needed: the crew sheet, the page for the phone, the night card."""

from __future__ import annotations

import re

import pytest
from beforehand import some_scenarios
from plans import a_case, a_plan, a_stop, a_take

from provand.case.crew import Crew, CrewPoint
from provand.pack.ahead import ahead
from provand.pack.crew import crew_data
from provand.pack.large import large_data
from provand.pack.message import message
from provand.pack.night import night_data
from provand.pack.phone import phone_page
from provand.pack.pieces import DEFAULT, SCENARIOS
from provand.pack.sheet import texts
from provand.pack.wrist import entries
from provand.plan.document import Plan
from provand.plan.scenarios import Scenario, Scenarios
from provand.plan.withheld import WEIGHTS

TIMED = re.compile(r"\d:\d\d|\bevery \d+|\bdrink (?:now|at \d)", re.IGNORECASE)
"""No time at all stands in these lines, so none for a drink."""


def with_crew() -> Plan:
    case = a_case(crew=Crew(points=(CrewPoint(name="Ford", at_m=9000.0, hands=("gel",), allowed=True),)))
    gel = a_take("gel", case, got_from="crew")
    return a_plan(
        case, stops=(a_stop(4600.0, a_take("gel", case), case=case), a_stop(9000.0, gel, case=case))
    )


def lost_with(plan: Plan, *stops: object) -> Scenarios:
    """Return the scenario of a loss at km 8, with other stops."""
    one = next(s for s in some_scenarios(plan).scenarios if s.id == "lost")
    other = Scenario.model_validate({**one.model_dump(), "stops": stops})
    return Scenarios(plan=plan.code, scenarios=(other,))


def told_to_crew(plan: Plan, made: Scenarios | None) -> list[str]:
    return [
        f"{row['asked']} {row['then']}" for row in crew_data(plan, "a4", scenarios=made)["otherwise"]["says"]
    ]


class TestCrew:
    def test_what_is_handed_over_otherwise_is_told_place_by_place(self) -> None:
        plan = with_crew()
        two = a_take("gel", plan.case, got_from="crew", portion=2.0)
        changed = lost_with(plan, a_stop(9000.0, two, case=plan.case))
        assert told_to_crew(plan, changed) == [
            "The runner lost the gel by km 8? Ford: hand over 2 × lemon gel. Never two at once."
        ]
        nothing = lost_with(plan, a_stop(9000.0, a_take("chews", plan.case), case=plan.case))
        assert "Ford: hand over nothing." in told_to_crew(plan, nothing)[0]

    def test_what_stays_is_told_to_stay(self) -> None:
        plan = with_crew()
        assert told_to_crew(plan, lost_with(plan, *plan.race.stops)) == [
            "The runner lost the gel by km 8? Hand over as planned. Never two at once."
        ]

    def test_a_crew_that_hands_nothing_over_has_no_such_line(self) -> None:
        plan = a_plan()
        assert told_to_crew(plan, some_scenarios(plan)) == []
        assert told_to_crew(with_crew(), None) == []


class TestNight:
    def test_a_late_start_and_a_hotter_day_stand_beside_the_line_of_stops(self) -> None:
        plan = a_plan()
        asides = {
            one["title"]: one["says"]
            for one in night_data(plan, "a4", scenarios=some_scenarios(plan))["asides"]
        }
        assert asides["Start 60 minutes late?"] == (
            "Keep your race food for the race. It may be hotter: start slower. "
            "Your other list says what to eat. No such list? Ask Ines Halloway."
        )
        assert "5 °C hotter than the forecast?" in asides
        bare = [one["title"] for one in night_data(plan, "a4")["asides"]]
        assert bare == ["Ill?", "Cannot eat?", "Thirst"]

    def test_where_nobody_should_run_for_a_time_it_sends_to_the_doctor(self) -> None:
        plan = a_plan()
        too_hot = Scenarios(plan=plan.code, scenarios=(), without=some_scenarios(plan).without)
        says = [one["says"] for one in night_data(plan, "a4", scenarios=too_hot)["asides"]]
        assert "Ask the event's doctor before you start." in says

    def test_large_print_says_the_same(self) -> None:
        plan = a_plan()
        made = some_scenarios(plan)
        assert (
            large_data(plan, "a4", scenarios=made)["night"]["asides"]
            == night_data(plan, "a4", scenarios=made)["asides"]
        )


class TestPhone:
    def test_it_is_folded_and_goes_with_a_later_start(self) -> None:
        plan = a_plan()
        page = phone_page(plan, None, some_scenarios(plan)).decode("utf-8")
        part = page.split("<summary>If things go otherwise</summary>")[1].split("</details>")[0]
        assert '<details class="base"><summary>If things go otherwise' in page
        assert "Lost your gel?" in part
        assert "Nothing left at Mill?" in part
        assert "Start 60 minutes late" not in page, "a later start has its own place on the page"
        assert "If things go otherwise" not in phone_page(plan).decode("utf-8")

    def test_a_line_that_sends_to_another_list_has_it(self) -> None:
        plan = a_plan()
        one = some_scenarios(plan).scenarios[0]
        more = one.model_copy(
            update={"says": (one.says[0], some_scenarios(plan).scenarios[3].says[-1]), "as_in_hand": False}
        )
        page = phone_page(plan, None, Scenarios(plan=plan.code, scenarios=(more,))).decode("utf-8")
        assert "Then go by this list:" in page
        assert "other list" not in page
        assert re.search(r"Then go by this list:</p><ul><li>.*km 13.4", page)


@pytest.mark.parametrize("withheld", [(), ("grams",)])
def test_none_of_it_tells_a_weight_or_gives_a_drink_a_time(withheld: tuple[str, ...]) -> None:
    plan = a_plan(withheld=withheld)
    made = some_scenarios(plan)
    told = [
        *texts(crew_data(plan, "a4", scenarios=made)["otherwise"]),
        *texts(night_data(plan, "a4", scenarios=made)["asides"]),
        phone_page(plan, None, made)
        .decode("utf-8")
        .split("If things go otherwise")[1]
        .split("</details>")[0],
    ]
    for text in told:
        assert not WEIGHTS.search(text), text
        assert not TIMED.search(text), text


def test_scenarios_of_another_plan_are_refused_by_every_piece() -> None:
    other = some_scenarios(a_plan(time_struck=True))
    for made in (crew_data, night_data):
        with pytest.raises(ValueError, match="another plan"):
            made(with_crew(), "a4", scenarios=other)
    with pytest.raises(ValueError, match="another plan"):
        phone_page(a_plan(), None, other)


def test_only_what_a_piece_holds_is_planned_and_a_draft_plans_nothing() -> None:
    def nobody() -> object:
        raise AssertionError("nothing is planned beforehand for a draft")

    assert ahead(nobody, DEFAULT, draft=True).scenarios is None  # type: ignore[arg-type]
    assert SCENARIOS["night"] == ("late", "hotter")
    assert ahead(nobody, ("strip", "finish"), draft=False).scenarios is None  # type: ignore[arg-type]


def test_the_runner_s_strip_says_what_comes_from_the_crew() -> None:
    plan = with_crew()
    assert [one.place for one in entries(plan)] == ["km 4.6", "crew, km 9.0"]
    assert "crew" in message(plan).decode("utf-8")
    struck = a_plan(plan.case, stops=plan.race.stops, time_struck=True)
    assert [one.place for one in entries(struck)] == ["", "crew"]
