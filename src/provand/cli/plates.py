"""The commands of the plate: `menu` and `shopping`."""

from __future__ import annotations

import importlib
from typing import Annotated, Any

import typer

from provand.cli.options import FOOD, AsJson, AsOf, CaseFile, LedgerFile, day_of

plates = typer.Typer(rich_markup_mode="markdown")


def _work() -> Any:
    return importlib.import_module("provand.cli.menu")


@plates.command(rich_help_panel=FOOD, epilog="Example: `provand menu my-case.toml --lay --keep`")
def menu(
    case: CaseFile,
    *,
    lay: Annotated[bool, typer.Option("--lay", help="Lay it anew around the foods that stay.")] = False,
    other: Annotated[bool, typer.Option("--other", help="Lay one unlike the one that stands.")] = False,
    keep: Annotated[bool, typer.Option("--keep", help="Write what was laid into the case file.")] = False,
    as_of: AsOf = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """Print the menu before the race, meal by meal; laid anew where that is asked for."""
    day = day_of(as_of)
    _work().menu(case, day, lay=lay, other=other, keep=keep, ledger=ledger, as_json=as_json)


@plates.command(rich_help_panel=FOOD, epilog="Example: `provand shopping my-case.toml`")
def shopping(case: CaseFile, as_of: AsOf = None, as_json: AsJson = False) -> None:
    """Print what to buy for the menu of a case, by aisle, in whole packs, with what is left over."""
    _work().shopping(case, day_of(as_of), as_json=as_json)
