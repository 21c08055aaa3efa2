"""The menu as a spreadsheet that keeps counting: change a portion, and every total follows."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Collection, Iterator, Sequence
from datetime import datetime
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from provand.larder.food import Larder
from provand.larder.shopping import TINY
from provand.pack.plate import packs_in_words
from provand.pack.voice import day
from provand.plan.brought import needs_of_bottles
from provand.plan.document import MenuFood, MenuPlan, Plan
from provand.plan.menu import in_house_g

BOLD = Font(name="Arial", bold=True)
PLAIN = Font(name="Arial")
STAMP = datetime(2000, 1, 1)
"""The moment written into every file, so that the same menu gives the same bytes."""
MENU_HEAD = (
    *("day", "time", "meal", "food", "portions", "g in one"),
    *("carbohydrate in 100 g", "carbohydrate, g", "so far, g"),
    *("to buy", "g bought for 1 g eaten", "as bought, g"),
)
FORMULAS = {3, 7, 8, 9, 12}
"""The columns of our formulas; no name that people type stands there."""
MADE_FORMULAS = {3, 5}
MADE_HEAD = ("for", "what", "how many", "g in one", "as bought, g")
SHOPPING_HEAD = ("aisle", "what", "needed, g", "in the house, g", "packs", "g in them", "left over, g")


def menu_book(plan: Plan) -> bytes:
    """Return the menu of a plan as a spreadsheet; its totals are formulas over portions and contents."""
    menu = plan.menu
    assert menu is not None
    book = Workbook()
    first = book.active
    assert isinstance(first, Worksheet)
    _menu_sheet(first, plan, menu)
    made = list(_made(plan, menu))
    _shopping_sheet(book.create_sheet(), menu, has_made=bool(made))
    if made:
        _made_sheet(book.create_sheet(), made)
    book.properties.creator = plan.case.practitioner.name
    book.properties.title = f"Menu: {plan.case.athlete.name}, code {plan.code}"
    book.properties.created = book.properties.modified = STAMP
    return _same_bytes(book)


def _menu_sheet(sheet: Worksheet, plan: Plan, menu: MenuPlan) -> None:
    sheet.title = "Menu"
    _row(sheet, 1, [f"Menu for {plan.case.athlete.name}, code {plan.code}"], BOLD)
    _row(sheet, 2, MENU_HEAD, BOLD)
    at = 3
    for number in range(len(menu.blocks)):
        begun = at
        for meal in (one for one in menu.meals if one.block == number):
            for food in meal.foods:
                named = [day(meal.on), f"{meal.at:%H:%M}", meal.meal, food.name]
                _row(sheet, at, [*named, *_counted(plan.case.larder, food, at, begun)], PLAIN)
                at += 1
        whole = ["", "", "", f"24 hours, block {number + 1}", "", "", "", f"=SUM(H{begun}:H{at - 1})"]
        _row(sheet, at, whole, BOLD)
        at += 2
    _widths(sheet, (24, 8, 17, 34, 10, 10, 14, 15, 10, 26, 14, 12))
    sheet.freeze_panes = "A3"
    for cell in sheet[2]:
        cell.alignment = Alignment(wrap_text=True, vertical="bottom")
    for row in sheet.iter_rows(min_row=3, min_col=5, max_col=12):
        for cell in row:
            cell.number_format = "0.0"


def _counted(larder: Larder, food: MenuFood, at: int, begun: int) -> list[Any]:
    """Return the numbers and formulas of a food's row."""
    known = larder.food_of(food.food)
    assert known is not None  # what is not known is on no plan that was cleared
    carb, unit_g = known.per_100g.carb_g, known.portion.unit_g
    return [
        *(food.portions_count, unit_g, carb.mid if carb else 0.0),
        *(f"=E{at}*F{at}*G{at}/100", f"=SUM(H${begun}:H{at})"),
        *(known.bought.name, known.bought.g_per_eaten_g, f"=E{at}*F{at}*K{at}"),
    ]


