"""Items: exclusions hold unless the pack says otherwise; the starter shelf is plain and sound."""

from __future__ import annotations

import re
from importlib.resources import files
from typing import Any, get_args

import pytest
from pydantic import ValidationError

from provand.larder.item import Allergen, Item
from provand.larder.shelf import shelf

LABEL = {"convention": "EU", "basis": "pack", "pack_g": 40, "carb_g": 25, "ingredients": "water, honey, salt"}

UNLISTED = {**LABEL, "ingredients": ""}


def item(**marks: Any) -> Item:
    return Item(**{"id": "x", "name": "Gel", "texture": "gel", "label": LABEL, **marks})


@pytest.mark.parametrize(
    ("marks", "allergens", "words", "diet", "reason"),
    [
        ({}, (), (), "any", ""),
        ({}, ("milk",), (), "any", "not stated to be free from milk"),
        ({"free_from": ("milk",)}, ("milk",), (), "any", ""),
        ({"contains": ("milk",)}, ("milk",), (), "any", "contains milk"),
        ({"free_from": ("milk",)}, ("milk", "egg"), (), "any", "not stated to be free from egg"),
        ({}, (), ("Honey",), "any", "contains Honey"),
        ({}, (), ("sucralose",), "any", ""),
        ({"label": UNLISTED}, (), ("honey",), "any", "no list of ingredients to look for honey in"),
        ({}, (), (), "vegan", "not stated to be vegan"),
        ({"diet": "vegan"}, (), (), "vegetarian", ""),
        ({"diet": "vegetarian"}, (), (), "vegan", "not stated to be vegan"),
    ],
)  # fmt: skip
def test_an_item_is_refused_unless_it_is_stated_to_be_fit(
    marks: dict[str, Any], allergens: tuple[str, ...], words: tuple[str, ...], diet: str, reason: str
) -> None:
    assert item(**marks).refused_for(allergens, words, diet) == reason


def test_an_allergen_that_is_not_listed_may_be_contained() -> None:
    assert all(item().may_contain(allergen) for allergen in get_args(Allergen))


def test_an_allergen_cannot_be_both_contained_and_absent() -> None:
    with pytest.raises(ValidationError, match="both contained and absent"):
        item(contains=("milk",), free_from=("milk",))


@pytest.mark.parametrize("wrong", ["Gel", "gel 25", "", "-gel", "gél"])
def test_an_id_is_short_lower_case_and_hyphens(wrong: str) -> None:
    with pytest.raises(ValidationError):
        item(id=wrong)


def test_the_shelf_holds_each_kind_once() -> None:
    ids = [one.id for one in shelf()]
    assert len(ids) == len(set(ids)) == 14
    assert {one.texture for one in shelf()} == {"gel", "chew", "solid", "drink", "water", "powder", "capsule"}


@pytest.mark.parametrize("one", shelf(), ids=lambda one: one.id)
def test_a_shelf_item_tells_everything_a_limit_needs(one: Item) -> None:
    holds = one.holds
    for name in ("carb_g", "glucose_g", "fructose_g", "water_ml", "sodium_mg", "caffeine_mg"):
        assert getattr(holds, name) is not None, name
    assert one.ingredients_note
    assert one.label.ingredients
    assert holds.glucose_g.mid + holds.fructose_g.mid == pytest.approx(holds.carb_g.mid, abs=1e-6)


@pytest.mark.parametrize("one", shelf(), ids=lambda one: one.id)
def test_a_shelf_item_with_fructose_in_its_numbers_says_so_in_its_marks(one: Item) -> None:
    fructose = one.holds.fructose_g
    assert fructose is not None
    assert (fructose.high > 0) == ("fructose" in one.contains)
    assert set(one.contains) | set(one.free_from) >= set(get_args(Allergen)) - {"sulphite"}


def test_every_number_of_the_shelf_stands_beside_its_source() -> None:
    """A comment on the line, or one over the whole label."""
    text = files("provand.larder").joinpath("shelf.toml").read_text("utf-8")
    covered = False
    for line in text.splitlines():
        if line.startswith("["):
            covered = line.startswith("[items.label]") and "#" in line
        elif re.match(r"\w+_(g|ml|mg) = ", line) and not covered:
            assert re.search(r"# (practice|memory|ours|computed)", line), line
