"""Bad input at the terminal: words that say what and where, status 2, nothing half-written."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from ended import Command

DAY = "2026-11-25"
PIN = '[[wishes.pinned]]\nitem = "gel-25"\n'

FAULTS = {
    "a wrong unit": (r'^height = "[^"]*"', 'height = "1.68 kg"', "athlete.height"),
    "not a number": (r'^body_mass = "[^"]*"', 'body_mass = "NaN kg"', "25 to 250 kg"),
    "a negative mass": (r'^body_mass = "[^"]*"', 'body_mass = "-63 kg"', "25 to 250 kg"),
    "a mass without unit": (r'^body_mass = "[^"]*"', 'body_mass = "140"', "140 kg or 140 lb"),
    "a bare number": (r'^body_mass = "[^"]*"', "body_mass = 72", "72 kg or 72 lb"),
    "an unknown key": (r"^height = ", "heigth = ", "Did you mean 'height'"),
    "a zone that is none": (r'^zone = "[^"]*"', 'zone = "Europe/Dublinn"', "Europe/Dublin"),
    "a start the clocks skip": (r"^gun = \S+", "gun = 2027-03-28T01:30:00", "does not exist"),
    "a start that comes twice": (r"^gun = \S+", "gun = 2027-10-31T01:30:00", "happens twice"),
    "a race in the past": (r"^gun = \S+", "gun = 2026-10-06T09:00:00", "before 2026-11-25"),
    "a race in the year 9999": (r"^gun = \S+", "gun = 9999-10-06T09:00:00", "Look at the year"),
    "a station past the finish": (r'^at = "15 km"|^at = "15.0 km"', 'at = "25 km"', "past the finish"),
    "a gel of 4 g in 60 g": (r'^carb = "[^"]*"', 'carb = "4 g"', "carb"),
    "a course 3 km short": (r'^distance = "21.0975 km"', 'distance = "24.1 km"', "3.00 km short"),
    "a course file elsewhere": (r"^latitude = .*$", 'gpx = "../course.gpx"', "course"),
    "no humidity at all": (r'^humidity = "\d+ to [^"]*"', 'humidity = "0 %"', "0.01 to 1"),
    "a portion of nought": (r"^\[wishes\]", f'{PIN}portion = "0"\nat = "10 km"\n\n[wishes]', "0.05 to 20"),
    "a pin before the race": (
        r"^\[wishes\]",
        f"{PIN}at_clock = 2026-12-06T03:00:00\n\n[wishes]",
        "outside the race",
    ),
    "broken TOML": (r"^\[race\]", "[race", "line"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_told_with_its_place_and_leaves_nothing(
    provand: Command, tmp_path: Path, name: str
) -> None:
    pattern, new, words = FAULTS[name]
    case, out = tmp_path / "my-case.toml", tmp_path / "plan"
    assert provand("new", str(case)).status == 0
    text = case.read_text("utf-8")
    assert re.search(pattern, text, re.MULTILINE), name
    case.write_text(re.sub(pattern, lambda _: new, text, count=1, flags=re.MULTILINE), "utf-8")
    for command in (["check", str(case)], ["plan", str(case), "--out", str(out)], ["explain", str(case)]):
        ended = provand(*command, "--as-of", DAY)
        assert ended.status == 2, (command, ended)
        assert words in ended.err, ended.err
        assert "Traceback" not in ended.err
        told = provand(*command, "--as-of", DAY, "--json")
        assert json.loads(told.out)["status"] == 2
    assert not out.exists()
    assert {path.name for path in tmp_path.iterdir()} == {"my-case.toml", "my-case.health.toml"}


def test_the_trades_own_table_gives_a_plan_with_something_to_eat(provand: Command, tmp_path: Path) -> None:
    case = tmp_path / "my-case.toml"
    assert provand("new", str(case)).status == 0
    text = case.read_text("utf-8")
    assert 'protocol = "position-stands"' in text
    case.write_text(text.replace('protocol = "position-stands"', 'protocol = "common-practice"'), "utf-8")
    done = provand("plan", str(case), "--out", str(tmp_path / "plan"), "--as-of", DAY)
    assert done.status == 0, done.err
    plan = json.loads((tmp_path / "plan" / "plan.json").read_text("utf-8"))
    assert len(plan["race"]["stops"]) >= 3


def test_a_folder_is_no_case(provand: Command, tmp_path: Path) -> None:
    for path in (".", str(tmp_path)):
        ended = provand("check", path)
        assert ended.status == 2
        assert "not a file" in ended.err


def test_the_items_of_a_case_are_listed(provand: Command, tmp_path: Path) -> None:
    case = tmp_path / "my-case.toml"
    assert provand("new", str(case)).status == 0
    listed = provand("items", "--case", str(case), "--as-of", DAY, "--json")
    assert listed.status == 0, listed.err
    assert {"water", "gel-25"} <= {item["id"] for item in json.loads(listed.out)}


def test_a_protocol_of_ones_own_is_read_and_its_faults_stop_every_command(
    provand: Command, tmp_path: Path
) -> None:
    case, own, out = tmp_path / "my-case.toml", tmp_path / "house.toml", tmp_path / "plan"
    assert provand("new", str(case)).status == 0
    text = case.read_text("utf-8").replace('protocol = "position-stands"', 'protocol = "house.toml"')
    case.write_text(text, "utf-8")
    commands = (["check", str(case)], ["plan", str(case), "--out", str(out)], ["explain", str(case)])
    for data, words in (
        (None, "there is no such file"),
        ("extends = 5", "it extends '5'"),
        ('extends = "position-stands"\nflag = 1', "no protocol reaches it"),
    ):
        if data is not None:
            own.write_text(data, "utf-8")
        for command in commands:
            ended = provand(*command, "--as-of", DAY)
            assert (ended.status, words in ended.err) == (2, True), ended
    assert not out.exists()
    own.write_text('title = "House"\nextends = "common-practice"\n', "utf-8")
    assert [provand(*command, "--as-of", DAY).status for command in commands] == [0, 0, 0]
    plan = json.loads((out / "plan.json").read_text("utf-8"))
    assert [used["title"] for used in plan["protocols"]] == ["House", "Position stands"]
