"""Health answers stand apart: nothing that makes a plan or a hand-out can read them."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "house"))
from source_tree import modules

MAKERS = ("estimate/", "planner/", "protocol/", "simulation/", "plan/", "pack/", "larder/", "physiology/")
MAY_WRITE_TO_CLINICIANS = {"pack/letter.py"}
"""A letter to a clinician tells what the clinician needs; it can see no plan."""


def imported(tree: ast.Module) -> set[str]:
    """Return every name a module imports, whole: `provand.case.health.Health`."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


ANSWERS = {
    "Answer", "Medicine", "Health", "Letter", "ClinicianReply", "HandRelease", "Assent", "Score",
    "SodiumTest", "PortionsChoice",
}  # fmt: skip


def knows_answers(name: str) -> bool:
    module, _, what = name.rpartition(".")
    return (module == "provand.case.health" and what in ANSWERS) or name == "provand.safety.screening.screen"


def test_nothing_that_makes_a_plan_or_a_hand_out_knows_the_answers() -> None:
    makers = {path: tree for path, tree in modules().items() if path.startswith(MAKERS)}
    assert len(makers) > 40
    knowing = {path for path, tree in makers.items() if any(map(knows_answers, imported(tree)))}
    assert knowing <= MAY_WRITE_TO_CLINICIANS


def test_an_import_of_the_answers_is_found() -> None:
    planted = "from provand.case.health import Health\nfrom provand.safety.screening import Screening, screen"
    found = {name for name in imported(ast.parse(planted)) if knows_answers(name)}
    assert found == {"provand.case.health.Health", "provand.safety.screening.screen"}
