"""The ledger at the terminal, as a practitioner goes through a race with it."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from ended import Command, Ended

DAY = "2026-11-25"
DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo"
ALEX, CREW = ("--to", "Alex Sample (athlete)"), ("--to", "Pat Crew (crew)")


@pytest.fixture
def starter(provand: Command, tmp_path: Path) -> Path:
    case = tmp_path / "my-case.toml"
    assert provand("new", str(case)).status == 0
    return case


def issue(provand: Command, case: Path, out: Path, *words: str, pieces: str = "strip,calendar") -> Ended:
    return provand("issue", str(case), *words, "--out", str(out), "--pieces", pieces, "--as-of", DAY)


def codes(told: str) -> list[str]:
    return re.findall(r"\b[0-9A-Z]{4}-[0-9A-Z]{4}\b", told)


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_a_race_from_the_first_issue_to_its_withdrawal(
    provand: Command, starter: Path, tmp_path: Path
) -> None:
    first = issue(provand, starter, tmp_path / "a", *ALEX, *CREW)
    assert first.status == 0, first.err
    assert "number 1" in first.out
    assert "given to Alex Sample (athlete), Pat Crew (crew): strip, calendar" in first.out
    assert names(tmp_path / "a") == {"strip.pdf", "race.ics"}
    code = codes(first.out)[0]

    again = issue(provand, starter, tmp_path / "b", "--to", "Mo Guide (guide)", pieces="strip")
    assert "the same plan as before" in again.out
    assert "given to Mo Guide (guide)" in again.out

    changed = provand("change", str(starter), "ban", "gel-25", "--as-of", DAY)
    assert changed.status == 0, changed.err
    second = issue(provand, starter, tmp_path / "c", *ALEX)
    assert second.status == 0, second.err
    assert f"number 1, {code}, no longer counts" in second.out
    assert "Given differently: " in second.out
    assert f"Pat Crew (crew): strip, calendar of number 1, {code}" in second.out
    assert f"Mo Guide (guide): strip of number 1, {code}" in second.out
    new = codes(second.out)[0]

    asked = provand("whose", code.lower().replace("-", ""))
    assert "read as" in asked.out
    assert f"number 2, {new}, came after it" in asked.out
    assert json.loads(provand("whose", new, "--json").out)["issues"][0]["counts"] is True
    slip = provand("whose", new[:-1] + ("B" if new[-1] != "B" else "C"))
    assert (slip.status, slip.out) == (2, "")
    assert f"{new} meant?" in slip.err

    today = date.today().isoformat()
    held = provand("held", "Alex Sample", "--on", today, "--out", str(tmp_path / "held"))
    assert names(tmp_path / "held") == {f"1-{code}", f"2-{new}"}
    assert "no longer counted then" in held.out
    for name in ("strip.pdf", "race.ics"):
        assert (tmp_path / "held" / f"2-{new}" / name).read_bytes() == (tmp_path / "c" / name).read_bytes()
    assert provand("held", "Alx Sample", "--on", today).status == 2

    refused = provand("undo", str(starter))
    assert refused.status == 2
    assert f"does not pass number 2, {new}" in refused.err

    bare = provand("withdraw", new, "--out", str(tmp_path / "gone"))
    assert bare.status == 2
    assert "--why" in bare.err
    gone = provand("withdraw", new, "--why", "knee", "--by", "Robin Example", "--out", str(tmp_path / "gone"))
    assert gone.status == 0, gone.err
    assert names(tmp_path / "gone") == {"safety.pdf", "race-cancelled.ics"}
    assert f"Alex Sample (athlete): strip, calendar of number 2, {new}" in gone.out
    later = provand("withdraw", new, "--out", str(tmp_path / "gone"))
    assert later.status == 0
    assert "withdrawn on" in later.out


def test_undo_puts_the_file_back_to_the_byte(provand: Command, starter: Path) -> None:
    before = starter.read_bytes()
    assert provand("change", str(starter), "ban", "gel-25", "--as-of", DAY).status == 0
    assert starter.read_bytes() != before
    undone = provand("undo", str(starter))
    assert undone.status == 0, undone.err
    assert "taken back" in undone.out
    assert starter.read_bytes() == before
    assert provand("undo", str(starter)).status == 2


def test_a_change_that_the_ledger_cannot_keep_is_not_made(
    provand: Command, starter: Path, tmp_path: Path
) -> None:
    (tmp_path / "no-ledger").write_text("x")
    before = starter.read_bytes()
    words = ("ban", "gel-25", "--as-of", DAY, "--ledger", str(tmp_path / "no-ledger"))
    assert provand("change", str(starter), *words).status == 2
    assert starter.read_bytes() == before


def test_on_hold_the_safety_page_is_given_and_nothing_else(provand: Command, tmp_path: Path) -> None:
    case = DEMO / "on-hold" / "case.toml"
    name = re.search(r'^\[athlete\]\s+name = "([^"]+)"', case.read_text("utf-8"), re.MULTILINE)
    assert name
    held = issue(provand, case, tmp_path / "out", "--to", f"{name[1]} (athlete)")
    assert held.status == 3
    assert names(tmp_path / "out") == {"safety.pdf"}
    assert "the safety page, and nothing else" in held.out
    told = provand("held", name[1], "--on", date.today().isoformat())
    assert "safety for" in told.out
    assert not codes(told.out)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--to", "Alex Sample"), 'Type it as "Name (role)"'),
        (("--to", "Alex Sampel (athlete)"), "this plan is of Alex Sample"),
        ((*ALEX, "--pieces", "strip,calender"), "Did you mean calendar?"),
        ((*ALEX, "--pieces", "record"), "piece"),
    ],
)
def test_bad_input_is_told_and_leaves_nothing(
    provand: Command, starter: Path, tmp_path: Path, words: tuple[str, ...], says: str
) -> None:
    out = tmp_path / "out"
    ended = provand("issue", str(starter), *words, "--out", str(out), "--as-of", DAY)
    assert ended.status == 2
    assert says in ended.err
    assert not out.exists()


@pytest.fixture
def newer(provand: Command, starter: Path, tmp_path: Path) -> Iterator[Path]:
    """Yield a ledger that has taken a step which this program does not know."""
    path = tmp_path / "newer.sqlite3"
    provand("change", str(starter), "ban", "gel-25", "--as-of", DAY, "--ledger", str(path))
    file = sqlite3.connect(path)
    with file:
        file.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('workspace', '9999', 0)")
    file.close()
    yield path


def test_a_ledger_of_a_newer_program_stops_every_command_in_words(
    provand: Command, starter: Path, newer: Path, tmp_path: Path
) -> None:
    out = str(tmp_path / "out")
    for words in (
        ["issue", str(starter), *ALEX, "--out", out, "--as-of", DAY],
        ["held", "Alex Sample", "--on", DAY],
        ["whose", "P36Z-SYW4"],
        ["withdraw", "P36Z-SYW4", "--why", "x", "--by", "x", "--out", out],
        ["undo", str(starter)],
    ):
        ended = provand(*words, "--ledger", str(newer))
        assert ended.status == 2, words
        assert "newer program" in ended.err
    assert not (tmp_path / "out").exists()
