"""The index of decisions names every record, and only those that exist."""

from __future__ import annotations

import re

from source_tree import ROOT

DECISIONS = ROOT / "docs" / "decisions"


def test_the_index_of_decisions_is_complete() -> None:
    linked = re.findall(r"\]\(([^)]+\.md)\)", (DECISIONS / "README.md").read_text("utf-8"))
    assert sorted(linked) == sorted(path.name for path in DECISIONS.glob("0*.md"))
