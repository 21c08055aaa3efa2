"""The safety and finish card: no forced drinking, the signs of the safety page, sizes measured on paper."""

from __future__ import annotations

import re
from typing import Any

import pytest
from paper import boxes, is_tagged, pages, said, words
from plans import a_plan, cleared

from provand.finding import CannotWork
from provand.pack.after import finish_card, finish_data
from provand.pack.pieces import DEFAULT
from provand.pack.write import pack_files
from provand.plan.document import Line, Plan
from provand.safety.page import safety_sentences

LONG = "The next session is near: 60 to 70 g of carbohydrate an hour for four hours, in what you like. "
THREE = tuple(
    Line(title=f"After {n} hours", says=LONG + "Drink as thirst asks; water does it.") for n in (1, 2, 3)
)


def test_the_default_pack_is_home_night_strip_and_finish() -> None:
    assert DEFAULT == ("home", "night", "strip", "finish")


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("plan", [a_plan(), a_plan(recovery=THREE)], ids=["usual", "long"])
def test_it_is_one_tagged_sheet_with_a_card_of_its_size_and_letters_of_nine_points(
    plan: Plan, paper: Any
) -> None:
    data = finish_card(plan, paper)
    assert pages(data) == 1
    assert is_tagged(data)
    found = [(round(box.width_mm, 1), round(box.height_mm, 1)) for box in boxes(data)]
    assert (180.0, 70.0) in found
    assert (100.0, 2.0) in found
    inside = [word for word in words(data) if 12 < word.top_mm < 250]
    assert min(word.size_pt for word in inside) >= 8.99
    assert data == finish_card(plan, paper)


def test_no_word_runs_out_of_the_card() -> None:
    for plan in (a_plan(), a_plan(recovery=THREE)):
        data = finish_card(plan, "a4")
        card = next(box for box in boxes(data) if round(box.width_mm) == 180)
        for word in words(data):
            if card.top_mm < word.top_mm < card.top_mm + card.height_mm:
                assert word.top_mm + word.height_mm <= card.top_mm + card.height_mm - 1
                assert word.left_mm + word.width_mm <= card.left_mm + card.width_mm


def test_what_comes_after_is_the_plan_s_and_stands_on_both_halves() -> None:
    told = said(finish_card(a_plan(), "a4"))
    for entry in a_plan().recovery:
        assert told.count(entry.title) == 2
        assert told.count(entry.says.split(".")[0]) == 2


def test_the_signs_are_those_of_the_safety_page_to_the_letter() -> None:
    told = said(finish_card(a_plan(), "a4"))
    for section in safety_sentences()[1:3]:
        assert told.count(section.title) == 2
        for line in section.says:
            assert told.count(line) == 2, line
    assert "112 works in many countries" in told
    assert told.count("Emergency number here") == 2


def test_nothing_on_it_orders_a_drink_or_gives_it_a_time() -> None:
    told = said(finish_card(a_plan(), "a4"))
    assert "Drink when you are thirsty. Do not drink more than that." in told
    assert not re.search(r"\d+\s*(?:ml|litres?)\b|must drink|drink at least|\d\d:\d\d", told)


def test_who_made_it_and_the_code_stand_on_both_sides_of_the_card_and_a_draft_has_none() -> None:
    told = said(finish_card(a_plan(), "a4"))
    assert told.count(a_plan().code) == 4
    assert "ring 000 000 000" in told
    draft = said(finish_card(a_plan(), "a4", draft=True))
    assert a_plan().code not in draft


def test_times_are_no_part_of_it_when_they_are_struck() -> None:
    assert not re.search(r"\d:\d\d", str(finish_data(a_plan(time_struck=True), "a4")["after"]))


def test_with_weights_withheld_a_weight_stops_the_writing() -> None:
    plan = a_plan(withheld=("grams",))
    assert finish_card(plan, "a4")
    with pytest.raises(CannotWork, match="g"):
        finish_card(plan.model_copy(update={"recovery": THREE}), "a4")


def test_it_is_in_the_pack_and_the_safety_page_stays_a_piece_of_its_own() -> None:
    names = [file.name for file in pack_files(cleared(), pieces=("finish", "safety"))]
    assert names == ["finish.pdf", "safety.pdf"]


def test_a_line_with_signs_of_its_own_is_printed_as_it_stands() -> None:
    plan = a_plan(recovery=(Line(title="After {the} race", says="Eat {what} you like."),))
    assert said(finish_card(plan, "a4")).count("After {the} race Eat {what} you like.") == 2
