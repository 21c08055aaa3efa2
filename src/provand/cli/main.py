"""The program `provand`: commands that only translate between the terminal and the library.

Each command's work is imported when it runs, so that `--help` stays quick.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from provand.cli.answers import answers
from provand.cli.copies import copies
from provand.cli.drinks import drinks
from provand.cli.larder import larder
from provand.cli.look_up import look_up
from provand.cli.options import CASES, AsJson, AsOf, CaseFile, day_of
from provand.cli.packs import packs
from provand.cli.plates import plates
from provand.cli.verbs import verbs

app = typer.Typer(
    name="provand",
    help="Fuelling plans for endurance athletes, from their own numbers. No medical advice.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode="markdown",
)

app.add_typer(verbs, rich_help_panel=CASES)
for more in (answers, larder, plates, drinks, packs, copies, look_up):
    app.add_typer(more)


def _work(name: str) -> Any:
    return importlib.import_module(f"provand.cli.{name}")


@app.command(rich_help_panel=CASES, epilog="Example: `provand new my-case.toml`")
def new(
    path: Annotated[Path, typer.Argument(help="Where to write it; never overwrites.", show_default=False)],
) -> None:
    """Write a commented starter case, and beside it a file for the health answers."""
    _work("food").new(path)


@app.command(rich_help_panel=CASES, epilog="Example: `provand check my-case.toml --as-of 2026-11-25`")
def check(case: CaseFile, as_of: AsOf = None, as_json: AsJson = False) -> None:
    """Read a case and say all that is wrong, old or missing in it; screen it; make nothing."""
    _work("food").check(case, day_of(as_of), as_json=as_json)


@app.command(rich_help_panel=CASES, epilog="Example: `provand plan my-case.toml --out plan`")
def plan(
    case: CaseFile,
    out: Annotated[
        Path, typer.Option("--out", help="Folder for the plan and what people hold.", show_default=False)
    ],
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """Make the plan and what people hold of it. On hold: the safety page alone, and status 3."""
    _work("food").plan(case, out, day_of(as_of), as_json=as_json)


@app.command(rich_help_panel=CASES, epilog="Example: `provand explain my-case.toml race.target_carb_g_per_h`")
def explain(
    case: CaseFile,
    figure: Annotated[
        str | None, typer.Argument(help="Id of a figure; without one, the list.", show_default=False)
    ] = None,
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """Show where a figure of the plan comes from, down to the text as typed."""
    _work("food").explain(case, figure, day_of(as_of), as_json=as_json)


@app.command(rich_help_panel=CASES, epilog="Example: `provand otherwise my-case.toml`")
def otherwise(case: CaseFile, as_of: AsOf = None, as_json: AsJson = False) -> None:
    """Say what to do if things go otherwise: a loss, an empty station, a late start, heat, feeling sick."""
    _work("otherwise").otherwise(case, day_of(as_of), as_json=as_json)


@app.command(rich_help_panel=CASES, epilog="Example: `provand differs earlier/plan.json my-case.toml`")
def differs(
    old: Annotated[
        Path, typer.Argument(help="A case file, or the plan.json of an earlier plan.", show_default=False)
    ],
    new: Annotated[
        Path, typer.Argument(help="The same, for the plan to compare with it.", show_default=False)
    ],
    holder: Annotated[
        bool, typer.Option("--holder", help="Only what changes for those who hold a copy.")
    ] = False,
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """Say in words what lies between two plans of one athlete: what was given differently, what moved."""
    reader = "holder" if holder else "practitioner"
    _work("between").differs(old, new, day_of(as_of), reader=reader, as_json=as_json)


def run() -> None:
    """Run the program; every expected failure ends in words and a status, never in a traceback."""
    try:
        app()
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception as error:
        status = _work("say").told(error, as_json="--json" in sys.argv)
        if status is None:
            raise
        sys.exit(status)


if __name__ == "__main__":
    run()
