"""Sheets read from right to left: what is measured keeps its size and place, what is read its order."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import pdfplumber
import pytest
from plans import a_plan

from provand.pack.pieces import PIECES, Making
from provand.pack.tongue import speaking, tongue_of
from provand.pack.wrist import PT_PER_MM, strip_data

ARABIC = replace(tongue_of("ar"), approved=True)
WITH_BARS = ("strip.pdf", "finish.pdf", "guide.pdf")


def made(name: str, tongue: Any = ARABIC, **how: Any) -> bytes:
    sheet = next(one for kind in PIECES for one in kind.sheets if one.name == name)
    with speaking(tongue):
        return sheet.made(Making(a_plan(), **how)) or b""


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
