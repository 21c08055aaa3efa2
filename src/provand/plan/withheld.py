"""What a withheld part leaves out of a plan: its figures, what labels say of it, what sentences tell."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from provand.case.case import Case
from provand.figure import Figure

PRIVATE = {"sodium.start_mmol_per_l", "ceiling.cool_allowance_ml"}
"""Figures that a medicine moves: shown, they would give an answer away. They bind unseen."""

_WORDS = {
    "caffeine": re.compile(r"caffeine"),
    "sodium": re.compile(r"sodium|salt"),
    "fluid": re.compile(r"fluid|sweat|drink|water|_ml\b|_ml_per|_l_per"),
    "fructose": re.compile(r"fructose"),
    "loading": re.compile(r"^load\b|loading"),
}
_LABEL_FIELDS = {"caffeine": ("caffeine_mg",), "sodium": ("sodium_mg", "salt_g"), "fructose": ("fructose_g",)}


_SPOKEN = {
    "caffeine": re.compile(r"caffein|coffee|\bcola\b", re.IGNORECASE),
    "sodium": re.compile(r"sodium|\bsalt", re.IGNORECASE),
    "fluid": re.compile(
        r"fluid|sweat|drink|drunk|water|\bsip|thirst|\bcup|mouthful|bottle|flask|\d\s*(?:ml|dl|cl|l|litres?)\b",
        re.IGNORECASE,
    ),
    "fructose": re.compile(r"fructose|\bsugars?\b", re.IGNORECASE),
    "loading": re.compile(r"\bload", re.IGNORECASE),
}
"""How a sentence speaks of a part."""

WEIGHTS = re.compile(
    r"[\d.,]*\d\s*(?:g|kg|mg|kcal|kj|lbs?|oz|grams?|kilos?|calories)\b|\b(?:grams?|kilograms?|kcal|calories)\b"
    r"|g/kg|%\s*of body",
    re.IGNORECASE,
)
"""What someone who is not to see weights must not read."""


def speaks_of(text: str, parts: Collection[str]) -> bool:
    """Return whether a sentence speaks of one of these parts, weights apart; rather once too often."""
    return any(part in parts and words.search(text) for part, words in _SPOKEN.items())


def is_hidden(figure_id: str, withheld: Collection[str]) -> bool:
    """Return whether a figure belongs to a withheld part. Ceilings are no exception: they bind unseen."""
    if figure_id in PRIVATE:
        return True
    return any(part in withheld and words.search(figure_id) for part, words in _WORDS.items())


def seen(figures: Iterable[Figure], withheld: Collection[str]) -> tuple[Figure, ...]:
    """Return the figures that may be shown; a hidden one also leaves the inputs of the others."""
    return tuple(
        figure.model_copy(update={"inputs": tuple(i for i in figure.inputs if not is_hidden(i, withheld))})
        for figure in figures
        if not is_hidden(figure.id, withheld)
    )


def case_as_shown(case: Case, withheld: Collection[str]) -> Case:
    """Return the case without what its labels and wishes say of the withheld parts."""
    blank = {name: None for part in withheld for name in _LABEL_FIELDS.get(part, ())}
    if not blank:
        return case
    items = tuple(
        item.model_copy(update={"label": item.label.model_copy(update={**blank, "ingredients": ""})})
        for item in case.items
    )
    athlete, wishes = case.athlete, case.wishes
    if "caffeine" in withheld:
        athlete = athlete.model_copy(update={"caffeine_habit_mg_per_day": None, "breakfast_caffeine_mg": 0.0})
        wishes = wishes.model_copy(update={"caffeine_mg": None})
    origins = {
        path: o
        for path, o in case.origins.items()
        if not any(_WORDS[p].search(path) for p in withheld if p in _WORDS)
    }
    return case.model_copy(update={"items": items, "athlete": athlete, "wishes": wishes, "origins": origins})
