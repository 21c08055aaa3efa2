"""Packs for many athletes: drafts of them or the issues, one race file after another, and all in one zip."""

from __future__ import annotations

import io
import shutil
import time
import zipfile
from pathlib import Path
from typing import Any

from provand.finding import BadInput, OnHold, find
from provand.pack.made import Later, Made, made
from provand.pack.pieces import Piece
from provand.pack.write import safety_file
from provand.workspace import access, actions, jobs, plans, workers
from provand.workspace import desk as desks
from provand.workspace.access import Seen
from provand.workspace.at_work import Working
from provand.workspace.issuing import issued
from provand.workspace.languages import tongue_for
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Job, JobPiece
from provand.workspace.notes import refuse_incidents
from provand.workspace.plans import Basis
from provand.workspace.records import Recipient

DRAFTS_LAST_S = 7 * 24 * 3600
TRIES = 3
"""So often a race file that is being typed meanwhile is read anew."""


def pack_of(ledger: Ledger, piece: JobPiece, working: Working) -> None:
    """Make one piece of a job: the drafts of a race file's pack, or its issue; on hold the safety page."""
    for left in reversed(range(TRIES)):
        try:
            return _tried(ledger, piece, working)
        except _Moved:
            if not left:
                raise BadInput(find("ledger.changed_meanwhile", piece.desk.title)) from None
    return None


class _Moved(Exception):  # noqa: N818 - no error: it is read anew
    """The race file was changed while its plan was being made."""


def _tried(ledger: Ledger, piece: JobPiece, working: Working) -> None:
    job = piece.job
    with ledger.reading():
        desk = jobs.desk_of(piece)
        if jobs.given(job).get("revision", desk.revision) != desk.revision:
            raise BadInput(find("issue.moved", desk.title))
        if job.kind == "issue":
            refuse_incidents(desk.athlete)
        as_of = jobs.last_mark(job).on
        basis = plans.basis_of(desk, plans.case_at(desk, as_of=as_of), as_of=as_of)
        later = Later(desk.typed, desks.files_beside(desk).__getitem__)
        is_approved = tongue_for(basis.case).is_approved
    if not basis.screening.may_issue:
        return _held(ledger, piece, basis, says="")
    pieces: list[Piece] = jobs.given(job)["pieces"]
    try:
        ready = working(
            workers.begin(
                made,
                basis.case,
                basis.screening,
                protocols=basis.protocols,
                as_of=as_of,
                pieces=pieces,
                draft=job.kind == "drafts",
                later=later,
                is_approved=is_approved,
            )
        )
    except OnHold as error:
        return _held(ledger, piece, basis, says="\n".join(one.line() for one in error.findings))
    return _kept(ledger, piece, desk, basis, ready)


def _kept(ledger: Ledger, piece: JobPiece, desk: Desk, basis: Basis, ready: Made) -> None:
    """Keep what was made, unless the race file was changed since it was read."""
    with jobs.ending(ledger, piece):
        if jobs.desk_of(piece).revision != desk.revision:
            raise _Moved
        if piece.job.kind == "drafts":
            _put_draft(ledger, piece, ready)
            return jobs.ended(piece, "done")
        to = jobs.recipients_of(piece.job) or [
            Recipient(person=basis.case.athlete.name, role=actions.ATHLETE)
        ]
        pieces: list[Piece] = jobs.given(piece.job)["pieces"]
        owner = piece.job.owner
        done = issued(ledger, desk=desk, basis=basis, to=to, pieces=pieces, by=owner, ready=ready)
        issue = access.issues().filter(plan__code=done.code, n=done.n, race__desks=desk.pk).get()
        return jobs.ended(piece, "done", issue=issue)


def _held(ledger: Ledger, piece: JobPiece, basis: Basis, *, says: str) -> None:
    """Keep that a race is on hold; of many, its safety page counts as given to the athlete, once."""
    with jobs.ending(ledger, piece):
        was_held = access.job_ends(piece.job).filter(piece=piece, kind="held").exists()
        of_many = not jobs.recipients_of(piece.job)
        if piece.job.kind == "issue" and of_many and not was_held:
            to = [Recipient(person=basis.case.athlete.name, role=actions.ATHLETE)]
            actions.safety_page_given(ledger, case=basis.case, to=to, out=None, by=piece.job.owner.name)
        jobs.ended(piece, "held", says=says)


# Files.


def _folder(ledger: Ledger, job: Job) -> Path:
    return ledger.path.with_name(f"{ledger.path.name}.drafts") / job.key.hex


def _put_draft(ledger: Ledger, piece: JobPiece, ready: Made) -> None:
    """Lay the drafts of one race beside the ledger, whole or not at all; they are no records."""
    folder = _folder(ledger, piece.job)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    aside = folder / f"{piece.n}.part"
    with zipfile.ZipFile(aside, "w", zipfile.ZIP_STORED) as packed:
        for file in ready.files:
            packed.writestr(zipfile.ZipInfo(f"draft-{file.name}"), file.data)
    aside.replace(folder / f"{piece.n}.zip")


def old_drafts_gone(ledger: Ledger) -> None:
    """Take away drafts that were made more than a week ago."""
    for folder in ledger.path.with_name(f"{ledger.path.name}.drafts").glob("*"):
        if folder.stat().st_mtime < time.time() - DRAFTS_LAST_S:
            shutil.rmtree(folder, ignore_errors=True)


def all_in_one(ledger: Ledger, job: Job, seen: Seen, *, as_of: Any) -> bytes:
    """Return everything that a job made of the race files that somebody sees, a folder for each athlete."""
    held = io.BytesIO()
    mine = set(seen.desks().values_list("pk", flat=True))
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for piece in jobs.pieces_of(job):
            if piece.end is not None and piece.row.desk_id in mine:
                name = f"{piece.row.n:03} {_plain(piece.row.desk.title.partition(', ')[0])}"
                for file, data in _files_of(ledger, job, piece, as_of):
                    packed.writestr(zipfile.ZipInfo(f"{name}/{file}"), data)
    return held.getvalue()


def _files_of(ledger: Ledger, job: Job, piece: jobs.Piece, as_of: Any) -> list[tuple[str, bytes]]:
    assert piece.end is not None
    if piece.end.kind == "held":
        case = plans.case_at(piece.row.desk, as_of=as_of)
        page = safety_file(case, tongue=tongue_for(case))
        return [(page.name, page.data)]
    if piece.end.issue is not None:
        ticked = jobs.given(job)["pieces"]
        kept = access.handouts().filter(issue=piece.end.issue, piece__in=ticked).order_by("name")
        return [(one.name, bytes(one.data)) for one in kept]
    drafts = _folder(ledger, job) / f"{piece.row.n}.zip"
    if piece.end.kind != "done" or not drafts.exists():
        return []
    with zipfile.ZipFile(drafts) as packed:
        return [(name, packed.read(name)) for name in packed.namelist()]


def _plain(name: str) -> str:
    """Return a name as a folder may be called on any disk."""
    return "".join(letter if letter.isalnum() or letter in " -" else "_" for letter in name).strip() or "race"
