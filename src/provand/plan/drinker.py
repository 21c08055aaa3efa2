"""For whom a drink is mixed: what may go in, what is withheld, and what is said of the recipe."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.finding import Finding, find
from provand.larder.ingredient import Ingredient, cupboard
from provand.larder.item import Item
from provand.larder.mixing import DrinkRecipe
from provand.plan.body_work import work_out
from provand.plan.draw_up import targets_of
from provand.plan.withheld import WEIGHTS, speaks_of, told
from provand.protocol.firing import Fired
from provand.protocol.own import Protocols
from provand.safety.refusals import refused_in_drinks
from provand.safety.screening import Screening

FOR_THE_PRACTITIONER = ("mix.acid", "mix.usual_ratio", "mix.strong", "mix.salty")
"""Findings that are no use to whoever mixes the drink."""
OSMOLES = ("mix.acid",)


DRINK_RULES = {"race.drink_carb": "Carbohydrate", "race.drink_sodium": "Sodium"}
"""The rules for the drink of a race, by what they give, and what that is called."""


class Drinker(NamedTuple):
    """What may go into somebody's drink, what may not and why, and what is withheld."""

    cupboard: Mapping[str, Ingredient]
    refused: Mapping[str, str] = {}
    withheld: tuple[str, ...] = ()

    @property
    def in_words(self) -> bool:
        """Whether spoons and water alone may be told."""
        return "grams" in self.withheld

    @property
    def may_go_in(self) -> dict[str, Ingredient]:
        """What is left: no salt where sodium is withheld, nothing that this person may not have."""
        salted = "sodium" not in self.withheld
        return {
            key: one
            for key, one in self.cupboard.items()
            if key not in self.refused and (salted or one.kind != "salt")
        }


def drinker_of(case: Case, withheld: tuple[str, ...], more: Iterable[Item] = ()) -> Drinker:
    """Return whom a case is of, as one who drinks; `more` are items at hand beside those of the case."""
    own = {item.id: item for item in (*more, *case.items)}
    at_hand = cupboard(own.values())
    items = {name: one.item for name, one in at_hand.items()}
    return Drinker(at_hand, refused_in_drinks(case, items, withheld), withheld)


def drink_rules(case: Case, screening: Screening, *, protocols: Protocols, as_of: date) -> tuple[Fired, ...]:
    """Return the rules for the drink of this athlete's race; nothing is solved, of withheld parts no word.

    BadInput where the targets of the case cannot be worked out.
    """
    work = work_out(case, screening)
    fired = targets_of(case, screening, work, protocols=protocols, as_of=as_of).fired
    return tuple(
        rule
        for rule in fired
        if rule.gives in DRINK_RULES and not speaks_of(f"{rule.gives} {rule.band}", screening.withheld)
    )


def remarks(recipe: DrinkRecipe, withheld: Collection[str], *, to_the_athlete: bool) -> list[Finding]:
    """Return the findings without those that speak of what is withheld, or of weights where these are."""
    found = told([*recipe.gave_way, *recipe.findings], withheld)
    left_out = FOR_THE_PRACTITIONER if to_the_athlete else OSMOLES if "sodium" in withheld else ()
    kept = [one for one in found if one.code not in left_out]
    if "grams" not in withheld:
        return kept
    near = [] if recipe.as_wished else [find("mix.nearest", "mix")]
    return near + [one for one in kept if not WEIGHTS.search(one.line())]
