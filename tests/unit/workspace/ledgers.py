"""A ledger of its own for each test, and invented cases to write into it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from plans import a_case

from provand.workspace.records import Snapshot

BY = "Ines Halloway"
CASE_FILE = Path("tove.toml")


def a_snapshot(typed: str = "air_temp = '18 to 24 C'\n", **changes: Any) -> Snapshot:
    """Return an invented case as it stands in a file; the text is not what the case was read from."""
    return Snapshot(typed=typed, case=a_case(**changes))
