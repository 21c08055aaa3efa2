"""How the terminal speaks: findings as lines, faults on standard error, JSON where a program reads."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from typing import Any

from rich.console import Console
from rich.table import Table

from provand.finding import CannotWork, Finding, OnHold, ProvandError, as_data

WIDE = 240
"""Columns of a table that no terminal shows: another program reads it, so nothing is cut."""


def columns(first: str, *others: str) -> Table:
    """Return an empty table whose first column is never cut short."""
    made = Table(box=None, pad_edge=False)
    made.add_column(first, no_wrap=True)
    for name in others:
        made.add_column(name, overflow="fold")
    return made


def table(made: Table) -> None:
    """Print a table as wide as the terminal, or as wide as it likes where there is none."""
    Console(width=None if sys.stdout.isatty() else WIDE).print(made)


def data(value: Any) -> None:
    """Print plain data as JSON."""
    print(json.dumps(value, indent=2, ensure_ascii=False, sort_keys=True))


def findings(found: Iterable[Finding]) -> None:
    """Print findings, one to a line, the gravest word first."""
    for finding in found:
        print(f"  {finding.level.value:8} {finding.line()}")


def told(error: Exception, *, as_json: bool) -> int | None:
    """Say why the program stopped and return the status to end with; None for what nobody expected.

    Words go to standard error; with `as_json`, data goes to standard output.
    """
    if isinstance(error, OSError):
        print(f"provand: the machine could not do it: {error.strerror or error}", file=sys.stderr)
        return CannotWork.status
    if not isinstance(error, ProvandError):
        return None
    if as_json:
        data({"status": error.status, "findings": as_data(error.findings)})
        return error.status
    many = len(error.findings)
    head = "on hold" if isinstance(error, OnHold) else ("1 fault" if many == 1 else f"{many} faults")
    print(f"provand: {head}", file=sys.stderr)
    for finding in error.findings:
        print(f"  {finding.line()}", file=sys.stderr)
    return error.status
