"""An invented runner with a menu for one block of 24 hours, laid by hand; nobody stands behind it."""

from __future__ import annotations

import tomllib
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from provand.case.case import Case
from provand.case.door import case_of, in_folder, read_health
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.safety.screening import Screening, screen

FOLDER = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo" / "club-runner"
TODAY = date(2026, 11, 25)
TICK = {
    "what": "load.dose_g_per_kg_per_day",
    "value": "8 g/kg/day",
    "by": "Sanna Vell",
    "on": date(2026, 11, 20),
    "why": "eaten without trouble before",
}
LAID = """
[menu]
blocks = 1
in_house = [{ food = "pasta", amount = "200 g" }]
laid = [
    { on = 2026-12-12, meal = "lunch", food = "white-rice", portions = 3 },
    { on = 2026-12-12, meal = "lunch", food = "chicken-breast", portions = 1 },
    { on = 2026-12-12, meal = "afternoon snack", food = "bagel", portions = 1 },
    { on = 2026-12-12, meal = "dinner", food = "pasta", portions = 3 },
    { on = 2026-12-12, meal = "dinner", food = "tomato-sauce", portions = 1, pinned = true },
    { on = 2026-12-13, meal = "race meal", food = "white-bread", portions = 3 },
    { on = 2026-12-13, meal = "race meal", food = "honey", portions = 2 },
]
"""


def typed(laid: str = LAID, *, ticked: bool = True, **athlete: Any) -> dict[str, Any]:
    """Return the case as plain data, with a menu, a ticked load, and what is changed of the athlete."""
    data = tomllib.loads((FOLDER / "case.toml").read_text("utf-8"))
    data.pop("menu", None)
    wishes = data.setdefault("wishes", {})
    wishes["overrides"] = [TICK] if ticked else []
    data["athlete"] |= athlete
    return data | tomllib.loads(laid)


def case_with(laid: str = LAID, *, ticked: bool = True, **athlete: Any) -> Case:
    return case_of(typed(laid, ticked=ticked, **athlete), beside=in_folder(FOLDER), as_of=TODAY)


def screened(case: Case, *withheld: str) -> Screening:
    """Return the screening of the runner, who is clear, with parts withheld."""
    screening, _ = screen(case, read_health(FOLDER / "case.toml"), as_of=TODAY)
    return screening.model_copy(update={"withheld": tuple(sorted(withheld))}) if withheld else screening


@cache
def plan_with(laid: str = LAID, *withheld: str, ticked: bool = True) -> Plan:
    case = case_with(laid, ticked=ticked)
    return draw_up(case, screened(case, *withheld), as_of=TODAY)
