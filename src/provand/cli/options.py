"""What several commands are given in the same way, and the groups in which help and docs list them."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Annotated

import typer

CASES = "A case and its plan"
HEALTH = "Health answers, letters, replies"
FOOD = "Food and drink"
HANDED = "What people hold"
COPIES = "Which copy counts"
WORKSPACE = "The workspace"
REFERENCE = "Look up and try out"
GROUPS = (CASES, HEALTH, FOOD, HANDED, COPIES, WORKSPACE, REFERENCE)

DAY = ["%Y-%m-%d"]
CaseFile = Annotated[Path, typer.Argument(help="The case file (TOML).", show_default=False)]
AsOf = Annotated[
    datetime | None,
    typer.Option("--as-of", formats=DAY, help="The day to judge ages and answers by.", show_default="today"),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for a program to read.")]
LedgerFile = Annotated[
    Path | None,
    typer.Option(
        "--ledger",
        metavar="FILE",
        help="The ledger; made on first use.",
        show_default="PROVAND_LEDGER, or in the user's data folder",
    ),
]


def day_of(as_of: datetime | None) -> date:
    """Return the day that counts: the one given, or today."""
    return as_of.date() if as_of else date.today()
