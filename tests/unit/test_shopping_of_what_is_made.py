"""What is bought for what is made at home: the ingredients of own dishes and of bottles, added up by hand."""

from __future__ import annotations

import io
from pathlib import Path
from shutil import copytree

import openpyxl
import pytest
import tomlkit
from menued import (
    FOLDER,
    LAID,
    OWN_FILE,
    PUDDING,
    TODAY,
    case_made,
    data_made,
    plan_with,
    pudding_laid,
    screened,
)

from provand.case.case import Case
from provand.cli.menu import shopping
from provand.larder.shopping import ShoppingLine
from provand.pack.book import menu_book
from provand.pack.home import home_data, home_sheet
from provand.pack.sheet import texts
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.record import canonical
from provand.safety.foods import refused_foods
from provand.safety.weights import WEIGHTS


def planned(case: Case, *withheld: str) -> Plan:
    return draw_up(case, screened(case, *withheld), as_of=TODAY)


def bought(plan: Plan) -> dict[str, ShoppingLine]:
    assert plan.menu is not None
    return {line.name: line for line in plan.menu.shopping}


def packs(line: ShoppingLine) -> list[tuple[int, float]]:
    return [(one.packs_count, one.pack_g) for one in line.packs]


def test_a_dish_is_bought_as_what_one_whole_batch_is_made_of() -> None:
    """2 of 4 portions are eaten: one batch, 120 g of rice of 500; 10 teaspoons of 4.2 g; 3 g of salt."""
    lines = bought(planned(case_made(pudding_laid(2))))
    assert "our rice pudding" not in lines
    rice, sugar, salt = lines["short-grain rice"], lines["sugar"], lines["salt"]
    assert (rice.need_g, packs(rice), rice.left_g, rice.aisle) == (120, [(1, 500)], 380, "dry goods")
    assert (sugar.need_g, packs(sugar), sugar.left_g) == (pytest.approx(42), [(1, 500)], pytest.approx(458))
    assert (salt.need_g, packs(salt), salt.loose_g, salt.left_g) == (3, [], 3, 0)


def test_a_fifth_portion_asks_for_a_second_batch_and_what_is_in_the_house_for_none() -> None:
    assert bought(planned(case_made(pudding_laid(4), PUDDING)))["short-grain rice"].need_g == 120
    more = PUDDING.replace("makes = 4", "makes = 4\nmost = 5")
    assert bought(planned(case_made(pudding_laid(5), more)))["short-grain rice"].need_g == 240
    one_there = '{ food = "our-rice-pudding", amount = "225 g" }, '
    assert bought(planned(case_made(pudding_laid(5, one_there), more)))["short-grain rice"].need_g == 120
    all_there = '{ food = "our-rice-pudding", amount = "1125 g" }, '
    lines = bought(planned(case_made(pudding_laid(5, all_there), more)))
    assert "short-grain rice" not in lines
    assert (lines["our rice pudding"].need_g, lines["our rice pudding"].is_to_buy) == (1125, False)


def test_what_is_eaten_and_cooked_and_mixed_is_one_line_and_one_total() -> None:
    """2 bottles of 47 g of sugar and a batch with 42 g: 136 g of a pack of 500, 364 g left over.

    Salt: 2 bottles of 1.0 g and 3 g, bought by weight.
    """
    plan = planned(case_made(pudding_laid(2), bottles=2))
    sugar, salt = bought(plan)["sugar"], bought(plan)["salt"]
    assert (sugar.need_g, packs(sugar), sugar.left_g) == (pytest.approx(136), [(1, 500)], pytest.approx(364))
    assert (salt.loose_g, salt.left_g) == (5, 0)
    shown = {
        line["name"]: line for aisle in home_data(plan, "a4")["menu"]["aisles"] for line in aisle["lines"]
    }
    note = "for our rice pudding (1 batch), my bottle (2 bottles); 364 g left over"
    assert (shown["sugar"]["what"], shown["sugar"]["note"]) == ("1 pack of 500 g", note)
    assert shown["salt"]["what"] == "5 g"


def test_sugar_in_the_house_is_taken_for_the_bottles_first() -> None:
    plan = planned(case_made(pudding_laid(2, '{ food = "sugar", amount = "200 g" }, '), bottles=2))
    assert (bought(plan)["sugar"].packs, bought(plan)["sugar"].left_g) == ((), pytest.approx(64))


