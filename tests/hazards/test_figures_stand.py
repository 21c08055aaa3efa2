"""The figures that safety rests on stand as data, each with its source and how far it can be trusted."""

from __future__ import annotations

from datetime import date
from importlib.resources import files
from pathlib import Path

import pytest
from answered import case_of

from provand.card import sources
from provand.case.case import Case
from provand.case.door import read_case, read_health
from provand.plan.body_work import work_out
from provand.plan.draw_up import draw_up
from provand.protocol.rules import assumption
from provand.safety.ceilings import SodiumLine
from provand.safety.flags import flags
from provand.safety.screening import Screening, screen

DAY = date(2026, 11, 25)
CHANCE = ("odds", "chance", "probab", "risk", "score")


@pytest.mark.parametrize(
    ("rule_id", "number", "unit"),
    [
        ("caffeine.single", 200, "mg"),
        ("caffeine.day", 400, "mg/day"),
        ("caffeine.minor_day", 3, "mg/kg/day"),
    ],
)
def test_the_figures_of_caffeine_stand_with_their_source(rule_id: str, number: float, unit: str) -> None:
    rule = assumption(rule_id)
    assert (rule.band.low, rule.band.high, rule.unit) == (number, number, unit)
    assert (rule.source, rule.mark) == ("efsa2015", "read")
    assert sources()["efsa2015"].doi == "10.2903/j.efsa.2015.4102"


def test_the_limit_of_low_sodium_stands_with_its_source_and_moves_the_ceiling() -> None:
    rule = assumption("ceiling.sodium_low")
    assert (rule.band.low, rule.band.high, rule.unit) == (135, 135, "mmol/l")
    assert (rule.source, rule.mark) == ("hewbutler2015", "memory")
    assert sources()["hewbutler2015"].doi == "10.1097/jsm.0000000000000221"
    lines = [SodiumLine(140.0, low, 60.0, 4.0, 30.0).at_ml(3000.0) for low in (135.0, 136.0)]
    assert lines[1] < lines[0]


def test_the_frame_of_low_energy_stands_with_its_source() -> None:
    signs = next(flag for flag in flags() if flag.id == "low_energy")
    assert (signs.source, signs.mark) == ("mountjoy2023", "memory")
    assert signs.outcome in ("hold", "refer")
    assert "2023" in sources()["mountjoy2023"].cite


def limits_of(case: Case) -> tuple[float, float]:
    ceilings = work_out(case, Screening(outcome="clear", sodium_line_mmol_per_l=140.0)).ceilings
    return ceilings.caffeine_once.value.high, ceilings.caffeine_day.value.high


@pytest.mark.parametrize(("mass_kg", "limit_mg"), [(40.0, 120.0), (55.0, 165.0)])
def test_a_minors_ceiling_of_caffeine_goes_by_body_mass(mass_kg: float, limit_mg: float) -> None:
    grown = case_of(body_mass_kg=mass_kg)
    goal = grown.race.model_copy(update={"goal_s": 7200.0})
    grown = grown.model_copy(update={"race": goal})
    born = grown.athlete.born
    assert born is not None
    for young in (born.replace(year=2010), None):
        athlete = grown.athlete.model_copy(update={"born": young})
        assert limits_of(grown.model_copy(update={"athlete": athlete})) == (limit_mg, limit_mg)
    assert limits_of(grown) == (200.0, 400.0)


@pytest.mark.parametrize("name", ["warm-hills", "club-runner"])
def test_no_figure_of_a_demo_plan_is_a_chance(name: str) -> None:
    path = Path(str(files("provand"))) / "demo" / name / "case.toml"
    case = read_case(path, as_of=DAY)
    plan = draw_up(case, screen(case, read_health(path, of=case), as_of=DAY)[0], as_of=DAY)
    ids = [figure.id for figure in plan.figures]
    assert len(ids) > 40
    assert not [figure_id for figure_id in ids if any(word in figure_id for word in CHANCE)]
