"""Foods of one's own on a menu: read with the case, laid, swapped and refused like all others."""

from __future__ import annotations

import io
from typing import Any

import openpyxl
import pytest
from menued import OAT_BAR, OWN_FILE, OWN_LAID, TODAY, case_with, plan_with, screened, typed, with_own

from provand.case.case import Case
from provand.case.change import apply, change_of
from provand.finding import BadInput
from provand.larder.food import foods
from provand.pack.book import menu_book
from provand.pack.home import home_data, home_sheet
from provand.pack.sheet import texts
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.plan.menu import left_out
from provand.plan.menu_laid import laid_anew
from provand.plan.protocols import protocols_of
from provand.record import canonical
from provand.safety.foods import menu_faults, refused_foods
from provand.safety.weights import WEIGHTS

BAR = "our-oat-bar"


def planned(case: Case, *withheld: str) -> Plan:
    return draw_up(case, screened(case, *withheld), as_of=TODAY)


def faults(own: str = OAT_BAR, laid: str = OWN_LAID) -> list[str]:
    with pytest.raises(BadInput) as refused:
        with_own(own, laid)
    return [finding.line() for finding in refused.value.findings]


def test_an_own_food_is_laid_counted_and_bought_like_any_other() -> None:
    plan = planned(with_own())
    assert plan.menu is not None
    figure = plan.figure("menu.1212_afternoon_snack.our_oat_bar_carb_g")
    assert figure is not None and figure.value.mid == pytest.approx(0.9 * 62)
    assert (figure.by, figure.at, figure.source) == (
        "2 bars, 90 g, with 62.0 g in 100 g",
        "EU label, per 100 g",
        "",
    )
    (line,) = [line for line in plan.menu.shopping if line.name == "our oat bar"]
    assert (line.need_g, [pack.pack_g for pack in line.packs]) == (90, [90])
    assert b"our-oat-bar" in canonical(plan)


def test_another_label_is_another_plan() -> None:
    assert planned(with_own()).code != planned(with_own(OAT_BAR.replace('"62 g"', '"61 g"'))).code


def test_a_case_without_own_foods_has_no_word_of_them_in_its_bytes() -> None:
    assert b"own_foods" not in canonical(case_with())


def test_kitchen_and_spreadsheet_name_an_own_food() -> None:
    plan = planned(with_own())
    assert any("our oat bar" in text for text in texts(home_data(plan, "a4")))
    sheet = openpyxl.load_workbook(io.BytesIO(menu_book(plan)))["Menu"]
    (row,) = [row for row in sheet.iter_rows(values_only=True) if row[3] == "our oat bar"]
    assert row[4:7] == (2, 45, 62)


def test_the_planner_lays_an_own_food_where_no_other_of_its_kind_may_be() -> None:
    others = ", ".join(f'"{food.id}"' for food in foods() if "sweet" in food.roles)
    laid = f'[menu]\nblocks = 1\nown_foods = "{OWN_FILE}"\nrefused = [{others}]\n'
    case = with_own(OAT_BAR.replace('fibre = "6 g"', 'fibre = "1 g"'), laid)
    made = laid_anew(
        case, screened(case), protocols=protocols_of(case, bytes_of_none, as_of=TODAY), as_of=TODAY
    )
    assert BAR in [row.food for row in made.rows]


def bytes_of_none(name: str) -> bytes:
    raise AssertionError(name)


def test_an_own_food_is_swapped_in_and_out_by_hand() -> None:
    case = with_own()
    place = {"on": "2026-12-12", "meal": "afternoon snack"}
    swap = change_of({"kind": "swap food", **place, "food": BAR, "other": "banana"})
    assert apply(swap, typed(OWN_LAID), case).sentence == (
        "banana takes the place of our oat bar on the afternoon snack of 12 December."
    )
    more = change_of({"kind": "portions", "on": "2026-12-12", "meal": "lunch", "food": BAR, "portions": "1"})
    assert "our oat bar, 1 bar" in apply(more, typed(OWN_LAID), case).sentence
    with pytest.raises(BadInput, match="no food has the id"):
        apply(more, typed(), case_with())


def test_the_name_of_the_file_is_edited_like_any_key() -> None:
    edit = change_of({"kind": "edit", "path": "menu.own_foods", "typed": "other.toml"})
    made = apply(edit, typed(OWN_LAID), with_own())
    assert made.typed["menu"]["own_foods"] == "other.toml"


@pytest.mark.parametrize(
    ("athlete", "why"),
    [
        ({"allergens": ["gluten"]}, "contains gluten"),
        ({"allergens": ["nuts"]}, "not stated to be free from nuts"),
        ({"excluded": ["oats"]}, "contains oats"),
    ],
)
def test_who_leaves_something_out_is_given_no_own_food_that_may_hold_it(
    athlete: dict[str, Any], why: str
) -> None:
    case = with_own(**athlete)
    assert refused_foods(case)[BAR] == why
    assert [finding.code for finding in menu_faults(case, ()) if "our oat bar" in finding.about]


@pytest.mark.parametrize("athlete", [{"allergens": ["egg"]}, {"excluded": ["soya"]}, {"diet": "vegetarian"}])
def test_an_own_food_without_marks_is_refused_to_who_leaves_something_out(athlete: dict[str, Any]) -> None:
    bare = OAT_BAR
    for line in ('free_from = ["milk", "egg"]', 'diet = "vegan"', 'ingredients = "oats, glucose syrup, oil"'):
        assert line in bare
        bare = bare.replace(line, "")
    assert BAR in refused_foods(with_own(bare, **athlete))
    assert BAR not in refused_foods(with_own(bare))


