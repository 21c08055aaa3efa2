"""Whoever is eleven can read what is handed out: measured on the English of every piece.

The measure is the Flesch-Kincaid grade (Kincaid and others 1975) as textstat computes it; the age is the
grade and five years (from memory). A piece as a whole is at grade 6 at most; it says little of a short
sentence, so that any single one has room up to `HARDEST`, which is ours.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from typing import Any

import pytest
import textstat
from beforehand import making
from menued import plan_with
from plans import a_plan

from provand.pack import typeset
from provand.pack.pieces import PDF, PIECES, PieceKind
from provand.pack.sheet import texts
from provand.plan.document import Plan

GRADE = 6.0
HARDEST = 9.5
NO_SENTENCES = {"title", "foot", "made_by", "code", "letterhead", "own", "paper", "note", "last", "ask"}
"""What of a sheet's data is names, or its foot: that is for whoever asks who made it."""
FOR_OTHERS = {"plan"}
"""The plan gives a practitioner its reasons too."""
HARD = "Exercise-associated hyponatraemia necessitates immediate individualised medical intervention."
WHO = re.compile(r" [A-Z]\w+ [A-Z]\w+, \S+@\S+")
DATE = re.compile(r"\b\w+day \d+ \w+( \d{4})?\b|\b\d{4}\b")


@pytest.fixture(autouse=True)
def _told_not_set(monkeypatch: pytest.MonkeyPatch) -> None:
    """Give the data of a sheet where its PDF would stand."""

    def told(template: str, data: dict[str, Any], pictures: dict[str, str], **_: Any) -> bytes:
        return json.dumps(data).encode("utf-8")

    monkeypatch.setattr(typeset, "_set", told)


def sentences(read: Iterable[str]) -> list[str]:
    """Return texts of four words and more, each once and with a full stop; without days and addresses."""
    found = (DATE.sub("that day", WHO.sub(" us", text)).rstrip(" ,.;:") for text in read)
    return [f"{text}." for text in dict.fromkeys(found) if len(text.split()) >= 4]


def read_in(kind: PieceKind, plan: Plan) -> Iterator[str]:
    """Yield every text of a piece."""
    for sheet in kind.sheets:
        if sheet.is_for(plan) and sheet.media_type == PDF:
            data = json.loads(sheet.made(making(plan)))
            yield from texts({key: value for key, value in data.items() if key not in NO_SENTENCES})


def too_hard(read: list[str]) -> list[str]:
    """Return what a child of eleven cannot read: single sentences, or the whole."""
    hard = [text for text in read if textstat.flesch_kincaid_grade(text) > HARDEST]
    whole = " ".join(read)
    return hard + ([whole] if read and textstat.flesch_kincaid_grade(whole) > GRADE else [])


PAPER = [
    kind
    for kind in PIECES
    if kind.id not in FOR_OTHERS and any(sheet.media_type == PDF for sheet in kind.sheets)
]
PROSE = [kind for kind in PAPER if kind.id != "labels"]


@pytest.mark.parametrize("made", [a_plan, plan_with], ids=["usual", "menu"])
@pytest.mark.parametrize("kind", PAPER, ids=lambda kind: str(kind.id))
def test_a_piece_reads_at_eleven_or_younger(kind: PieceKind, made: Any) -> None:
    read = sentences(read_in(kind, made()))
    assert not too_hard(read), f"{kind.id}: too hard to read"


@pytest.mark.parametrize("kind", PROSE, ids=lambda kind: str(kind.id))
def test_one_hard_sentence_in_a_piece_is_found(kind: PieceKind) -> None:
    read = sentences(read_in(kind, plan_with()))
    assert read
    assert HARD in too_hard([*read, HARD])


def test_a_whole_that_is_hard_is_found_though_no_sentence_is() -> None:
    long = "Carbohydrate from food you know is better before a race than anything untried."
    assert textstat.flesch_kincaid_grade(long) <= HARDEST
    assert too_hard([long]) == [long]
