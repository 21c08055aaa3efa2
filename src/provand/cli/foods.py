"""`foods`: foods listed with a portion and 100 g of each; one food with the source of every value."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

from provand.case.food_table import TABLES, read_own_table
from provand.case.own_foods import read_own_foods
from provand.cli import say
from provand.cli.reading import case_files
from provand.figure import Range
from provand.finding import BadInput, OnHold, find
from provand.larder.composition import AMOUNTS
from provand.larder.food import Food
from provand.larder.food import foods as larder_foods
from provand.larder.search import near_names, search, search_names
from provand.larder.table import SOURCES, table_rows
from provand.plan.menu import left_out
from provand.plan.withheld import WEIGHTS
from provand.safety.screening import screen
from provand.units import shown, shown_unit, unit_of

COLUMNS = {"mass_g": "", "water_ml": "water_g", "carb_g": "carb_by_difference_g"}
"""The table's column behind an amount, where it has another name."""
WORKED_OUT = {
    "mass_g": "by definition",
    "carb_g": "by difference less fibre",
    "glucose_g": "carbohydrate less fructose",
    "fructose_g": "free, and from sucrose",
}
MOST_SHOWN = 60
"""Ours: of a table of one's own, no more rows than a person looks through."""
READ_THE_PACK = "Read the pack you buy: an allergen that is not stated absent counts as contained."


def foods(words: str, own: Path | None, *, as_json: bool) -> None:
    """Print the foods that the words find, or the one that they name by its id; own ones stand first."""
    at_hand = (*_own(words, own), *larder_foods())
    found = _found(words, at_hand)
    if as_json:
        say.data([_data(food) for food in found])
    elif len(found) == 1:
        _show(found[0])
    else:
        _list(found)


def _found(words: str, at_hand: Sequence[Food]) -> list[Food]:
    """Return the food of that id, or those that the words find; BadInput names near ones."""
    named = [food for food in at_hand if food.id == words.strip()]
    found = named or (search(words, at_hand) if words.strip() else list(at_hand))
    if not found:
        near = " or ".join(near_names(words, at_hand))
        raise BadInput(find("cli.unknown_name", words, kind="food", near=f"Near it: {near}."))
    return list(found)


def foods_of_case(words: str, path: Path, as_of: date, *, as_json: bool) -> None:
    """Print which foods the planner may lay for the athlete of a case, its own ones first; why not others.

    Who reads no weights is told names and household portions alone. OnHold on hold.
    """
    case, health, _ = case_files(path, as_of)
    screening, reasons = screen(case, health, as_of=as_of)
    if not screening.may_issue:
        raise OnHold(*reasons)
    in_words = "grams" in screening.withheld
    out = left_out(case, screening.withheld)
    at_hand = [food for food in case.larder.foods if not (in_words and WEIGHTS.search(food.name))]
    found = _found(words, at_hand)
    rows = [_for_case(food, out.get(food.id, ""), in_words=in_words) for food in found]
    if as_json:
        say.data(rows)
        return
    table = say.columns(
        "id", "name", "whose", *([] if in_words else ["carbohydrate"]), "portion", "on a menu"
    )
    for row in rows:
        held = [] if in_words else [row["carb"]]
        laid = row["left_out"] or "may be laid"
        table.add_row(row["id"], row["name"], row["whose"], *held, row["portion"], laid)
    say.table(table)
    print(READ_THE_PACK)


def _for_case(food: Food, left_out: str, *, in_words: bool) -> dict[str, str]:
    row = {
        "id": food.id,
        "name": food.name,
        "whose": "own" if food.is_own else "larder",
        "portion": food.portion.says(1),
        "left_out": left_out,
    }
    return row if in_words else row | {"carb": _amount(food.holds(food.portion.unit_g).carb_g, "g")}


def _own(words: str, path: Path | None) -> list[Food]:
    """Return the own foods that may be meant: of a large table only those that the words find."""
    if path is None:
        return []
    if path.suffix.lower() not in TABLES:
        return list(read_own_foods(path))
    table = read_own_table(path)
    print(f"{path}: {len(table.rows):,} foods read, carbohydrate as {table.carb_kind}", file=sys.stderr)
    for note in table.notes:
        print(f"  {note.line()}", file=sys.stderr)
    names = [row.name for row in table.rows]
    wanted = search_names(words, names) if words.strip() else list(range(len(names)))
    line = re.fullmatch(r"row-(\d+)", words.strip())
    if line:
        wanted = [at for at, row in enumerate(table.rows) if row.line == int(line[1])]
    if len(wanted) > MOST_SHOWN:
        print(f"  of these {MOST_SHOWN} are shown: say more words", file=sys.stderr)
    return [table.food(at) for at in wanted[:MOST_SHOWN]]


