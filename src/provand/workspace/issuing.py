"""Issuing what a race file says: its page and a job do the same, each in its own time."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from provand.pack.made import Made
from provand.pack.pieces import Piece
from provand.workspace import actions, healths
from provand.workspace import desk as desks
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, User
from provand.workspace.notes import refuse_incidents
from provand.workspace.plans import Basis
from provand.workspace.records import Issued, Recipient, Snapshot


def issued(
    ledger: Ledger,
    *,
    desk: Desk,
    basis: Basis,
    to: Sequence[Recipient],
    pieces: Collection[Piece],
    by: User,
    ready: Made | None = None,
) -> Issued:
    """Issue the plan of a race file as it was read, and keep what was typed as its version first.

    BadInput while an incident waits for an answer; the rest as `actions.issue`.
    """
    refuse_incidents(desk.athlete)
    desks.settled(ledger, desk=desk, case=basis.case, sentence=desks.TYPED, by=by)
    return actions.issue(
        ledger,
        snapshot=Snapshot(typed=desk.typed, case=basis.case),
        health=healths.health_of(desk.athlete),
        protocols=basis.protocols,
        to=to,
        out=None,
        by=by.name,
        as_of=basis.as_of,
        pieces=pieces,
        ready=ready,
        beside=lambda name: desks.file_of(desk, name),
    )
