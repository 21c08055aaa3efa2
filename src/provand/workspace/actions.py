"""One function for each verb that writes: one transaction, one audit row that says who did what and when."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from provand.workspace.ledger import Ledger
from provand.workspace.models import Audit
from provand.workspace.records import Snapshot
from provand.workspace.snapshots import kept, origin, standing


def _audit(what: str, says: str, *, by: str, act: str = "") -> Audit:
    return Audit.objects.create(
        key=act or uuid.uuid4().hex,
        at=datetime.now(UTC),
        by=by,
        what=what,
        says=says,
        program=version("provand"),
    )


def case_changed(
    ledger: Ledger, *, path: Path, before: Snapshot, after: Snapshot, sentence: str, by: str
) -> None:
    """Keep a change of the case in the file `path`: what stood there before, and what stands there now.

    `sentence` says the change in words; it names no answer about health.
    """
    with ledger.writing():
        audit = _audit("changed a case", f"{path.name}: {sentence}", by=by)
        kept(audit, after, sentence=sentence, after=origin(standing(audit, before)))
