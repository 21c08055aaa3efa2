"""The day that pages judge by."""

from __future__ import annotations

import os
from datetime import date

VARIABLE = "PROVAND_TODAY"


def today() -> date:
    """Return today, or the day that the environment names instead, for a look at another day."""
    named = os.environ.get(VARIABLE, "")
    return date.fromisoformat(named) if named else date.today()