def test_a_dish_in_a_dish_is_bought_in_that_proportion() -> None:
    """450 g of a batch of 900 g: half of 120 g of rice."""
    trifle = """
[[recipes]]
id = "our-trifle"
name = "our trifle"
roles = ["sweet"]
meals = ["snack"]
makes = 1
ingredients = [{food = "our-rice-pudding", mass = "450 g"}]
"""
    menu = pudding_laid(1).replace('"our-rice-pudding"', '"our-trifle"')
    assert bought(planned(case_made(menu, PUDDING + trifle)))["short-grain rice"].need_g == 60


def test_the_command_draws_the_plan_up_and_lists_the_bottles_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copytree(FOLDER, tmp_path, dirs_exist_ok=True)
    path = tmp_path / "case.toml"
    path.write_text(tomlkit.dumps(data_made(pudding_laid(2), bottles=2)), "utf-8")
    (tmp_path / OWN_FILE).write_text(PUDDING, "utf-8")
    shopping(path, TODAY, as_json=False)
    assert (
        "sugar: 1 pack of 500 g  (for our rice pudding (1 batch), my bottle (2 bottles); 364 g left over)"
        in (capsys.readouterr().out)
    )


def test_the_spreadsheet_counts_batches_and_bottles() -> None:
    plan = planned(case_made(pudding_laid(2), bottles=2))
    book = openpyxl.load_workbook(io.BytesIO(menu_book(plan)))
    made = list(book["To make"].iter_rows(min_row=2, values_only=True))
    count = '=ROUNDUP(MAX(0,(SUMIF(Menu!J$3:J$999,"our rice pudding",Menu!L$3:L$999)-0)/900-0.000001),0)'
    assert made[1] == ("our rice pudding", "short-grain rice", count, 120, "=C3*D3")
    assert made[-2:] == [
        ("my bottle", "sugar", 2, 47, "=C6*D6"),
        ("my bottle", "salt", 2, 1, "=C7*D7"),
    ]
    rows = {row[1]: (at, row) for at, row in enumerate(book["Shopping"].values, 1)}
    at, sugar = rows["sugar"]
    assert sugar[2] == (
        f"=SUMIF(Menu!J$3:J$999,B{at},Menu!L$3:L$999)+SUMIF('To make'!B$2:B$999,B{at},'To make'!E$2:E$999)"
    )
    assert rows["salt"][1][4:6] == ("5 g", 5)


def test_who_reads_no_weights_is_told_what_for_and_no_weight() -> None:
    plan = planned(case_made(pudding_laid(2), bottles=2), "grams")
    told = list(texts(home_data(plan, "a4")))
    assert "for our rice pudding (1 batch), my bottle (2 bottles)" in told
    assert not [text for text in told if WEIGHTS.search(text)]
    assert home_sheet(plan, "a4").startswith(b"%PDF")


def test_a_dish_with_an_ingredient_whose_name_tells_a_weight_is_not_for_who_reads_none() -> None:
    bar = """
[[foods]]
id = "our-bar"
name = "our 45 g bar"
one = "45 g"
alcohol = "0 g"
label = { convention = "EU", basis = "100 g", pack = "45 g", carb = "60 g", fibre = "2 g", fat = "2 g", protein = "4 g", caffeine = "0 mg" }
"""  # noqa: E501
    own = bar + PUDDING.replace("ingredients = [", 'ingredients = [\n  {food = "our-bar", portions = 1},')
    case = case_made(pudding_laid(2), own)
    assert refused_foods(case, ("grams",))["our-rice-pudding"] == "its name tells a weight"
    assert "our-rice-pudding" not in refused_foods(case)


def test_withheld_sodium_has_no_salt_on_the_list_and_none_in_the_plan_of_a_dish() -> None:
    plan = planned(case_made(pudding_laid(2), bottles=2), "sodium")
    assert "sugar" in bought(plan)
    assert "salt" not in bought(plan)
    (dish,) = plan.case.larder.own
    assert "salt" not in [part.food for part in dish.parts]


def test_withheld_fluid_and_a_recipe_that_may_not_be_told_buy_nothing_for_bottles() -> None:
    assert "salt" not in bought(planned(case_made(LAID, bottles=1), "fluid"))
    assert "salt" in bought(planned(case_made(LAID, bottles=1)))


def test_a_menu_with_nothing_made_at_home_keeps_its_bytes() -> None:
    plan = canonical(plan_with())
    assert not [word for word in (b'"parts"', b'"uses"', b'"loose_g"') if word in plan]
