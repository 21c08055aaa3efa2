"""A card for a hotel or a host: what this guest must not be served, and what breakfast may be."""

from __future__ import annotations

from typing import Any

from provand.pack.letters import printable
from provand.pack.plate import eaten_words
from provand.pack.sheet import common, texts
from provand.pack.tongue import named, say, spoken
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import day, no_weights, wall_clock
from provand.phrase import to_say
from provand.plan.document import MenuMeal, Plan

ALLERGENS = {
    "gluten": to_say("gluten: wheat, rye, barley, oats, spelt, malt"),
    "crustaceans": to_say("shrimps, crab, lobster"),
    "egg": to_say("egg"),
    "fish": to_say("fish"),
    "peanut": to_say("peanuts"),
    "soya": to_say("soya"),
    "milk": to_say("milk: butter, cream, cheese, yoghurt"),
    "nuts": to_say("nuts of any kind"),
    "celery": to_say("celery"),
    "mustard": to_say("mustard"),
    "sesame": to_say("sesame"),
    "sulphite": to_say("sulphites: in wine, vinegar, dried fruit"),
    "lupin": to_say("lupin flour"),
    "molluscs": to_say("mussels, oysters, squid, snails"),
    "fructose": to_say("fruit sugar: fruit, juice, honey, table sugar"),
    "sorbitol": to_say("sorbitol: sugar-free sweets, some fruit"),
}
"""The allergens in words for a kitchen: the names of EU 1169/2011 Annex II; where they hide, from memory."""
DIETS = {
    "vegetarian": to_say("meat, fish, and what is made of them, such as gelatine and stock"),
    "vegan": to_say("meat, fish, egg, milk, honey, and what is made of them, such as gelatine and stock"),
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
    at = say("{day}, {at}", day=day(meal.on), at=wall_clock(meal.at)) if meal else ""
    shared = common(plan, say("For the kitchen"), paper, draft=draft)
    return shared | {
        "foot": say(
            "Made for {athlete} by {maker}. A kitchen needs to know no more.",
            athlete=name,
            maker=shared["made_by"],
        ),
        "athlete": name,
        "at": at,
        "words": {
            "heading": say("For the kitchen"),
            "order": say("Please keep this with the order of {athlete}. Thank you.", athlete=name),
            "nothing": say("Nothing with"),
            "unsure": say(
                "Not sure what is in it? Then please do not serve it. A trace counts: clean board, clean "
                "knife, clean oil."
            ),
            "breakfast": say("Breakfast before the race: {at}", at=at),
            "alike": say("Or something like it, plain, with little fat and little fibre."),
        },
        "no": left_out(plan),
        "foods": [eaten_words(food, plan.case) for food in meal.foods] if meal else [],
    }


def left_out(plan: Plan) -> list[str]:
    """Return what the athlete leaves out, in words for whoever cooks or hands over; never why."""
    athlete = plan.case.athlete
    words = [say(ALLERGENS[one]) for one in athlete.allergens]
    words += [printable(_in_words(word), "athlete.excluded") for word in athlete.excluded]
    return words + ([say(DIETS[athlete.diet])] if athlete.diet in DIETS else [])


def _in_words(typed: str) -> str:
    """Return a word that was typed as what is left out, in the language spoken where it is one we know."""
    if spoken().is_ours:
        return typed
    word = typed.strip().lower()
    known = say(ALLERGENS[word]) if word in ALLERGENS else named(word, "food")
    return typed if known == word else known


def _race_meal(plan: Plan) -> MenuMeal | None:
    meals = plan.menu.meals if plan.menu is not None else ()
    return next((meal for meal in meals if meal.meal == "race meal" and meal.foods), None)
