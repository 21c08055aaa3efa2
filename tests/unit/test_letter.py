"""The letter to a clinician: what it says, what it cannot say, and that it can be signed and replied on."""

from __future__ import annotations

import inspect
import io
import re
from datetime import date

import pytest
from pypdf import PdfReader

from provand.case.case import Practitioner
from provand.finding import BadInput
from provand.pack.letter import LIMITS, Person, RaceAhead, letter
from provand.pack.typeset import Paper
from provand.safety.flags import Flag, flags
from provand.safety.medicines import medicine_classes

ROWS = [flag for flag in flags() if flag.letter is not None]
SIZES = {"a4": (595, 842), "letter": (612, 792)}
ASKS = {flag.id: flag.letter for flag in ROWS if flag.letter is not None}
RACE = RaceAhead(
    name="Alder Quay Half (invented)", on=date(2026, 12, 6), distance_m=21097.5, goal_s=7500, invented=True
)


def made(
    *about: str, paper: Paper = "a4", name: str = "Per Quillon", to: str = "Dr Ada Invented"
) -> PdfReader:
    data = letter(
        Practitioner(name="Sanna Vell", contact="sanna.vell@practice.example"),
        Person(name=name, born=date(1984, 2, 11)),
        RACE,
        [ASKS[row] for row in about],
        to=to,
        on=date(2026, 11, 25),
        paper=paper,
    )
    return PdfReader(io.BytesIO(data))


def words(reader: PdfReader) -> str:
    text = " ".join(page.extract_text() for page in reader.pages)
    return " ".join(text.replace("\u200b", "").split())


def bare(text: str) -> str:
    """Return a text without spaces: where a line breaks, a reader puts some in."""
    return "".join(text.split())


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_each_row_with_a_letter_gives_a_sheet_with_its_questions_and_a_form_on_the_next(row: Flag) -> None:
    assert row.letter is not None
    reader = made(row.id)
    said = bare(words(reader))
    assert len(reader.pages) == 2
    for line in (f"About {row.letter.about}", *row.letter.asks):
        assert bare(line) in said
    form = bare(reader.pages[1].extract_text())
    assert [limit for limit in LIMITS.values() if bare(limit) not in form] == []


def test_it_says_who_for_whom_which_race_and_asks_for_no_diagnosis() -> None:
    said = words(made("heart"))
    for line in (
        "Sanna Vell",
        "sanna.vell@practice.example",
        "Wednesday 25 November 2026",
        "To Dr Ada Invented",
        "About Per Quillon",
        "11 February 1984",
        "Alder Quay Half (invented), Sunday 6 December 2026",
        "I make no diagnosis",
        "Per Quillon: I agree that this is asked and answered",
        "Invented example",
    ):
        assert line in said
    for blank in ("name and signature", "day", "counts until"):
        assert re.search(rf"\b{blank}\b", said)


@pytest.mark.parametrize("paper", SIZES)
def test_two_rows_fit_a_sheet_and_its_form_on_either_paper_and_all_rows_take_more(paper: Paper) -> None:
    longest = sorted(ASKS, key=lambda row: -sum(map(len, ASKS[row].asks)))[:2]
    two = made(*longest, paper=paper)
    assert len(two.pages) == 2
    assert tuple(round(float(side)) for side in two.pages[0].mediabox[2:]) == SIZES[paper]
    every = made(*ASKS, paper=paper)
    assert len(every.pages) > 4
    assert words(every).count("not cleared") == len(ROWS)


def test_it_names_no_medicine_and_no_number_but_its_own() -> None:
    said = words(made(*(flag.id for flag in ROWS))).casefold()
    names = {name.casefold() for group in medicine_classes() for name in group.substances}
    told = {name for name in names if re.search(rf"\b{re.escape(name)}\b", said)}
    assert told == set()
    rows = " ".join(f"{flag.letter.about} {' '.join(flag.letter.asks)}" for flag in ROWS if flag.letter)
    own = {"25", "2026", "11", "1984", "6", "12", "21", "1", "2", "05", "00"} | {
        str(page) for page in range(1, len(ROWS) + 1)
    }
    assert set(re.findall(r"\d+", said)) <= own | set(re.findall(r"\d+", rows))


def test_it_can_be_given_no_plan_no_case_and_no_answer() -> None:
    given = {str(one.annotation) for one in inspect.signature(letter).parameters.values()}
    assert given == {
        "Practitioner", "Person", "RaceAhead", "Sequence[LetterAsks]", "str", "date", "bool", "Paper",
    }  # fmt: skip


def test_it_is_tagged_and_the_same_bytes_each_time() -> None:
    first, again = made("kidney"), made("kidney")
    assert first.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert first.trailer["/Root"]["/Lang"].startswith("en")
    assert first.stream.getvalue() == again.stream.getvalue()  # type: ignore[attr-defined]


def test_names_are_printed_whole_or_refused() -> None:
    assert "Žofie Łęcka" in words(made("heart", name="Žofie Łęcka"))
    long = " ".join(["Wolfeschlegelstein"] * 6)
    assert bare(long) in bare(words(made("heart", name=long, to=long)))
    with pytest.raises(BadInput, match="letters that the fonts"):
        made("heart", name="名無し")
