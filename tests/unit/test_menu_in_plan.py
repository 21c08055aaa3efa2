"""The menu of a plan: added up food by food, checked, printed; portions alone for who reads no weights."""

from __future__ import annotations

import io
from itertools import pairwise

import openpyxl
import pytest
from menued import LAID, TODAY, case_with, plan_with, screened, typed
from paper import page_words

from provand.case.change import Change, apply, change_of
from provand.finding import BadInput, OnHold
from provand.larder.food import food_of
from provand.pack.book import menu_book
from provand.pack.home import home_data, home_sheet
from provand.pack.sheet import texts
from provand.pack.write import pack_files
from provand.plan.difference import difference
from provand.plan.document import Cleared, Plan
from provand.plan.draw_up import draw_up
from provand.plan.explain import lines
from provand.plan.menu import whole_grams
from provand.plan.review import clear
from provand.plan.withheld import WEIGHTS


def menu(plan: Plan):  # type: ignore[no-untyped-def]
    assert plan.menu is not None
    return plan.menu


def cleared(laid: str = LAID) -> Cleared:
    case = case_with(laid)
    return clear(draw_up(case, screened(case), as_of=TODAY), case, screened(case))


def changed(change: Change, laid: str = LAID) -> Plan:
    case = case_with(laid)
    made = apply(change, typed(laid), case)
    from menued import FOLDER  # noqa: PLC0415

    from provand.case.door import case_of, in_folder  # noqa: PLC0415

    after = case_of(dict(made.typed), beside=in_folder(FOLDER), as_of=TODAY)
    return draw_up(after, screened(after), as_of=TODAY)


FOODS = ("jam", "ham", "cucumber", "banana-bread", "sponge-cake", "raisins", "scrambled-egg", "soy-sauce")
LONG = LAID.replace(
    "laid = [",
    "laid = ["
    + "".join(
        f'\n    {{ on = 2026-12-12, meal = "{meal}", food = "{food}", portions = 1 }},'
        for meal in ("lunch", "afternoon snack", "dinner")
        for food in FOODS
    ),
)


def sheets_of(plan: Plan) -> list[str]:
    return page_words(home_sheet(plan, "a4"))


@pytest.mark.parametrize("withheld", [(), ("grams",)])
def test_menu_shopping_and_packing_stand_on_one_sheet_where_they_fit(withheld: tuple[str, ...]) -> None:
    (only,) = sheets_of(plan_with(LAID, *withheld))
    assert only.index("Menu for") < only.index("Shopping") < only.index("Lay out for the race")


def test_a_menu_too_long_for_that_has_a_sheet_of_its_own() -> None:
    first, second = sheets_of(plan_with(LONG))
    assert "Menu for" in first
    assert "Shopping" not in first
    assert second.index("Shopping") < second.index("Lay out for the race")


def test_the_carbohydrate_of_a_block_is_the_sum_of_its_foods_to_the_digit() -> None:
    """Three cups of boiled rice of 158 g: by the table 27.73 g of available carbohydrate in 100 g."""
    plan = plan_with()
    held = plan.figure("menu.1212_lunch.white_rice_carb_g")
    assert held is not None
    rice = food_of("white-rice")
    assert rice is not None and rice.per_100g.carb_g is not None
    assert held.value.mid == pytest.approx(3 * rice.portion.unit_g * rice.per_100g.carb_g.mid / 100)
    foods = [f.value.mid for f in plan.figures if f.id.startswith("menu.12") and f.id.count(".") == 2]
    whole = plan.figure("menu.block_1_carb_g")
    assert whole is not None
    assert whole.value.mid == pytest.approx(sum(foods))
    assert len(foods) == 7


def test_a_block_explains_itself_down_to_the_row_of_the_food_table() -> None:
    told = "\n".join(lines(plan_with(), "menu.block_1_carb_g"))
    assert "menu.1212_lunch.white_rice_carb_g" in told
    assert "USDA National Nutrient Database for Standard Reference, release 28; 20045" in told
    assert "3 cups" in told


def test_the_numbers_that_are_printed_add_up() -> None:
    plan = plan_with()
    for meal, grams in whole_grams(menu(plan), 0):
        assert sum(grams.foods_g) == grams.meal_g
        assert len(grams.foods_g) == len(meal.foods)
    sums = [grams.so_far_g for _, grams in whole_grams(menu(plan), 0)]
    assert all(a <= b for a, b in pairwise(sums))
    whole = plan.figure("menu.block_1_carb_g")
    assert whole is not None and sums[-1] == round(whole.value.mid)


def test_a_menu_that_misses_its_target_says_by_how_much() -> None:
    found = [finding for finding in plan_with().findings if finding.code == "menu.carb_short"]
    assert found and "499 g" in found[0].line()
    assert "24 hours to 13 December" in found[0].line()


def test_a_food_on_a_meal_that_is_no_more_is_told_and_not_counted() -> None:
    gone = LAID.replace(
        'on = 2026-12-13, meal = "race meal", food = "honey"',
        'on = 2026-12-10, meal = "lunch", food = "honey"',
    )
    plan = plan_with(gone)
    assert any("honey is laid on 2026-12-10 lunch" in finding.line() for finding in plan.findings)
    assert plan.figure("menu.1213_race_meal.honey_carb_g") is None


def test_an_allergen_on_the_menu_stops_the_plan_from_being_handed_out() -> None:
    case = case_with(allergens=["gluten"])
    drawn = draw_up(case, screened(case), as_of=TODAY)
    with pytest.raises(OnHold) as held:
        clear(drawn, case, screened(case))
    told = str(held.value)
    assert "pasta" in told and "contains gluten" in told
    assert "white rice" not in told


