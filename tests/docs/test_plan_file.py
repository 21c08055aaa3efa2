"""What a plan's folder and a plan's goals are called stands in the docs, as a plan really has them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from docs_run import ROOT, run


def test_files_and_goals_of_a_plan_are_documented(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    for command in (["new", "a.toml"], ["plan", "a.toml", "--out", "plan", "--as-of", "2026-11-25"]):
        status, printed = run(command, monkeypatch, capsys)
        assert status == 0, printed
    told = (ROOT / "docs" / "plan-file.md").read_text("utf-8")
    assert not [path.name for path in Path("plan").iterdir() if f"| `{path.name}` |" not in told]
    goals = [goal["name"] for goal in json.loads(Path("plan/plan.json").read_text("utf-8"))["race"]["goals"]]
    page = " ".join((ROOT / "docs" / "how-it-computes.md").read_text("utf-8").split())
    places = [page.find(name) for name in goals]
    assert goals
    assert -1 not in places, goals
    assert places == sorted(places), goals
