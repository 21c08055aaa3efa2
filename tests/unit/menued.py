"""An invented runner with a menu for one block of 24 hours, laid by hand; nobody stands behind it."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
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


OWN_FILE = "our-foods.toml"
OAT_BAR = """
[[foods]]
id = "our-oat-bar"
name = "our oat bar"
roles = ["sweet"]
meals = ["snack"]
unit = "bar"
units = "bars"
one = "45 g"
contains = ["gluten"]
free_from = ["milk", "egg"]
diet = "vegan"
alcohol = "0 g"
[foods.label]
convention = "EU"
basis = "100 g"
pack = "90 g"
carb = "62 g"
fibre = "6 g"
fat = "12 g"
protein = "8 g"
salt = "0,3 g"
caffeine = "0 mg"
energy = "1680 kJ"
ingredients = "oats, glucose syrup, oil"
"""
"""A food of one's own, invented."""
OWN_LAID = LAID.replace("blocks = 1", f'blocks = 1\nown_foods = "{OWN_FILE}"', 1).replace(
    'food = "bagel", portions = 1', 'food = "our-oat-bar", portions = 2', 1
)


BOTTLE = """
[[items]]
id = "my-bottle"
name = "my bottle"
texture = "drink"
pocket = "778 ml"
divides_into = 8
free_from = ["gluten", "milk"]
recipe.volume = "750 ml"
recipe.carb = "60 g/l"
recipe.sodium = "500 mg/l"
recipe.sources = ["sugar", "salt"]
[items.label]
convention = "EU"
basis = "100 ml"
pack = "778 ml"
carb = "6 g"
sodium = "50 mg"
caffeine = "0 mg"
sucrose = "6 g"
ingredients = "water, sugar, salt"
"""
"""A drink that the runner mixes, invented."""


def with_bottle(item: str = BOTTLE, bottles: float = 1, laid: str = LAID, **athlete: Any) -> Case:
    """Return the case with so many bottles of one's own in the hand, drunk in parts."""
    data = typed(laid, **athlete)
    data["athlete"]["pockets"] = [{"name": "left hand", "room": "800 ml"}, {"name": "belt", "room": "900 ml"}]
    data["athlete"]["rehearsed"] += [{"item": "my-bottle"}]
    data["items"] = [*data.get("items", []), *tomllib.loads(item)["items"]]
    parts = [
        {"item": "my-bottle", "at": at, "portion": bottles / 4} for at in ("4 km", "8 km", "12 km", "16 km")
    ]
    data["wishes"] |= {"schedule": "as given", "given": parts}
    return case_of(data, beside=in_folder(FOLDER), as_of=TODAY)


def typed(laid: str = LAID, *, ticked: bool = True, **athlete: Any) -> dict[str, Any]:
    """Return the case as plain data, with a menu, a ticked load, and what is changed of the athlete."""
    data = tomllib.loads((FOLDER / "case.toml").read_text("utf-8"))
    data.pop("menu", None)
    wishes = data.setdefault("wishes", {})
    wishes["overrides"] = [TICK] if ticked else []
    data["athlete"] |= athlete
    return data | tomllib.loads(laid)


def with_own(own: str = OAT_BAR, laid: str = OWN_LAID, **athlete: Any) -> Case:
    """Return the case with a file of own foods beside it."""

    def beside(name: str) -> bytes:
        return own.encode("utf-8") if name == OWN_FILE else in_folder(FOLDER)(name)

    return case_of(typed(laid, **athlete), beside=beside, as_of=TODAY)


def case_with(laid: str = LAID, *, ticked: bool = True, **athlete: Any) -> Case:
    return case_of(typed(laid, ticked=ticked, **athlete), beside=in_folder(FOLDER), as_of=TODAY)


PUDDING = """
[[recipes]]
id = "our-rice-pudding"
name = "our rice pudding"
roles = ["sweet"]
meals = ["snack"]
state = "cooked"
makes = 4
done = "900 g"
ingredients = [
  {food = "skimmed-milk", mass = "1000 g"},
  {food = "dry-short-grain-rice", mass = "120 g"},
  {food = "sugar", portions = 10},
  {food = "salt", mass = "3 g"},
]
"""
"""A dish of one's own, invented: 4 portions of 225 g."""


def pudding_laid(portions: int, in_house: str = "") -> str:
    """Return the menu with so many portions of the pudding in place of a bagel."""
    return (
        LAID.replace("blocks = 1", f'blocks = 1\nown_foods = "{OWN_FILE}"', 1)
        .replace("in_house = [", f"in_house = [{in_house}", 1)
        .replace('food = "bagel", portions = 1', f'food = "our-rice-pudding", portions = {portions}', 1)
    )


def case_made(menu: str, own: str = PUDDING, bottles: float = 0) -> Case:
    """Return the case with own dishes, and so many bottles of one's own in the hands, drunk in parts."""
    return case_of(data_made(menu, bottles), beside=beside_of(own), as_of=TODAY)


def data_made(menu: str, bottles: float = 0) -> dict[str, Any]:
    """Return that case as plain data."""
    data = typed(menu)
    if bottles:
        data["athlete"]["pockets"] = [{"name": "hands", "room": "1600 ml"}]
        data["athlete"]["rehearsed"] += [{"item": "my-bottle"}]
        data["items"] = [*data.get("items", []), *tomllib.loads(BOTTLE)["items"]]
        parts = [{"item": "my-bottle", "at": f"{km} km", "portion": bottles / 4} for km in (4, 8, 12, 16)]
        data["wishes"] |= {"schedule": "as given", "given": parts}
    return data


def beside_of(own: str) -> Callable[[str], bytes]:
    """Return what reads the files beside the case, with a text as the file of own foods."""

    def beside(name: str) -> bytes:
        return own.encode("utf-8") if name == OWN_FILE else in_folder(FOLDER)(name)

    return beside


def screened(case: Case, *withheld: str) -> Screening:
    """Return the screening of the runner, who is clear, with parts withheld."""
    screening, _ = screen(case, read_health(FOLDER / "case.toml"), as_of=TODAY)
    return screening.model_copy(update={"withheld": tuple(sorted(withheld))}) if withheld else screening


@cache
def plan_with(laid: str = LAID, *withheld: str, ticked: bool = True) -> Plan:
    case = case_with(laid, ticked=ticked)
    return draw_up(case, screened(case, *withheld), as_of=TODAY)