def test_what_is_refused_for_caffeine_or_by_the_athlete_is_a_breach() -> None:
    cola = LAID.replace('food = "bagel"', 'food = "cola"')
    case = case_with(cola)
    with pytest.raises(OnHold, match="caffeine"):
        clear(draw_up(case, screened(case), as_of=TODAY), case, screened(case))
    refused = LAID.replace("blocks = 1", 'blocks = 1\nrefused = ["bagel"]')
    case = case_with(refused)
    with pytest.raises(OnHold, match="refused by the athlete"):
        clear(draw_up(case, screened(case), as_of=TODAY), case, screened(case))


def test_without_a_tick_there_is_no_menu_and_the_plan_says_why() -> None:
    plan = plan_with(ticked=False)
    assert plan.menu is None
    assert any(finding.code == "menu.no_dose" for finding in plan.findings)


def test_an_unknown_food_is_refused_with_the_nearest() -> None:
    with pytest.raises(BadInput, match="white-rice"):
        case_with(LAID.replace('food = "white-rice"', 'food = "whiterice"'))


def test_what_is_in_the_house_is_not_bought_again() -> None:
    (pasta,) = [line for line in menu(plan_with()).shopping if "pasta" in line.foods]
    assert pasta.have_g == 200
    eaten = food_of("pasta")
    assert eaten is not None
    unit_g = eaten.portion.unit_g
    assert pasta.need_g == pytest.approx(3 * unit_g / 2.42, rel=0.02), (
        "dry pasta, by the table's carbohydrate"
    )
    assert not pasta.packs or pasta.left_g >= 0


def test_the_sheet_of_the_kitchen_has_the_running_total_and_the_packs() -> None:
    data = home_data(plan_with(), "a4")
    told = list(texts(data))
    assert "3 cups" in told
    assert any("left over" in text for text in told)
    assert home_sheet(plan_with(), "a4") == home_sheet(plan_with(), "a4")


def test_who_reads_no_weights_gets_cups_and_slices_alone() -> None:
    """Not one gram, pack size or energy in any text of the sheet; and no spreadsheet."""
    plan = plan_with(LAID, "grams")
    assert plan.menu is not None
    told = [text for text in texts(home_data(plan, "a4")) if text]
    assert not [text for text in told if WEIGHTS.search(text)]
    assert not any("not_to_buy" in text for text in told)
    case = case_with()
    files = pack_files(clear(plan, case, screened(case, "grams")), pieces=["home"])
    assert [file.name for file in files] == ["home.pdf", "home-letter.pdf"]


def test_who_reads_no_weights_is_laid_for_by_what_is_usual_and_never_less() -> None:
    plan = plan_with(LAID, "grams")
    target = plan.figure("menu.target_carb_g_per_day")
    assert target is not None
    assert 420 <= target.value.mid <= 1.2 * 420
    assert plan.figure("load.carb_g_per_day") is None


def test_where_loading_is_withheld_there_is_no_menu() -> None:
    plan = plan_with(LAID, "loading")
    assert plan.menu is None


def test_the_spreadsheet_goes_on_counting() -> None:
    book = openpyxl.load_workbook(io.BytesIO(menu_book(plan_with())))
    rows = list(book["Menu"].iter_rows(min_row=3, values_only=True))
    assert rows[0][3:9] == (
        "white rice",
        3,
        158,
        pytest.approx(27.78, abs=0.3),
        "=E3*F3*G3/100",
        "=SUM(H$3:H3)",
    )
    assert book["Shopping"]["C2"].value == "=SUMIF(Menu!J$3:J$999,B2,Menu!L$3:L$999)"
    assert menu_book(plan_with()) == menu_book(plan_with())


def test_a_name_that_looks_like_a_formula_stays_a_text() -> None:
    plan = plan_with()
    named = plan.case.athlete.model_copy(update={"name": "=1+1"})
    plan = plan.model_copy(update={"case": plan.case.model_copy(update={"athlete": named})})
    book = openpyxl.load_workbook(io.BytesIO(menu_book(plan)))
    assert book["Menu"]["A1"].data_type == "s"


def test_a_portion_changed_by_hand_moves_the_total_and_nothing_of_the_race() -> None:
    before = plan_with()
    after = changed(
        change_of(
            {"kind": "portions", "on": "2026-12-12", "meal": "lunch", "food": "white-rice", "portions": "4"}
        )
    )
    assert after.race == before.race
    told = difference(before, after).for_holder()
    assert any(line.startswith("Lunch of 12 December: now 4 cups white rice") for line in told)


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ({"kind": "portions", "portions": "0"}, "off the lunch of 12 December"),
        ({"kind": "swap food", "other": "couscous"}, "couscous takes the place of white rice"),
        ({"kind": "stay food"}, "white rice stays on the lunch of 12 December"),
    ],
)
def test_a_change_by_hand_is_told_in_words(data: dict[str, str], told: str) -> None:
    named = {"on": "2026-12-12", "meal": "lunch", "food": "white-rice"}
    made = apply(change_of(data | named), typed(), case_with())
    assert told in made.sentence


def test_a_change_of_a_food_that_is_not_there_says_what_is() -> None:
    named = {"on": "2026-12-12", "meal": "lunch", "food": "couscous"}
    with pytest.raises(BadInput, match="white-rice, chicken-breast"):
        apply(change_of({"kind": "stay food"} | named), typed(), case_with())
