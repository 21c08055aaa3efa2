"""The bench measures in turns, judges by its goals, and fails where a command fails."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import run
from measure import Ratio, medians_s, run_s, table, write
from source_tree import ROOT


def test_tasks_run_in_turns_after_a_round_that_does_not_count() -> None:
    runs: list[str] = []
    times_s = {"plan": iter([90.0, 3.0, 1.0, 2.0]), "base": iter([80.0, 1.0, 1.0, 4.0])}

    def task(name: str) -> float:
        runs.append(name)
        return next(times_s[name])

    medians = medians_s({"plan": lambda: task("plan"), "base": lambda: task("base")}, rounds=3)
    assert medians == {"plan": 2.0, "base": 1.0}
    assert runs == ["plan", "base"] * 4


def test_a_ratio_over_its_goal_does_not_hold_and_says_so() -> None:
    slow = Ratio("start", 1.6, "the least program", 1.5)
    assert not slow.holds
    assert "FAILS" in table([slow])
    assert Ratio("start", 1.5, "the least program", 1.5).holds


def test_ratios_are_written_as_a_list_of_objects(tmp_path: Path) -> None:
    write([Ratio("start", 1.2, "the least program", 1.5)], tmp_path / "new" / "bench.json")
    assert json.loads((tmp_path / "new" / "bench.json").read_text("utf-8")) == [
        {"name": "start", "ratio": 1.2, "baseline": "the least program", "goal": 1.5, "holds": True}
    ]


def test_a_command_that_fails_is_not_timed() -> None:
    with pytest.raises(subprocess.CalledProcessError):
        run_s([sys.executable, "-c", "raise SystemExit(3)"])


def test_the_two_command_program_that_start_up_is_measured_against_runs() -> None:
    assert run_s([sys.executable, str(ROOT / "bench" / "two_commands.py"), "--help"]) > 0


def test_start_up_can_be_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run, "ROUNDS", 1)
    assert [ratio.ratio > 0 for ratio in run.start_up()] == [True]
