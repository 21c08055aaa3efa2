"""The last look, on one invented case each: what slips past the planner is not handed out."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "property"))
from cases import case

from provand.case.intake import Intake
from provand.finding import BadInput, OnHold
from provand.plan.body_work import work_out
from provand.plan.draw_up import draw_up
from provand.plan.review import clear
from provand.safety.screening import Screening

DAY = date(2026, 11, 25)
CLEAR = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)
CAREFUL = Screening(outcome="note", fluid_care="half", sodium_line_mmol_per_l=140.0)


def test_a_cup_too_many_slipped_into_a_plan_is_not_cleared() -> None:
    one = case()
    plan = draw_up(one, CLEAR, as_of=DAY)
    clear(plan, one, CLEAR)
    station = one.course.stations[0]
    cups = Intake(
        item="water",
        amount="cup",
        portion_frac=20,
        at_m=station.at_m,
        got_from="station",
        station=station.name,
    )
    race = plan.race.model_copy(update={"intakes": (*plan.race.intakes, cups)})
    with pytest.raises(OnHold) as held:
        clear(plan.model_copy(update={"race": race}), one, CLEAR)
    assert "gate.fluid" in {finding.code for finding in held.value.findings}


def test_a_plan_is_not_cleared_beside_another_case() -> None:
    one = case()
    plan = draw_up(one, CLEAR, as_of=DAY)
    with pytest.raises(BadInput):
        clear(plan, case(mass_kg=64.0), CLEAR)


def test_care_halves_the_cool_air_allowance_and_leaves_none_of_it_early() -> None:
    cool = case(air_c=(-4.0, 0.0))
    usual, careful = (work_out(cool, screening) for screening in (CLEAR, CAREFUL))
    whole, half = (work.trace["ceiling.cool_allowance_ml"].value.mid for work in (usual, careful))
    assert half == pytest.approx(whole / 2)
    for x_m, usual_ml, careful_ml in zip(
        usual.ceilings.fluid.x_m, usual.ceilings.fluid.low, careful.ceilings.fluid.low, strict=True
    ):
        early = usual.pace.cases[0].time_at_s(x_m) < 45 * 60
        assert usual_ml > 0
        assert careful_ml == 0 if early else 0 < careful_ml < usual_ml