def _made(plan: Plan, menu: MenuPlan) -> Iterator[tuple[str, str | int, str, float]]:
    """Yield what is bought for dishes and bottles: for which, how many, what, and how much for one [g].

    The batches of a dish follow the menu: whole ones, less what is in the house.
    """
    cooked = {use.name for line in menu.shopping for use in line.uses if use.kind == "batch"}
    in_house = in_house_g(plan.case)
    for dish in plan.case.larder.own:
        if dish.batch_g is None or dish.name not in cooked:
            continue
        eaten = f'SUMIF(Menu!J$3:J$999,"{dish.name.replace(chr(34), chr(34) * 2)}",Menu!L$3:L$999)'
        missing = f"({eaten}-{in_house.get(dish.id, 0.0):g})/{dish.batch_g:.9g}"
        for part in dish.parts:
            yield dish.name, f"=ROUNDUP(MAX(0,{missing}-{TINY:f}),0)", part.bought.name, part.need_g
    for need in needs_of_bottles(plan.case, plan.race, plan.withheld):
        assert need.use is not None
        count = need.use.uses_count
        yield need.use.name, count, need.bought.name, need.need_g / count


def _made_sheet(sheet: Worksheet, made: Sequence[tuple[str, str | int, str, float]]) -> None:
    sheet.title = "To make"
    _row(sheet, 1, MADE_HEAD, BOLD)
    for at, (of, count, what, one_g) in enumerate(made, 2):
        _row(sheet, at, [of, what, count, one_g, f"=C{at}*D{at}"], PLAIN, MADE_FORMULAS)
    _widths(sheet, (30, 30, 12, 14, 14))
    sheet.freeze_panes = "A2"
    for row in sheet.iter_rows(min_row=2, min_col=4, max_col=5):
        for cell in row:
            cell.number_format = "0.0"


def _shopping_sheet(sheet: Worksheet, menu: MenuPlan, *, has_made: bool) -> None:
    sheet.title = "Shopping"
    _row(sheet, 1, SHOPPING_HEAD, BOLD)
    for at, line in enumerate(menu.shopping, 2):
        needed = f"=SUMIF(Menu!J$3:J$999,B{at},Menu!L$3:L$999)"
        if has_made:
            needed += f"+SUMIF('To make'!B$2:B$999,B{at},'To make'!E$2:E$999)"
        bought_g = line.loose_g + sum(one.packs_count * one.pack_g for one in line.packs)
        packs = packs_in_words(line) or "none"
        values = [line.aisle, line.name, needed, line.have_g, packs, bought_g, f"=D{at}+F{at}-C{at}"]
        _row(sheet, at, values, PLAIN)
    _widths(sheet, (20, 30, 12, 12, 34, 12, 12))
    sheet.freeze_panes = "A2"
    for row in sheet.iter_rows(min_row=2, min_col=3, max_col=7):
        for cell in row:
            cell.number_format = "0"


def _row(
    sheet: Worksheet, at: int, values: Sequence[Any], font: Font, formulas: Collection[int] = FORMULAS
) -> None:
    for column, value in enumerate(values, 1):
        cell = sheet.cell(row=at, column=column)
        cell.value = value if column in formulas or not isinstance(value, str) else _text(value)
        cell.font = font


def _text(value: str) -> str:
    """Return a text that no spreadsheet takes for a formula."""
    return f"'{value}" if value.startswith(("=", "+", "-", "@")) else value


def _widths(sheet: Worksheet, widths: Sequence[int]) -> None:
    for column, width in enumerate(widths, 1):
        sheet.column_dimensions[get_column_letter(column)].width = width


def _same_bytes(book: Workbook) -> bytes:
    """Return the bytes of a book with no moment of its making in them."""
    made = io.BytesIO()
    book.save(made)
    kept = io.BytesIO()
    with zipfile.ZipFile(made) as old, zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as new:
        for name in sorted(old.namelist()):
            data = old.read(name)
            new.writestr(zipfile.ZipInfo(name, date_time=(2000, 1, 1, 0, 0, 0)), data)
    return kept.getvalue()
