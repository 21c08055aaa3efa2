"""The card for a kitchen of others: what must not be on the plate; no weight and no word of health."""

from __future__ import annotations

from typing import get_args

from menued import TODAY, case_with, plan_with, screened

from provand.larder.item import Allergen
from provand.pack.hotel import ALLERGENS, hotel_card, hotel_data
from provand.pack.sheet import texts
from provand.pack.tongue import speaking, tongue_of
from provand.pack.write import is_made, pack_files
from provand.plan.draw_up import draw_up
from provand.plan.review import clear
from provand.plan.withheld import WEIGHTS

NO_GLUTEN = """
[menu]
blocks = 1
laid = [{ on = 2026-12-13, meal = "race meal", food = "banana", portions = 2 }]
"""


def cleared(laid: str = NO_GLUTEN, **athlete: object):  # type: ignore[no-untyped-def]
    case = case_with(laid, **athlete)
    return clear(draw_up(case, screened(case), as_of=TODAY), case, screened(case))


def test_every_allergen_has_words_that_a_kitchen_knows() -> None:
    assert set(ALLERGENS) == set(get_args(Allergen))


def test_the_card_names_what_is_left_out_and_the_breakfast_before_the_race() -> None:
    plan = cleared(allergens=["gluten"], excluded=[], diet="vegetarian").plan
    data = hotel_data(plan, "a4")
    assert data["no"][0].startswith("gluten: wheat")
    assert "gelatine" in data["no"][1]
    assert data["foods"] == ["2 bananas"]
    assert data["at"].startswith("Sunday 13 December 2026")
    assert hotel_card(plan, "a4") == hotel_card(plan, "a4")


def test_a_word_that_is_left_out_is_told_in_the_language_where_it_is_one_we_know() -> None:
    plan = cleared(excluded=["Nuts", "honey", "marsh bake"]).plan
    with speaking(tongue_of("es")):
        assert hotel_data(plan, "a4")["no"] == ["frutos secos de cualquier tipo", "miel", "marsh bake"]
    assert hotel_data(plan, "a4")["no"] == ["Nuts", "honey", "marsh bake"]


def test_no_weight_and_no_word_of_health_stands_on_the_card() -> None:
    told = [text for text in texts(hotel_data(cleared(allergens=["milk"]).plan, "a4")) if text]
    assert not [text for text in told if WEIGHTS.search(text)]
    assert not [text for text in told if "sweat" in text or "told us" in text]
    assert not [text for text in told if "allerg" in text.lower() or "coeliac" in text.lower()]


def test_who_leaves_nothing_out_has_no_card() -> None:
    assert not plan_with().case.athlete.leaves_out
    free = cleared()
    assert not is_made(free, "hotel.pdf")
    assert "hotel.pdf" not in {file.name for file in pack_files(free, pieces=["home"])}
    guest = cleared(allergens=["gluten"])
    assert "hotel.pdf" in {file.name for file in pack_files(guest, pieces=["home"])}
