"""The command of the larder: `foods`."""

from __future__ import annotations

import importlib
from typing import Annotated

import typer

from provand.cli.copies import AsJson

larder = typer.Typer(rich_markup_mode="markdown")


@larder.command(epilog="Example: `provand foods boiled rice`")
def foods(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            help="What is looked for, in any words; the id of a food shows all of it.",
            show_default="every food",
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List foods for the days before a race: what a portion and 100 g hold, how each is marked and why."""
    importlib.import_module("provand.cli.foods").foods(" ".join(words or ()), as_json=as_json)
