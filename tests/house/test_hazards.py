"""The hazard log holds to what is there: code that exists, tests that exist, run, and are never skipped."""

from __future__ import annotations

import ast
import importlib
import tomllib
from functools import cache, reduce

import pytest
from source_tree import ROOT

from provand.card import sources
from provand.safety.hazards import SEVERITIES, Control, controls, hazards

CONTROLS = controls()
MUTATIONS = tomllib.loads((ROOT / "tests" / "hazards" / "mutations.toml").read_text("utf-8"))["mutation"]
ASKED_FOR = {
    "fluid_excess", "sodium", "caffeine", "allergen", "eating_disorder", "minor", "medicine", "withdrawal",
    "heat", "clock_and_zone", "stale_copy", "wrong_person", "unit_slip", "wrong_denominator",
    "false_precision", "race_week_illness", "screening", "untranslated",
}  # fmt: skip
MAY_SKIP = {"real_course", "chromium", "pdftotext"}
"""Fixtures that skip a test where their means are missing."""
SKIPS = {"skip", "skipif", "xfail", "importorskip"}

Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def found_in(file: str) -> dict[str, Function]:
    """Return the tests of a file by the rest of their node ids: `test_x`, `TestY::test_x`."""
    tree = ast.parse((ROOT / file).read_text("utf-8"))
    found = {node.name: node for node in tree.body if isinstance(node, Function)}
    for owner in (node for node in tree.body if isinstance(node, ast.ClassDef)):
        found |= {f"{owner.name}::{node.name}": node for node in owner.body if isinstance(node, Function)}
    return {name: node for name, node in found.items() if node.name.startswith("test_")}


def node_of(node_id: str) -> Function | None:
    file, _, name = node_id.partition("::")
    return found_in(file).get(name) if (ROOT / file).is_file() else None


def skipped_by(test: Function) -> set[str]:
    """Return the ways in which a test may be left out: a mark, a call, a fixture."""
    arguments = {argument.arg for argument in (*test.args.args, *test.args.kwonlyargs)}
    called = {node.attr for node in ast.walk(test) if isinstance(node, ast.Attribute)}
    return (arguments & MAY_SKIP) | (called & SKIPS)


def named_tests() -> list[str]:
    return sorted({node_id for control in CONTROLS.values() for node_id in control.tests})


def test_every_hazard_that_was_asked_for_stands_in_the_log_once() -> None:
    ids = [hazard.id for hazard in hazards()]
    assert len(ids) == len(set(ids))
    assert set(ids) >= ASKED_FOR
    assert len(CONTROLS) == sum(len(hazard.control) for hazard in hazards())


@pytest.mark.parametrize("node_id", named_tests())
def test_a_test_of_the_log_exists_and_is_never_skipped(node_id: str) -> None:
    test = node_of(node_id)
    assert test is not None, f"there is no test {node_id}"
    assert not skipped_by(test)


PLANTED = (
    "pytest.skip('no')",
    "@pytest.mark.skipif(WINDOWS, reason='no')",
)


@pytest.mark.parametrize("planted", PLANTED)
def test_a_test_that_may_be_skipped_is_found(planted: str) -> None:
    body = f"{planted}\ndef test_x(): ..." if planted.startswith("@") else f"def test_x():\n    {planted}"
    (test,) = ast.parse(body).body
    assert isinstance(test, Function)
    assert skipped_by(test)


@pytest.mark.parametrize("control", CONTROLS.values(), ids=CONTROLS.keys())
def test_a_control_names_code_that_exists(control: Control) -> None:
    for place in control.where:
        module, _, name = place.partition(":")
        found = importlib.import_module(f"provand.{module}")
        assert reduce(getattr, name.split("."), found) is not None


@pytest.mark.parametrize("hazard", hazards(), ids=lambda hazard: hazard.id)
def test_a_hazard_names_sources_that_exist_and_stands_by_severity(hazard: object) -> None:
    assert set(getattr(hazard, "sources", ())) <= set(sources())
    assert getattr(hazard, "severity", "") in SEVERITIES


def test_every_mutation_breaks_a_control_of_the_log_with_a_test_of_that_control() -> None:
    for mutation in MUTATIONS:
        control = CONTROLS.get(mutation["control"])
        assert control is not None, mutation["control"]
        assert mutation["test"].partition("[")[0] in control.tests, mutation["control"]


def test_what_can_kill_has_a_control_that_is_broken_on_purpose() -> None:
    broken = {mutation["control"].partition(".")[0] for mutation in MUTATIONS}
    assert {hazard.id for hazard in hazards() if hazard.severity == "can kill"} <= broken


def test_the_page_names_every_check_of_the_proof_by_chance() -> None:
    tree = ast.parse((ROOT / "tests" / "hazards" / "held_to.py").read_text("utf-8"))
    (checks,) = (
        node.value
        for node in tree.body
        if isinstance(node, ast.AnnAssign) and ast.unparse(node.target) == "CHECKS"
    )
    names = {node.id for node in ast.walk(checks) if isinstance(node, ast.Name)} - {"check"}
    page = (ROOT / "docs" / "hazards.md").read_text("utf-8")
    assert len(names) > 9
    assert not [name for name in sorted(names) if f"| `{name}` |" not in page]
