"""What stands of a case: looked at though it breaks a limit, never cleared then; limits passed in short."""

from __future__ import annotations

from datetime import date
from importlib.resources import files

import pytest

from provand.case.case import Case
from provand.case.door import case_of, health_of, in_folder
from provand.case.files import toml_in
from provand.case.intake import Intake
from provand.finding import OnHold, find
from provand.plan.look import in_short, limits_passed, look
from provand.plan.review import clear
from provand.protocol.own import shipped
from provand.record import canonical, code
from provand.safety.screening import Screening, screen

AS_OF = date(2026, 11, 25)
FOLDER = files("provand.case")


def starter() -> tuple[Case, Screening]:
    data = toml_in(FOLDER.joinpath("starter.toml").read_bytes(), "starter")
    case = case_of(data, beside=in_folder(FOLDER), as_of=AS_OF)  # type: ignore[arg-type]  # on disk
    health = health_of(toml_in(FOLDER.joinpath("starter.health.toml").read_bytes(), "health"), name="health")
    return case, screen(case, health, as_of=AS_OF)[0]


def given(case: Case, *schedule: Intake) -> Case:
    wishes = case.wishes.model_copy(update={"schedule": "as given", "given": schedule})
    return case.model_copy(update={"wishes": wishes})


def test_a_schedule_that_passes_a_limit_is_looked_at_and_never_cleared() -> None:
    case, screening = starter()
    late = given(case, Intake(item="gel-25", at_m=21_000.0))
    looked = look(late, screening, protocols=shipped("position-stands"), as_of=AS_OF)
    assert looked.plan is not None
    assert looked.cleared is None
    assert "gate.too_late" in {one.code for one in looked.breaches}
    with pytest.raises(OnHold):
        clear(looked.plan, late, screening)


def test_an_intake_timed_near_the_slow_finish_lies_on_the_course_and_is_never_cleared() -> None:
    """At the goal pace the runner is through by then; rounded to 100 m it would lie past the finish."""
    case, screening = starter()
    late = given(case, Intake(item="gel-25", at_elapsed_s=(case.race.goal_s or 0.0) + 60))
    looked = look(late, screening, protocols=shipped("position-stands"), as_of=AS_OF)
    assert looked.plan is not None
    assert looked.cleared is None
    assert looked.plan.race.stops[-1].at_m == case.course.length_m


def test_a_sound_schedule_is_cleared() -> None:
    case, screening = starter()
    looked = look(
        given(case, Intake(item="gel-25", at_m=9_000.0)),
        screening,
        protocols=shipped("position-stands"),
        as_of=AS_OF,
    )
    assert looked.cleared is not None
    assert looked.error is None


def test_on_hold_there_is_no_plan_to_look_at() -> None:
    case, _ = starter()
    held = screen(case, None, as_of=AS_OF)[0]
    looked = look(
        given(case, Intake(item="gel-25", at_m=9_000.0)),
        held,
        protocols=shipped("position-stands"),
        as_of=AS_OF,
    )
    assert looked.plan is None
    assert isinstance(looked.error, OnHold)


FLUID = find("gate.fluid", "cup at 5.0 km", case="slow", amount_ml=240.2, limit_ml=206.0)
PLANNER = find("planner.fluid", "race.schedule", place="Mill", drunk_ml=241, room_ml=206)


def test_what_planner_and_gate_both_count_is_told_once() -> None:
    assert limits_passed((PLANNER, FLUID), ()) == (FLUID,)
    assert limits_passed((PLANNER,), ()) == (PLANNER,)


def test_of_a_withheld_part_no_amount_is_told() -> None:
    (told,) = limits_passed((PLANNER, FLUID), ("fluid",))
    assert told.code == "plan.unseen_limit"
    assert "240" not in told.line()


def test_a_limit_passed_says_by_how_much_rounded_up() -> None:
    assert in_short(FLUID) == "over the fluid ceiling by 35 ml"
    assert in_short(find("gate.too_late", "gel", at="2:00", last="1:49")) == "too late to help"


def test_a_drawn_plan_carries_the_code_of_its_own_bytes() -> None:
    case, screening = starter()
    laid = given(case, Intake(item="gel-25", at_m=9_000.0))
    plan = look(laid, screening, protocols=shipped("position-stands"), as_of=AS_OF).plan
    assert plan is not None
    assert plan.code == code(canonical(plan))
