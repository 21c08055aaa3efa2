"""Every row is asked; what is missing, doubtful or unknown is a hold; no answer leaves the screening."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from answered import (
    ANSWERED_ON,
    AS_OF,
    BORN,
    BY_ID,
    MEDICINE_FOR,
    NAME,
    STEADY,
    answer,
    case_of,
    health_of,
    medicine,
    said_yes,
    screened,
)

from provand.card import sources
from provand.case.case import Case
from provand.case.health import Answer, Health, Medicine, SodiumTest
from provand.case.when import age_years
from provand.finding import catalogue, find
from provand.safety.flags import Flag, FollowUp, Outcome, flags
from provand.safety.medicines import MedicineClass, match, medicine_classes, words_of
from provand.safety.screening import Screening, binds, screen

ROWS: dict[str, tuple[Outcome, tuple[str, ...]]] = {
    "glucose_lowering": ("hold", ()),
    "diabetes": ("note", ()),
    "appetite_injection": ("hold", ()),
    "blood_pressure": ("withheld", ("caffeine", "sodium")),
    "heart": ("refer", ()),
    "chest_or_fainting": ("refer", ()),
    "kidney": ("refer", ()),
    "adrenal": ("refer", ()),
    "cystic_fibrosis": ("refer", ()),
    "stomach_or_bowel": ("refer", ()),
    "fructose_intolerance": ("refer", ("fructose",)),
    "pregnancy": ("hold", ()),
    "eating_disorder": ("refer", ("grams",)),
    "eating_score": ("refer", ("grams",)),
    "low_energy": ("refer", ()),
    "under_18": ("hold", ("loading",)),
    "food_exclusion": ("note", ()),
    "low_sodium_medicine": ("note", ()),
    "slow_caffeine_medicine": ("withheld", ("caffeine",)),
    "lithium": ("withheld", ("caffeine", "sodium")),
    "anti_inflammatory": ("note", ()),
    "heart_pressure_medicine": ("note", ()),
    "stimulant": ("note", ()),
    "empty_stomach": ("note", ()),
    "earlier_collapse": ("refer", ()),
    "illness_now": ("hold", ()),
    "medicine_changed": ("hold", ()),
    "injury": ("hold", ()),
    "other": ("hold", ()),
}
"""What a "yes" comes to, once all that must go with it is there."""


def test_nothing_flagged_is_clear_and_lets_everything_through() -> None:
    screening, reasons = screened(health_of())
    thirst = find("safety.thirst_leads")
    assert screening == Screening(outcome="clear", sodium_line_mmol_per_l=140, findings=(thirst,))
    assert screening.may_issue
    assert not screening.portions_only
    assert not reasons


@pytest.mark.parametrize("flag_id", ROWS)
def test_each_row_does_what_the_table_says(flag_id: str) -> None:
    health, case = said_yes(BY_ID[flag_id])
    screening, reasons = screened(health, case)
    outcome, withheld = ROWS[flag_id]
    assert (screening.outcome, screening.withheld) == (outcome, withheld)
    assert screening.may_issue == (outcome not in ("hold", "refer"))
    assert f"screening.flag_{outcome}" in reasons


def test_the_table_of_this_test_has_every_flag_but_the_list_of_medicines() -> None:
    assert set(ROWS) == set(BY_ID) - {"medicines"}


ASKED = [flag_id for flag_id in BY_ID if flag_id != "under_18"]
"""Every question but the one that the birth date answers."""


@pytest.mark.parametrize("flag_id", [one for one in ASKED if not BY_ID[one].asked_after])
def test_a_question_without_an_answer_holds(flag_id: str) -> None:
    screening, reasons = screened(health_of(left_out=flag_id))
    assert screening.outcome == "hold"
    assert reasons == {"screening.unanswered"}


@pytest.mark.parametrize("flag_id", [one for one in ASKED if not BY_ID[one].asked_after])
@pytest.mark.parametrize(
    ("spoilt", "code"),
    [
        ({"by": ""}, "screening.unsigned"),
        ({"by": "  "}, "screening.unsigned"),
        ({"on": None}, "screening.unsigned"),
        ({"on": AS_OF + timedelta(days=1)}, "screening.dated_ahead"),
        ({"on": AS_OF - timedelta(days=85)}, "screening.stale"),
        ({"reply": "prefer not to say"}, "screening.not_said"),
    ],
)
def test_an_answer_that_cannot_count_holds(flag_id: str, spoilt: dict[str, object], code: str) -> None:
    entry = answer(flag_id, "no").model_dump() | spoilt
    screening, reasons = screened(health_of(Answer(**entry)))
    assert screening.outcome == "hold"
    assert reasons == {code}


def test_answers_of_twelve_weeks_ago_still_count_and_a_day_more_does_not() -> None:
    old = AS_OF - timedelta(days=84)
    aged = health_of(*(answer(flag.id, "no", on=old) for flag in flags()))
    assert screened(aged)[0].outcome == "clear"
    assert screened(aged, as_of=AS_OF + timedelta(days=1))[0].outcome == "hold"


def test_no_answers_at_all_hold() -> None:
    assert screened(None)[0].outcome == "hold"
    assert screened(None)[1] == {"screening.no_answers"}


def test_no_birth_date_holds() -> None:
    screening, reasons = screened(health_of(born=None), case_of(born=None))
    assert screening.outcome == "hold"
    assert reasons == {"screening.no_birth_date"}


@pytest.mark.parametrize(
    ("born", "outcome", "minor"),
    [
        (date(2008, 11, 20), "clear", False),
        (date(2008, 11, 26), "hold", True),
        (date(2026, 11, 26), "hold", True),
    ],
)
def test_the_birth_date_tells_a_minor_whatever_is_answered(born: date, outcome: str, minor: bool) -> None:
    screening, _ = screened(health_of(born=born), case_of(born=born))
    assert (screening.outcome, screening.minor) == (outcome, minor)


def test_someone_who_says_they_are_under_18_is_a_minor() -> None:
    assert screened(health_of(answer("under_18", "yes")))[0].minor


def test_a_leap_day_child_comes_of_age_on_the_first_of_march() -> None:
    born = date(2008, 2, 29)
    assert [age_years(born, date(2026, 2, 28)), age_years(born, date(2026, 3, 1))] == [17, 18]


def test_answers_bind_to_name_and_birth_date() -> None:
    assert binds(health_of(athlete="  ines   INVENTADA "), case_of())
    for other in (health_of(athlete="Otto Other"), health_of(born=date(1990, 3, 15))):
        assert not binds(other, case_of())
        assert screened(other) == (screened(None)[0], {"screening.other_person"})


def test_an_example_counts_for_the_invented_athlete_only() -> None:
    example = health_of(example=True)
    assert screened(example)[0].outcome == "clear"
    screening, reasons = screened(example, case_of().model_copy(update={"invented": False}))
    assert (screening.outcome, reasons) == ("hold", {"screening.example_answers"})


def test_the_latest_answer_counts_whatever_the_order_of_the_entries() -> None:
    earlier = answer("injury", "yes", on=ANSWERED_ON - timedelta(days=9))
    later = answer("injury", "no")
    rest = [one for one in health_of().answers if one.question != "injury"]
    for pair in ([earlier, later], [later, earlier]):
        assert screened(health_of().model_copy(update={"answers": (*rest, *pair)}))[0].outcome == "clear"


def test_two_answers_of_one_day_count_as_the_graver() -> None:
    both = (answer("injury", "no"), answer("injury", "yes"))
    rest = tuple(one for one in health_of().answers if one.question != "injury")
    assert screened(health_of().model_copy(update={"answers": (*rest, *both)}))[0].outcome == "hold"


def test_an_unsigned_answer_beside_a_signed_one_still_holds() -> None:
    unsigned = answer("injury", "no", by="")
    health = health_of()
    health = health.model_copy(update={"answers": (*health.answers, unsigned)})
    screening, reasons = screened(health)
    assert (screening.outcome, reasons) == ("hold", {"screening.unsigned"})


@pytest.mark.parametrize("flag_id", [flag.id for flag in flags() if flag.outcome == "refer"])
def test_no_later_no_takes_back_a_yes_that_refers(flag_id: str) -> None:
    earlier = answer(flag_id, "yes", on=ANSWERED_ON - timedelta(days=40))
    health = health_of()
    health = health.model_copy(update={"answers": (*health.answers, earlier)})
    assert screened(health)[0].outcome == "refer"


@pytest.mark.parametrize("spoilt", [{"by": ""}, {"on": None}, {"on": date(2025, 1, 1)}])
def test_a_yes_counts_even_where_it_is_unsigned_or_old(spoilt: dict[str, object]) -> None:
    entry = answer("heart", "yes").model_dump() | spoilt
    assert screened(health_of(Answer(**entry)))[0].outcome == "refer"


@pytest.mark.parametrize("step", BY_ID["blood_pressure"].follow_up, ids=lambda step: step.id)
def test_treated_pressure_is_withheld_only_when_steady_and_without_symptoms(step: FollowUp) -> None:
    assert screened(health_of(*STEADY))[0].outcome == "withheld"
    without = [one for one in STEADY if one.question != step.id]
    turned = answer(step.id, "no" if step.must_be == "yes" else "yes")
    assert screened(health_of(*without))[1] >= {"screening.unanswered"}
    assert screened(health_of(*without))[0].outcome == "hold"
    assert screened(health_of(*without, turned))[1] >= {"screening.not_stable"}
    assert screened(health_of(*without, turned))[0].outcome == "hold"
    unsaid = answer(step.id, "prefer not to say")
    assert screened(health_of(*without, unsaid))[0].outcome == "hold"


def test_a_letter_goes_with_treated_pressure() -> None:
    assert "screening.letter" in screened(health_of(*STEADY))[1]


def test_an_allergy_without_a_named_exclusion_holds() -> None:
    health = health_of(answer("food_exclusion", "yes"))
    assert screened(health)[1] >= {"screening.exclusion_missing"}
    assert screened(health)[0].outcome == "hold"
    assert screened(health, case_of(excluded=("kiwi",)))[0].outcome == "note"


# Medicines.


@pytest.mark.parametrize("name", MEDICINE_FOR.values())
def test_a_medicine_listed_raises_its_flag_though_every_purpose_was_answered_no(name: str) -> None:
    flag_id = next(flag for flag, listed in MEDICINE_FOR.items() if listed == name)
    assert screened(health_of(medicines=[medicine(name)]))[0].outcome == BY_ID[flag_id].outcome


@pytest.mark.parametrize(
    ("name", "outcome"),
    [
        ("Insulin glargine 100 units/ml", "hold"),
        ("gliclazide", "hold"),
        ("EMPAGLIFLOZIN 10 mg", "hold"),
        ("metformin hydrochloride 500mg", "note"),
        ("semaglutide", "hold"),
        ("fluvoxamine maleate 100 mg", "withheld"),
        ("Sertraliné", "note"),
        ("ramipril", "hold"),
        ("losartan potassium/hydrochlorothiazide 50/12.5 mg", "hold"),
    ],
)
def test_medicines_come_to_the_outcome_of_their_class(name: str, outcome: str) -> None:
    assert screened(health_of(medicines=[medicine(name)]))[0].outcome == outcome


@pytest.mark.parametrize(
    "name",
    [
        "sertralin",
        "stopped sertraline",
        "sertraline and another",
        "Blue tablets 5 mg",
        "500 mg",
        "sodium",
        "?",
    ],
)
def test_a_medicine_that_is_not_known_in_every_word_holds(name: str) -> None:
    screening, reasons = screened(health_of(medicines=[medicine(name)]))
    assert screening.outcome == "hold"
    assert "screening.unknown_medicine" in reasons


def test_a_near_miss_is_suggested_and_never_taken() -> None:
    _, reasons = screen(case_of(), health_of(medicines=[medicine("Sertralin 50 mg")]), as_of=AS_OF)
    told = next(reason for reason in reasons if reason.code == "screening.unknown_medicine")
    assert "sertraline" in told.next_step
    assert match("Sertralin 50 mg").classes == ()


def test_fluvoxamine_raises_both_of_its_flags() -> None:
    screening, _ = screened(health_of(medicines=[medicine("fluvoxamine")]))
    assert screening.withheld == ("caffeine",)
    assert (screening.fluid_care, screening.sodium_line_mmol_per_l) == ("half", 137)


def test_low_sodium_medicines_lower_the_line_and_halve_the_allowance_and_painkillers_halve_it_only() -> None:
    assert screened(health_of())[0].fluid_care == "usual"
    low = screened(health_of(medicines=[medicine("sertraline")]))[0]
    pain = screened(health_of(medicines=[medicine("ibuprofen")]))[0]
    assert (low.fluid_care, low.sodium_line_mmol_per_l) == ("half", 137)
    assert (pain.fluid_care, pain.sodium_line_mmol_per_l) == ("half", 140)


GRAVER = ("clear", "note", "withheld", "hold", "refer")


@pytest.mark.parametrize("group", medicine_classes(), ids=lambda group: group.id)
def test_a_medicine_more_never_loosens_anything(group: MedicineClass) -> None:
    """Beside no medicine, a painkiller, and one of low sodium that a test of the blood speaks of."""
    blood = SodiumTest(serum_sodium_mmol_per_l=139, by="a laboratory", on=ANSWERED_ON)
    for names, tests in (((), ()), (("ibuprofen",), ()), (("sertraline",), (blood,))):
        beside = [medicine(name) for name in names]
        before, _ = screened(health_of(medicines=beside, sodium_tests=tests))
        after, _ = screened(health_of(medicines=[*beside, medicine(group.substances[0])], sodium_tests=tests))
        assert GRAVER.index(after.outcome) >= GRAVER.index(before.outcome)
        assert set(after.withheld) >= set(before.withheld)
        assert after.fluid_care == "half" or before.fluid_care == "usual"
        assert after.sodium_line_mmol_per_l <= before.sodium_line_mmol_per_l
        most_before, most_after = (one.caffeine_day_most_mg or 400 for one in (before, after))
        assert most_after <= most_before


@pytest.mark.parametrize(
    ("since", "outcome"),
    [
        (AS_OF - timedelta(days=28), "note"),
        (AS_OF - timedelta(days=27), "hold"),
        (AS_OF + timedelta(days=3), "hold"),
        (None, "hold"),
    ],
)
def test_a_low_sodium_medicine_of_the_last_four_weeks_or_of_no_date_holds(
    since: date | None, outcome: str
) -> None:
    assert screened(health_of(medicines=[medicine("sertraline", since=since)]))[0].outcome == outcome


def test_a_medicine_without_name_or_date_of_the_answer_holds() -> None:
    for entry in (medicine("ibuprofen", by=""), Medicine(name="ibuprofen", by=NAME)):
        screening, reasons = screened(health_of(medicines=[entry]))
        assert (screening.outcome, "screening.unsigned" in reasons) == ("hold", True)


def test_a_yes_to_a_medicine_that_is_not_listed_holds() -> None:
    for flag_id in ("medicines", *MEDICINE_FOR):
        screening, reasons = screened(health_of(answer(flag_id, "yes")))
        assert (screening.outcome, "screening.medicine_missing" in reasons) == ("hold", True), flag_id


def test_a_yes_is_not_borne_out_by_a_medicine_of_another_class() -> None:
    health = health_of(answer("lithium", "yes"), medicines=[medicine("ibuprofen")])
    assert screened(health)[1] >= {"screening.medicine_missing"}


def test_medicines_listed_under_a_no_hold() -> None:
    health = health_of(answer("medicines", "no"), medicines=[medicine("ibuprofen")])
    screening, reasons = screened(health)
    assert screening.outcome == "hold"
    assert reasons == {"screening.flag_note", "screening.contradiction"}


@pytest.mark.parametrize("name", ["amlodipine", "ramipril", "losartan", "indapamide"])
def test_a_pressure_medicine_under_a_no_to_pressure_holds(name: str) -> None:
    screening, reasons = screened(health_of(medicines=[medicine(name)]))
    assert screening.outcome == "hold"
    assert reasons & {"screening.contradiction", "screening.usually_for"}
    assert screened(health_of(*STEADY, medicines=[medicine(name)]))[0].outcome == "withheld"


def test_what_a_pressure_medicine_is_for_is_asked() -> None:
    reasons = screen(case_of(), health_of(medicines=[medicine("ramipril")]), as_of=AS_OF)[1]
    (told,) = (reason for reason in reasons if reason.code == "screening.usually_for")
    assert (told.about, told.facts["question"]) == ("ramipril", "blood_pressure")
    assert "what it is taken for" in told.next_step


@pytest.mark.parametrize("group", medicine_classes(), ids=lambda group: group.id)
def test_who_answers_truly_about_a_medicine_is_not_held_for_the_answers(group: MedicineClass) -> None:
    yes = [answer(flag_id, "yes") for flag_id in group.flags]
    pressure = STEADY if "blood_pressure" in (*group.flags, group.usually_for) else ()
    _, reasons = screened(health_of(*yes, *pressure, medicines=[medicine(group.substances[0])]))
    told = {"screening.letter", "screening.tell"}
    assert {reason for reason in reasons if not reason.startswith("screening.flag_")} <= told


@pytest.mark.parametrize(
    ("flag_id", "named"),
    [
        ("glucose_lowering", ("insulin", "but metformin")),
        (
            "low_sodium_medicine",
            ("depression", "psychosis", "thiazide", "carbamazepine", "opioid", "codeine", "desmopressin"),
        ),
        ("heart_pressure_medicine", ("-pril", "-sartan", "-olol")),
        ("stimulant", ("methylphenidate", "amphetamine", "modafinil")),
    ],
)
def test_a_question_names_the_medicines_it_is_for_and_no_bare_purpose(
    flag_id: str, named: tuple[str, ...]
) -> None:
    asks = BY_ID[flag_id].asks
    assert not [word for word in named if word not in asks]
    assert "something for" not in asks


def test_doses_forms_accents_and_case_are_no_part_of_a_name() -> None:
    assert words_of("Ibuprofène 200mg – Caps. (x2)") == ["ibuprofene", "caps", "x"]
    assert words_of("LEVOTHYROXINE 12.5 µg") == ["levothyroxine"]


# Race week.


def test_race_week_asks_again() -> None:
    race_on = date(2026, 12, 6)
    again = [flag.id for flag in flags() if flag.race_week]
    assert again == ["chest_or_fainting", "pregnancy", "illness_now", "medicine_changed", "injury"]
    case, first_day = case_of(race_on=race_on), race_on - timedelta(days=7)
    assert screened(health_of(), case, first_day - timedelta(days=1))[0].outcome == "clear"
    screening, reasons = screened(health_of(), case, first_day)
    assert (screening.outcome, reasons) == ("hold", {"screening.race_week"})
    asked = [answer(question, "no", on=first_day) for question in again]
    assert screened(health_of(*asked), case, first_day)[0].outcome == "clear"
    assert screened(health_of(*asked), case, race_on)[0].outcome == "clear"
    day_early = [answer(question, "no", on=first_day - timedelta(days=1)) for question in again]
    assert screened(health_of(*day_early), case, first_day)[1] == {"screening.race_week"}
    for missing in again:
        kept = [one for one in asked if one.question != missing]
        assert screened(health_of(*kept), case, race_on)[0].outcome == "hold", missing


# What leaves the screening.


def everything_yes() -> tuple[Health, Case]:
    """Return answers that raise every flag, with words of the person that must not travel."""
    replies = [
        Answer(question=flag.id, reply="yes", by="Canary Person", on=ANSWERED_ON, detail="canary words")
        for flag in flags()
    ]
    steps = [answer(step.id, step.must_be) for flag in flags() for step in flag.follow_up]
    listed = [medicine(group.substances[0]) for group in medicine_classes()] + [medicine("canaryol")]
    return health_of(*replies, *steps, medicines=listed), case_of(allergens=("gluten",))


def test_no_answer_no_flag_and_no_medicine_leaves_the_screening() -> None:
    health, case = everything_yes()
    screening, reasons = screen(case, health, as_of=AS_OF)
    assert {flag.id for flag in flags()} - {reason.about for reason in reasons} == {"medicines"}
    told = (screening.model_dump_json() + " ".join(f.line() for f in screening.findings)).casefold()
    secret = [flag.id for flag in flags()] + [flag.title for flag in flags()]
    secret += [step.id for flag in flags() for step in flag.follow_up] + [
        "canary",
        "2026-11-20",
        BORN.isoformat(),
    ]
    secret += [name for group in medicine_classes() for name in (group.title, *group.substances)]
    assert not [word for word in secret if word.casefold() in told]


def test_what_leaves_the_screening_names_an_outcome_a_part_or_a_sentence_only() -> None:
    health, case = everything_yes()
    found = screen(case, health, as_of=AS_OF)[0].findings
    assert {finding.code.split(".")[0] for finding in found} == {"safety"}
    assert all(set(finding.facts) <= {"part"} and not finding.about for finding in found)


def test_two_people_with_the_same_outcome_cannot_be_told_apart() -> None:
    kidney, heart = (screened(health_of(answer(flag, "yes")))[0] for flag in ("kidney", "heart"))
    assert kidney == heart


def test_two_people_on_hold_cannot_be_told_apart() -> None:
    held = [flag for flag in flags() if flag.outcome == "hold" and flag.id not in ("under_18", "pregnancy")]
    first, *others = (screened(*said_yes(flag))[0] for flag in held)
    assert all(other == first for other in others)


def test_a_screening_that_holds_says_so_in_a_finding_that_stops_a_plan() -> None:
    levels = {
        flag.id: {str(f.level) for f in screened(*said_yes(flag))[0].findings} for flag in BY_ID.values()
        if flag.id != "medicines"
    }  # fmt: skip
    for flag_id, (outcome, _) in ROWS.items():
        assert ("hold" in levels[flag_id], "refer" in levels[flag_id]) == (
            outcome == "hold",
            outcome == "refer",
        )


# The data itself.


def test_every_flag_has_a_sentence_where_it_needs_one_and_a_source_that_exists() -> None:
    for flag in flags():
        assert flag.sentence or flag.outcome not in ("note", "withheld"), flag.id
        assert flag.sentence == "" or flag.sentence in catalogue()
        assert flag.source == "" or flag.source in sources(), flag.id
        assert flag.source or flag.mark in ("memory", "estimate"), flag.id
        assert flag.asks.endswith(("?", "packet.")), flag.id


def test_questions_and_flags_have_ids_of_their_own() -> None:
    ids = [flag.id for flag in flags()] + [step.id for flag in flags() for step in flag.follow_up]
    assert len(ids) == len(set(ids))


def test_every_class_of_medicines_raises_flags_that_exist_and_every_medicine_flag_has_a_class() -> None:
    raised = {flag for group in medicine_classes() for flag in group.flags}
    assert raised <= set(BY_ID)
    assert {flag.id for flag in flags() if flag.by_medicine} <= raised
    assert {group.usually_for for group in medicine_classes()} <= {"", *BY_ID}


def test_every_substance_is_found_by_its_own_name() -> None:
    for group in medicine_classes():
        for name in group.substances:
            assert name == " ".join(words_of(name))
            assert group.id in {found.id for found in match(name).classes}
            assert match(name).known


@pytest.mark.parametrize("flag", flags(), ids=lambda flag: flag.id)
def test_a_row_says_what_lifts_it_and_why_no_hand_may(flag: Flag) -> None:
    if flag.outcome == "refer":
        assert flag.lifted_by == ("reply",)
    if flag.holds:
        assert flag.lifted_by
        assert ("hand" in flag.lifted_by) == (not flag.never_by_hand)
    assert ("time" in flag.lifted_by) == bool(flag.passes_after_days or flag.new_within_days)
    assert ("reply" in flag.lifted_by) == (flag.letter is not None)
    assert flag.asked_after in ("", "medicines")


@pytest.mark.parametrize("flag", [flag for flag in flags() if flag.letter], ids=lambda flag: flag.id)
def test_a_letter_asks_and_diagnoses_nothing(flag: Flag) -> None:
    assert flag.letter is not None
    assert all("?" in asked for asked in flag.letter.asks)
    words = f"{flag.letter.about} {' '.join(flag.letter.asks)}".casefold()
    assert not [word for word in ("diagnosed", "suffers", "patient", "disorder", "insulin") if word in words]


def test_every_question_says_why_it_is_asked() -> None:
    assert all(len(flag.why) > 20 for flag in flags())


def test_the_list_of_medicines_is_asked_for_by_purpose() -> None:
    purposes = ("mood", "blood pressure", "water", "pain", "fits", "bladder", "diabetes", "thyroid", "weight")
    assert not [purpose for purpose in purposes if purpose not in BY_ID["medicines"].asks]
