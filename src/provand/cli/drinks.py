"""The command of drinks: `mix`."""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Annotated, Any

import typer

from provand.cli.options import FOOD, AsJson, AsOf, day_of

drinks = typer.Typer(rich_markup_mode="markdown")


def _text(name: str, metavar: str, help_text: str) -> Any:
    return typer.Option(name, metavar=metavar, help=help_text, show_default=False)


def _work() -> Any:
    return importlib.import_module("provand.cli.mixing")


@drinks.command(
    rich_help_panel=FOOD,
    epilog='Example: `provand mix --carb "60 g/l" --sodium "500 mg/l" --volume "750 ml"`',
)
def mix(
    *,
    carb: Annotated[
        str, _text("--carb", "STRENGTH", "Carbohydrate of the finished drink, as 60 g/l or 6 %.")
    ] = "",
    ratio: Annotated[
        str,
        _text("--ratio", "A:B", "Glucose to fructose, as 1:0.8; else as near to that as the sources allow."),
    ] = "",
    sodium: Annotated[
        str, _text("--sodium", "STRENGTH", "Sodium of the finished drink, as 500 mg/l or 20 mmol/l.")
    ] = "",
    volume: Annotated[
        str,
        typer.Option("--volume", metavar="VOLUME", help="The water measured, or the mark filled up to."),
    ] = "1 l",
    sources: Annotated[
        str,
        typer.Option("--from", metavar="NAMES", help="What is in the cupboard, with commas between."),
    ] = "sugar, salt",
    made_up_to: Annotated[
        bool, typer.Option("--made-up-to", help="Fill up to the volume; else that much water is measured.")
    ] = False,
    case: Annotated[
        Path | None,
        typer.Option(
            "--case",
            help="The case it is for: what it withholds and excludes holds, and its products may be named.",
            show_default=False,
        ),
    ] = None,
    card: Annotated[bool, typer.Option("--card", help="Only the words that the athlete is given.")] = False,
    cupboard: Annotated[
        bool, typer.Option("--cupboard", help="List what a drink can be mixed from, and end.")
    ] = False,
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """Make a recipe for a drink of a strength: by weight, by level spoons, and the water for it.

    Ends with status 4 where it cannot be had as wished; the recipe is then the nearest that can.
    """
    day = day_of(as_of)
    if cupboard:
        _work().listed(case, day, as_json=as_json)
        return
    texts = {"carb": carb, "ratio": ratio, "sodium": sodium, "volume": volume, "from": sources}
    how = "made up to" if made_up_to else "added to"
    _work().mix(texts, how, case, day, card=card, as_json=as_json)
