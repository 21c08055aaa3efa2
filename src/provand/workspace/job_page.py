"""A job as its page shows it: how far it is, what came of each race, why some are on hold or failed."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple
from uuid import UUID

from provand.finding import BadInput
from provand.workspace import at_work, jobs, plans
from provand.workspace.access import Seen
from provand.workspace.models import Job

STATES = {
    "waiting": "waits",
    "doing": "being made",
    "done": "done",
    "held": "on hold",
    "failed": "not done",
    "left": "left",
}
"""What a row says, by its state."""


class Row(NamedTuple):
    """One race of a job: where it stands, and the code that it was issued under."""

    n: int
    title: str
    desk: UUID
    state: str
    says: str
    code: str = ""


class Told(NamedTuple):
    """Why something was not done."""

    title: str
    desk: UUID
    state: str
    lines: tuple[str, ...]


class Shown(NamedTuple):
    """A job as one person sees it."""

    state: str
    rows: tuple[Row, ...]
    told: tuple[Told, ...]
    of: int
    ended: int
    done: int
    held: int
    failed: int
    unseen: int

    @property
    def is_at_work(self) -> bool:
        return self.state == "at work"

    @property
    def left(self) -> int:
        """How many are not done, whatever came of them."""
        return self.of - self.done


def shown(job: Job, seen: Seen, *, as_of: date) -> Shown:
    """Return a job as somebody sees it; of a race file that they do not see, nothing is told."""
    pieces = jobs.pieces_of(job)
    state = state_of(job, pieces)
    mine = set(seen.desks().values_list("pk", flat=True))
    doing = at_work.doing(job.key) if state == "at work" else set()
    rows, told = [], []
    for piece in pieces:
        if piece.row.desk_id not in mine:
            continue
        row = _row(piece, state, doing)
        rows.append(row)
        if row.state in ("held", "failed"):
            told.append(Told(row.title, row.desk, row.state, _why(piece, seen, as_of)))
    kinds = [piece.end.kind for piece in pieces if not piece.is_open and piece.end is not None]
    return Shown(
        state=state,
        rows=tuple(rows),
        told=tuple(told),
        of=len(pieces),
        ended=len(kinds),
        done=kinds.count("done"),
        held=kinds.count("held"),
        failed=kinds.count("failed"),
        unseen=len(pieces) - len(rows),
    )


def state_of(job: Job, pieces: list[jobs.Piece]) -> str:
    """Return `at work`, `ended`, `stopped`, or `broken off`: the program ended with something left to do."""
    if not any(piece.is_open for piece in pieces):
        return "ended"
    if jobs.last_mark(job).kind == "stopped":
        return "stopped"
    return "at work" if at_work.has(job.key) else "broken off"


def _row(piece: jobs.Piece, state: str, doing: set[int]) -> Row:
    end = piece.end
    if piece.is_open:
        now = "left" if state != "at work" else "doing" if piece.row.pk in doing else "waiting"
    else:
        assert end is not None
        now = end.kind
    issue = end.issue if end is not None and not piece.is_open else None
    code = issue.plan.code if issue is not None else ""
    return Row(piece.row.n, piece.row.desk.title, piece.row.desk_id, now, STATES[now], code)


def _why(piece: jobs.Piece, seen: Seen, as_of: date) -> tuple[str, ...]:
    """Return why a piece was not done; why screening holds is asked anew, for practitioners alone."""
    assert piece.end is not None
    if piece.end.kind == "failed" or piece.end.says:
        return tuple(piece.end.says.splitlines())
    if not seen.user.is_practitioner:
        return ("On hold: ask the practitioner.",)
    desk = piece.row.desk
    try:
        basis = plans.basis_of(desk, plans.case_at(desk, as_of=as_of), as_of=as_of)
    except BadInput as error:
        return tuple(finding.line() for finding in error.findings)
    if basis.screening.may_issue:
        return ("It is not on hold any more: go on, and it is made.",)
    return tuple(f"{one.sentence} {one.next_step}".strip() for one in basis.reasons)
