"""No answer is taken back or borrowed, and no sentence tells which answer it came from."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from answered import (
    AS_OF,
    BY_ID,
    STEADY,
    answer,
    case_of,
    health_of,
    medicine,
    said_yes,
    screened,
)
from starter_case import STARTER

from provand.case.case import Case
from provand.case.door import read_health
from provand.case.health import Health, Reply
from provand.finding import find
from provand.safety.flags import FollowUp, flags
from provand.safety.screening import Screening

STICKS = ("glucose_lowering", "pregnancy", "appetite_injection", "low_energy", "heart")


def first_yes_then_no(question: str, days: int) -> Health:
    """Return answers in which a "yes" of some days ago was followed by a "no" of today."""
    said = [answer(question, "yes", on=AS_OF - timedelta(days=days)), answer(question, "no", on=AS_OF)]
    others = [one for one in health_of().answers if one.question != question]
    return health_of().model_copy(update={"answers": (*others, *said)})


@pytest.mark.parametrize("flag_id", STICKS)
def test_a_later_no_does_not_take_back_a_yes_that_holds(flag_id: str) -> None:
    assert screened(first_yes_then_no(flag_id, 21))[0].outcome in ("hold", "refer")


@pytest.mark.parametrize("flag_id", [flag.id for flag in flags() if flag.outcome in ("hold", "refer")])
def test_only_what_asks_of_days_or_of_a_known_birth_date_passes(flag_id: str) -> None:
    passes = {"illness_now", "injury", "medicine_changed", "under_18"}
    outcome = "clear" if flag_id in passes else BY_ID[flag_id].outcome
    assert screened(first_yes_then_no(flag_id, 60))[0].outcome == outcome


@pytest.mark.parametrize(("flag_id", "days"), [("illness_now", 7), ("injury", 7), ("medicine_changed", 28)])
def test_what_asks_of_days_clears_after_those_days_and_not_before(flag_id: str, days: int) -> None:
    assert screened(first_yes_then_no(flag_id, days))[0].outcome == "hold"
    assert screened(first_yes_then_no(flag_id, days + 1))[0].outcome == "clear"


@pytest.mark.parametrize("step", BY_ID["blood_pressure"].follow_up, ids=lambda step: step.id)
def test_a_follow_up_is_not_mended_by_another_answer_of_the_same_days(step: FollowUp) -> None:
    bad: Reply = "no" if step.must_be == "yes" else "yes"
    for bad_on, good_on in ((3, 0), (0, 3), (0, 0)):
        said = [
            answer(step.id, bad, on=AS_OF - timedelta(days=bad_on)),
            answer(step.id, step.must_be, on=AS_OF - timedelta(days=good_on)),
        ]
        steady = health_of(*(one for one in STEADY if one.question != step.id))
        health = steady.model_copy(update={"answers": (*steady.answers, *said)})
        screening, reasons = screened(health)
        assert (screening.outcome, "screening.not_stable" in reasons) == ("hold", True)


def test_an_examples_answers_by_anybody_else_hold() -> None:
    health = health_of().model_copy(update={"example": True})
    case = case_of().model_copy(update={"invented": True})
    assert screened(health, case)[0].outcome == "clear"
    renamed = health.model_copy(update={"athlete": "Jo Other"})
    other = case.model_copy(update={"athlete": case.athlete.model_copy(update={"name": "Jo Other"})})
    screening, reasons = screened(renamed, other)
    assert screening.outcome == "hold"
    assert "screening.example_answers" in reasons


def of_another(health: Health, name: str) -> tuple[Health, Case]:
    """Return answers with only their head changed, and a case of that name."""
    case = case_of(name=name, born=health.born)
    return health.model_copy(update={"athlete": name}), case


@pytest.mark.parametrize("example", [True, False])
@pytest.mark.parametrize("invented", [True, False])
def test_a_starter_of_which_only_the_head_was_changed_holds(*, example: bool, invented: bool) -> None:
    starter = read_health(STARTER)
    assert starter is not None
    health, case = of_another(starter.model_copy(update={"example": example}), "Kim Other")
    screening, reasons = screened(health, case.model_copy(update={"invented": invented}))
    assert screening.outcome == "hold"
    assert reasons == {"screening.example_answers" if example else "screening.by_another"}


def test_one_answer_or_medicine_by_another_holds() -> None:
    for spoilt in (
        health_of(answer("injury", "no", by="Otto Other")),
        health_of(answer("anti_inflammatory", "yes"), medicines=[medicine("ibuprofen", by="Otto Other")]),
    ):
        screening, reasons = screened(spoilt)
        assert screening.outcome == "hold"
        assert "screening.by_another" in reasons
    assert screened(health_of(answer("injury", "no", by="  ines INVENTADA")))[0].outcome == "clear"


def test_every_plan_is_told_that_thirst_leads() -> None:
    for flag in BY_ID.values():
        if flag.id != "medicines":
            assert find("safety.thirst_leads") in screened(*said_yes(flag))[0].findings


def test_the_sentences_of_a_note_on_health_do_not_tell_which() -> None:
    notes = [flag for flag in flags() if flag.outcome == "note" and flag.id != "food_exclusion"]
    assert len(notes) == 6
    first, *others = (screened(*said_yes(flag))[0].findings for flag in notes)
    assert all(told == first for told in others)


# What may not stay in people's hands under newer answers.


def screening_with(**changed: Any) -> Screening:
    return screened(health_of())[0].model_copy(update=changed)


@pytest.mark.parametrize(
    "changed",
    [
        {"outcome": "hold"},
        {"outcome": "refer"},
        {"withheld": ("caffeine",)},
        {"fluid_care": "half"},
        {"sodium_line_mmol_per_l": 137.0},
        {"caffeine_day_most_mg": 200.0},
        {"minor": True},
        {"findings": (find("safety.thirst_leads"), find("safety.keep_usual"))},
    ],
    ids=str,
)
def test_a_screening_is_stricter_in_each_way_and_never_than_itself(changed: dict[str, Any]) -> None:
    usual, careful = screening_with(), screening_with(**changed)
    assert careful.stricter_than(usual)
    assert not usual.stricter_than(careful)
    assert not usual.stricter_than(usual)
    assert careful.stricter_than(careful) == (not careful.may_issue)


def test_one_part_freed_does_not_make_up_for_another_withheld() -> None:
    before, after = screening_with(withheld=("caffeine", "sodium")), screening_with(withheld=("fructose",))
    assert after.stricter_than(before)
    assert before.stricter_than(after)
    assert not screening_with(withheld=("sodium",)).stricter_than(before)