@pytest.mark.parametrize(
    "spoilt",
    [
        ('name = "our oat bar"', 'name = "our 45 g bar"'),
        ('unit = "bar"', 'unit = "bar of 45 g"'),
        ('diet = "vegan"', 'diet = "vegan"\naisle = "bars of 90 grams"'),
    ],
)
def test_a_name_that_tells_a_weight_is_refused_to_who_reads_none(spoilt: tuple[str, str]) -> None:
    case = with_own(OAT_BAR.replace(*spoilt))
    assert refused_foods(case, ("grams",))[BAR] == "its name tells a weight"
    assert BAR not in refused_foods(case)
    assert list(menu_faults(case, ("grams",)))


def test_who_reads_no_weights_gets_an_own_food_in_its_own_portions_alone() -> None:
    plan = planned(with_own(), "grams")
    told = texts(home_data(plan, "a4"))
    assert any("2 bars" in text for text in told)
    assert not [text for text in told if WEIGHTS.search(text)]
    assert home_sheet(plan, "a4").startswith(b"%PDF")


def test_no_food_of_the_larder_has_a_name_that_tells_a_weight() -> None:
    assert not [food.name for food in foods() if WEIGHTS.search(f"{food.name} {food.portion.plural}")]


def test_withheld_parts_leave_out_own_foods_that_add_to_them_and_what_their_labels_say() -> None:
    drink = OAT_BAR.replace('roles = ["sweet"]', 'roles = ["drink"]')
    assert BAR in refused_foods(with_own(drink), ("fluid",))
    assert BAR in refused_foods(with_own(OAT_BAR.replace("our oat bar", "our salt sticks")), ("sodium",))
    assert BAR in refused_foods(with_own(), ("fructose",))
    shown = planned(with_own(), "sodium").case.larder.food_of(BAR)
    assert shown is not None and shown.per_100g.sodium_mg is None and not shown.ingredients
    whole = planned(with_own()).case.larder.food_of(BAR)
    assert whole is not None and whole.per_100g.sodium_mg is not None


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ('caffeine = "0 mg"', "may hold caffeine"),
        ('alcohol = "0 g"', "may hold alcohol"),
        ('fibre = "6 g"', "fibre is not known"),
        ('fat = "12 g"', "fat or protein is not known"),
        ('roles = ["sweet"]', "no role on a plate"),
    ],
)
def test_an_own_food_of_which_too_little_is_known_is_told_and_not_laid(line: str, why: str) -> None:
    own, laid = OAT_BAR.replace(line, ""), OWN_LAID.replace(f'"{BAR}"', '"bagel"')
    case = with_own(own, laid)
    assert why in left_out(case, ())[BAR]
    (told,) = [one.line() for one in planned(case).findings if one.code == "menu.own_left_out"]
    assert told.startswith("menu.own_foods: our oat bar, a food of your own, is laid on no menu: ")
    assert why in told


def test_each_fault_of_the_file_says_the_file_and_the_place_in_it() -> None:
    spoilt = OAT_BAR.replace('"45 g"', '"45"').replace('"12 g"', '"12 ounces"') + 'colour = "red"\n'
    assert [line.split(":")[0] for line in faults(spoilt)] == [
        f"{OWN_FILE}, foods[1].one",
        f"{OWN_FILE}, foods[1].label.fat",
        f"{OWN_FILE}, foods[1].label.colour",
    ]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"our oat bar"', '"Honey"', "the name of honey, too"),
        ('"1680 kJ"', '"1680 kcal"', "it reads like kJ"),
        ('fat = "12 g"', 'fat = "42 g"', "come to 118 g of 100 g"),
        ('basis = "100 g"\npack = "90 g"', 'basis = "pack"\npack = "45 g"', "cannot be in 45 g"),
        ('alcohol = "0 g"', 'alcohol = "120 g"', "0 to 100 g"),
        ("[[foods]]", "[[food]]", "Did you mean 'foods'?"),
        ("[[foods]]", "[[foods]", "not valid TOML"),
    ],
)
def test_what_cannot_be_in_the_file_is_told(old: str, new: str, told: str) -> None:
    assert told in " ".join(faults(OAT_BAR.replace(old, new)))


def test_two_own_foods_of_one_name_are_told() -> None:
    twice = OAT_BAR + OAT_BAR.replace(f'"{BAR}"', '"our-bar"')
    assert "is the name of our-oat-bar, too" in faults(twice)[0]


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ('"missing.toml"', "missing.toml: there is no such file"),
        ('"../our-foods.toml"', "menu.own_foods: the file ../our-foods.toml is not beside the case file"),
        ("3", "menu.own_foods: a file name is needed here"),
        ('"table.csv"', "a table says nothing of portions"),
    ],
)
def test_a_file_that_is_not_there_or_none_is_told(name: str, told: str) -> None:
    assert told in " ".join(faults(laid=OWN_LAID.replace(f'"{OWN_FILE}"', name)))


def test_a_misspelt_key_is_told_with_the_right_one() -> None:
    told = faults(laid=OWN_LAID.replace("own_foods", "own_food"))
    assert "Did you mean 'own_foods'?" in told[0]


def test_an_own_food_that_its_file_has_no_more_is_told_where_it_is_laid() -> None:
    told = faults(OAT_BAR.replace(f'"{BAR}"', '"our-other-bar"'))
    assert any(line.startswith("menu.laid[3].food: no food has the id 'our-oat-bar'.") for line in told)


def test_the_plan_without_own_foods_keeps_its_code() -> None:
    assert b"own_foods" not in canonical(plan_with())
