"""Edits on a document as typed: comments and order stay, and what cannot be placed is refused."""

from __future__ import annotations

import tomllib
from datetime import date

import pytest
import tomlkit
from starter_case import DEMOS, STARTER_TEXT

from provand.case.typed import add, document_of, drop, edited, plain, put, tokens
from provand.finding import BadInput, CannotWork

ROWS = [{"item": "gel-25", "at": "4.2 km"}, {"item": "gel-25", "at": "9 km", "portion": 0.5}]


def after(text: str, *steps: object) -> str:
    document = tomlkit.parse(text)
    return edited(document, steps).as_string()  # type: ignore[attr-defined, arg-type]


@pytest.mark.parametrize("text", [STARTER_TEXT, *(path.read_text("utf-8") for path in DEMOS)])
def test_a_file_without_edits_keeps_every_byte(text: str) -> None:
    assert after(text) == text


def test_comments_and_order_stay_and_a_new_key_stands_with_its_own() -> None:
    text = after(
        STARTER_TEXT,
        put("race.cutoff", "3:15"),
        put("weather.seen_on", date(2026, 12, 1)),
        put("race.forbidden", []),
    )
    gone = [line for line in STARTER_TEXT.splitlines() if line not in text.splitlines()]
    assert [line.split(" ")[0] for line in gone] == ["cutoff", "seen_on"]
    lines = text.splitlines()
    assert lines[lines.index("forbidden = []") - 1].startswith("pre_start_drink")
    assert 'cutoff = "3:15"' in next(line for line in lines if line.startswith("cutoff"))
    assert "# leave out without one" in next(line for line in lines if line.startswith("cutoff"))


@pytest.mark.parametrize(
    "text",
    [
        'a=1\n[[wishes.overrides]]\nwhat="x"\n',
        "a=1\n",
        "a=1\n[wishes]\n[b]\nc=1\n[wishes.d]\nx=1\n",
        "wishes={a=1}\n",
        "wishes.a=1\n[b]\nc=1",
        "[wishes] # mine\n\n# the end\n",
        '[wishes]\ngiven = [{item="a", at="1 km"}] # one\n',
        '[[wishes.given]]\nitem="a"\n[x]\ny=1\n',
    ],
)
def test_an_edit_says_the_same_in_every_layout(text: str) -> None:
    steps = (put("wishes.schedule", "as given"), add("wishes.given", ROWS[0]), put("wishes.anchor", ROWS))
    assert plain(edited(tomlkit.parse(text), steps)) == edited(tomllib.loads(text), steps)


def test_a_file_whose_order_would_be_lost_is_left_alone() -> None:
    text = "[[items]]\nid='a'\n[b]\nc=1\n[[items]]\nid='b'\n"
    with pytest.raises(CannotWork, match="nothing was changed"):
        document_of(text, "case.toml")


def test_what_is_not_there_is_named_with_what_is_near() -> None:
    with pytest.raises(BadInput, match="Did you mean 'Gate'"):
        after(STARTER_TEXT, put("course.stations[Gat].at", "9 km"))
    with pytest.raises(BadInput, match="Did you mean 'cutoff'"):
        after(STARTER_TEXT, drop("race.cutof"))


@pytest.mark.parametrize("path", ["", " ", "..", "a..b", "a[", "a[]", "a]b", ".a"])
def test_text_that_is_no_path_is_refused(path: str) -> None:
    with pytest.raises(BadInput, match="no path"):
        tokens(path)
