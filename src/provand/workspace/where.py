"""Where the ledger stands: as named, else as the environment says, else in the user's data folder."""

from __future__ import annotations

import os
from pathlib import Path

from platformdirs import user_data_path

LEDGER = "PROVAND_LEDGER"


def ledger_path(named: Path | None = None) -> Path:
    """Return the path of the ledger file, which need not exist yet."""
    if named is not None:
        return named
    told = os.environ.get(LEDGER)
    return Path(told) if told else user_data_path("provand", appauthor=False) / "ledger.sqlite3"
