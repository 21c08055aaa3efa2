"""Whole plans of random invented cases: computed and cleared. (Papers are read back in `tests/hazards`.)"""

from __future__ import annotations

import math
from datetime import date
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from cases import case, course

from provand.case.case import Athlete, Case, Pocket, Rehearsed, Wishes
from provand.case.course import Course, Served, Station
from provand.case.intake import Intake
from provand.figure import Range
from provand.finding import BadInput, OnHold
from provand.larder.shelf import shelf
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.plan.review import clear, review
from provand.record import canonical
from provand.safety.screening import Screening

DAY = date(2026, 11, 25)
PLANS = 60
CLEAR = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)
WITHHELD = Screening(outcome="withheld", withheld=("caffeine", "sodium"), sodium_line_mmol_per_l=140.0)
GELS = ("gel-25", "gel-isotonic", "gel-25-caffeine", "chews", "sports-drink", "cola")


def served_course(draw: Random, length_m: float) -> Course:
    plain = course(draw.uniform(0, 50), length_m)
    count = draw.randint(0, 6)
    stations = []
    for number in range(1, count + 1):
        cup = Served(cup_ml=draw.choice([100.0, 150.0, 200.0]), fill_frac=Range.of(0.5, 0.75))
        serves = [cup]
        if draw.random() < 0.5:
            serves.append(cup.model_copy(update={"item": draw.choice(["sports-drink", "cola"])}))
        at_m = round(length_m * number / (count + 1), 1)
        stations.append(Station(name=f"Station {number}", at_m=at_m, serves=tuple(serves)))
    return plain.model_copy(update={"stations": tuple(stations)})


def random_case(seed: int) -> tuple[Case, Screening]:
    """Return an invented case, the same for the same seed."""
    draw = Random(seed)
    length_m = draw.choice([10000.0, 15000.0, 21097.5])
    goal_s = length_m / draw.uniform(2.1, 4.9)
    low_c = draw.uniform(-2, 17)
    facts: dict[str, Any] = {
        "mass_kg": draw.uniform(45, 100),
        "height_m": draw.uniform(1.5, 1.95),
        "sex": draw.choice(["female", "male", None]),
        "goal_s": goal_s,
        "air_c": (low_c, low_c + draw.uniform(0, 4)),
        "sun": draw.choice(["part", "overcast"]),
        "length_m": length_m,
    }
    base = case(**facts)
    items = tuple(item for item in shelf() if item.id in (*GELS, "water"))
    athlete = Athlete.model_validate(
        {
            **base.athlete.model_dump(),
            "pockets": [Pocket(name="belt", room_ml=draw.choice([60.0, 150.0, 300.0]))],
            "rehearsed": [
                Rehearsed(item=item, rate_g_per_h=draw.choice([None, 30.0, 45.0]))
                for item in draw.sample(GELS, draw.randint(0, 4))
            ],
            "breakfast_caffeine_mg": draw.choice([0.0, 80.0]),
        }
    )
    wishes = Wishes(caffeine_mg=draw.choice([None, 75.0]))
    whole = base.model_copy(
        update={
            "athlete": athlete,
            "items": items,
            "wishes": wishes,
            "course": served_course(draw, length_m),
        }
    )
    return Case.model_validate_json(canonical(whole)), draw.choice([CLEAR, CLEAR, WITHHELD])


@pytest.fixture(scope="module")
def plans() -> list[tuple[Case, Screening, Plan]]:
    drawn = []
    for seed in range(PLANS):
        one, screening = random_case(seed)
        drawn.append((one, screening, draw_up(one, screening, as_of=DAY)))
    return drawn


Plans = list[tuple[Case, Screening, Plan]]


def test_no_plan_that_is_drawn_up_passes_a_limit(plans: Plans) -> None:
    for one, screening, plan in plans:
        assert review(plan, one, screening) == ()


def test_a_schedule_that_passes_a_ceiling_is_never_cleared(plans: Plans) -> None:
    tried = 0
    for one, screening, plan in plans:
        station = next(iter(one.course.stations), None)
        if station is None:
            continue
        cups = tuple(
            Intake(
                item="water", amount="cup", portion_frac=20, at_m=s.at_m, got_from="station", station=s.name
            )
            for s in one.course.stations
        )
        race = plan.race.model_copy(update={"intakes": (*plan.race.intakes, *cups)})
        with pytest.raises(OnHold):
            clear(plan.model_copy(update={"race": race}), one, screening)
        tried += 1
    assert tried > PLANS / 2


def test_a_plan_of_another_case_or_on_hold_is_never_cleared(plans: Plans) -> None:
    one, screening, plan = plans[0]
    with pytest.raises(BadInput):
        clear(plan, plans[1][0], screening)
    held = Screening(outcome="hold", sodium_line_mmol_per_l=140.0)
    with pytest.raises(OnHold):
        clear(plan, one, held)


def test_the_same_case_gives_the_same_bytes(plans: Plans) -> None:
    for one, screening, plan in plans[:6]:
        again = draw_up(one, screening, as_of=DAY)
        assert canonical(again) == canonical(plan)
        assert again.code == plan.code


def test_sums_are_exact_and_the_last_stop_holds_the_whole(plans: Plans) -> None:
    checked = 0
    for _, _, plan in plans:
        whole = plan.figure("race.carb_g_per_race")
        if whole is None or not whole.inputs:
            continue
        parts = [figure for figure in plan.figures if figure.id in whole.inputs]
        for end in ("low", "mid", "high"):
            assert math.isclose(
                math.fsum(getattr(p.value, end) for p in parts), getattr(whole.value, end), rel_tol=1e-8
            )
        last = plan.race.stops[-1].carb_so_far_g
        assert last is not None
        assert math.isclose(last.mid, whole.value.mid, rel_tol=1e-8)
        checked += 1
    assert checked > PLANS / 4


def test_withheld_parts_leave_no_figure_no_label_and_no_item(plans: Plans) -> None:
    seen = 0
    for one, screening, plan in plans:
        if not screening.withheld:
            continue
        seen += 1
        text = canonical(plan).decode()
        assert not [figure.id for figure in plan.figures if "caffeine" in figure.id or "sodium" in figure.id]
        assert all(item.label.caffeine_mg is None for item in plan.case.items)
        assert '"caffeine_habit_mg_per_day":null' in text
        labelled = {item.id for item in one.items if item.label.caffeine_mg}
        assert not labelled & {intake.item for intake in plan.race.intakes}
    assert seen > 5


def test_nothing_is_planned_in_the_closed_zone_or_unrehearsed(plans: Plans) -> None:
    for one, _, plan in plans:
        rehearsed = {r.item for r in one.athlete.rehearsed} | {"water"}
        for stop in plan.race.stops:
            for take in stop.takes:
                if take.amount != "rinse":
                    assert stop.at_m <= plan.race.closed_from_m + 1
                    assert take.item in rehearsed


def test_the_load_rises_with_body_mass() -> None:
    loads = []
    for mass in (50.0, 63.0, 63.1, 80.0):
        figure = draw_up(case(mass_kg=mass), CLEAR, as_of=DAY).figure("load.carb_g_per_day")
        assert figure is not None
        loads.append(figure.value)
    assert all(b.low > a.low and b.high > a.high for a, b in pairwise(loads))
