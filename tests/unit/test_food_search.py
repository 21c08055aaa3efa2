"""Foods are found in a person's words."""

from __future__ import annotations

import pytest

from provand.larder.food import foods
from provand.larder.search import near_names, search, words_of


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("pasat", "pasta"),
        ("bananna", "banana"),
        ("brocolli", "broccoli"),
        ("spaghettti", "pasta"),
        ("boild potatos", "boiled-potatoes"),
        ("potatoes, boiled", "boiled-potatoes"),
        ("tomatoe", "tomato"),
        ("ginger biscits", "ginger-biscuits"),
        ("apple juise", "apple-juice"),
        ("boiled rice", "white-rice"),
        ("oats", "porridge"),
        ("semi-skimmed", "reduced-fat-milk"),
        ("Rice", "white-rice"),
        ("MASH", "mashed-potatoes"),
    ],
)
def test_slips_plurals_and_other_names_are_understood(typed: str, first: str) -> None:
    assert search(typed, foods())[0].id == first


def test_every_word_must_be_found() -> None:
    assert [food.id for food in search("wholewheat pasta", foods())] == ["wholewheat-pasta"]
    assert search("wholewheat lemonade", foods()) == []


def test_another_fruit_is_no_slip_of_spelling() -> None:
    assert search("raspberry", foods()) == search("rasberry", foods()) == []


def test_no_words_find_nothing() -> None:
    assert search("with the", foods()) == []
    assert search("", foods()) == []


def test_words_are_singular_and_without_accents() -> None:
    assert words_of("Crèmes, berries & potatoes of the peaches") == ["creme", "berry", "potato", "peach"]
    assert words_of("couscous hummus glass rice") == ["couscous", "hummus", "glass", "rice"]


def test_where_nothing_is_found_near_names_are_offered() -> None:
    assert "boiled egg" in near_names("egs", foods())


def test_every_food_is_found_by_its_name() -> None:
    for food in foods():
        assert food in search(food.name, foods())[:3], food.id
