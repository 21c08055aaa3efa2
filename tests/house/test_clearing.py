"""Nothing is handed out that the gate did not see: one place makes a cleared plan."""

from __future__ import annotations

import ast

from source_tree import modules


def test_only_the_review_makes_a_cleared_plan() -> None:
    callers = {
        name
        for name, tree in modules().items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Name | ast.Attribute)
        and getattr(node, "id", getattr(node, "attr", "")) == "cleared_after"
    }
    assert callers == {"plan/review.py"}
