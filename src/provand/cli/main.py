"""The program `provand`: commands that only translate between the terminal and the library.

Each command's work is imported when it runs, so that `--help` stays quick.
"""

from __future__ import annotations

import importlib
import sys
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from provand.cli.answers import answers
from provand.cli.copies import copies
from provand.cli.drinks import drinks
from provand.cli.larder import larder
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

app.add_typer(verbs)
app.add_typer(copies)
app.add_typer(answers)
app.add_typer(drinks)
app.add_typer(larder)
app.add_typer(packs)
app.add_typer(plates)

CaseFile = Annotated[Path, typer.Argument(help="The case file (TOML).", show_default=False)]
AsOf = Annotated[
    datetime | None,
    typer.Option(
        "--as-of", formats=["%Y-%m-%d"], help="The day to judge ages and answers by.", show_default="today"
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for a program to read.")]


def _work(name: str) -> Any:
    return importlib.import_module(f"provand.cli.{name}")


def _day(as_of: datetime | None) -> date:
    return as_of.date() if as_of else date.today()


@app.command(epilog="Example: `provand new my-case.toml`")
def new(
    path: Annotated[Path, typer.Argument(help="Where to write it; never overwrites.", show_default=False)],
) -> None:
    """Write a commented starter case, and beside it a file for the health answers."""
    _work("food").new(path)


@app.command(epilog="Example: `provand check my-case.toml --as-of 2026-11-25`")
def check(case: CaseFile, as_of: AsOf = None, as_json: AsJson = False) -> None:
    """Read a case and say all that is wrong, old or missing in it; screen it; make nothing."""
    _work("food").check(case, _day(as_of), as_json=as_json)


@app.command(epilog="Example: `provand plan my-case.toml --out plan`")
def plan(
    case: CaseFile,
    out: Annotated[
        Path, typer.Option("--out", help="Folder for the plan and what people hold.", show_default=False)
    ],
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """Make the plan and what people hold of it. On hold: the safety page alone, and status 3."""
    _work("food").plan(case, out, _day(as_of), as_json=as_json)


@app.command(epilog="Example: `provand explain my-case.toml race.target_carb_g_per_h`")
def explain(
    case: CaseFile,
    figure: Annotated[
        str | None, typer.Argument(help="Id of a figure; without one, the list.", show_default=False)
    ] = None,
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """Show where a figure of the plan comes from, down to the text as typed."""
    _work("food").explain(case, figure, _day(as_of), as_json=as_json)


@app.command(epilog="Example: `provand otherwise my-case.toml`")
def otherwise(case: CaseFile, as_of: AsOf = None, as_json: AsJson = False) -> None:
    """Say what to do if things go otherwise: a loss, an empty station, a late start, heat, feeling sick."""
    _work("otherwise").otherwise(case, _day(as_of), as_json=as_json)


@app.command(epilog="Example: `provand differs earlier/plan.json my-case.toml`")
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
    _work("between").differs(old, new, _day(as_of), reader=reader, as_json=as_json)


@app.command(epilog="Example: `provand items gel-25`")
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
    _work("food").items(item, case, _day(as_of), as_json=as_json)


@app.command(epilog="Example: `provand schema plan > plan.schema.json`")
def schema(
    of: Annotated[str, typer.Argument(help="case, health or plan")] = "plan",
    keys: Annotated[bool, typer.Option("--keys", help="The keys of the TOML file, as a table.")] = False,
) -> None:
    """Print the JSON schema of a file of this program, or the keys people type."""
    _work("reference").schema(of, keys=keys)


@app.command(epilog="Example: `provand equation minetti_running_j_per_kg_per_m --set grade_frac=0.05`")
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


@app.command(epilog="Example: `provand demo --out demo --as-of 2026-11-25`")
def demo(
    out: Annotated[Path, typer.Option("--out", help="Folder for the demo's plans.", show_default=False)],
    as_of: AsOf = None,
) -> None:
    """Plan the five invented demo cases and print the first one's key lines."""
    _work("food").demo(out, _day(as_of))


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
