"""What lifts a hold: a reply about it, after its letter and in its time; a named hand; consent; time."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from answered import (
    AS_OF,
    BY_ID,
    NAME,
    answer,
    case_of,
    health_of,
    medicine,
    said_yes,
    screened,
)
from replied import (
    BY_HAND,
    HOLDING,
    NEVER_BY_HAND,
    also,
    cleared,
    codes_of,
    days,
    letter,
    release,
    reply,
    with_records,
    yes_to,
)

from provand.case.case import Case
from provand.case.health import (
    ClinicianReply,
    Health,
    Medicine,
    Part,
)
from provand.finding import find
from provand.safety.flags import flags
from provand.safety.screening import screen

# A clinician's reply.


@pytest.mark.parametrize("flag_id", HOLDING)
def test_a_reply_that_clears_lifts_the_hold_and_leaves_the_parts_of_the_row(flag_id: str) -> None:
    health, case = yes_to(flag_id)
    assert screened(health, case)[0].outcome == BY_ID[flag_id].outcome
    lifted, case = cleared(flag_id)
    screening, codes = screened(lifted, case)
    assert screening.outcome == ("withheld" if BY_ID[flag_id].withheld else "note")
    assert screening.withheld == BY_ID[flag_id].withheld
    assert "screening.cleared" in codes
    assert not codes & {"screening.flag_hold", "screening.flag_refer"}


@pytest.mark.parametrize("flag_id", HOLDING)
@pytest.mark.parametrize("says", ["not cleared", "none"])
def test_a_reply_that_does_not_clear_leaves_the_hold(flag_id: str, says: str) -> None:
    health, case = cleared(flag_id, says=says)
    outcome, codes = codes_of(health, case)
    assert outcome == BY_ID[flag_id].outcome
    assert ("screening.not_cleared" in codes) == (says == "not cleared")
    assert ("screening.no_reply" in codes) == (says == "none")


@pytest.mark.parametrize("flag_id", HOLDING)
def test_a_reply_counts_only_for_what_it_is_about(flag_id: str) -> None:
    health, case = yes_to(flag_id)
    other = "kidney" if flag_id != "kidney" else "heart"
    elsewhere = with_records(health, letters=(letter(other, flag_id),), replies=(reply(other),))
    assert codes_of(elsewhere, case)[0] == BY_ID[flag_id].outcome


@pytest.mark.parametrize("flag_id", [flag.id for flag in flags() if flag.outcome == "refer"])
def test_a_refer_is_lifted_by_no_reply_without_its_letter(flag_id: str) -> None:
    health, case = yes_to(flag_id)
    unasked = with_records(health, replies=(reply(flag_id),))
    outcome, codes = codes_of(unasked, case)
    assert (outcome, "screening.reply_void" in codes) == ("refer", True)
    late = with_records(unasked, letters=(letter(flag_id, on=days(3)),))
    assert codes_of(late, case)[0] == "refer"


@pytest.mark.parametrize("flag_id", [flag.id for flag in flags() if flag.outcome == "hold" and flag.letter])
def test_a_hold_is_lifted_by_a_reply_that_nobody_wrote_for(flag_id: str) -> None:
    health, case = yes_to(flag_id)
    assert codes_of(with_records(health, replies=(reply(flag_id),)), case)[0] == "note"


def test_a_reply_dated_ahead_counts_from_its_day_on() -> None:
    health, case = cleared("heart", on=AS_OF + timedelta(days=1))
    outcome, codes = codes_of(health, case)
    assert (outcome, "screening.not_yet" in codes) == ("refer", True)
    assert codes_of(health, case, AS_OF + timedelta(days=1))[0] == "note"


def test_a_reply_counts_for_twelve_weeks_or_until_the_day_it_says() -> None:
    def outcome(as_of: date, **changed: Any) -> str:
        health, _ = cleared("heart", **changed)
        fresh = [answer(one.question, one.reply, on=as_of) for one in health.answers]
        asked = health.model_copy(update={"answers": (*health.answers, *fresh)})
        far = case_of(race_on=days(300))
        return screened(asked, far, as_of)[0].outcome

    assert outcome(days(2 + 84)) == "note"
    assert outcome(days(2 + 85)) == "refer"
    assert outcome(days(9), until=days(9)) == "note"
    assert outcome(days(10), until=days(9)) == "refer"
    assert outcome(days(200), until=days(250)) == "note"


def test_the_latest_reply_decides_and_of_one_day_the_gravest() -> None:
    health, case = yes_to("heart")
    sent = letter("heart")

    def outcome(*replies: ClinicianReply) -> str:
        return codes_of(with_records(health, letters=(sent,), replies=replies), case)[0]

    no, yes, later = reply("heart", says="not cleared"), reply("heart"), days(4)
    assert outcome(no, reply("heart", on=later)) == "note"
    assert outcome(yes, reply("heart", says="not cleared", on=later)) == "refer"
    assert outcome(reply("heart", on=later), no) == "note"
    assert outcome(no, yes) == outcome(yes, no) == "refer"
    assert outcome(yes, reply("heart", says="none", on=later)) == "refer"


def test_what_a_clinician_did_not_clear_holds_though_every_answer_is_no() -> None:
    health = with_records(health_of(), replies=(reply("heart", says="not cleared"),))
    assert codes_of(health) == ("hold", {"screening.not_cleared"})
    ahead = with_records(
        health_of(), replies=(reply("heart", says="not cleared", on=AS_OF + timedelta(days=9)),)
    )
    assert codes_of(ahead)[0] == "hold"


# Limits.


def limited(*parts: Part, **changed: Any) -> tuple[Health, Case]:
    return cleared("heart", says="cleared with limits", limits=parts, **changed)


def test_the_limits_of_a_reply_are_withheld() -> None:
    health, case = limited("caffeine", "fluid")
    screening, codes = screened(health, case)
    assert (screening.outcome, screening.withheld) == ("withheld", ("caffeine", "fluid"))
    assert "screening.limit" in codes
    assert find("safety.keep_usual") in screening.findings


def test_limits_outlive_the_reply_and_the_hold() -> None:
    health, _ = limited("caffeine", until=days(9))
    later = days(200)
    fresh = also(health, *(answer(flag.id, "no", on=later) for flag in flags()))
    screening, _ = screened(fresh, case_of(race_on=days(300)), later)
    assert (screening.outcome, screening.withheld) == ("refer", ("caffeine",))
    gone = with_records(health_of(), replies=health.replies, letters=health.letters)
    assert screened(gone)[0].withheld == ("caffeine",)


def test_limits_end_with_a_later_reply_that_clears_and_with_no_other() -> None:
    health, case = limited("caffeine")

    def withheld(*later: ClinicianReply) -> tuple[str, ...]:
        return screened(with_records(health, replies=(*health.replies, *later)), case)[0].withheld

    day = days(4)
    assert withheld(reply("heart", on=day)) == ()
    assert withheld(reply("heart", says="cleared with limits", limits=("sodium",), on=day)) == ("sodium",)
    assert withheld(reply("heart", says="none", on=day)) == ("caffeine",)
    assert withheld(reply("heart", says="not cleared", on=day)) == ("caffeine",)
    assert withheld(reply("kidney", on=day)) == ("caffeine",)
    assert withheld(reply("heart", on=AS_OF + timedelta(days=1))) == ("caffeine",)
    assert withheld(reply("heart")) == ("caffeine",)


def test_a_limit_about_two_things_stays_until_both_are_cleared() -> None:
    health, case = said_yes(BY_ID["heart"])
    both = reply("heart", "kidney", says="cleared with limits", limits=("sodium",))
    records = with_records(health, letters=(letter("heart", "kidney"),), replies=(both,))
    one = with_records(records, replies=(both, reply("heart", on=days(3))))
    assert screened(one, case)[0].withheld == ("sodium",)
    two = with_records(records, replies=(*one.replies, reply("kidney", on=days(3))))
    assert screened(two, case)[0].withheld == ()


# Something new after a reply.


@pytest.mark.parametrize("flag_id", [flag_id for flag_id in HOLDING if BY_ID[flag_id].new_fact])
def test_a_newer_yes_of_what_can_happen_again_is_a_new_hold(flag_id: str) -> None:
    health, case = cleared(flag_id)
    again = also(health, answer(flag_id, "yes", on=days(3)))
    outcome, codes = codes_of(again, case)
    assert (outcome, "screening.reply_void" in codes) == (BY_ID[flag_id].outcome, True)
    same_day = also(health, answer(flag_id, "yes", on=days(2)))
    assert codes_of(same_day, case)[0] == "note"


@pytest.mark.parametrize("flag_id", [flag_id for flag_id in HOLDING if not BY_ID[flag_id].new_fact])
def test_the_same_standing_yes_asked_again_is_no_new_fact(flag_id: str) -> None:
    health, case = cleared(flag_id)
    again = also(health, answer(flag_id, "yes", on=days(4)))
    assert codes_of(again, case)[0] in ("note", "withheld")


@pytest.mark.parametrize("flag_id", ["pregnancy", "kidney"])
def test_a_yes_after_a_no_is_a_new_fact(flag_id: str) -> None:
    health, case = cleared(flag_id)
    came_back = also(health, answer(flag_id, "no", on=days(3)), answer(flag_id, "yes", on=days(4)))
    assert codes_of(came_back, case)[0] == BY_ID[flag_id].outcome


def test_a_reply_older_than_the_first_yes_does_not_count() -> None:
    health, case = cleared("pregnancy", on=days(-1))
    early = with_records(health, letters=())
    assert codes_of(early, case)[0] == "hold"


SUGAR = (answer("glucose_lowering", "yes"), answer("diabetes", "no"))


@pytest.mark.parametrize(
    ("added", "outcome"),
    [
        ([], "note"),
        ([Medicine(name="gliclazide", since=date(2024, 5, 1), by=NAME, on=days(4))], "note"),
        ([Medicine(name="gliclazide 60 mg", since=days(3), by=NAME, on=days(4))], "hold"),
        ([Medicine(name="insulin glargine", since=days(3), by=NAME, on=days(4))], "hold"),
        ([Medicine(name="insulin glargine", since=date(2020, 1, 1), by=NAME, on=days(4))], "hold"),
    ],
    ids=["none", "listed again", "changed", "another", "another, untold before"],
)
def test_a_medicine_new_since_the_reply_holds_anew(added: list[Medicine], outcome: str) -> None:
    health = health_of(*SUGAR, medicines=[medicine("gliclazide"), *added])
    health = with_records(health, replies=(reply("glucose_lowering"),))
    assert codes_of(health)[0] == outcome


# Releases by hand.


@pytest.mark.parametrize("flag_id", BY_HAND)
def test_a_named_release_lifts_what_a_hand_may_lift(flag_id: str) -> None:
    health, case = yes_to(flag_id)
    outcome, codes = codes_of(with_records(health, releases=(release(flag_id),)), case)
    assert (outcome, "screening.released" in codes) == ("note", True)


@pytest.mark.parametrize("flag_id", NEVER_BY_HAND)
def test_what_no_hand_may_lift_stays_and_says_why(flag_id: str) -> None:
    health, case = yes_to(flag_id)
    _, reasons = screen(case, with_records(health, releases=(release(flag_id),)), as_of=AS_OF)
    (told,) = (reason for reason in reasons if reason.code == "screening.release_void")
    assert BY_ID[flag_id].never_by_hand in told.sentence
    assert screen(case, with_records(health, releases=(release(flag_id),)), as_of=AS_OF)[0].outcome == (
        BY_ID[flag_id].outcome
    )


def test_what_no_hand_may_ever_lift_is_the_list_of_the_trade() -> None:
    assert {flag.id for flag in flags() if flag.outcome == "refer"} <= set(NEVER_BY_HAND)
    assert set(NEVER_BY_HAND) >= {"glucose_lowering", "chest_or_fainting", "pregnancy"}
    assert set(BY_HAND) == {"appetite_injection", "illness_now", "medicine_changed", "injury", "other"}
    assert BY_ID["illness_now"].not_by_hand_in_race_week


@pytest.mark.parametrize("flag_id", BY_HAND)
def test_an_assistants_release_lifts_nothing_and_says_so(flag_id: str) -> None:
    health, case = yes_to(flag_id)
    by_assistant = with_records(health, releases=(release(flag_id, role="assistant"),))
    outcome, codes = codes_of(by_assistant, case)
    assert (outcome, "screening.assistant" in codes) == ("hold", True)
    both = with_records(health, releases=(release(flag_id), release(flag_id, role="assistant", on=days(3))))
    assert codes_of(both, case)[0] == "note"


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"on": AS_OF + timedelta(days=1)}, "screening.not_yet"),
        ({"on": days(-1)}, "screening.release_void"),
        ({"about": "other"}, ""),
    ],
)
def test_a_release_counts_for_its_hold_from_its_day_on(changed: dict[str, Any], why: str) -> None:
    health, case = yes_to("injury")
    outcome, codes = codes_of(
        with_records(health, releases=(release(**({"about": "injury"} | changed)),)), case
    )
    assert outcome == "hold"
    assert not why or why in codes


def test_a_release_counts_for_twelve_weeks() -> None:
    def outcome(as_of: date) -> str:
        fresh = [answer(flag.id, "no", on=as_of) for flag in flags() if flag.id != "other"]
        health = also(health_of(answer("other", "yes")), *fresh, answer("other", "yes", on=as_of))
        released = with_records(health, releases=(release("other"),))
        return screened(released, case_of(race_on=days(300)), as_of)[0].outcome

    assert (outcome(days(2 + 84)), outcome(days(2 + 85))) == ("note", "hold")


def test_a_newer_injury_is_not_covered_by_an_old_release() -> None:
    health = also(health_of(answer("injury", "yes")), answer("injury", "yes", on=days(4)))
    assert codes_of(with_records(health, releases=(release("injury"),)))[0] == "hold"


def test_no_hand_lifts_what_a_clinician_did_not_clear() -> None:
    health, case = yes_to("injury")
    refused = with_records(
        health, replies=(reply("injury", says="not cleared"),), releases=(release("injury", on=days(4)),)
    )
    assert codes_of(refused, case)[0] == "hold"


def test_illness_is_released_by_no_hand_in_race_week() -> None:
    race_on = AS_OF + timedelta(days=7)
    again = [answer(flag.id, "no", on=AS_OF) for flag in flags() if flag.race_week]
    ill = [*(one for one in again if one.question != "illness_now"), answer("illness_now", "yes", on=AS_OF)]
    health = with_records(health_of(*ill), releases=(release("illness_now", on=AS_OF),))
    assert codes_of(health, case_of(race_on=race_on))[0] == "hold"
    assert codes_of(health, case_of(race_on=race_on + timedelta(days=1)))[0] == "note"


def test_without_a_reply_three_days_before_the_race_no_hand_lifts_anything() -> None:
    def outcome(days_left: int, **records: Any) -> str:
        again = [answer(flag.id, "no", on=AS_OF) for flag in flags() if flag.race_week]
        health = health_of(*again, answer("other", "yes"))
        released = with_records(health, releases=(release("other"),), **records)
        return codes_of(released, case_of(race_on=AS_OF + timedelta(days=days_left)))[0]

    none = (reply("other", says="none", on=days(1)),)
    assert outcome(4, replies=none) == "note"
    assert outcome(3, replies=none) == "hold"
    assert outcome(4, letters=(letter("other"),)) == "note"
    assert outcome(3, letters=(letter("other"),)) == "hold"
    assert outcome(3) == "note"


def test_a_changed_medicine_is_released_only_where_it_is_named() -> None:
    health = with_records(
        health_of(answer("medicine_changed", "yes")), releases=(release("medicine_changed"),)
    )
    outcome, codes = codes_of(health)
    assert (outcome, "screening.release_void" in codes) == ("hold", True)


def test_a_low_sodium_medicine_of_the_last_four_weeks_is_lifted_by_no_hand_but_by_a_reply() -> None:
    health = health_of(medicines=[medicine("sertraline", since=days(-10))])
    for about in ("low_sodium_medicine", "sertraline", "medicine_changed"):
        assert codes_of(with_records(health, releases=(release(about),)))[0] == "hold"
    assert codes_of(with_records(health, replies=(reply("low_sodium_medicine"),)))[0] == "note"
    before = with_records(health, replies=(reply("low_sodium_medicine", on=days(-11)),))
    assert codes_of(before)[0] == "hold"
