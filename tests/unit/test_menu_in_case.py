"""The menu in a case: what may be typed, what is refused, and that cases without one stay as they were."""

from __future__ import annotations

from datetime import date, time
from pathlib import Path

import pytest
from starter_case import STARTER_TEXT, opened, refused

from provand.record import canonical

MENU = """
[menu]
blocks = 2
disliked = ["raisins"]
meals = [
    { meal = "breakfast", at = "7.30" },
    { meal = "lunch", at = 12:30:00, on = 2026-12-05, kitchen = "kettle" },
]
in_house = [{ food = "white-rice", amount = "1,5 kg" }]
laid = [{ on = 2026-12-05, meal = "lunch", food = "white-rice", portions = 2 }]
"""


def test_a_menu_is_read_with_its_times_and_amounts(tmp_path: Path) -> None:
    menu = opened(tmp_path, STARTER_TEXT + MENU).menu
    assert menu is not None
    assert [(one.meal, one.at, one.on) for one in menu.meals] == [
        ("breakfast", time(7, 30), None),
        ("lunch", time(12, 30), date(2026, 12, 5)),
    ]
    assert menu.in_house[0].amount_g == 1500
    assert menu.laid[0].slot == "2026-12-05 lunch"


def test_a_case_without_a_menu_has_no_word_of_one_in_its_bytes(tmp_path: Path) -> None:
    """So the codes of cases and plans that were made before there were menus still hold."""
    case = opened(tmp_path, STARTER_TEXT)
    assert case.menu is None
    assert b'"menu"' not in canonical(case)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('at = "7.30"', 'at = "half past"', "a clock time, as 7:30"),
        ('at = "7.30"', 'at = "25:00"', "a clock time, as 7:30"),
        ("portions = 2", "portions = 0", "0.25 to 20"),
        ("portions = 2", 'portions = "two"', "portions"),
        ("blocks = 2", "blocks = 4", "1 to 3"),
        ('meal = "lunch", at', 'meal = "brunch", at', "lunch"),
        ('amount = "1,5 kg"', 'amount = "1500"', "1500 oz"),
        ('kitchen = "kettle"', 'kitchen = "camping stove"', "petrol station"),
    ],
)
def test_what_cannot_be_meant_is_told_with_what_is_allowed(
    tmp_path: Path, old: str, new: str, told: str
) -> None:
    assert old in MENU
    assert told in str(refused(tmp_path, STARTER_TEXT + MENU.replace(old, new, 1)))


def test_a_food_cannot_stand_twice_on_one_meal(tmp_path: Path) -> None:
    twice = MENU.replace(
        "portions = 2 }",
        'portions = 2 }, { on = 2026-12-05, meal = "lunch", food = "white-rice", portions = 1 }',
    )
    assert "white-rice on 2026-12-05 lunch" in str(refused(tmp_path, STARTER_TEXT + twice))


def test_a_meal_cannot_stand_twice_on_one_day(tmp_path: Path) -> None:
    twice = MENU.replace('meal = "lunch", at = 12:30:00', 'meal = "breakfast", at = 9:00:00').replace(
        "9:00:00, on = 2026-12-05", "09:00:00"
    )
    assert "every day breakfast" in str(refused(tmp_path, STARTER_TEXT + twice))
