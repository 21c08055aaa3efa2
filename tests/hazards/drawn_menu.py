"""A menu by chance, as it is laid by hand: foods of the larder and own ones, on the day before a race."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from random import Random
from typing import Any

from provand.larder.food import foods

OWN_FOODS = "own-foods.toml"
PLAIN = (
    *("white-rice", "pasta", "white-bread", "bagel", "honey", "banana", "pineapple-juice", "chicken-breast"),
    *("skimmed-milk", "scrambled-egg", "soy-sauce", "gums", "sponge-cake", "ham", "puffed-rice"),
)
"""Foods that people lay before a race; others are drawn, too, and some of them may not be given."""
MEALS = ("breakfast", "lunch", "afternoon snack", "dinner")
SHARE = 0.3
"""How many of the cases have a menu."""


def drawn_menu(draw: Random, gun: datetime) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Draw a menu and the file of own foods that it names; mostly none."""
    if draw.random() > SHARE:
        return {}, {}
    before = (gun - timedelta(days=1)).date()
    others = [food.id for food in foods()]
    own = draw.random() < 0.5
    rows: list[dict[str, Any]] = []
    for meal in MEALS:
        known = [*PLAIN, *(["own-bar"] if own else [])]
        for food in draw.sample(known, draw.choice([0, 1, 2, 3])):
            rows.append(_row(draw, before, meal, food))
    if draw.random() < 0.5:
        rows.append(_row(draw, gun.date(), "race meal", draw.choice(PLAIN)))
    if rows and draw.random() < 0.1:
        rows.append(_row(draw, before, "evening snack", draw.choice(others)))
    menu: dict[str, Any] = {"blocks": draw.choice([1, 1, 2]), "laid": rows}
    menu |= {"in_house": [{"food": "white-rice", "amount": "1 lb"}]} if draw.random() < 0.3 else {}
    menu |= {"refused": [draw.choice(PLAIN)]} if draw.random() < 0.2 else {}
    menu |= {"kitchen": draw.choice(["kettle", "none"])} if draw.random() < 0.3 else {}
    if not own:
        return menu, {}
    return menu | {"own_foods": OWN_FOODS}, {OWN_FOODS: _own_food(draw).encode("utf-8")}


def _row(draw: Random, on: date, meal: str, food: str) -> dict[str, Any]:
    row: dict[str, Any] = {"on": on, "meal": meal, "food": food, "portions": draw.choice([1, 1.5, 2, 3])}
    return row | ({"pinned": True} if draw.random() < 0.1 else {})


def _own_food(draw: Random) -> str:
    """Draw a label of one's own: marks or none, caffeine told or not, a name that tells a weight or not."""
    marks = draw.choice(
        ['free_from = ["gluten", "milk", "nuts", "peanut", "soya", "fructose"]', 'free_from = ["milk"]', ""]
    )
    return f"""
[[foods]]
id = "own-bar"
name = "{draw.choice(["bar of the house", "bar of the house", "45 g bar", "Ωμ & Co bar"])}"
roles = ["sweet"]
unit = "bar"
units = "bars"
one = "45 g"
{marks}
alcohol = "0 g"
[foods.label]
convention = "{draw.choice(["EU", "US"])}"
basis = "100 g"
pack = "90 g"
carb = "62 g"
fibre = "6 g"
fat = "12 g"
protein = "8 g"
sodium = "120 mg"
{draw.choice(['caffeine = "0 mg"', 'caffeine = "0 mg"', 'caffeine = "0 mg"', 'caffeine = "30 mg"', ""])}
{draw.choice(['ingredients = "oats, glucose syrup, oil"', ""])}
"""
