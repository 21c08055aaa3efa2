"""`mix`: a recipe printed with its ledger, its sums and what is to be known of the drink."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from provand.cli import say
from provand.cli.food import cleared_plan
from provand.cli.reading import case_files
from provand.finding import Finding, NoPlanFits, OnHold, as_data, find
from provand.larder.drink_wish import How
from provand.larder.drink_words import NO_ROOM, columns, figures, handed_out, ledger, sums, way_words
from provand.larder.ingredient import Ingredient, cupboard
from provand.larder.mixing import Batch, DrinkRecipe, mixed
from provand.larder.wished import wish_of
from provand.plan.drinker import DRINK_RULES, drinker_of, remarks
from provand.protocol.firing import Fired
from provand.safety.screening import screen
from provand.units import shown


class _For(NamedTuple):
    """Whom a drink is for: what may go in, what may not, what is withheld, the rules for the race's drink."""

    cupboard: Mapping[str, Ingredient]
    refused: Mapping[str, str] = {}
    withheld: tuple[str, ...] = ()
    rules: tuple[Fired, ...] = ()


def _whom(case_path: Path | None, as_of: date) -> _For:
    if case_path is None:
        return _For(cupboard())
    case, health, _ = case_files(case_path, as_of)
    screening, reasons = screen(case, health, as_of=as_of)
    if not screening.may_issue:
        raise OnHold(*reasons)
    drinker = drinker_of(case, screening.withheld)
    try:
        rules = cleared_plan(case_path, as_of).rules
    except NoPlanFits:
        rules = ()
    return _For(*drinker, tuple(rule for rule in rules if rule.gives in DRINK_RULES))


def mix(
    texts: Mapping[str, str], how: How, case_path: Path | None, as_of: date, *, card: bool, as_json: bool
) -> None:
    """Print the recipe of a wish; status 4 where it is only the nearest that can be had."""
    whom = _whom(case_path, as_of)
    wish = wish_of(texts, whom.cupboard, how=how)
    recipe = mixed(wish, whom.cupboard, refused=whom.refused, withheld=whom.withheld)
    lines = handed_out(recipe, whom.withheld)
    if not lines:
        raise NoPlanFits(find("mix.no_spoons", "mix"))
    alone = card or "grams" in whom.withheld
    found = remarks(recipe, whom.withheld, to_the_athlete=alone)
    if as_json:
        say.data(_data(recipe, lines, found, whom, alone=alone))
    elif alone:
        print("\n".join(lines))
        say.findings(found)
    else:
        _print(recipe, lines, found, whom)
    if not recipe.as_wished:
        raise SystemExit(NoPlanFits.status)


def _print(recipe: DrinkRecipe, lines: tuple[str, ...], found: list[Finding], whom: _For) -> None:
    if not recipe.as_wished:
        print("Not as wished; the nearest that can be had:")
    say.findings(recipe.gave_way)
    heads = [head for head, *_ in columns(whom.withheld)]
    table = say.columns("ingredient", "weigh", *heads)
    for row in ledger(recipe.weighed, whom.withheld):
        table.add_row(row.name, row.weigh, *row.cells)
    say.table(table)
    print(way_words(recipe.weighed, recipe.met.how))
    other = NO_ROOM if recipe.other_way is None else way_words(recipe.other_way, recipe.other_how)
    print(f"The same {recipe.other_how} {shown(recipe.met.volume_ml, 'ml')} ml: {other}")
    table = say.columns("a litre holds", recipe.met.how, recipe.other_how, "by level spoons")
    each = [recipe.weighed, recipe.other_way, recipe.spooned]
    told_of = [{} if b is None else {f.name: f for f in figures(b.strength, whom.withheld)} for b in each]
    for name in told_of[0]:
        cells = [one.get(name) for one in told_of]
        table.add_row(name, *("-" if c is None else _with_spread(c.value, c.spread) for c in cells))
    say.table(table)
    for line in lines[1:-1]:
        print(line)
    print("How it adds up:")
    for line in sums(recipe, whom.withheld):
        print(f"  {line}")
    if whom.rules:
        print("Rules for the drink of this race:")
        for rule in whom.rules:
            print(f"  {rule.gives}: {rule.band} ({rule.protocol}/{rule.id}, {rule.source}, {rule.mark})")
    say.findings(one for one in found if one not in recipe.gave_way)


def _with_spread(value: str, spread: str) -> str:
    return f"{value} ({spread})" if spread else value


def _data(
    recipe: DrinkRecipe, lines: tuple[str, ...], found: list[Finding], whom: _For, *, alone: bool
) -> dict[str, Any]:
    """Return the recipe as plain data; of what is handed out alone, its words."""
    handed = {"as_wished": recipe.as_wished, "handed_out": list(lines), "findings": as_data(found)}
    if alone:
        return handed
    return handed | {
        "how": recipe.met.how,
        "weigh": [
            {"ingredient": one.ingredient, "name": one.name, "g": one.mass_g, "pieces": one.pieces_count}
            for one in recipe.weighed.amounts
        ],
        "spoons": [
            {
                "ingredient": one.ingredient,
                "quarter_teaspoons": one.quarters_count,
                "pieces": one.pieces_count,
            }
            for one in recipe.spoons
        ],
        recipe.met.how: _volumes(recipe.weighed),
        recipe.other_how: None if recipe.other_way is None else _volumes(recipe.other_way),
        "a_litre_holds": [one.model_dump() for one in figures(recipe.weighed.strength, whom.withheld)],
        "sums": list(sums(recipe, whom.withheld)),
        "rules": [rule.model_dump(mode="json") for rule in whom.rules],
    }


def _volumes(batch: Batch) -> dict[str, float]:
    return {"water_ml": round(batch.water_ml, 1), "drink_ml": round(batch.drink_ml, 1)}


def listed(case_path: Path | None, as_of: date, *, as_json: bool) -> None:
    """Print what a drink can be mixed from, with why anything stays out."""
    whom = _whom(case_path, as_of)
    rows = [(one, whom.refused.get(name, "")) for name, one in whom.cupboard.items()]
    if as_json:
        say.data([{"id": one.id, "name": one.name, "words": one.words, "left_out": why} for one, why in rows])
        return
    table = say.columns("id", "name", "also called", "why it is marked so", "left out")
    for one, why in rows:
        table.add_row(one.id, one.name, ", ".join(one.words) or "-", one.item.ingredients_note, why or "-")
    say.table(table)
