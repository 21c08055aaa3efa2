"""`provand change`: the next case in the same file, the plan again, the difference."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from ended import Command

from provand.case.replace import replace
from provand.finding import BadInput

DAY = ("--as-of", "2026-11-25")
DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo"


@pytest.fixture
def case(tmp_path: Path) -> Path:
    folder = tmp_path / "warm-hills"
    shutil.copytree(DEMO / "warm-hills", folder)
    return folder / "case.toml"


def test_a_forecast_is_written_told_and_its_plan_is_what_plan_makes(
    provand: Command, case: Path, tmp_path: Path
) -> None:
    before = case.read_text("utf-8")
    done = provand("change", str(case), "forecast", "--air-temp", "19 to 23 C", *DAY)
    assert done.status == 0, done.err
    assert done.out.startswith("The forecast goes from 17 to 22 °C to 19 to 23 °C.\n")
    assert "air temperature: 17 to 22 C, likely 20 C -> 19 to 23 C" in done.out
    after = case.read_text("utf-8")
    assert [line for line in before.splitlines() if line.startswith("#")] == [
        line for line in after.splitlines() if line.startswith("#")
    ]
    told = json.loads(provand("change", str(case), "wave", "2 min", "--dry-run", "--json", *DAY).out)
    assert (told["status"], told["written"]) == (0, False)
    assert provand("plan", str(case), "--out", str(tmp_path / "plan"), *DAY).status == 0


def test_a_dry_run_shows_all_and_writes_nothing(provand: Command, case: Path) -> None:
    before = case.read_bytes()
    done = provand("change", str(case), "serves", "Tollgate", "nothing", "--dry-run", *DAY)
    assert done.status == 0
    assert "a dry run, nothing was written" in done.out
    assert "Caffeine gel moved" in done.out
    assert case.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["forecast", "--air-temp", "NaN C"], "weather.air_temp: 'NaN C' cannot be read in °C"),
        (["forecast", "--air-temp", "21 to 65 C"], "outside what is allowed"),
        (["serves", "Tolgate", "water"], "Did you mean 'Tollgate'?"),
        (["edit", "weather.air_tmp", "9 C"], "Did you mean 'air_temp'?"),
        (["edit", "athlete.name", "Somebody Else"], "these answers are bound to Imke Loam"),
        (["override", "ceiling.fluid_ml_per_race", "9 l", "--by", "R", "--why", "x"], "no target"),
        (["goal"], "the change says nothing"),
    ],
    ids=str,
)
def test_a_change_that_is_refused_leaves_the_file_as_it_is(
    provand: Command, case: Path, words: list[str], says: str
) -> None:
    before = case.read_bytes()
    ended = provand("change", str(case), *words, *DAY)
    assert ended.status == 2
    assert says in ended.err
    assert case.read_bytes() == before
    assert [path.name for path in case.parent.iterdir() if path.name.startswith(".")] == []


def test_on_hold_the_change_is_written_and_nothing_of_the_plan_is_told(
    provand: Command, tmp_path: Path
) -> None:
    folder = tmp_path / "on-hold"
    shutil.copytree(DEMO / "on-hold", folder)
    ended = provand("change", str(folder / "case.toml"), "wave", "12 min", *DAY)
    assert ended.status == 3
    assert "own start goes from" in ended.out
    assert "on hold" in ended.err
    assert "g/" not in ended.out + ended.err
    assert 'own_offset = "12 min"' in (folder / "case.toml").read_text("utf-8")


def test_too_hot_a_forecast_is_written_and_holds_the_plan(provand: Command, case: Path) -> None:
    ended = provand("change", str(case), "forecast", "--air-temp", "34 to 37 C", *DAY)
    assert ended.status == 3
    assert "this race should not be run for a time" in ended.err
    assert 'air_temp = "34 to 37 C"' in case.read_text("utf-8")
    back = provand("change", str(case), "forecast", "--air-temp", "18 to 22 C", "--json", *DAY)
    assert json.loads(back.out)["status"] == 0


def test_line_ends_and_a_byte_order_mark_stay(provand: Command, case: Path) -> None:
    case.write_bytes(b"\xef\xbb\xbf" + case.read_bytes().replace(b"\n", b"\r\n"))
    assert provand("change", str(case), "ban", "cola", *DAY).status == 0
    after = case.read_bytes()
    assert after.startswith(b"\xef\xbb\xbf#")
    assert after.count(b"\n") == after.count(b"\r\n")


def test_a_file_changed_meanwhile_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_bytes(b"theirs")
    with pytest.raises(BadInput, match="changed by somebody else meanwhile"):
        replace(path, b"ours", was=b"read before")
    assert path.read_bytes() == b"theirs"
    assert [one.name for one in tmp_path.iterdir()] == ["case.toml"]
    path.chmod(0o640)
    replace(path, b"ours", was=b"theirs")
    assert path.read_bytes() == b"ours"
    assert path.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["pin", "hill-gel", "20.4 km"], "last 15 minutes of the slow case"),
        (["pin", "banana-half", "9 km"], "cannot be planned: refused by the athlete"),
        (["pin", "water", "Windmill", "--portion", "4"], "the fluid ceiling"),
        (["move", "gel-25-caffeine", "Tollgate", "10.4 km"], "more glucose is eaten than 60 g/h"),
    ],
    ids=str,
)
def test_what_is_laid_by_hand_over_a_limit_is_refused_with_the_reason(
    provand: Command, case: Path, words: list[str], says: str
) -> None:
    before = case.read_bytes()
    ended = provand("change", str(case), *words, *DAY)
    assert ended.status == 2
    assert says in ended.err
    assert case.read_bytes() == before


def test_on_hold_no_schedule_is_laid_by_hand(provand: Command, tmp_path: Path) -> None:
    folder = tmp_path / "on-hold"
    shutil.copytree(DEMO / "on-hold", folder)
    before = (folder / "case.toml").read_bytes()
    assert provand("change", str(folder / "case.toml"), "pin", "gel-25", "9 km", *DAY).status == 3
    assert (folder / "case.toml").read_bytes() == before


def test_a_gel_is_moved_without_a_solver_and_the_rest_stays(provand: Command, case: Path) -> None:
    done = provand("change", str(case), "move", "hill-gel", "4.8 km", "6 km", "--json", *DAY)
    told = json.loads(done.out)
    assert told["status"] == 0
    moved = [effect["says"] for effect in told["difference"]["effects"] if effect["kind"] == "intake"]
    assert len(moved) == 1
    assert "km 6.0" in moved[0]
    again = provand("change", str(case), "solve", *DAY)
    assert again.status == 0
    assert "given = " not in case.read_text("utf-8")


def test_a_delay_without_answers_is_refused_and_with_them_it_is_written(provand: Command, case: Path) -> None:
    before = case.read_bytes()
    asked = provand("change", str(case), "delay", "40 min", *DAY)
    assert asked.status == 2
    assert "asks first what was eaten" in asked.err
    assert case.read_bytes() == before
    words = ("--eaten", "hill-gel", "--eaten", "1 cola", "--caffeine", "80 mg", "--at", "06:00")
    done = provand("change", str(case), "delay", "40 min", *words, *DAY)
    assert done.status == 0, done.err
    assert "Taken before it: 1 hill gel (hill-gel), 1 flat cola (cola) and 80 mg of caffeine." in done.out
    assert "While you wait" in done.out
    assert 'delay = "40 min"' in case.read_text("utf-8")


def test_the_terminal_is_asked_what_was_taken(
    provand: Command, case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = iter(["hill-gel", "none"])
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("typer.prompt", lambda question: next(answers))
    done = provand("change", str(case), "delay", "40 min", *DAY)
    assert done.status == 0, done.err
    assert "Taken before it: 1 hill gel (hill-gel)." in done.out


def test_a_lost_gel_is_planned_no_more(provand: Command, case: Path) -> None:
    done = provand("change", str(case), "missing", "hill-gel", "--json", *DAY)
    told = json.loads(done.out)
    assert told["sentence"] == "1 of hill gel (hill-gel) is lost, 1 left."
    assert any("1 of hill gel are at hand" in finding["sentence"] for finding in told["findings"])
    says = "with enough of hill gel at hand, 2 g would be missing."
    assert any(finding["sentence"] == says for finding in told["findings"])
