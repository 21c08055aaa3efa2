"""Work beside the page of one race file: asked for there, kept as a change once done, stopped at will."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import NamedTuple

from provand.finding import BadInput, find
from provand.workspace import access, at_work, jobs
from provand.workspace import desk as desks
from provand.workspace.desk import Stale
from provand.workspace.jobs import Gone
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Job, JobPiece, User


class Beside(NamedTuple):
    """The last work that was asked for: at work, broken off, or what came of it while it still counts."""

    job: Job
    state: str
    mine: bool
    lines: tuple[str, ...] = ()

    @property
    def is_at_work(self) -> bool:
        return self.state == "at work"


def last_of(desk: Desk, kind: str) -> Job | None:
    """Return the last job of a kind that was begun on a race file."""
    return access.jobs_of(desk).filter(kind=kind).last()


def at_work_on(desk: Desk, kind: str) -> Job | None:
    """Return that job while it is at work."""
    last = last_of(desk, kind)
    return last if last is not None and at_work.has(last.key) else None


def beside_of(desk: Desk, kind: str, user: User) -> Beside | None:
    """Return what there is to say of the last work asked for; None once the race file was changed."""
    job = last_of(desk, kind)
    if job is None:
        return None
    piece = jobs.pieces_of(job)[0]
    mine = job.owner_id == user.pk
    if piece.is_open:
        if jobs.last_mark(job).kind == "stopped":
            return None
        return Beside(job, "at work" if at_work.has(job.key) else "broken off", mine)
    end = piece.end
    assert end is not None
    if desk.changed_at is not None and desk.changed_at > end.audit.at:
        return None
    return Beside(job, end.kind, mine, tuple(end.says.splitlines()))


@contextmanager
def told_if_overtaken() -> Iterator[None]:
    """Say of a change that came meanwhile that it stays; who asked typed nothing that could be lost."""
    try:
        yield
    except Stale as error:
        (found,) = error.findings
        raise BadInput(
            find("job.overtaken", found.about, by=found.facts["by"], at=found.facts["at"])
        ) from error


def still_wanted(ledger: Ledger, piece: JobPiece, revision: int) -> None:
    """Raise Gone where it was stopped, BadInput where somebody changed the race file since it was asked for.

    What is computed could not be kept any more, so it need not be computed to its end.
    """
    with ledger.reading():
        if jobs.last_mark(piece.job).kind == "stopped":
            raise Gone
        with told_if_overtaken():
            desks.current(piece.desk, revision)
