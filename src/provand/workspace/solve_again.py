"""A schedule solved again beside its page: the one that stands stays until the new one is there."""

from __future__ import annotations

from datetime import date

from provand.case.laid import Solve
from provand.finding import OnHold
from provand.plan.look import Looked
from provand.workspace import desk as desks
from provand.workspace import jobs, plans, workers
from provand.workspace.at_work import Working
from provand.workspace.beside import at_work_on, still_wanted, told_if_overtaken
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Job, JobPiece, User
from provand.workspace.plan_edit import kept_as, prepared, tried

KIND = "solve"


def begun(ledger: Ledger, *, desk: Desk, revision: int, wish: Solve, by: User, on: date) -> Job:
    """Ask for the schedule to be solved again; what is being solved already is not asked for twice.

    Stale where somebody else wrote since, OnHold on hold, BadInput where nothing can be computed.
    """
    desks.current(desk, revision)
    basis = plans.basis_of(desk, plans.case_at(desk, as_of=on), as_of=on)
    if not basis.screening.may_issue:
        raise OnHold(*basis.reasons)
    tried(desk, prepared(desk, wish, as_of=on).made.case, on)
    going = at_work_on(desk, KIND)
    if going is not None:
        return going
    given = {"revision": revision, "afresh": wish.afresh}
    return jobs.begun(ledger, kind=KIND, desks=[desk], given=given, by=by, on=on)


@told_if_overtaken()
def schedule_of(ledger: Ledger, piece: JobPiece, working: Working) -> None:
    """Solve the schedule of a race file, and keep it as a change of what was asked for, and of nothing newer.

    Where no schedule fits, the one that stands stays.
    """
    asked, by = jobs.given(piece.job), piece.job.owner
    with ledger.reading():
        desk = jobs.desk_of(piece)
        desks.current(desk, asked["revision"])
        as_of = jobs.last_mark(piece.job).on
        case, _, made = prepared(desk, Solve(afresh=asked["afresh"]), as_of=as_of)
        basis = plans.basis_of(desk, made.case, as_of=as_of)
    if not basis.screening.may_issue:
        with jobs.ending(ledger, piece):
            return jobs.ended(piece, "held")
    found = working(
        plans.solving(basis, workers.begin).future,
        still=lambda: still_wanted(ledger, piece, asked["revision"]),
    )
    looked = plans.solved(basis, found)
    with jobs.ending(ledger, piece):
        if looked.plan is None:
            return jobs.ended(piece, "failed", says="\n".join(_why(looked)))
        kept_as(ledger, jobs.desk_of(piece), asked["revision"], case, made, by=by, as_of=as_of)
        return jobs.ended(piece, "done", says=made.sentence)


def _why(looked: Looked) -> list[str]:
    return [finding.line() for finding in looked.error.findings] if looked.error is not None else []
