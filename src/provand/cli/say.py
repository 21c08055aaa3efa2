"""How the terminal speaks: findings as lines, faults on standard error, JSON where a program reads."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from typing import Any

from provand.finding import Finding, OnHold, ProvandError, as_data


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