def _data(food: Food) -> dict[str, Any]:
    portion = food.holds(food.portion.unit_g).model_dump(mode="json")
    return {**food.model_dump(mode="json"), "portion_holds": portion, "sources": _sources(food)}


def _list(found: Sequence[Food]) -> None:
    table = say.columns(
        "id", "name", "portion", "carbohydrate", "in 100 g", "fibre", "fat", "protein", "sodium", "contains",
        "diet",
    )  # fmt: skip
    for food in found:
        one, hundred = food.holds(food.portion.unit_g), food.per_100g
        table.add_row(
            food.id, food.name, f"{food.portion.says(1)}, {shown(food.portion.unit_g, 'g')} g",
            _amount(one.carb_g, "g"), _amount(hundred.carb_g, "g"), _amount(hundred.fibre_g, "g"),
            _amount(hundred.fat_g, "g"), _amount(hundred.protein_g, "g"), _amount(hundred.sodium_mg, "mg"),
            ", ".join(food.contains) or "-", food.diet,
        )  # fmt: skip
    say.table(table)
    print(
        f"{len(found)} foods. The first carbohydrate is the portion's, without fibre; the rest is in 100 g.\n"
        f"{READ_THE_PACK}"
    )


def _amount(value: Range | None, unit: str) -> str:
    if value is None:
        return "unknown"
    ends = dict.fromkeys(shown(end, unit) for end in (value.low, value.high))
    return f"{' to '.join(ends)} {shown_unit(unit)}"


def _show(food: Food) -> None:
    counts = ", ".join(f"{count:g}" for count in food.portion.counts)
    print(
        f"{food.id}: {food.name}; {food.state}; portion {food.portion.says(1)} of {food.portion.unit_g:g} g"
    )
    table = say.columns("amount", "portion", "100 g", "from")
    one, sources = food.holds(food.portion.unit_g), _sources(food)
    for name in AMOUNTS:
        unit = unit_of(name) or ""
        per_portion, per_100g = getattr(one, name), getattr(food.per_100g, name)
        words = name.removesuffix(f"_{unit}").replace("carb", "carbohydrate, available")
        told = "" if per_100g is None else sources.get(name, "")
        table.add_row(words, _amount(per_portion, unit), _amount(per_100g, unit), told)
    say.table(table)
    bought = food.bought
    print(
        f"  portions    {counts}\n  served as   {', '.join(food.roles)}; {', '.join(food.meals)}\n"
        f"  kitchens    {', '.join(food.kitchens)}"
    )
    if food.goes_with:
        print(f"  goes with   {', '.join(food.goes_with)}")
    packs = " or ".join(f"{pack:g} g" for pack in bought.pack_g)
    print(f"  bought as   {bought.name} ({bought.aisle}), {bought.pack_word} of {packs}: "
          f"{bought.g_per_eaten_g:.3g} g for a gram eaten")  # fmt: skip
    print(
        f"  contains    {', '.join(food.contains) or '-'}\n  free from   {', '.join(food.free_from) or '-'}"
    )
    print(f"  diet        {food.diet}\n  marked so   {food.why}\n{READ_THE_PACK}")


def _sources(food: Food) -> dict[str, str]:
    """Return where each amount of a food comes from."""
    if food.source != "sr28":
        return dict.fromkeys(AMOUNTS, f"{food.source} {food.source_id}")
    row = table_rows()[food.source_id]
    told = {}
    for name in AMOUNTS:
        held = row.values.get(COLUMNS.get(name, name))
        if name in WORKED_OUT:
            told[name] = f"SR28 {row.number}: {WORKED_OUT[name]}"
        elif held is not None:
            told[name] = f"SR28 {row.number}: {SOURCES[held.code]}"
        else:
            told[name] = "ours: nothing in it that holds any"
    return told
