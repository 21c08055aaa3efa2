"""Each error of the trade that concerns food is held by tests that exist and are never skipped."""

from __future__ import annotations

import tomllib

import pytest
from source_tree import ROOT
from test_hazards import node_of, skipped_by

MISTAKES = tomllib.loads((ROOT / "tests" / "mistakes.toml").read_text("utf-8"))["mistake"]
NAMED = sorted({node_id for mistake in MISTAKES for node_id in mistake["tests"]})


@pytest.mark.parametrize("node_id", NAMED)
def test_a_test_that_is_named_exists_and_is_never_skipped(node_id: str) -> None:
    test = node_of(node_id)
    assert test is not None
    assert not skipped_by(test)


def test_each_error_stands_there_once_with_a_test() -> None:
    named = [mistake["is"] for mistake in MISTAKES]
    assert len(named) == len(set(named)) >= 20
    assert all(mistake["tests"] for mistake in MISTAKES)
