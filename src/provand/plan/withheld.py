"""What a withheld part leaves out of a plan: its figures, what labels say of it, what sentences tell."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator

from provand.case.case import Case
from provand.case.menu import MenuWishes
from provand.case.morning import Morning
from provand.figure import Figure
from provand.finding import Finding, Level
from provand.larder.item import Item
from provand.safety import weights
from provand.safety.foods import is_salt

WEIGHTS = weights.WEIGHTS
PRIVATE = {"sodium.start_mmol_per_l", "ceiling.cool_allowance_ml", "ceiling.caffeine_mg_per_day"}
"""Figures that an answer moves: shown, they would give it away. They stand in no plan, and bind unseen."""

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


KEPT = ("safety.", "sweat.unbalanced", "plan.long_race")
"""Findings that are told though they name a withheld part: that it is withheld; what sends to a doctor."""


def told(findings: Iterable[Finding], withheld: Collection[str]) -> Iterator[Finding]:
    """Yield the findings but those notes and warnings that speak of a withheld part."""
    for finding in findings:
        is_remark = finding.level in (Level.CAVEAT, Level.NOTE, Level.WARN)
        kept = not is_remark or finding.code.startswith(KEPT)
        if kept or not speaks_of(f"{finding.about} {finding.line()}", withheld):
            yield finding


def case_as_shown(case: Case, withheld: Collection[str]) -> Case:
    """Return the case without what its labels, habits, tests and wishes say of the withheld parts."""
    if not withheld:
        return case
    blank = {name: None for part in withheld for name in _LABEL_FIELDS.get(part, ())}
    items = tuple(_item_as_shown(item, blank, withheld) for item in case.items) if blank else case.items
    athlete, race, wishes = case.athlete, case.race, case.wishes
    if "caffeine" in withheld:
        athlete = athlete.model_copy(update={"caffeine_habit_mg_per_day": None, "breakfast_caffeine_mg": 0.0})
        wishes = wishes.model_copy(update={"caffeine_mg": None})
    if "fluid" in withheld:
        athlete = athlete.model_copy(update={"sweat_tests": ()})
        race = race.model_copy(update={"pre_start_drink_ml": 0.0})
    kept = tuple(override for override in wishes.overrides if not is_hidden(override.what, withheld))
    wishes = wishes.model_copy(update={"overrides": kept})
    origins = {
        path: o
        for path, o in case.origins.items()
        if not any(_WORDS[p].search(path) for p in withheld if p in _WORDS)
    }
    if {"caffeine", "fluid"} & set(withheld):
        race = race.model_copy(update={"taken": ()})
        origins = {path: o for path, o in origins.items() if not path.startswith("race.taken.")}
    changed = {"items": items, "athlete": athlete, "race": race, "wishes": wishes, "origins": origins}
    changed |= {"morning": _morning_as_shown(case, withheld), "menu": _menu_as_shown(case, blank)}
    return case.model_copy(update=changed)


def _morning_as_shown(case: Case, withheld: Collection[str]) -> Morning | None:
    """Return race morning without the hour of the coffee, and a breakfast that names what is withheld."""
    morning = case.morning
    if morning is None:
        return None
    named = speaks_of(morning.breakfast, withheld) or (
        "grams" in withheld and WEIGHTS.search(morning.breakfast) is not None
    )
    coffee = None if {"caffeine", "fluid"} & set(withheld) else morning.coffee_at
    breakfast = "" if named else morning.breakfast
    return morning.model_copy(update={"coffee_at": coffee, "breakfast": breakfast})


_NO_AMOUNTS = ("caffeine_mg", "sodium_mg", "fructose_g")
"""What foods of one's own hold of the parts that labels speak of."""


def _menu_as_shown(case: Case, blank: dict[str, None]) -> MenuWishes | None:
    """Return the menu without what labels and recipes of own foods say of the withheld parts."""
    menu = case.menu
    if menu is None or not blank:
        return menu
    unsaid = {name: None for name in _NO_AMOUNTS if name in blank}
    own = tuple(
        food.model_copy(
            update={
                "per_100g": food.per_100g.model_copy(update=unsaid),
                "ingredients": "",
                "source_id": "",
                "parts": tuple(
                    part for part in food.parts if "sodium_mg" not in blank or not is_salt(part.bought.name)
                ),
            }
        )
        for food in menu.own_foods
    )
    return menu.model_copy(update={"own_foods": own})


def _item_as_shown(item: Item, blank: dict[str, None], withheld: Collection[str]) -> Item:
    label = item.label.model_copy(update={**blank, "ingredients": ""})
    note = "" if speaks_of(item.ingredients_note, withheld) else item.ingredients_note
    recipe = item.recipe
    if recipe is not None and "sodium" in withheld:
        recipe = recipe.model_copy(update={"sodium_mg_per_l": None})
    if recipe is not None and "fructose" in withheld:
        recipe = recipe.model_copy(update={"fructose_ratio": None})
    return item.model_copy(update={"label": label, "ingredients_note": note, "recipe": recipe})
