"""A later start on the page for the phone: every answer is in the page, none is worked out there."""

from __future__ import annotations

import re

import pytest
from laters import NO_PLAN_MIN, WAITS_MIN, heavier, some_delays
from plans import a_case, a_plan, cleared, some_lines
from test_pack_phone import MOST_BYTES, Read

from provand.finding import CannotWork
from provand.pack.phone import phone_page
from provand.pack.phone_later import parts, shown_when
from provand.pack.write import pack_files
from provand.plan.delays import Delays
from provand.plan.document import Plan
from provand.plan.withheld import WEIGHTS


def read(plan: Plan | None = None, later: Delays | None = None) -> Read:
    plan = plan or a_plan()
    return Read(phone_page(plan, later or some_delays(plan)))


def ids(page: Read) -> set[str]:
    return {str(attributes["id"]) for _, attributes in page.elements if "id" in attributes}


def test_every_set_of_answers_has_its_start_and_its_race_or_says_that_nothing_was_planned() -> None:
    plan, later = a_plan(), some_delays()
    found = parts(plan, later)
    asked = {(d, e, c) for d in range(1, 1 + len(WAITS_MIN)) for e in range(2) for c in range(3)}
    starts = [answers for part in found if part.kind == "start" for answers in part.answers]
    races = [answers for part in found if part.kind == "race" for answers in part.answers]
    assert sorted(starts) == sorted(asked), "each once"
    none = {(1 + WAITS_MIN.index(NO_PLAN_MIN), 1, c) for c in range(3)}
    assert sorted(races) == sorted(asked - none)


def test_answers_that_come_to_the_same_are_shown_once() -> None:
    found = parts(a_plan(), some_delays())
    races = [part for part in found if part.kind == "race"]
    assert len(races) == 4, "in hand; without a gel; without caffeine; without either"
    in_hand = [part for part in races if not part.shown]
    assert [len(part.answers) for part in in_hand] == [6]


def test_every_part_is_shown_by_a_rule_and_every_rule_shows_a_part_that_is_there() -> None:
    page = read()
    style = page.written["style"]
    shown = set(re.findall(r"#(s\d+) ", style + " ")) | set(re.findall(r"#(s\d+),", style))
    assert shown == {name for name in ids(page) if re.fullmatch(r"s\d+", name)}
    ticked = set(re.findall(r":has\(#([ecd]\d+):checked\)", style))
    assert ticked == {name for name in ids(page) if re.fullmatch(r"[ecd]\d+", name)} - {"d0"}


def test_what_was_taken_is_asked_before_how_late_it_is() -> None:
    text = read().text
    asked = [
        "What have you eaten since breakfast?",
        "Which other caffeine have you had today?",
        "How much later do you start?",
    ]
    places = [text.index(one) for one in asked]
    assert places == sorted(places)
    assert "Later still, or something else eaten? This page cannot tell. Ask Ines Halloway." in text


def test_nothing_is_ticked_beforehand_but_on_time() -> None:
    page = read()
    ticked = [a["id"] for tag, a in page.elements if tag == "input" and "checked" in a]
    assert ticked == ["d0"]
    assert all(a.get("autocomplete") == "off" for tag, a in page.elements if tag == "form")


def test_a_question_with_one_answer_is_not_asked() -> None:
    later = some_delays()
    alone = later.model_copy(
        update={
            "caffeine": ("none",),
            "carried": (),
            "starts": tuple(one for one in later.starts if one.caffeine == "none" and not one.eaten),
            "without": (),
        }
    )
    page = read(later=alone)
    assert "caffeine have you had" not in page.text
    assert "eaten since" not in page.text
    assert "One more answer" not in page.text
    assert {name[0] for name in ids(page) if re.fullmatch(r"[ecd]\d+", name)} == {"d"}
    assert ":has(#d2:checked) #s" in page.written["style"]


def test_a_start_says_whether_the_strip_still_holds() -> None:
    text = read().text
    assert "10 min later: you start at 07:44–07:48" in text
    assert "Your strip and card still hold. Only the clock has moved." in text
    assert "Your strip and card do not hold any more. Follow this page." in text
    assert "120 min later: nothing was planned" in text
    assert "Your strip and card do not hold. Ask Ines Halloway." in text


def test_where_the_times_of_the_race_are_struck_by_a_later_start_places_lead() -> None:
    later = some_delays()
    warm = later.model_copy(
        update={"starts": tuple(one.model_copy(update={"time_struck": True}) for one in later.starts)}
    )
    text = read(later=warm).text
    assert "It is warmer by then: go by places, not by times, and start slower." in text
    assert "Your strip and card still hold" not in text
    assert "4.6 km" in text


def test_delays_of_another_plan_are_refused() -> None:
    with pytest.raises(ValueError, match="later starts"):
        phone_page(a_plan(time_struck=True), some_delays())


def test_a_weight_in_a_later_race_stops_the_writing() -> None:
    with pytest.raises(CannotWork, match="40 g"):
        phone_page(a_plan(), heavier(some_delays()))


def test_with_weights_withheld_no_byte_tells_one() -> None:
    plain = tuple(line for line in some_lines(a_case())["loading"] if not WEIGHTS.search(line.says))
    plan = a_plan(withheld=("grams",), loading=plain)
    (file,) = pack_files(cleared(plan), pieces=("phone",), later=some_delays(plan))
    assert "How much later" in file.data.decode("utf-8")
    assert not WEIGHTS.search(file.data.decode("utf-8"))


def test_the_page_stays_small_and_its_bytes_repeat() -> None:
    made = phone_page(a_plan(), some_delays())
    assert made == phone_page(a_plan(), some_delays())
    assert len(made) < MOST_BYTES
    assert shown_when(a_plan(), some_delays()) in made.decode("utf-8")
