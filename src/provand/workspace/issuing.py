"""Issuing what a race file says: its page asks for it, and a job makes it beside the pages."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import UTC, date, datetime
from typing import Any, NamedTuple

from provand.finding import BadInput, OnHold, find
from provand.pack.made import Made
from provand.pack.pieces import PIECES, Piece
from provand.workspace import access, actions, at_work, healths, jobs, plans
from provand.workspace import desk as desks
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Issue, Job, User
from provand.workspace.notes import refuse_incidents
from provand.workspace.plans import Basis
from provand.workspace.records import Issued, Recipient, Snapshot

KIND = "issue"


class Issuing(NamedTuple):
    """The last issue that was asked for from a page: at work, broken off, or what came of it."""

    job: Job
    state: str
    mine: bool
    to: tuple[Recipient, ...]
    pieces: tuple[Piece, ...]
    lines: tuple[str, ...] = ()
    issue: Issue | None = None
    waits: bool = False
    """Whether other work is done before it."""

    @property
    def is_at_work(self) -> bool:
        return self.state == "at work"

    @property
    def is_done(self) -> bool:
        return self.state == "done"

    @property
    def names(self) -> str:
        """Who is to be given it."""
        return ", ".join(f"{one.person} ({one.role})" for one in self.to)

    @property
    def piece_names(self) -> str:
        """What they are to be given."""
        return ", ".join(kind.name for kind in PIECES if kind.id in self.pieces)

    @property
    def is_long(self) -> bool:
        """Whether a piece holds what may yet happen, each case of which is a plan of its own."""
        return bool({"phone", "otherwise"} & set(self.pieces))

    @property
    def taken_s(self) -> int:
        """Since when it is being made."""
        return int((datetime.now(UTC) - self.job.audit.at).total_seconds())

    @property
    def is_first(self) -> bool:
        """Whether the plan was issued now, not given to more people."""
        return self.issue is not None and self.issue.audit_id > self.job.audit_id


def begun(
    ledger: Ledger,
    *,
    desk: Desk,
    revision: int | None,
    to: Sequence[Recipient],
    pieces: Collection[Piece],
    by: User,
    on: date,
) -> Job:
    """Ask for an issue to some people; the same one that is being made already is not asked for twice.

    Stale where somebody changed the race file since its plan was looked at. OnHold and BadInput for whatever
    is known without drawing up a plan.
    """
    given: dict[str, Any] = {
        "pieces": list(pieces),
        "to": [[one.person, one.role] for one in to],
        "revision": desk.revision,
    }
    going = issuing_of(desk, by)
    if going is not None and going.is_at_work:
        if jobs.given(going.job) == given:
            return going.job
        raise BadInput(find("issue.at_work", desk.title, names=going.names))
    if revision is not None:
        desks.current(desk, revision)
    refuse_incidents(desk.athlete)
    basis = plans.basis_of(desk, plans.case_at(desk, as_of=on), as_of=on)
    actions.refuse_beforehand(ledger, basis.case, to, as_of=on)
    if not basis.screening.may_issue:
        raise OnHold(*basis.reasons)
    return jobs.begun(ledger, kind=KIND, desks=[desk], given=given, by=by, on=on)


def issuing_of(desk: Desk, user: User) -> Issuing | None:
    """Return what there is to say of the last issue asked for; None once the race file was changed."""
    job = _last(desk)
    if job is None:
        return None
    piece, asked = jobs.pieces_of(job)[0], jobs.given(job)
    told = Issuing(job, "", job.owner_id == user.pk, jobs.recipients_of(job), tuple(asked["pieces"]))
    if piece.is_open:
        if jobs.last_mark(job).kind == "stopped":
            return None
        if not at_work.has(job.key):
            return told._replace(state="broken off")
        return told._replace(state="at work", waits=not at_work.doing(job.key))
    end = piece.end
    assert end is not None
    if desk.changed_at is not None and desk.changed_at > end.audit.at:
        return None
    return told._replace(state=end.kind, lines=tuple(end.says.splitlines()), issue=end.issue)


def _last(desk: Desk) -> Job | None:
    return jobs.of_one(access.jobs_of(desk).filter(kind=KIND)).last()


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
