"""The main job on courses that somebody really went, as races of their own length."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from ended import Command

ROOT = Path(__file__).resolve().parents[2]
REAL = ROOT / "build" / "real"
DEMO = ROOT / "src" / "provand" / "demo" / "warm-hills"
COURSES = [("korita-zbevnica.gpx", 8.64, "1:05"), ("ExampleTrack.gpx", 19.34, "1:58")]


@pytest.mark.parametrize(("track", "length_km", "goal"), COURSES)
def test_a_recorded_course_gives_a_plan_of_its_own_length(
    provand: Command, tmp_path: Path, track: str, length_km: float, goal: str
) -> None:
    if not (REAL / track).exists():
        pytest.skip(f"{track} could not be fetched: run python tests/set_up/courses.py")
    shutil.copy(REAL / track, tmp_path / "course.gpx")
    shutil.copy(DEMO / "case.health.toml", tmp_path / "case.health.toml")
    case = tmp_path / "case.toml"
    case.write_text(real_case(length_km, goal))
    done = provand("plan", str(case), "--out", str(tmp_path / "plan"), "--as-of", "2026-11-25")
    assert done.status == 0, done.err
    plan = json.loads((tmp_path / "plan" / "plan.json").read_text())
    assert plan["case"]["course"]["x_m"][-1] == pytest.approx(1000 * length_km)
    assert plan["race"]["proven"] or plan["race"]["mode"] == "small"
    assert all(stop["at_m"] <= 1000 * length_km for stop in plan["race"]["stops"])
    assert any("fitted" in finding["code"] or "scaled" in finding["code"] for finding in plan["findings"])


def real_case(length_km: float, goal: str) -> str:
    """Return the warm demo case moved to another length, its stations spread evenly over it."""
    text = (DEMO / "case.toml").read_text()
    head, rest = text.split("[course]", 1)
    course, tail = rest.split("[weather]", 1)
    head = head.replace('distance = "21.0975 km"\ngoal', f'distance = "{length_km} km"\ngoal')
    head = head.replace('goal = "1:52"', f'goal = "{goal}"')
    head = "\n".join(line for line in head.splitlines() if not line.startswith('finish = "1:47'))
    blocks = course.split("[[course.stations]]")
    for number in range(1, len(blocks)):
        at_km = round(length_km * number / len(blocks), 2)
        lines = [
            f'at = "{at_km} km"' if line.startswith("at =") else line for line in blocks[number].splitlines()
        ]
        blocks[number] = "\n".join(lines) + "\n"
    return head + "\n[course]" + "[[course.stations]]".join(blocks) + "[weather]" + tail
