"""The commands of what people hold: which pieces there are, and a pack of some of them."""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Annotated, Any

import typer

from provand.cli.options import HANDED, AsJson, AsOf, day_of

packs = typer.Typer()

Pieces = Annotated[
    str | None,
    typer.Option(
        "--pieces",
        metavar="NAMES",
        help="Which pieces, with commas between; or all.",
        show_default="the default ones",
    ),
]


def _work() -> Any:
    return importlib.import_module("provand.cli.packing")


@packs.command(
    rich_help_panel=HANDED, epilog="Example: `provand pack my-case.toml --pieces strip,safety --out pack`"
)
def pack(
    case: Annotated[
        Path, typer.Argument(help="The case file (TOML), or a folder of them.", show_default=False)
    ],
    *,
    out: Annotated[Path, typer.Option("--out", help="Folder for the pieces.", show_default=False)],
    pieces: Pieces = None,
    paper: Annotated[
        str | None,
        typer.Option(
            "--paper", metavar="PAPER", help="a4 or letter.", show_default="both where there are both"
        ),
    ] = None,
    draft: Annotated[
        bool, typer.Option("--draft", help="Mark every sheet as a draft without a code.")
    ] = False,
    first_label: Annotated[
        int,
        typer.Option(
            "--first-label",
            metavar="NUMBER",
            min=1,
            max=65,
            help="The first label of a sheet that is free, counted along the rows.",
        ),
    ] = 1,
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """Make pieces of what people hold, and nothing else. On hold: the safety page alone, and status 3.

    Of a folder every case is packed into a folder of its own. A case that cannot be read is told, and the
    others go on; status 2 then. Broken off by Ctrl+C, the same command goes on with what is left: what stands
    and rests on the same case, answers and day is not made again.
    """
    day = day_of(as_of)
    how = {"pieces": pieces, "paper": paper, "draft": draft, "first_label": first_label}
    _work().pack(case, out, day, **how, as_json=as_json)


@packs.command(rich_help_panel=HANDED, epilog="Example: `provand pieces`")
def pieces(as_json: AsJson = False) -> None:
    """List the pieces that a pack can hold; the default ones first."""
    _work().pieces(as_json=as_json)
