"""The commands that look up and try out: `items`, `equation`, `schema`, `demo`."""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Annotated, Any

import typer

from provand.cli.options import REFERENCE, AsJson, AsOf, day_of

look_up = typer.Typer(rich_markup_mode="markdown")


def _work(name: str) -> Any:
    return importlib.import_module(f"provand.cli.{name}")


@look_up.command(rich_help_panel=REFERENCE, epilog="Example: `provand items gel-25`")
def items(
    item: Annotated[
        str | None, typer.Argument(help="Id of an item; without one, the shelf.", show_default=False)
    ] = None,
    case: Annotated[
        Path | None, typer.Option("--case", help="Also the items of this case.", show_default=False)
    ] = None,
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """List the items at hand with what one of each holds; or show one of them."""
    _work("food").items(item, case, day_of(as_of), as_json=as_json)


@look_up.command(
    rich_help_panel=REFERENCE,
    epilog="Example: `provand equation minetti_running_j_per_kg_per_m --set grade_frac=0.05`",
)
def equation(
    name: Annotated[
        str | None, typer.Argument(help="An equation; without one, the list.", show_default=False)
    ] = None,
    values: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="NAME=NUMBER", help="A value; repeat for each.", show_default=False),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List the published equations with their cards, or compute one and say when it is outside its range."""
    _work("reference").equation(name, values or [], as_json=as_json)


@look_up.command(rich_help_panel=REFERENCE, epilog="Example: `provand schema plan > plan.schema.json`")
def schema(
    of: Annotated[str, typer.Argument(help="case, health or plan")] = "plan",
    keys: Annotated[bool, typer.Option("--keys", help="The keys of the TOML file, as a table.")] = False,
) -> None:
    """Print the JSON schema of a file of this program, or the keys people type."""
    _work("reference").schema(of, keys=keys)


@look_up.command(rich_help_panel=REFERENCE, epilog="Example: `provand demo --out demo --as-of 2026-11-25`")
def demo(
    out: Annotated[Path, typer.Option("--out", help="Folder for the demo's plans.", show_default=False)],
    as_of: AsOf = None,
) -> None:
    """Plan the five invented demo cases and print the first one's key lines."""
    _work("food").demo(out, day_of(as_of))
