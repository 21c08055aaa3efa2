"""The audit row that each act leaves: who, when, what, and what stood before and after."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from importlib.metadata import version

from provand.workspace.models import Audit


def trail(what: str, says: str, *, by: str, act: str = "", before: str = "", after: str = "") -> Audit:
    """Keep one act; `act` is its key where it must be known again. Nothing here names a health answer."""
    return Audit.objects.create(
        key=act or uuid.uuid4().hex,
        at=datetime.now(UTC),
        by=by,
        what=what,
        says=says,
        before=before,
        after=after,
        program=version("provand"),
    )
