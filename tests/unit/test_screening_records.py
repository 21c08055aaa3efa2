"""Unknown medicines, what is not said, scores, tests, choices, consent; and what asking again mends."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

import pytest
from answered import (
    ANSWERED_ON,
    AS_OF,
    BORN,
    BY_ID,
    NAME,
    STEADY,
    answer,
    case_of,
    health_of,
    medicine,
    said_yes,
    screened,
)
from replied import (
    also,
    cleared,
    codes_of,
    days,
    letter,
    release,
    reply,
    with_records,
)

from provand.case.case import Case
from provand.case.health import (
    Answer,
    Assent,
    Health,
    Medicine,
    PortionsChoice,
    Score,
    SodiumTest,
)
from provand.finding import find
from provand.safety.flags import flags

# Unknown medicines, and what is not said.


def test_an_unknown_medicine_is_lifted_by_a_named_hand_or_a_reply() -> None:
    health = health_of(medicines=[medicine("Vitamin D 1000 IU")])
    assert codes_of(health)[0] == "hold"
    for records in ({"releases": (release("vitamin d"),)}, {"replies": (reply("Vitamin D"),)}):
        assert codes_of(with_records(health, **records))[0] == "clear"
    assert codes_of(with_records(health, releases=(release("vitamin c"),)))[0] == "hold"


def test_an_unknown_medicine_that_may_be_a_known_one_is_lifted_by_no_hand() -> None:
    health = health_of(medicines=[medicine("gliclazid")])
    assert codes_of(with_records(health, releases=(release("gliclazid"),)))[0] == "hold"


@pytest.mark.parametrize("flag_id", [one.id for one in flags() if one.id != "under_18"])
def test_prefer_not_to_say_is_lifted_as_a_yes_would_be_and_then_acts_as_one(flag_id: str) -> None:
    flag = BY_ID[flag_id]
    unsaid = health_of(answer(flag_id, "prefer not to say"), answer("medicines", "no"))
    if flag_id == "medicines":
        unsaid = health_of(answer(flag_id, "prefer not to say"))
    assert codes_of(unsaid)[0] == "hold"
    replied = with_records(unsaid, letters=(letter(flag_id),), replies=(reply(flag_id),))
    if not flag.asked_after:
        screening = screened(replied)[0]
        assert screening.may_issue
        assert screening.withheld == flag.withheld
        assert screening.fluid_care == flag.fluid_care
    by_hand = codes_of(with_records(unsaid, releases=(release(flag_id),)))[0]
    may = not flag.holds and flag_id != "medicines"
    named = flag_id == "medicine_changed"
    assert (by_hand != "hold") == ((may or "hand" in flag.lifted_by) and not named)


# Records are mended by asking again, never by a release.


def spoilt(**fields: Any) -> Health:
    entry = answer("kidney", "no").model_dump() | fields
    rest = [one for one in health_of().answers if one.question != "kidney"]
    return health_of().model_copy(update={"answers": (*rest, Answer(**entry))})


@pytest.mark.parametrize(
    "fields",
    [
        {"by": ""},
        {"on": None},
        {"by": "Otto Other"},
        {"on": AS_OF + timedelta(days=5)},
        {"on": AS_OF - timedelta(days=85)},
    ],
    ids=str,
)
def test_a_record_that_does_not_count_is_mended_by_asking_again_and_by_nothing_else(
    fields: dict[str, Any],
) -> None:
    health = spoilt(**fields)
    assert codes_of(health)[0] == "hold"
    lifted = with_records(health, releases=(release("kidney"),), replies=(reply("kidney"),))
    assert codes_of(lifted)[0] == "hold"
    assert codes_of(also(health, answer("kidney", "no")))[0] == "clear"
    assert codes_of(also(spoilt(**fields, reply="yes"), answer("kidney", "no")))[0] == "refer"


def test_a_missing_answer_is_mended_by_no_release_and_no_reply() -> None:
    health = health_of(left_out="kidney")
    lifted = with_records(health, releases=(release("kidney"),), replies=(reply("kidney"),))
    assert codes_of(lifted)[0] == "hold"


# Blood pressure, scores, sodium in blood, portions.


def test_blood_pressure_that_is_not_steady_is_lifted_by_a_reply_and_by_no_hand() -> None:
    shaky = [answer("blood_pressure_steady", "no") if "steady" in one.question else one for one in STEADY]
    health = health_of(*shaky)
    assert codes_of(health)[0] == "hold"
    assert codes_of(with_records(health, releases=(release("blood_pressure"),)))[0] == "hold"
    screening, _ = screened(with_records(health, replies=(reply("blood_pressure"),)))
    assert (screening.outcome, screening.withheld) == ("withheld", ("caffeine", "sodium"))


def test_a_reply_that_clears_gives_back_no_part_that_a_row_withholds() -> None:
    health = with_records(health_of(*STEADY), replies=(reply("blood_pressure"),))
    assert screened(health)[0].withheld == ("caffeine", "sodium")


def score(value: float, **changed: Any) -> Score:
    said: dict[str, Any] = {"questionnaire": "Invented Scale", "cut_off": 20, "by": "Pia", "on": ANSWERED_ON}
    return Score(value=value, **(said | changed))


def test_a_score_at_or_over_its_cut_off_refers_and_leaves_portions_only() -> None:
    outcomes = {
        value: codes_of(with_records(health_of(), scores=(score(value),)))[0] for value in (19, 20, 21)
    }
    assert outcomes == {19: "clear", 20: "refer", 21: "refer"}
    health = with_records(
        health_of(),
        scores=(score(25),),
        letters=(letter("eating_score"),),
        replies=(reply("eating_score"),),
    )
    screening = screened(health)[0]
    assert (screening.outcome, screening.portions_only) == ("withheld", True)
    low_later = with_records(health_of(), scores=(score(25), score(2, on=days(3))))
    assert codes_of(low_later)[0] == "refer"
    again = with_records(health, scores=(score(25), score(25, on=days(4))))
    assert codes_of(again)[0] == "refer"


def sodium(mmol_per_l: float, on: date | None = None) -> SodiumTest:
    return SodiumTest(serum_sodium_mmol_per_l=mmol_per_l, by="Invented Laboratory", on=on or days(1))


@pytest.mark.parametrize(
    ("test", "line"),
    [
        ((), 137),
        ((sodium(139),), 139),
        ((sodium(143),), 140),
        ((sodium(136),), 136),
        ((sodium(139, on=date(2024, 4, 30)),), 137),
        ((sodium(139, on=AS_OF + timedelta(days=1)),), 137),
        ((sodium(139, on=AS_OF - timedelta(days=85)),), 137),
        ((sodium(136, on=AS_OF - timedelta(days=85)),), 136),
        ((sodium(143), sodium(138, on=days(2))), 138),
    ],
)
def test_the_sodium_line_stays_low_until_a_test_after_the_last_change_counts(
    test: Iterable[SodiumTest], line: float
) -> None:
    health = with_records(health_of(medicines=[medicine("sertraline")]), sodium_tests=tuple(test))
    screening, _ = screened(health)
    assert screening.sodium_line_mmol_per_l == line
    assert screening.fluid_care == "half"


def test_sodium_below_its_limit_refers() -> None:
    for mmol_per_l, outcome in ((134.9, "refer"), (135, "clear")):
        assert codes_of(with_records(health_of(), sodium_tests=(sodium(mmol_per_l),)))[0] == outcome


def test_anybody_may_choose_portions_only_and_take_it_back() -> None:
    def withheld(*choices: PortionsChoice, health: Health | None = None) -> tuple[str, ...]:
        return screened(with_records(health or health_of(), portions=choices))[0].withheld

    only = PortionsChoice(portions_only=True, by=NAME, on=days(1))
    back = PortionsChoice(portions_only=False, by=NAME, on=days(2))
    assert withheld(only) == ("grams",)
    assert withheld(only, back) == ()
    assert withheld(only, back.model_copy(update={"on": days(1)})) == ("grams",)
    assert withheld(only.model_copy(update={"on": AS_OF + timedelta(days=1)})) == ("grams",)
    health, _ = cleared("eating_disorder")
    assert withheld(back, health=health) == ("grams",)


def test_pregnancy_once_cleared_caps_the_caffeine_of_a_day() -> None:
    assert screened(health_of())[0].caffeine_day_most_mg is None
    screening, _ = screened(*cleared("pregnancy"))
    assert (screening.outcome, screening.caffeine_day_most_mg) == ("note", 200)


def test_two_people_cleared_of_different_things_cannot_be_told_apart() -> None:
    seen = [screened(*cleared(flag_id))[0] for flag_id in ("kidney", "heart", "injury", "glucose_lowering")]
    assert all(one == seen[0] for one in seen)
    assert screened(*said_yes(BY_ID["diabetes"]))[0] == seen[0]


# Under 18, and coming of age.

YOUNG = date(2010, 6, 1)


def young(*assents: Assent, born: date = YOUNG) -> tuple[Health, Case]:
    return with_records(health_of(born=born), assents=assents), case_of(born=born)


def assent(who: Any, by: str = "", on: date = ANSWERED_ON) -> Assent:
    return Assent(who=who, by=by or (NAME if who == "athlete" else "Gil Guardian"), on=on)


def test_a_minor_needs_a_guardian_and_the_own_consent() -> None:
    both = (assent("guardian"), assent("athlete"))
    for some in ((), both[:1], both[1:]):
        screening, codes = screened(*young(*some))
        assert (screening.outcome, "screening.consent_missing" in codes) == ("hold", True)
    screening, _ = screened(*young(*both))
    assert (screening.outcome, screening.withheld, screening.minor) == ("withheld", ("loading",), True)
    assert find("safety.usual_meals") in screening.findings


@pytest.mark.parametrize(
    "bad",
    [
        assent("athlete", by="Gil Guardian"),
        assent("athlete", on=AS_OF + timedelta(days=1)),
        assent("athlete", on=AS_OF - timedelta(days=85)),
    ],
)
def test_a_consent_by_another_or_of_another_time_does_not_count(bad: Assent) -> None:
    assert screened(*young(assent("guardian"), bad))[0].outcome == "hold"


def test_no_release_and_no_reply_stands_for_a_minors_consent() -> None:
    health, case = young()
    lifted = with_records(health, releases=(release("under_18"),), replies=(reply("under_18"),))
    assert codes_of(lifted, case)[0] == "hold"


def test_at_18_the_athlete_consents_anew() -> None:
    born = date(2008, 11, 23)
    health, case = young(assent("guardian"), assent("athlete"), born=born)
    outcome, codes = codes_of(health, case)
    assert (outcome, codes) == ("hold", {"screening.consent_at_18"})
    anew = with_records(health, assents=(*health.assents, assent("athlete", on=date(2008 + 18, 11, 23))))
    assert codes_of(anew, case)[0] == "clear"
    guardian = with_records(health, assents=(*health.assents, assent("guardian", on=days(4))))
    assert codes_of(guardian, case)[0] == "hold"


def test_the_birth_date_makes_the_question_of_age_needless() -> None:
    assert codes_of(health_of(left_out="under_18"))[0] == "clear"
    without = health_of(left_out="under_18", born=None)
    assert "screening.unanswered" in codes_of(without, case_of(born=None))[1]
    assert BORN < YOUNG


# Questions asked only after another.


@pytest.mark.parametrize("flag_id", [flag.id for flag in flags() if flag.asked_after])
def test_a_question_after_medicines_is_asked_unless_there_are_none(flag_id: str) -> None:
    assert codes_of(health_of(left_out=flag_id))[0] == "clear"
    listed = health_of(medicines=[medicine("metformin")], left_out=flag_id)
    assert "screening.unanswered" in codes_of(listed)[1]
    unsaid = health_of(answer("medicines", "prefer not to say"), left_out=flag_id)
    assert "screening.unanswered" in codes_of(unsaid)[1]


# Medicines over time.


def test_a_stopped_medicine_counts_for_four_weeks_and_one_that_holds_without_end() -> None:
    def outcome(name: str, stopped: date) -> str:
        entries = [medicine(name), medicine(name).model_copy(update={"stopped": stopped})]
        return codes_of(health_of(answer("medicines", "no"), medicines=entries))[0]

    assert outcome("ibuprofen", AS_OF - timedelta(days=27)) == "note"
    assert outcome("ibuprofen", AS_OF - timedelta(days=28)) == "clear"
    assert outcome("gliclazide", AS_OF - timedelta(days=400)) == "hold"
    assert outcome("ibuprofen", AS_OF + timedelta(days=1)) == "hold"


def test_a_medicine_taken_again_counts_as_taken() -> None:
    entries = [
        medicine("ibuprofen").model_copy(update={"stopped": date(2026, 1, 1)}),
        Medicine(name="Ibuprofen 200 mg", since=days(-60), by=NAME, on=days(1)),
    ]
    assert screened(health_of(answer("anti_inflammatory", "yes"), medicines=entries))[0].fluid_care == "half"


def test_a_record_about_nothing_known_is_told() -> None:
    health = with_records(health_of(), releases=(release("hart"),))
    assert codes_of(health) == ("clear", {"screening.unknown_about"})
