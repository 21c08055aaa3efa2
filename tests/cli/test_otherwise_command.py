"""`provand otherwise`: each scenario with its line and its schedule, or why there is none."""

from __future__ import annotations

import json
from pathlib import Path

from ended import Command

DAY = "2026-11-25"
DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo"


def test_every_scenario_is_told_with_its_line_and_its_schedule(provand: Command) -> None:
    done = provand("otherwise", str(DEMO / "warm-hills" / "case.toml"), "--as-of", DAY)
    assert done.status == 0, done.err
    assert "Nothing left at Tollgate? Take your caffeine gel at Packing shed. Never two at once." in done.out
    assert "1:35, Packing shed, km 18.1: caffeine gel + cup of water" in done.out


def test_what_is_left_out_is_said_with_its_reason(provand: Command) -> None:
    done = provand("otherwise", str(DEMO / "club-runner" / "case.toml"), "--as-of", DAY)
    assert "Left out: it cannot be planned." in done.out
    assert "nothing is carried that could be lost" in done.out


def test_a_program_reads_the_same_as_data(provand: Command) -> None:
    done = provand("otherwise", str(DEMO / "warm-hills" / "case.toml"), "--as-of", DAY, "--json")
    told = json.loads(done.out)
    assert [one["id"] for one in told["scenarios"]] == ["lost", "empty", "late", "hotter", "sick"]
    assert all(one["check"] == [] for one in told["scenarios"])


def test_on_hold_nothing_is_told(provand: Command) -> None:
    done = provand("otherwise", str(DEMO / "on-hold" / "case.toml"), "--as-of", DAY)
    assert done.status == 3
    assert "gel" not in done.out
