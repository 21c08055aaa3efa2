"""What the ledger keeps is read in one place; elsewhere its rows are only added."""

from __future__ import annotations

import ast

from source_tree import modules

KEPT = {
    "Athlete", "Audit", "CaseVersion", "Handout", "HealthEntry", "Holder", "Issue", "PlanText", "Race",
    "Withdrawal",
}  # fmt: skip


def reads(tree: ast.Module) -> list[str]:
    """Return every `Model.objects.method` of a kept row that is no `create`."""
    found = []
    for node in ast.walk(tree):
        match node:
            case ast.Attribute(
                value=ast.Attribute(value=ast.Name(id=model), attr="objects"), attr=method
            ) if model in KEPT and method != "create":
                found.append(f"{model}.objects.{method} (line {node.lineno})")
    return found


def test_kept_rows_are_read_in_access_alone() -> None:
    elsewhere = {
        name: found
        for name, tree in modules().items()
        if name != "workspace/access.py" and (found := reads(tree))
    }
    assert not elsewhere


def test_a_reading_elsewhere_is_found() -> None:
    assert len(reads(ast.parse("x = Issue.objects.filter(n=1)\nIssue.objects.create(n=1)"))) == 1
