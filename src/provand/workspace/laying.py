"""A menu laid beside the pages: asked for on its page, kept as a change once it is there."""

from __future__ import annotations

from datetime import date

from provand.case.change import change_of
from provand.finding import BadInput, NoPlanFits, OnHold
from provand.plan.menu_laid import laid_anew, posed_menu
from provand.workspace import desk as desks
from provand.workspace import jobs, menus, plans, workers
from provand.workspace.at_work import Working
from provand.workspace.beside import at_work_on, still_wanted, told_if_overtaken
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Job, JobPiece, User

KIND = "menu"


def begun(ledger: Ledger, *, desk: Desk, revision: int, another: bool, by: User, on: date) -> Job:
    """Ask for a menu; one that is being laid already is not asked for twice.

    Stale where somebody else wrote since; OnHold and BadInput where it is known that none can be laid.
    """
    desks.current(desk, revision)
    basis = plans.basis_of(desk, plans.case_at(desk, as_of=on), as_of=on)
    posed_menu(basis.case, basis.screening, protocols=basis.protocols, as_of=on)
    going = at_work_on(desk, KIND)
    if going is not None:
        return going
    given = {"revision": revision, "another": another}
    return jobs.begun(ledger, kind=KIND, desks=[desk], given=given, by=by, on=on)


@told_if_overtaken()
def menu_of(ledger: Ledger, piece: JobPiece, working: Working) -> None:
    """Lay the menu of a race file, and keep it as a change of what was asked for, and of nothing newer."""
    asked, by = jobs.given(piece.job), piece.job.owner
    with ledger.reading():
        desk = jobs.desk_of(piece)
        desks.current(desk, asked["revision"])
        as_of = jobs.last_mark(piece.job).on
        basis = plans.basis_of(desk, plans.case_at(desk, as_of=as_of), as_of=as_of)
    in_words = "grams" in basis.screening.withheld
    try:
        laid = working(
            workers.begin(
                laid_anew,
                basis.case,
                basis.screening,
                protocols=basis.protocols,
                as_of=as_of,
                other=asked["another"],
            ),
            still=lambda: still_wanted(ledger, piece, asked["revision"]),
        )
    except OnHold:
        with jobs.ending(ledger, piece):
            return jobs.ended(piece, "held")
    except (BadInput, NoPlanFits) as error:
        with jobs.ending(ledger, piece):
            return jobs.ended(piece, "failed", says="\n".join(menus.told(error.findings, in_words=in_words)))
    change = change_of({"kind": "lay menu", "laid": [row.model_dump() for row in laid.rows]})
    with jobs.ending(ledger, piece):
        done = menus.edited(
            ledger, desk=jobs.desk_of(piece), revision=asked["revision"], change=change, by=by, as_of=as_of
        )
        lines = menus.told(laid.in_the_way, in_words=in_words)
        return jobs.ended(piece, "done", says="\n".join((done.said, *lines)))
