"""Sheets read from right to left: what is measured keeps its size and place, what is read its order."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from itertools import pairwise
from statistics import median
from typing import Any

import pdfplumber
import pytest
import typst
from plans import a_plan
from test_difference import drawn

from provand.language import LANGUAGES
from provand.pack.letters import printable
from provand.pack.message import entry_words
from provand.pack.pieces import PIECES, Making
from provand.pack.tongue import OURS, say, speaking, tongue_of
from provand.pack.typeset import fonts
from provand.pack.voice import CAFFEINE, has_unsaid_caffeine
from provand.pack.wrist import PT_PER_MM, entries, sheet_data, strip_data
from provand.plan.document import Plan

ARABIC = replace(tongue_of("ar"), approved=True)
WITH_BARS = ("strip.pdf", "finish.pdf", "guide.pdf")


def made(name: str, tongue: Any = ARABIC, plan: Plan | None = None) -> bytes:
    sheet = next(one for kind in PIECES for one in kind.sheets if one.name == name)
    with speaking(tongue):
        return sheet.made(Making(plan or a_plan())) or b""


def page_of(data: bytes) -> Any:
    return pdfplumber.open(io.BytesIO(data)).pages[0]


def size_mm(shape: dict[str, Any]) -> tuple[float, float]:
    return (round(shape["width"] / PT_PER_MM, 2), round(shape["height"] / PT_PER_MM, 2))


def shapes_of(page: Any, width_mm: float, height_mm: float) -> list[dict[str, Any]]:
    return [shape for shape in (*page.rects, *page.curves) if size_mm(shape) == (width_mm, height_mm)]


def test_the_strip_in_arabic_has_its_size_and_all_its_columns_in_the_order_of_the_race() -> None:
    page = page_of(made("strip.pdf"))
    (strip,) = shapes_of(page, 240, 28)
    words = page.crop((strip["x0"], strip["top"], strip["x1"], strip["bottom"])).extract_words()
    with speaking(ARABIC):
        data = strip_data(a_plan())
    assert data is not None
    times = [column["when"] for column in data["columns"]]
    found = [word for word in words if word["text"] in times]
    assert [word["text"] for word in sorted(found, key=lambda word: word["x0"])] == times
    for number, word in enumerate(sorted(found, key=lambda word: word["x0"])):
        left = strip["x0"] + (12 + number * data["column_mm"] - 1.5) * PT_PER_MM
        assert left <= word["x0"] < word["x1"] <= left + data["column_mm"] * PT_PER_MM


def test_nothing_of_the_strip_in_arabic_runs_off_it() -> None:
    page = page_of(made("strip.pdf"))
    (strip,) = shapes_of(page, 240, 28)
    inside = [char for char in page.chars if strip["top"] < char["top"] and char["bottom"] < strip["bottom"]]
    assert len(inside) > 100
    assert all(strip["x0"] <= char["x0"] and char["x1"] <= strip["x1"] for char in inside)
    hill = [
        curve
        for curve in page.curves
        if curve["width"] > 130 * PT_PER_MM and curve["bottom"] <= strip["bottom"]
    ]
    assert hill
    for curve in hill:
        left_mm, right_mm = ((curve[side] - strip["x0"]) / PT_PER_MM for side in ("x0", "x1"))
        assert 11.5 <= left_mm < right_mm <= 150.5


@pytest.mark.parametrize("name", WITH_BARS)
def test_a_measuring_bar_in_arabic_has_100_mm_with_every_second_tenth_in_ink(name: str) -> None:
    page = page_of(made(name))
    (bar,) = shapes_of(page, 100, 2)
    tenths = shapes_of(page, 10, 2)
    starts_mm = sorted(round((tenth["x0"] - bar["x0"]) / PT_PER_MM, 1) for tenth in tenths)
    assert starts_mm == [0, 20, 40, 60, 80]
    assert bar["x0"] >= 10 * PT_PER_MM
    assert bar["x1"] <= page.width - 10 * PT_PER_MM


@pytest.mark.parametrize(
    ("fact", "isolate"),
    [
        ("hill gel", "\u2068"),
        ("\u20683\u2069 \u2068أكواب\u2069", "\u2067"),
        ("نصف \u2068كوب\u2069", "\u2067"),
        ("half of \u2068gel\u2069", "\u2068"),
    ],
)
def test_a_fact_made_of_facts_runs_as_the_language_does_unless_its_own_words_run_otherwise(
    fact: str, isolate: str
) -> None:
    with speaking(ARABIC):
        assert say("{what}", what=fact) == f"{isolate}{fact}\u2069"


def test_a_number_stands_to_the_right_of_what_it_counts_on_an_arabic_sheet() -> None:
    with speaking(ARABIC):
        cups = say("{count} {unit}", count="3", unit="أكواب")
        told = printable(say("{when} {take}", when=cups, take="x"), "test")
    assert told.count("\u2067") == 1, "and is kept for the page"
    with pdfplumber.open(io.BytesIO(_set_line(told))) as document:
        at = {char["text"]: char["x0"] for char in document.pages[0].chars if char["text"] in "3x"}
        cup = [char["x0"] for char in document.pages[0].chars if char["text"] not in "3x "]
    assert at["3"] > max(cup) > at["x"]


def _set_line(told: str) -> bytes:
    """Return a page (PDF) with one line that is read from the right, set with the fonts of the sheets."""
    text = f'#set text(font: ("Fira Sans", "IBM Plex Sans Arabic"), lang: "ar", dir: rtl)\n{told}'
    return bytes(typst.compile(text.encode("utf-8"), font_paths=fonts(), ignore_system_fonts=True))


@pytest.mark.parametrize("tag", sorted(LANGUAGES))
def test_caffeine_is_told_once_in_every_language(tag: str) -> None:
    plan = a_plan()
    with speaking(replace(tongue_of(tag), approved=True)):
        told = [(entry_words(entry), "caffeine" in entry.marks) for entry in entries(plan)]
    assert any(with_caffeine for _, with_caffeine in told)
    for words, with_caffeine in told:
        assert len(CAFFEINE.findall(words)) == with_caffeine, words


def test_caffeine_that_no_name_tells_is_told_beside_one_that_does() -> None:
    plan = a_plan()
    (stop,) = (stop for stop in plan.race.stops if any(take.with_caffeine for take in stop.takes))
    takes = tuple(
        take.model_copy(update={"name": "dark gel"}) if take.with_caffeine else take for take in stop.takes
    )
    assert not has_unsaid_caffeine(stop)
    assert has_unsaid_caffeine(stop.model_copy(update={"takes": takes}))
    both = stop.model_copy(update={"takes": (*stop.takes, *takes)})
    assert has_unsaid_caffeine(both), "each name answers for itself"


def test_the_page_for_the_phone_runs_as_its_language_does() -> None:
    opening = made("phone.html").split(b">", 2)[1]
    assert b'lang="ar"' in opening
    assert b'dir="rtl"' in opening
    assert b"dir=" not in made("phone.html", OURS).split(b">", 2)[1]


def test_an_address_that_breaks_on_an_arabic_card_goes_on_under_its_first_letter() -> None:
    words = page_of(made("night.pdf", plan=drawn())).extract_words()
    (name,) = (word for word in words if word["text"].endswith("@"))
    after = next(word for word in words if word["top"] > name["top"] and word["text"].endswith(".example"))
    assert after["x0"] == pytest.approx(name["x0"], abs=1)


def test_the_rules_of_an_arabic_card_stand_far_enough_apart_for_its_letters() -> None:
    page = page_of(made("strip.pdf", plan=drawn()))
    card = shapes_of(page, 100, 70)[0]
    inside = page.crop((card["x0"], card["top"], card["x1"], card["bottom"]))
    rows_end = max(char["bottom"] for char in inside.chars if char["size"] == 13) + 10
    arabic = [char for char in inside.chars if "Plex" in char["fontname"] and char["top"] > rows_end]
    lines = sorted({round(char["bottom"], 1) for char in arabic})
    apart = [low - high for high, low in pairwise(lines) if low - high > 5]
    assert len(apart) > 3
    assert median(apart) >= 9 * 1.25


def test_what_the_bar_measures_stands_to_the_right_of_the_word_to_measure_it() -> None:
    page = page_of(made("strip.pdf"))
    (bar,) = shapes_of(page, 100, 2)
    under = page.crop((bar["x0"], bar["bottom"], bar["x1"], bar["bottom"] + 15)).extract_words()
    (hundred,) = (word for word in under if "100" in word["text"])
    assert hundred["x1"] > bar["x1"] - 40


def test_lists_on_an_arabic_strip_are_parted_by_arabic_signs_and_lengths_have_arabic_units() -> None:
    with speaking(ARABIC):
        data = sheet_data(drawn(), "a4")
    assert "،" in data["hill_says"]
    assert "؛" in data["hill_says"]
    told = [data["hill_says"], *data["words"].values()]
    assert not [text for text in told if re.search(r"[,;]|\bmm\b", text)]
    assert data["words"]["measure"].startswith("\u2067\u2068100\u2069\u00a0مم")
