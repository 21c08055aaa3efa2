"""How an own bottle is mixed, on the sheet for the kitchen; label and recipe of it are one drink."""

from __future__ import annotations

import io
import re

import pytest
from menued import BOTTLE, TODAY, case_with, plan_with, screened, with_bottle
from pypdf import PdfReader

from provand.case.case import Case
from provand.finding import BadInput
from provand.pack.home import home_data, home_sheet
from provand.pack.pieces import Making, sheets_of
from provand.pack.sheet import texts
from provand.pack.tongue import speaking, tongue_of
from provand.plan.draw_up import draw_up
from provand.record import canonical
from provand.safety.weights import WEIGHTS


def told(case: Case, *withheld: str) -> list[str]:
    """Return what the sheet says of the bottle: its title, then its lines."""
    data = home_data(draw_up(case, screened(case, *withheld), as_of=TODAY), "a4")
    return [text for drink in data["drinks"] for text in (drink["title"], *drink["lines"])]


def test_the_bottle_is_told_by_weight_by_spoon_and_with_both_volumes_apart() -> None:
    assert told(with_bottle()) == [
        "my bottle: 1 bottle",
        "Weigh 47 g of table sugar, 1.0 g of table salt.",
        "Or by level spoons: 3 tablespoons and 2¼ teaspoons of table sugar, ¼ teaspoon of table salt.",
        "Measure 750 ml of water and add everything: it makes 779 ml.",
        "Do not fill up to the 750 ml mark instead: only 721 ml of water go in, and the drink is stronger.",
    ]


SAID = {
    "es": [
        "my bottle: 1 bidón",
        "Pesa 47 g de azúcar de mesa, 1,0 g de sal de mesa.",
        "O con cucharas rasas: 3 cucharadas y 2¼ cucharaditas de azúcar de mesa, "
        "¼ cucharadita de sal de mesa.",
        "Mide 750 ml de agua y añade todo: salen 779 ml.",
        "No llenes en su lugar hasta la marca de 750 ml: solo entran 721 ml de agua, y la bebida queda más "
        "fuerte.",
    ],
    "de": [
        "my bottle: 1 Flasche",
        "Abwiegen: 47 g Haushaltszucker, 1,0 g Speisesalz.",
        "Oder mit gestrichenen Löffeln: 3 Esslöffel und 2¼ Teelöffel Haushaltszucker, "
        "¼ Teelöffel Speisesalz.",
        "750 ml Wasser abmessen und alles hineingeben: das ergibt 779 ml.",
        "Nicht stattdessen bis zur Marke 750 ml auffüllen: dann kommen nur 721 ml Wasser hinein, und das "
        "Getränk wird stärker.",
    ],
}


@pytest.mark.parametrize("tag", sorted(SAID))
def test_the_recipe_is_said_in_the_language_of_the_athlete(tag: str) -> None:
    with speaking(tongue_of(tag)):
        lines = told(with_bottle())
    assert [line.replace("\u00a0", " ") for line in lines] == SAID[tag], (
        "but for the spaces that hold a number"
    )


@pytest.mark.parametrize("tag", ["es", "de", "fr", "ar"])
def test_no_word_of_a_recipe_by_spoon_is_left_in_english(tag: str) -> None:
    case = with_bottle()
    with speaking(tongue_of(tag)):
        lines = [*told(case, "grams"), *told(case)]
    words = set(re.findall(r"[a-z]{3,}", " ".join(lines).lower()))
    assert not words & {"level", "spoons", "teaspoon", "sugar", "weigh", "water", "stir"}
    assert not [line for line in lines[: lines.index(lines[0], 1)] if WEIGHTS.search(line)]


def test_a_mark_that_is_filled_up_to_is_told_apart_from_measured_water() -> None:
    item = BOTTLE.replace("recipe.carb", 'recipe.how = "made up to"\nrecipe.carb').replace("778 ml", "750 ml")
    lines = told(with_bottle(item))
    assert lines[-2] == "Put everything into the bottle and fill up to 750 ml: that takes 722 ml of water."
    assert lines[-1].startswith("Do not measure 750 ml of water instead: that makes 778 ml")


def test_as_many_bottles_are_told_as_the_plan_carries() -> None:
    assert told(with_bottle(bottles=2))[0] == "my bottle: 2 bottles"


