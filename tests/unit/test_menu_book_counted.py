"""The spreadsheet of the menu, counted by a spreadsheet program: its totals are the plan's."""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from menued import TODAY, case_made, plan_with, pudding_laid, screened

from provand.pack.book import menu_book
from provand.plan.draw_up import draw_up

PORTIONS, CARB, SO_FAR, BOUGHT = 4, 7, 8, 11
"""Columns of the menu, from 0."""
Counted = Callable[[bytes], Any]


@pytest.fixture
def counted(soffice: str, tmp_path: Path) -> Counted:
    """Return what lets LibreOffice work a spreadsheet out and reads the values back."""

    def count(data: bytes) -> Any:
        asked, made = tmp_path / "menu.xlsx", tmp_path / "made"
        asked.write_bytes(data)
        home = (tmp_path / "home").as_uri()
        words = ["--headless", f"-env:UserInstallation={home}", "--convert-to", "xlsx", "--outdir", str(made)]
        subprocess.run([soffice, *words, str(asked)], check=True, capture_output=True, timeout=120)
        return openpyxl.load_workbook(made / asked.name, data_only=True)

    return count


def rows(book: Any) -> list[tuple[Any, ...]]:
    """The rows of the foods on the menu."""
    return [row for row in book["Menu"].iter_rows(min_row=3, values_only=True) if row[0]]


def test_the_totals_of_the_spreadsheet_are_those_of_the_plan(counted: Counted) -> None:
    plan = plan_with()
    menu = plan.menu
    assert menu is not None
    book = counted(menu_book(plan))
    found = rows(book)
    foods = [food for meal in menu.meals for food in meal.foods]
    assert len(found) == len(foods)
    for row, food in zip(found, foods, strict=True):
        assert row[PORTIONS] == pytest.approx(food.portions_count)
        known = plan.case.larder.food_of(food.food)
        assert known is not None
        eaten_g = food.portions_count * known.portion.unit_g
        assert row[BOUGHT] == pytest.approx(eaten_g * known.bought.g_per_eaten_g)
        assert row[CARB] == pytest.approx(food.carb_g.mid, rel=1e-3, abs=0.05)
    last = [meal.so_far_g.mid for meal in menu.meals if meal.foods][-1]
    assert found[-1][SO_FAR] == pytest.approx(last, rel=1e-3)
    faults = [cell for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row]
    assert not [cell for cell in faults if isinstance(cell, str) and cell.startswith(("#", "Err:"))]


def test_a_portion_typed_into_it_moves_its_totals_and_the_shopping(counted: Counted) -> None:
    plan = plan_with()
    before = counted(menu_book(plan))
    book = openpyxl.load_workbook(io.BytesIO(menu_book(plan)))
    typed = book["Menu"]["E3"]
    typed.value = 2 * typed.value
    written = io.BytesIO()
    book.save(written)
    after = counted(written.getvalue())
    was, now = rows(before)[0], rows(after)[0]
    assert now[CARB] == pytest.approx(2 * was[CARB])
    assert now[SO_FAR] == pytest.approx(was[SO_FAR] + was[CARB])
    bought = was[9]

    def needed(counted_book: Any) -> float:
        lines = counted_book["Shopping"].iter_rows(min_row=2, values_only=True)
        return float(next(line[2] for line in lines if line[1] == bought))

    assert needed(after) == pytest.approx(needed(before) + was[BOUGHT])


def test_dishes_and_bottles_are_counted_as_the_plan_counts_them(counted: Counted) -> None:
    case = case_made(pudding_laid(2), bottles=2)
    plan = draw_up(case, screened(case), as_of=TODAY)
    assert plan.menu is not None
    book = counted(menu_book(plan))
    shown = {row[1]: row for row in book["Shopping"].iter_rows(min_row=2, values_only=True)}
    for line in plan.menu.shopping:
        assert shown[line.name][2] == pytest.approx(line.need_g, rel=1e-6), line.name
        assert shown[line.name][6] == pytest.approx(line.left_g, abs=1e-3), line.name
    assert [row[2] for row in book["To make"].iter_rows(min_row=2, values_only=True)] == [1, 1, 1, 1, 2, 2]
