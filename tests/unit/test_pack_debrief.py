"""The debrief: everything planned to tick, packs to count, symptoms to grade; nothing is weighed."""

from __future__ import annotations

from typing import Any

import pytest
from paper import boxes, is_tagged, pages, said, words
from plans import a_case, a_plan, a_stop, a_take

from provand.pack.debrief import debrief_card, debrief_data
from provand.plan.withheld import WEIGHTS


def test_every_planned_item_stands_with_its_time_and_place() -> None:
    rows = debrief_data(a_plan(), "a4")["rows"]
    assert [(row["when"], row["text"], row["place"]) for row in rows[:3]] == [
        ("0:22", "lemon gel", "Millrace"),
        ("0:22", "mouthful of water", "Millrace"),
        ("0:39", "3 × orange chews", "km 7.9"),
    ]
    assert len(rows) == sum(len(stop.takes) for stop in a_plan().race.stops)
    assert debrief_data(a_plan(time_struck=True), "a4")["rows"][2]["when"] == "km 7.9"


def test_three_boxes_for_each_item_and_eleven_for_each_symptom() -> None:
    found = boxes(debrief_card(a_plan(), "a4"))
    items = [box for box in found if box.left_mm > 155 and 3 < box.width_mm < 5.5]
    assert len(items) == 3 * 7
    scale = [box for box in found if round(box.width_mm, 1) == 7.0]
    assert len(scale) == 11 * 5


def test_packs_left_over_are_counted() -> None:
    assert [row["text"] for row in debrief_data(a_plan(), "a4")["left"]["rows"]] == [
        *("lemon gel", "orange chews", "gel with caffeine"),
    ]
    assert "nothing is left" in said(debrief_card(a_plan(stops=()), "a4"))


def test_nothing_is_weighed_for_anybody() -> None:
    told = said(debrief_card(a_plan(), "a4")).split("Made for")[0]
    assert not WEIGHTS.search(told)
    assert not WEIGHTS.search(said(debrief_card(a_plan(withheld=("grams",)), "a4")))


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("stops_count", [0, 5, 16])
def test_it_is_one_tagged_page_that_can_be_read(paper: Any, stops_count: int) -> None:
    case = a_case()
    gel = a_take("gel", case)
    stops = tuple(a_stop(1000.0 + 1100 * n, gel, case=case) for n in range(stops_count))
    data = debrief_card(a_plan(case, stops=stops), paper)
    assert pages(data) == 1
    assert is_tagged(data)
    assert min(word.size_pt for word in words(data) if 15 < word.top_mm < 250) >= 7.2
    assert data == debrief_card(a_plan(case, stops=stops), paper)


def test_the_late_danger_sign_whom_to_send_it_to_and_the_code_stand_on_it() -> None:
    told = said(debrief_card(a_plan(), "a4"))
    assert "a bad head or being sick can still be a sign" in told
    assert "ring 000 000 000" in told
    assert a_plan().code in told
    assert a_plan().code not in said(debrief_card(a_plan(), "a4", draft=True))
