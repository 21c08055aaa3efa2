"""`provand pack FOLDER`: each case in its own folder; broken off it goes on; what is unreadable is told."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from importlib.resources import files
from pathlib import Path

import pytest
from ended import Command

from provand.cli import many

DAY = "2026-11-25"
DEMO = Path(str(files("provand"))) / "demo"
NAMES = ("warm-hills", "first-timer")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder of two invented cases, each with its files beside it."""
    for name in NAMES:
        shutil.copytree(DEMO / name, tmp_path / "cases" / name)
    return tmp_path / "cases"


def test_each_case_is_packed_into_its_own_folder_and_stands_the_next_time(
    provand: Command, folder: Path, tmp_path: Path
) -> None:
    words = ("pack", str(folder), "--pieces", "safety,calendar", "--out", str(tmp_path / "p"), "--as-of", DAY)
    first = provand(*words)
    assert first.status == 0, first.err
    assert "2 made" in first.out
    for name in NAMES:
        there = {path.name for path in (tmp_path / "p" / name / "case").iterdir()}
        assert there == {"safety.pdf", "race.ics"}
    before = {path: path.stat().st_mtime_ns for path in (tmp_path / "p").rglob("*.pdf")}
    again = provand(*words)
    assert "2 stands as it is" in again.out
    assert {path: path.stat().st_mtime_ns for path in (tmp_path / "p").rglob("*.pdf")} == before


def test_what_changed_or_is_gone_is_made_again(provand: Command, folder: Path, tmp_path: Path) -> None:
    words = ("pack", str(folder), "--pieces", "calendar", "--out", str(tmp_path / "p"), "--as-of", DAY)
    provand(*words)
    (tmp_path / "p" / "warm-hills" / "case" / "race.ics").unlink()
    assert "1 made, 1 stands as it is" in provand(*words).out
    case = folder / "first-timer" / "case.toml"
    case.write_text(case.read_text("utf-8").replace("seen_on = 2026-11-24", "seen_on = 2026-11-23"), "utf-8")
    assert "1 made, 1 stands as it is" in provand(*words).out


def test_one_that_cannot_be_read_and_one_on_hold_are_told_and_the_others_go_on(
    provand: Command, folder: Path, tmp_path: Path
) -> None:
    (folder / "broken.toml").write_text("format = ", "utf-8")
    shutil.copytree(folder / "warm-hills", folder / "held")
    for answers in (folder / "held").glob("*.health.toml"):
        answers.unlink()
    done = provand(
        "pack", str(folder), "--pieces", "calendar", "--out", str(tmp_path / "p"), "--as-of", DAY, "--json"
    )
    told = {row["case"]: row for row in json.loads(done.out)["cases"]}
    assert done.status == 2
    assert {name: row["state"] for name, row in told.items()} == {
        "broken": "failed", "held/case": "held", "warm-hills/case": "made", "first-timer/case": "made",
    }  # fmt: skip
    assert told["broken"]["findings"]
    assert [path.name for path in (tmp_path / "p" / "held" / "case").iterdir()] == ["safety.pdf"]


def test_a_folder_without_a_case_is_refused(provand: Command, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    done = provand("pack", str(tmp_path / "empty"), "--out", str(tmp_path / "p"), "--as-of", DAY)
    assert done.status == 2
    assert "no case file" in done.err


def test_a_list_that_cannot_be_read_says_nothing(tmp_path: Path) -> None:
    (tmp_path / many.MADE).write_text("[", "utf-8")
    assert many._made(tmp_path) == {}


def test_ctrl_c_ends_cleanly_and_the_next_run_goes_on(folder: Path, tmp_path: Path) -> None:
    """Of eight cases: interrupted once the first stands, none is half there, and the rest is made after."""
    for n in range(6):
        shutil.copytree(folder / "warm-hills", folder / f"copy-{n}")
    out = tmp_path / "p"
    program = str(Path(sys.executable).with_name("provand"))
    words = [program, "pack", str(folder), "--out", str(out), "--as-of", DAY]
    running = subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    until = time.monotonic() + 120
    while not (out / many.MADE).exists() and running.poll() is None and time.monotonic() < until:
        time.sleep(0.02)
    os.killpg(running.pid, signal.SIGINT)
    told, err = running.communicate(timeout=300)
    assert running.returncode == 130, err
    assert "Traceback" not in err
    assert "goes on with what is left" in told
    made = json.loads((out / many.MADE).read_text("utf-8"))
    assert 1 <= len(made) < 8
    there = {path.parent.relative_to(out).as_posix() for path in out.rglob("*.pdf")}
    assert there == set(made), "whole or not at all"
    again = subprocess.run(words, capture_output=True, text=True, check=True, timeout=300)
    assert f"{len(made)} stands as it is" in again.stdout
    assert f"{8 - len(made)} made" in again.stdout
