"""The commands of the ledger: `issue`, `held`, `whose`, `withdraw`, `languages`, `undo`; and `open`."""

from __future__ import annotations

import importlib
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from provand.cli.options import (
    CASES,
    COPIES,
    DAY,
    HANDED,
    WORKSPACE,
    AsJson,
    AsOf,
    CaseFile,
    LedgerFile,
    day_of,
)

copies = typer.Typer(rich_markup_mode="markdown")

Code = Annotated[str, typer.Argument(help="The code printed on every page.", show_default=False)]
ByWhom = Annotated[
    str | None,
    typer.Option("--by", metavar="NAME", help="Who does it.", show_default="the practitioner"),
]


def _work() -> Any:
    return importlib.import_module("provand.cli.ledger")


@copies.command(
    rich_help_panel=COPIES,
    epilog='Example: `provand issue my-case.toml --to "Alex Sample (athlete)" --out out --as-of 2026-11-25`',
)
def issue(
    case: CaseFile,
    *,
    to: Annotated[
        list[str],
        typer.Option(
            "--to", metavar="WHO", help='Who is given it, as "Name (role)"; repeat.', show_default=False
        ),
    ],
    out: Annotated[Path, typer.Option("--out", help="Folder for the pieces.", show_default=False)],
    pieces: Annotated[
        str | None,
        typer.Option(
            "--pieces",
            metavar="NAMES",
            help="Which pieces, with commas between.",
            show_default="the default ones",
        ),
    ] = None,
    by: ByWhom = None,
    as_of: AsOf = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """Issue a plan: number it, keep who holds what, and write the pieces. On hold: the safety page alone."""
    day = day_of(as_of)
    _work().issue(case, to, out, day, pieces=pieces, by=by, ledger=ledger, as_json=as_json)


@copies.command(rich_help_panel=COPIES, epilog='Example: `provand held "Alex Sample" --on 2027-04-03`')
def held(
    person: Annotated[str, typer.Argument(help="Name of the athlete, or of a holder.", show_default=False)],
    *,
    on_day: Annotated[
        datetime,
        typer.Option("--on", formats=DAY, help="The day; what counts is its end.", show_default=False),
    ],
    born: Annotated[
        datetime | None,
        typer.Option(
            "--born",
            metavar="YYYY-MM-DD",
            formats=DAY,
            help="Birth date, where athletes have one name.",
            show_default=False,
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Folder to write the very files into again.", show_default=False),
    ] = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """Say what somebody held at the end of a day: number, code, pieces, and whether it counted."""
    birth = born.date() if born else None
    _work().held(person, on_day.date(), born=birth, out=out, ledger=ledger, as_json=as_json)


@copies.command(rich_help_panel=COPIES, epilog="Example: `provand whose P36Z-SYW4`")
def whose(code: Code, ledger: LedgerFile = None, as_json: AsJson = False) -> None:
    """Say whose a code is, and whether a copy with it counts: current, superseded or withdrawn."""
    _work().whose(code, ledger=ledger, as_json=as_json)


@copies.command(
    rich_help_panel=COPIES,
    epilog='Example: `provand withdraw P36Z-SYW4 --why "the race is off" --by "Robin Example" --out gone`',
)
def withdraw(
    code: Code,
    *,
    out: Annotated[Path, typer.Option("--out", help="Folder for what goes with it.", show_default=False)],
    why: Annotated[
        str | None,
        typer.Option(
            "--why",
            metavar="TEXT",
            help="The reason, for the ledger alone; needed unless it is withdrawn already.",
            show_default=False,
        ),
    ] = None,
    by: Annotated[
        str | None, typer.Option("--by", metavar="NAME", help="Who withdraws it.", show_default=False)
    ] = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """Withdraw a plan: no copy counts any more; write the calendar that cancels, and the safety page."""
    _work().withdraw(code, out, why=why, by=by, ledger=ledger, as_json=as_json)


@copies.command(
    rich_help_panel=HANDED, epilog='Example: `provand languages approve es --by "Ana Native" --on 2026-11-25`'
)
def languages(
    action: Annotated[
        str | None,
        typer.Argument(help="approve or withdraw.", show_default="list them"),
    ] = None,
    tag: Annotated[str | None, typer.Argument(help="The language: es.", show_default=False)] = None,
    *,
    by: Annotated[
        str | None,
        typer.Option(
            "--by", metavar="NAME", help="The native speaker; who withdraws it.", show_default=False
        ),
    ] = None,
    on: Annotated[
        datetime | None, typer.Option("--on", formats=DAY, help="When it was read.", show_default="today")
    ] = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """List the languages of what people hold; keep that a native speaker read one, or take that back."""
    work = importlib.import_module("provand.cli.languages")
    day = on.date() if on else date.today()
    work.languages(action, tag, by=by, on=day, ledger=ledger, as_json=as_json)


@copies.command(rich_help_panel=CASES, epilog="Example: `provand undo my-case.toml`")
def undo(
    case: CaseFile,
    by: ByWhom = None,
    ledger: LedgerFile = None,
) -> None:
    """Put a case's file back as it was before the last change; passes no issue and no health entry."""
    _work().undo(case, by=by, ledger=ledger)


@copies.command("open", rich_help_panel=WORKSPACE, epilog="Example: `provand open --port 8321`")
def open_pages(
    ledger: LedgerFile = None,
    port: Annotated[
        int, typer.Option("--port", metavar="NUMBER", min=0, max=65535, help="The port; 0 takes a free one.")
    ] = 0,
    host: Annotated[
        str,
        typer.Option(
            "--host",
            metavar="ADDRESS",
            help="Another address than this machine's own lets others on the network ask for pages.",
        ),
    ] = "127.0.0.1",
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the browser on it.")] = True,
) -> None:
    """Serve the workspace on this machine and open it in the browser; end with Ctrl+C."""
    importlib.import_module("provand.cli.pages").serve_pages(ledger, host=host, port=port, browser=browser)
