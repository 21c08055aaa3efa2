"""The command of the larder: `foods`."""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Annotated

import typer

from provand.cli.options import FOOD, AsJson, AsOf, day_of

larder = typer.Typer(rich_markup_mode="markdown")


@larder.command(rich_help_panel=FOOD, epilog="Example: `provand foods boiled rice`")
def foods(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            help="What is looked for, in any words; the id of a food shows all of it.",
            show_default="every food",
        ),
    ] = None,
    own: Annotated[
        Path | None,
        typer.Option(
            "--own",
            metavar="FILE",
            help="Own foods beside these: labels and recipes (TOML), or a table (CSV).",
            show_default=False,
        ),
    ] = None,
    case: Annotated[
        Path | None,
        typer.Option(
            "--case",
            metavar="CASE",
            help="Foods of this case, with its own: which may be laid for this athlete, and why not.",
            show_default=False,
        ),
    ] = None,
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """List foods for the days before a race: what a portion and 100 g hold, how each is marked and why."""
    text = " ".join(words or ())
    if case is not None:
        if own is not None:
            raise typer.BadParameter("either --own or --case: a case names its own foods", param_hint="--own")
        day = day_of(as_of)
        importlib.import_module("provand.cli.foods").foods_of_case(text, case, day, as_json=as_json)
        return
    importlib.import_module("provand.cli.foods").foods(text, own, as_json=as_json)
