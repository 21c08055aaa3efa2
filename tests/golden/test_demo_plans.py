"""The demo plans' figures move only on purpose: then with a line under "Changed numbers" in the changelog."""

from __future__ import annotations

import json

import pytest
from demo_figures import FROZEN, NAMES, figures


@pytest.mark.parametrize("name", NAMES)
def test_no_figure_of_a_demo_plan_moves_unnoticed(name: str) -> None:
    frozen = json.loads(FROZEN.read_text("utf-8"))[name]
    now = figures(name)
    assert now["stops"] == frozen["stops"]
    assert now["thirst"] == frozen["thirst"]
    assert now["figures"].keys() == frozen["figures"].keys()
    for figure_id, values in now["figures"].items():
        assert values == pytest.approx(frozen["figures"][figure_id], rel=1e-5), figure_id
