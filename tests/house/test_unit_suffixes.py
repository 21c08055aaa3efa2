"""Units stand in names, and names that meet agree."""

from __future__ import annotations

import ast
from fnmatch import fnmatchcase

import pytest
from source_tree import modules
from unit_lint import disagreements, unfit_for_equations, unsaid

UNITLESS = {
    "case/food_table.py:Column.*": "in the unit of its field: the most, and one of what the head names",
    "case/food_table.py:Kind.most": "in the unit of the field beside it",
    "case/happened.py:Entry.*": "in the unit of the field named beside it",
    "case/words.py:in_words.value": "in the unit of the field named beside it",
    "case/health.py:Score.*": "counted as the questionnaire counts",
    "case/fields.py:*": "bounds in the unit of the field they bound",
    "figure.py:Figure.value": "its unit is the field beside it",
    "figure.py:Range.*": "a range has the unit of the field it fills",
    "figure.py:Series.*": "a series has the unit of the figure it is of",
    "figure.py:Trace.*.value": "the figure's id says the unit",
    "larder/food.py:Portion.*": "counts of the household unit named beside them",
    "larder/label.py:amount.*": "bounds in the unit of the field they bound",
    "larder/ledger.py:ledger.eaten": "counts of household portions",
    "larder/ledger.py:whole_steps.*": "a column of any unit, and a step in that unit",
    "larder/table.py:Value.*": "its unit ends the name of its column",
    "pack/tongue.py:named_n.count": "of the unit named beside it",
    "phrase.py:*.value": "the unit stands in the sentence around it",
    "pack/letters.py:*.room": "in the unit of the letters' size",
    "pack/letters.py:*.size": "the unit of the drawing it is for, and of the answer",
    "pack/marks.py:Stroke.units": "units of the mark's own grid",
    "pack/rows.py:Frame.*": "a row of any unit, which stands beside its name",
    "pack/rows.py:top_value.highest": "a row of any unit, which stands beside its name",
    "safety/refusals.py:may_hold.amount": "an amount of a label, whichever its unit",
    "pack/scale.py:between.*": "interpolates numbers of any unit",
    "pack/scale.py:nice_step.span_of": "divides an axis of any unit",
    "pack/svg.py:number.value": "a length in the drawing's own units",
    "pack/voice.py:whole*.value": "the unit is printed beside it",
    "plan/lines.py:whole.value": "the unit is printed beside it",
    "planner/patterns.py:up.amount": "rounds a number of any unit",
    "planner/solve.py:Bounded.bound": "in the unit of its goal",
    "planner/solve.py:Model.*": "each column and row has the unit of what it stands for",
    "protocol/figures.py:from_rule.value": "the figure's id says the unit",
    "protocol/rules.py:Rule.*": "its unit is the field beside it",
    "record.py:rounded.value": "rounds a number of any unit",
    "units.py:Reading.value": "the unit asked for is an argument of the reader",
    "units.py:Unit.*": "the table of units itself",
    "units.py:bare_readings.number": "its unit is what is asked about",
    "units.py:read_*": "the unit asked for is an argument of the reader",
    "units.py:shown.value": "the unit is the argument beside it",
}
"""Numbers that have no unit of their own, by `file:Owner.name`, each with the reason."""


def _without_unit() -> dict[str, int]:
    return {f"{path}:{name}": fault.line for path, tree in modules().items() for name, fault in unsaid(tree)}


def test_names_of_different_units_never_meet() -> None:
    faults = [f"{path}:{f.line} {f.says}" for path, tree in modules().items() for f in disagreements(tree)]
    assert not faults, "\n".join(faults)


def test_every_public_number_says_its_unit() -> None:
    bare = [
        f"{name} (line {line})"
        for name, line in _without_unit().items()
        if not any(fnmatchcase(name, pattern) for pattern in UNITLESS)
    ]
    assert not bare, "numbers whose name says no unit:\n" + "\n".join(bare)


def test_no_exemption_outlives_its_number() -> None:
    names = list(_without_unit())
    stale = [pattern for pattern in UNITLESS if not any(fnmatchcase(name, pattern) for name in names)]
    assert not stale


def test_equations_have_no_integer_power_and_no_default() -> None:
    faults = [
        f"{path}:{fault.line} {fault.says}"
        for path, tree in modules().items()
        if path.startswith("physiology/")
        for fault in unfit_for_equations(tree)
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize(
    "planted",
    [
        "f(x_g_per_h=dose_g)",
        "f(x_g_per_day=dose_g_per_h)",
        "f(x_g_per_h=case.dose_g)",
        "f(x_g=sweat_ml_per_h.low)",
        "a_s + b_min",
        "a_s - (b_s + c_min)",
        "a_s < b_min",
        "0 < a_s <= athlete.b_min",
        "total_mg += dose_g",
        "a_kg = b_g",
        "a_kg: float = b_g",
        "min(a_s, b_min)",
        "elapsed_s(x) + b_min",
        "places_m[0] - x_km",
        "a_c > -b_frac",
        "def dose_g_per_h(x):\n    return x_g",
    ],
)
def test_the_lint_finds_units_that_disagree(planted: str) -> None:
    assert len(disagreements(ast.parse(planted))) == 1


@pytest.mark.parametrize(
    "sound",
    [
        "f(x_g_per_h=dose_g / elapsed_h)",
        "f(x_g_per_h=other_g_per_h)",
        "f(x_g=dose)",
        "a_s + 60 * b_min",
        "a_s + b_s",
        "min(a_s, b_s)",
        "f(a_s, b_min)",
        "item == index",
        "f(limit_mg=limits.caffeine_day.value.low)",
        "(low_g, high_g) == limits",
        "def dose_g(x):\n    def inner():\n        return x_s\n    return x_g",
    ],
)
def test_the_lint_is_silent_where_units_agree_or_cannot_be_told(sound: str) -> None:
    assert disagreements(ast.parse(sound)) == []


@pytest.mark.parametrize(
    "planted",
    [
        "def f(*, dose: float): ...",
        "def f(*, dose: float | None): ...",
        "def f(dose: 'Range'): ...",
        "def f(doses: tuple[float, ...]): ...",
        "def f(m: float): ...",
        "class Food(Record):\n    carb: Range",
        "class Food(Record):\n    carb: float | None = None",
        "class Food:\n    def eat(self, portion: float): ...",
    ],
)
def test_the_lint_finds_a_public_number_without_unit(planted: str) -> None:
    assert len(list(unsaid(ast.parse(planted)))) == 1


@pytest.mark.parametrize(
    "sound",
    [
        "def f(*, dose_g: float): ...",
        "def f(name: str, count: int): ...",
        "def _f(dose: float): ...",
        "class _Food:\n    carb: float",
        "class Food(Record):\n    carb_g: Range\n    name: str",
        "def f(inputs: dict[str, float]): ...",
        "total: float = 0",
    ],
)
def test_the_lint_passes_a_number_with_unit_and_what_is_private(sound: str) -> None:
    assert list(unsaid(ast.parse(sound))) == []


@pytest.mark.parametrize(
    ("planted", "faults"),
    [
        ("x ** 2", 1),
        ("x ** -2", 1),
        ("def f(*, x_g=1.0): ...", 1),
        ("def f(x_g=1.0): ...", 1),
        ("x ** 0.75", 0),
        ("math.pow(x, 2)", 0),
        ("def f(*, x_g): ...", 0),
    ],
)
def test_the_lint_finds_what_an_equation_must_not_have(planted: str, faults: int) -> None:
    assert len(unfit_for_equations(ast.parse(planted))) == faults
