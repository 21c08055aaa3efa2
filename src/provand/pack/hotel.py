"""A card for a hotel or a host: what this guest must not be served, and what breakfast may be."""

from __future__ import annotations

from typing import Any

from provand.pack.letters import printable
from provand.pack.sheet import common, texts
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import day, no_weights, wall_clock
from provand.plan.document import MenuMeal, Plan

ALLERGENS = {
    "gluten": "gluten: wheat, rye, barley, oats, spelt, malt",
    "crustaceans": "shrimps, crab, lobster",
    "egg": "egg",
    "fish": "fish",
    "peanut": "peanuts",
    "soya": "soya",
    "milk": "milk: butter, cream, cheese, yoghurt",
    "nuts": "nuts of any kind",
    "celery": "celery",
    "mustard": "mustard",
    "sesame": "sesame",
    "sulphite": "sulphites: in wine, vinegar, dried fruit",
    "lupin": "lupin flour",
    "molluscs": "mussels, oysters, squid, snails",
    "fructose": "fruit sugar: fruit, juice, honey, table sugar",
    "sorbitol": "sorbitol: sugar-free sweets, some fruit",
}
"""The allergens in words for a kitchen: the names of EU 1169/2011 Annex II; where they hide, from memory."""
DIETS = {
    "vegetarian": "meat, fish, and what is made of them, such as gelatine and stock",
    "vegan": "meat, fish, egg, milk, honey, and what is made of them, such as gelatine and stock",
}


def hotel_card(plan: Plan, paper: Paper, *, draft: bool = False) -> bytes:
    """Return the card as a PDF: no word of health, no weight, nothing but what may not be on the plate."""
    data = hotel_data(plan, paper, draft=draft)
    if "grams" in plan.withheld:
        no_weights(texts(data), "hotel.pdf")
    return pdf("hotel.typ", data)


def hotel_data(plan: Plan, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the card prints."""
    meal, name = _race_meal(plan), printable(plan.case.athlete.name, "athlete.name")
    shared = common(plan, "For the kitchen", paper, draft=draft)
    return shared | {
        "foot": f"Made for {name} by {shared['made_by']}. A kitchen needs to know no more.",
        "athlete": name,
        "no": left_out(plan),
        "at": f"{day(meal.on)}, {wall_clock(meal.at)}" if meal else "",
        "foods": [printable(f"{food.says} {food.name}", food.food) for food in meal.foods] if meal else [],
    }


def left_out(plan: Plan) -> list[str]:
    """Return what the athlete leaves out, in words for whoever cooks or hands over; never why."""
    athlete = plan.case.athlete
    words = [ALLERGENS[one] for one in athlete.allergens]
    words += [printable(word, "athlete.excluded") for word in athlete.excluded]
    return words + ([DIETS[athlete.diet]] if athlete.diet in DIETS else [])


def _race_meal(plan: Plan) -> MenuMeal | None:
    meals = plan.menu.meals if plan.menu is not None else ()
    return next((meal for meal in meals if meal.meal == "race meal" and meal.foods), None)