def test_who_reads_no_weights_gets_spoons_and_water_alone() -> None:
    case = with_bottle()
    lines = told(case, "grams")
    assert lines[1] == "Level spoons: 3 tablespoons and 2¼ teaspoons of table sugar."
    assert not [line for line in lines if WEIGHTS.search(line)]
    plan = draw_up(case, screened(case, "grams"), as_of=TODAY)
    assert not [text for text in texts(home_data(plan, "a4")) if WEIGHTS.search(text)]
    assert home_sheet(plan, "a4").startswith(b"%PDF")


def test_withheld_sodium_leaves_the_salt_out() -> None:
    lines = told(with_bottle(), "sodium")
    assert len(lines) == 5
    assert not [line for line in lines if "salt" in line]


def test_withheld_fluid_has_no_recipe() -> None:
    assert told(with_bottle(), "fluid") == []


def test_what_may_not_go_in_is_not_told_to_be_mixed() -> None:
    case = with_bottle(excluded=["sugar"])
    assert told(case)[1:] == ["Ask Sanna Vell how it is mixed."]


def test_the_sheet_says_in_which_pocket_the_bottle_goes() -> None:
    case = with_bottle()
    groups = home_data(draw_up(case, screened(case), as_of=TODAY), "a4")["pack"]["groups"]
    (hand,) = [group for group in groups if group["place"] == "Pocket: left hand"]
    assert [row["text"] for row in hand["rows"]] == ["1 × my bottle"]


def test_a_plan_without_own_drinks_has_none_to_mix_and_its_items_keep_their_bytes() -> None:
    assert home_data(plan_with(), "a4")["drinks"] == []
    assert b'"recipe"' not in canonical(plan_with())


def files_of(case: Case, *withheld: str) -> set[str]:
    plan = draw_up(case, screened(case, *withheld), as_of=TODAY)
    return {sheet.name for sheet in sheets_of(Making(plan), ["home"])}


def test_an_own_bottle_has_its_sheet_without_a_menu_too() -> None:
    case = with_bottle(laid="")
    assert files_of(case) == {"home.pdf", "home-letter.pdf"}
    data = home_data(draw_up(case, screened(case), as_of=TODAY), "a4")
    assert data["menu"] is None
    assert data["no_menu"]["heading"] == f"Mix and lay out for {case.athlete.name}"
    assert [drink["title"] for drink in data["drinks"]] == ["my bottle: 1 bottle"]
    assert "Pocket: left hand" in [group["place"] for group in data["pack"]["groups"]]


def test_without_a_menu_no_heading_is_there_of_what_is_not() -> None:
    case = with_bottle(laid="")
    sheet = PdfReader(io.BytesIO(home_sheet(draw_up(case, screened(case), as_of=TODAY), "a4")))
    told = " ".join(" ".join(page.extract_text() for page in sheet.pages).split())
    assert "Weigh 47 g of table sugar" in told
    assert "Lay out for the race" in told
    assert not [word for word in ("Menu", "Shopping", "menu", "shop") if word in told]


def test_neither_menu_nor_a_recipe_that_may_be_told_is_no_sheet() -> None:
    assert files_of(case_with("")) == set()
    assert files_of(with_bottle(laid=""), "fluid") == set()
    assert files_of(with_bottle(laid=""), "grams") == {"home.pdf", "home-letter.pdf"}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('carb = "6 g"', 'carb = "9 g"', "has 70 g of carbohydrate, by its recipe"),
        ('"778 ml"', '"500 ml"', "has 500 ml of volume, by its recipe"),
        ('sodium = "50 mg"', 'sodium = "120 mg"', "of sodium, by its recipe"),
        ('"sugar", "salt"', '"suger", "salt"', "Did you mean 'sugar'?"),
        ('recipe.carb = "60 g/l"', 'recipe.carb = "60"', "recipe.carb"),
        ('recipe.carb = "60 g/l"', 'recipe.carbs = "60 g/l"', "Did you mean 'carb'?"),
        ('recipe.carb = "60 g/l"\nrecipe.sodium = "500 mg/l"', "", "nothing is wished of the drink"),
        ('texture = "drink"', 'texture = "gel"', "a recipe makes a drink"),
    ],
)
def test_label_and_recipe_that_are_two_drinks_or_cannot_be_are_refused(old: str, new: str, said: str) -> None:
    assert old in BOTTLE
    with pytest.raises(BadInput) as refused:
        with_bottle(BOTTLE.replace(old, new))
    assert said in str(refused.value)
