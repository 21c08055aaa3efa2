"""`provand pack` and `provand pieces`: the pieces named and nothing else, or a word why not."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path

import pdfplumber
import pytest
from ended import Command
from pypdf import PdfReader

from provand.plan.delays import delays

DAY = "2026-11-25"
DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo"
RUNNER = str(DEMO / "club-runner" / "case.toml")


def test_the_pieces_named_are_written_and_told_with_the_code_that_stands_on_them(
    provand: Command, tmp_path: Path
) -> None:
    out = tmp_path / "pack"
    done = provand(
        "pack", RUNNER, "--pieces", "strip, home", "--paper", "a4", "--out", str(out), "--as-of", DAY
    )
    assert done.status == 0, done.err
    assert {path.name for path in out.iterdir()} == {"strip.pdf", "home.pdf", "menu.xlsx"}
    code = done.out.split()[1].rstrip(":")
    assert code in PdfReader(out / "strip.pdf").pages[0].extract_text()


def test_a_draft_says_so_on_every_sheet_and_carries_no_code(provand: Command, tmp_path: Path) -> None:
    done = provand(
        "pack",
        RUNNER,
        "--pieces",
        "strip,calendar",
        "--draft",
        "--out",
        str(tmp_path / "p"),
        "--as-of",
        DAY,
        "--json",
    )
    told = json.loads(done.out)
    assert told["draft"] is True
    assert told["without"] == ["calendar"], "a calendar that is no draft would ring"
    for page in PdfReader(tmp_path / "p" / "strip.pdf").pages:
        assert "Draft, not issued" in page.extract_text()
        assert told["code"] not in page.extract_text()


@pytest.mark.parametrize("words", [["pack"], ["issue", "--to", "Odd F (friend)"]], ids=lambda one: one[0])
def test_the_page_for_the_phone_holds_what_a_later_start_comes_to(
    provand: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    # Planning all of them takes a quarter of a minute: one alone is planned here.
    monkeypatch.setattr("provand.pack.ahead.delays", partial(delays, later_min=(40,)))
    out, (verb, *more) = tmp_path / "pack", words
    done = provand(verb, RUNNER, "--pieces", "phone", *more, "--out", str(out), "--as-of", DAY)
    assert done.status == 0, done.err
    page = (out / "phone.html").read_text("utf-8")
    assert "How much later do you start?" in page
    assert "40 min later: you start at 10:40" in page


def test_a_draft_of_all_pieces_plans_no_later_start(
    provand: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError

    monkeypatch.setattr("provand.pack.ahead.delays", never)
    done = provand(
        "pack", RUNNER, "--pieces", "phone,strip", "--draft", "--out", str(tmp_path / "p"), "--as-of", DAY
    )
    assert done.status == 0, done.err
    assert [path.name for path in (tmp_path / "p").iterdir()] == ["strip.pdf"]


def test_on_hold_there_is_the_safety_page_alone(provand: Command, tmp_path: Path) -> None:
    case = str(DEMO / "on-hold" / "case.toml")
    done = provand("pack", case, "--pieces", "strip", "--out", str(tmp_path / "p"), "--as-of", DAY)
    assert done.status == 3
    assert [path.name for path in (tmp_path / "p").iterdir()] == ["safety.pdf"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--pieces", "stripp"], "Did you mean strip?"),
        (["--pieces", "strip,,"], "There are home"),
        (["--paper", "a5"], "There are a4, letter."),
    ],
)
def test_a_name_that_is_none_is_refused_with_the_nearest(
    provand: Command, tmp_path: Path, words: list[str], says: str
) -> None:
    done = provand("pack", RUNNER, *words, "--out", str(tmp_path / "p"), "--as-of", DAY)
    assert done.status == 2
    assert says in done.err
    assert not (tmp_path / "p").exists()


def test_pieces_lists_each_with_what_it_is_for(provand: Command) -> None:
    told = json.loads(provand("pieces", "--json").out)["pieces"]
    assert {"home", "night", "strip", "finish"} == {row["piece"] for row in told if row["in_every_pack"]}
    shown = provand("pieces").out
    assert all(row["says"] in shown for row in told)


def test_labels_begin_at_the_first_that_is_free(provand: Command, tmp_path: Path) -> None:
    runner = str(DEMO / "warm-hills" / "case.toml")
    done = provand(
        "pack", runner, "--pieces", "labels", "--first-label", "5", "--out", str(tmp_path), "--as-of", DAY
    )
    assert done.status == 0, done.err
    with pdfplumber.open(tmp_path / "labels-24.pdf") as document:
        first = document.pages[0].extract_words()[0]
    assert (first["text"], first["x0"] > 70 * 72 / 25.4, first["top"] > 37 * 72 / 25.4) == ("1", True, True)


def test_a_label_that_no_sheet_has_is_refused(provand: Command, tmp_path: Path) -> None:
    done = provand("pack", RUNNER, "--first-label", "66", "--out", str(tmp_path / "p"), "--as-of", DAY)
    assert done.status == 2
    assert "65" in done.err
    assert not (tmp_path / "p").exists()


def test_the_piece_for_when_things_go_otherwise_is_planned_for_the_pack(
    provand: Command, tmp_path: Path
) -> None:
    out = tmp_path / "pack"
    hills = str(DEMO / "warm-hills" / "case.toml")
    done = provand("pack", hills, "--pieces", "otherwise", "--out", str(out), "--as-of", DAY)
    assert done.status == 0, done.err
    assert [path.name for path in out.iterdir()] == ["otherwise.pdf"]
    assert "Nothing left at Tollgate?" in PdfReader(out / "otherwise.pdf").pages[0].extract_text()
    drafts = ("pack", hills, "--pieces", "otherwise", "--draft", "--out", str(tmp_path / "d"))
    assert "nothing of it in this pack" in provand(*drafts, "--as-of", DAY).out
