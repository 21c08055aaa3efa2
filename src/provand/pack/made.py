"""A plan and its files in one go, from what another process can be handed: the work on one race of many."""

from __future__ import annotations

import tomllib
from collections.abc import Collection
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.case.door import Beside
from provand.pack.ahead import Ahead, ahead
from provand.pack.pieces import Piece
from provand.pack.write import File, pack_files, tongue_for
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.plan.review import clear
from provand.plan.standing import Standing
from provand.protocol.own import Protocols
from provand.safety.screening import Screening


class Made(NamedTuple):
    """A plan that was cleared under a screening, and the files of its pieces.

    It is no cleared plan: whoever hands the files out clears the plan anew, under the screening of then.
    """

    screening: Screening
    plan: Plan
    files: tuple[File, ...]


class Later(NamedTuple):
    """What may yet happen is planned from beside the plan: the case as typed, and what reads its files."""

    typed: str
    beside: Beside


def made(
    case: Case,
    screening: Screening,
    *,
    protocols: Protocols,
    as_of: date,
    pieces: Collection[Piece],
    draft: bool = False,
    later: Later | None = None,
    is_approved: bool = False,
) -> Made:
    """Return the plan of a case with the files of its pieces; drafts say so. Errors as `draw_up` and `clear`.

    `is_approved` says that somebody's word for the athlete's language stands: else OnHold, but for drafts.
    With `later` the page for the phone holds every later start, and scenarios are planned where asked for.

    The calendar of a race carries the number of its issue, so it is left to whoever keeps that.
    """
    cleared = clear(draw_up(case, screening, protocols=protocols, as_of=as_of), case, screening)
    wanted = [piece for piece in pieces if piece != "calendar"]
    found = Ahead()
    if later is not None:
        typed, beside = later

        def standing() -> Standing:
            return Standing(cleared, tomllib.loads(typed), case, screening, protocols, beside, as_of)

        found = ahead(standing, wanted, draft=draft)
    tongue = replace(tongue_for(case), approved=is_approved)
    files = pack_files(cleared, pieces=wanted, draft=draft, tongue=tongue, **found._asdict())
    return Made(screening, cleared.plan, files)
