"""Each check of the proof fails on an outcome that is spoilt in its way, and is silent on the sound one."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest
from held_to import CHECKS, breaches, meals_of
from through import Outcome, through, told_not_set

from provand.case.intake import Intake
from provand.plan.document import Line
from provand.safety.screening import Screening

Spoil = Callable[[Outcome], None]


@cache
def outcome_of(seed: int) -> Outcome:
    """Return the outcome of a seed, made once."""
    with told_not_set():
        return through(seed)


def sound(fits: Callable[[Outcome], bool]) -> Outcome:
    """Return a copy of the first outcome of a kind, to be spoilt."""
    found = next(one for seed in range(600) if fits(one := outcome_of(seed)))
    return replace(
        found,
        files=dict(found.files),
        drawn=found.drawn._replace(truth=dict(found.drawn.truth)),
    )


def issued(outcome: Outcome, *parts: str) -> bool:
    return (
        outcome.end == "issued"
        and outcome.screening is not None
        and set(parts) <= set(outcome.screening.withheld)
        and bool(outcome.case and outcome.case.course.stations)
    )


def eats(outcome: Outcome, *intakes: Intake) -> None:
    assert outcome.plan is not None
    race = outcome.plan.race
    schedule = race.model_copy(update={"intakes": (*race.intakes, *intakes)})
    outcome.plan = outcome.plan.model_copy(update={"race": schedule})


def with_screening(outcome: Outcome, **changes: object) -> None:
    assert outcome.screening is not None
    outcome.screening = outcome.screening.model_copy(update=changes)


def cup_too_many(outcome: Outcome) -> None:
    assert outcome.case is not None
    eats(
        outcome,
        Intake(item="water", amount="mouthful", portion_frac=20, at_m=outcome.case.course.stations[0].at_m),
    )


def gels(outcome: Outcome, *, item: str, at_m: float, packs: float) -> None:
    assert outcome.case is not None
    assert outcome.case.item(item) is not None
    eats(outcome, Intake(item=item, portion_frac=packs, at_m=at_m))


def wrong_mass(outcome: Outcome) -> None:
    outcome.drawn.truth["athlete.body_mass_kg"] *= 0.45359237


def left_open(outcome: Outcome) -> None:
    outcome.screening = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)


def file_more(name: str, text: str) -> Spoil:
    def spoil(outcome: Outcome) -> None:
        outcome.files[name] = outcome.files.get(name, b"") + text.encode("utf-8")

    return spoil


def crashed(outcome: Outcome) -> None:
    outcome.end, outcome.codes = "crash", ("KeyError",)


def cleared_on_hold(outcome: Outcome) -> None:
    outcome.forced = "cleared"


def late_and_open(outcome: Outcome) -> None:
    outcome.late = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)


def is_held(outcome: Outcome) -> bool:
    return outcome.screening is not None and outcome.screening.outcome in ("hold", "refer")


def has_item(item: str) -> Callable[[Outcome], bool]:
    return lambda outcome: issued(outcome) and bool(outcome.case and outcome.case.item(item))


def names_the_athlete(outcome: Outcome) -> None:
    file_more("safety.pdf", outcome.drawn.typed["athlete"]["name"])(outcome)


def has_parts(outcome: Outcome) -> bool:
    return issued(outcome) and bool(outcome.health.parts)


def leaves_out(outcome: Outcome) -> bool:
    return issued(outcome) and bool(outcome.case and outcome.case.athlete.allergens)


def with_part(part: str) -> Callable[[Outcome], bool]:
    return lambda outcome: issued(outcome, part)


def without_code(outcome: Outcome) -> None:
    outcome.files["strip.pdf"] = b"a strip of no plan"


def has_crew(outcome: Outcome) -> bool:
    from_crew = [i for i in outcome.plan.race.intakes if i.got_from == "crew"] if outcome.plan else []
    return issued(outcome) and bool(from_crew) and "crew.pdf" in outcome.files


def eats_from_nobody(outcome: Outcome) -> None:
    eats(outcome, Intake(item="gel-25", at_m=1.0, got_from="crew"))


def hands_over_more(outcome: Outcome) -> None:
    template, data, pictures = json.loads(outcome.files["crew.pdf"])
    data["points"][0]["hand"] *= 2
    data["points"][0]["hand"] += [{"marks": [], "text": "cola", "fluid": True}]
    outcome.files["crew.pdf"] = json.dumps([template, data, pictures]).encode("utf-8")


def has_tablet(outcome: Outcome) -> bool:
    fixed = outcome.case.dated_morning if outcome.case else None
    return issued(outcome) and bool(fixed and fixed.tablets)


def eats_with_the_tablet(outcome: Outcome) -> None:
    assert outcome.plan is not None
    assert outcome.case is not None
    assert outcome.case.dated_morning is not None
    line = Line(at=outcome.case.dated_morning.tablets[0].at, title="Breakfast", says="")
    outcome.plan = outcome.plan.model_copy(update={"morning": (*outcome.plan.morning, line)})


def of_a_minor(outcome: Outcome) -> bool:
    return issued(outcome) and bool(outcome.screening and outcome.screening.minor)


def doses_a_drink(outcome: Outcome) -> None:
    assert outcome.plan is not None
    dose = outcome.plan.figures[0].model_copy(update={"id": "drink_before.F1_dose_ml_per_kg"})
    outcome.plan = outcome.plan.model_copy(update={"figures": (*outcome.plan.figures, dose)})


def has_menu(outcome: Outcome) -> bool:
    return issued(outcome) and any(meal.foods for meal in meals_of(outcome))


def eats_of_the_menu(food_id: str) -> Spoil:
    """Return what puts another food on each meal that has any, and leaves the sums as they are."""

    def spoil(outcome: Outcome) -> None:
        assert outcome.plan is not None
        assert outcome.plan.menu is not None
        menu = outcome.plan.menu
        meals = tuple(
            meal.model_copy(
                update={"foods": tuple(one.model_copy(update={"food": food_id}) for one in meal.foods)}
            )
            for meal in menu.meals
        )
        outcome.plan = outcome.plan.model_copy(update={"menu": menu.model_copy(update={"meals": meals})})

    return spoil


SPOILT: list[tuple[str, Callable[[Outcome], bool], Spoil]] = [
    ("no_crash", issued, crashed),
    ("numbers_mean_what_was_typed", issued, wrong_mass),
    ("flags_hold", lambda one: is_held(one) and bool(one.health.spoilt), left_open),
    ("flags_hold", issued, late_and_open),
    ("parts_are_withheld", has_parts, lambda one: with_screening(one, withheld=())),
    ("nothing_leaves_on_hold", is_held, file_more("plan.pdf", "a plan")),
    ("nothing_leaves_on_hold", is_held, cleared_on_hold),
    ("nothing_leaves_on_hold", is_held, lambda one: one.files.clear()),
    ("nothing_leaves_on_hold", is_held, names_the_athlete),
    ("nothing_of_a_withheld_part", with_part("caffeine"), file_more("plan.pdf", "take caffeine")),
    ("nothing_of_a_withheld_part", with_part("sodium"), file_more("strip.pdf", "a pinch of salt")),
    ("nothing_of_a_withheld_part", with_part("fluid"), file_more("race.ics", "drink 150 ml")),
    (
        "nothing_of_a_withheld_part", with_part("fluid"),
        lambda one: eats(one, Intake(item="water", amount="cup", at_m=1.0)),
    ),
    ("nothing_of_a_withheld_part", issued, lambda one: with_screening(one, withheld=("fluid",))),
    ("no_ceiling_is_broken", issued, cup_too_many),
    ("no_ceiling_is_broken", has_item("gel-40"), lambda one: gels(one, item="gel-40", at_m=900.0, packs=3)),
    (
        "no_ceiling_is_broken", has_item("gel-25-caffeine"),
        lambda one: gels(one, item="gel-25-caffeine", at_m=900.0, packs=6),
    ),
    (
        "no_ceiling_is_broken", has_item("gel-25"),
        lambda one: gels(one, item="gel-25", at_m=one.drawn.truth["race.distance_m"], packs=0.05),
    ),
    ("a_crew_gives_only_what_is_planned", has_crew, eats_from_nobody),
    ("a_crew_gives_only_what_is_planned", has_crew, hands_over_more),
    ("nothing_excluded_is_planned", issued, lambda one: eats(one, Intake(item="nobody-knows", at_m=1.0))),
    (
        "nothing_excluded_is_planned", leaves_out,
        lambda one: eats(one, Intake(item="own-gel-of-unknown-make", at_m=1.0)),
    ),
    ("nothing_excluded_is_on_the_menu", has_menu, eats_of_the_menu("cola")),
    ("the_menu_adds_up", has_menu, eats_of_the_menu("cucumber")),
    ("no_weight_for_portions_only", with_part("grams"), file_more("plan.pdf", "carry 40 g")),
    ("no_weight_for_portions_only", with_part("grams"), file_more("race.ics", "2 % less")),
    ("no_weight_for_portions_only", with_part("grams"), file_more("gel 40 g.svg", "")),
    ("no_weight_for_portions_only", with_part("grams"), file_more("plan.pdf", "Weigh yourself.")),
    ("no_answer_in_any_byte", issued, file_more("plan.json", "canarydetail")),
    ("no_answer_in_any_byte", issued, file_more("race.ics", "for the sertraline")),
    ("no_answer_in_any_byte", issued, file_more("earlier_collapse.svg", "")),
    ("no_answer_in_any_byte", issued, file_more("plan.pdf", "an eating disorder, now or before")),
    ("code_on_each_page", issued, without_code),
    ("morning_goes_round_what_is_fixed", has_tablet, eats_with_the_tablet),
    ("minors_are_not_dosed", of_a_minor, doses_a_drink),
]  # fmt: skip


@pytest.mark.parametrize(("check", "fits", "spoil"), SPOILT, ids=[row[0] for row in SPOILT])
def test_a_check_sees_what_it_is_for(check: str, fits: Callable[[Outcome], bool], spoil: Spoil) -> None:
    outcome = sound(fits)
    assert not breaches(outcome)
    spoil(outcome)
    assert list(CHECKS[check](outcome))


def test_every_check_is_spoilt_once() -> None:
    assert {row[0] for row in SPOILT} == set(CHECKS)
