"""Work on many race files as one job: begun, stopped, gone on with; what is done stands whatever comes.

A job is told by rows that are only added: who began it and on what, marks that say whether it goes on, and
an end for each try at a piece. So it outlives the program: what was done stays, and the rest is done when
somebody asks for it. Nothing of a piece is kept before its end, and both are kept in one transaction.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import QuerySet

from provand.finding import BadInput, find
from provand.workspace import access
from provand.workspace.access import Seen
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Issue, Job, JobEnd, JobMark, JobPiece, User
from provand.workspace.records import Recipient
from provand.workspace.trail import trail

MOST = 200
"""Race files in one job (ours)."""
NAMES = {
    "drafts": "drafts of packs",
    "issue": "packs issued",
    "menu": "a menu laid",
    "solve": "a schedule solved again",
}


class Gone(Exception):  # noqa: N818 - no error: the work is not wanted any more
    """The job was stopped, or somebody else has done the piece."""


class Piece(NamedTuple):
    """A piece of a job with its last end, if any."""

    row: JobPiece
    end: JobEnd | None
    tried: bool
    """Whether it was tried since the job was last asked for."""

    @property
    def is_done(self) -> bool:
        return self.end is not None and self.end.kind == "done"

    @property
    def is_open(self) -> bool:
        """Whether the work at hand still has it to do."""
        return not self.is_done and not self.tried


def begun(
    ledger: Ledger, *, kind: str, desks: Sequence[Desk], given: dict[str, Any], by: User, on: date
) -> Job:
    """Keep a new job; BadInput where nothing is chosen or too much, or where it is not theirs to ask for."""
    if not desks:
        raise BadInput(find("job.nothing_chosen", "races"))
    if len(desks) > MOST:
        raise BadInput(find("job.too_many", "races", count=len(desks), most=MOST))
    if kind == "issue" and not by.is_practitioner:
        raise BadInput(find("workspace.not_yours", "issue", what="an assistant issues nothing"))
    with ledger.writing():
        audit = trail("job begun", f"{NAMES[kind]}: {len(desks)} race files", by=by.name)
        job = Job.objects.create(audit=audit, owner=by, kind=kind, given=json.dumps(given))
        for n, desk in enumerate(desks, start=1):
            JobPiece.objects.create(audit=audit, job=job, n=n, desk=desk)
        JobMark.objects.create(audit=audit, job=job, kind="begun", on=on)
        return job


def stopped(ledger: Ledger, *, job: Job, by: User, on: date) -> None:
    """Stop a job: what is done stays, what is being done is not kept. BadInput where nothing is left."""
    with ledger.writing():
        if last_mark(job).kind == "stopped" or not is_left(job):
            raise BadInput(find("job.not_going", "job"))
        audit = trail("job stopped", NAMES[job.kind], by=by.name)
        JobMark.objects.create(audit=audit, job=job, kind="stopped", on=on)


def gone_on(ledger: Ledger, *, job: Job, by: User, on: date) -> None:
    """Ask for what is left of a job, those on hold and those that failed too; BadInput where all is done."""
    if job.kind == "issue" and not by.is_practitioner:
        raise BadInput(find("workspace.not_yours", "issue", what="an assistant issues nothing"))
    with ledger.writing():
        if all(piece.is_done for piece in pieces_of(job)):
            raise BadInput(find("job.nothing_left", "job"))
        audit = trail("job gone on with", NAMES[job.kind], by=by.name)
        JobMark.objects.create(audit=audit, job=job, kind="again", on=on)


@contextmanager
def ending(ledger: Ledger, piece: JobPiece) -> Iterator[None]:
    """Hold the ledger for what comes of a piece; Gone where it is not wanted any more: nothing is kept."""
    with ledger.writing():
        if last_mark(piece.job).kind == "stopped" or not _piece(piece).is_open:
            raise Gone
        yield


def desk_of(piece: JobPiece) -> Desk:
    """Return the race file of a piece as it stands; BadInput where who asked does not see it any more."""
    desk = Seen(piece.job.owner).desks().filter(pk=piece.desk_id).first()
    if desk is None:
        raise BadInput(find("job.not_seen", piece.desk.title))
    return desk


def ended(piece: JobPiece, kind: str, *, says: str = "", issue: Issue | None = None) -> None:
    """Keep what came of a piece; call it inside `ending`."""
    audit = trail("job piece ended", f"{piece.desk.title}: {kind}", by=piece.job.owner.name)
    JobEnd.objects.create(audit=audit, piece=piece, kind=kind, says=says, issue=issue)


# Reading.


def given(job: Job) -> dict[str, Any]:
    """Return what was asked for beside the race files."""
    found: dict[str, Any] = json.loads(job.given)
    return found


def recipients_of(job: Job) -> tuple[Recipient, ...]:
    """Return whom an issue of one race file is for; empty where each athlete is given their own."""
    return tuple(Recipient(person=person, role=role) for person, role in given(job).get("to", ()))


OF_ONE = '"to": '
"""What the text of `given` holds where an issue of one race file was asked for from its page."""


def of_one(rows: QuerySet[Job]) -> QuerySet[Job]:
    """Return those of some jobs that issue one race file, asked for from its page."""
    return rows.filter(kind="issue", given__contains=OF_ONE)


def of_many(rows: QuerySet[Job]) -> QuerySet[Job]:
    """Return those of some jobs that make packs of races chosen from a list."""
    return rows.filter(kind__in=("drafts", "issue")).exclude(given__contains=OF_ONE)


def last_mark(job: Job) -> JobMark:
    """Return the mark that counts."""
    found = JobMark.objects.filter(job=job).order_by("id").last()
    assert found is not None  # a job begins with one
    return found


def pieces_of(job: Job) -> list[Piece]:
    """Return the pieces of a job in their order."""
    rows = JobPiece.objects.filter(job=job).select_related("desk", "job__owner").order_by("n")
    ends = {end.piece_id: end for end in access.job_ends(job)}
    asked = JobMark.objects.filter(job=job).exclude(kind="stopped").order_by("id").last()
    assert asked is not None
    return [_as_piece(row, ends.get(row.pk), asked) for row in rows]


def _piece(row: JobPiece) -> Piece:
    return next(piece for piece in pieces_of(row.job) if piece.row.pk == row.pk)


def _as_piece(row: JobPiece, end: JobEnd | None, asked: JobMark) -> Piece:
    return Piece(row, end, end is not None and end.audit_id > asked.audit_id)


def is_left(job: Job) -> bool:
    """Whether the work at hand has something to do yet."""
    return any(piece.is_open for piece in pieces_of(job))


def next_piece(key: UUID, besides: Collection[int]) -> JobPiece | None:
    """Return the first piece to do of a job that goes on, besides some; None where there is none."""
    job = Job.objects.filter(key=key).first()
    if job is None or last_mark(job).kind == "stopped":
        return None
    return next((p.row for p in pieces_of(job) if p.is_open and p.row.pk not in besides), None)
