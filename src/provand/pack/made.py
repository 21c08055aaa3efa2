"""A plan and its files in one go, from what another process can be handed: the work on one race of many."""

from __future__ import annotations

import tomllib
from collections.abc import Collection
from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.case.door import Beside
from provand.pack.pieces import NEEDS_DELAYS, NEEDS_SCENARIOS, Piece
from provand.pack.write import File, pack_files
from provand.plan.delays import delays
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.plan.review import clear
from provand.plan.scenarios import scenarios
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
) -> Made:
    """Return the plan of a case with the files of its pieces; drafts say so. Errors as `draw_up` and `clear`.

    With `later` the page for the phone holds every later start, and scenarios are planned where asked for.

    The calendar of a race carries the number of its issue, so it is left to whoever keeps that.
    """
    cleared = clear(draw_up(case, screening, protocols=protocols, as_of=as_of), case, screening)
    wanted = [piece for piece in pieces if piece != "calendar"]
    found, otherwise = None, None
    if later is not None and not draft:
        typed = tomllib.loads(later.typed)
        standing = Standing(cleared, typed, case, screening, protocols, later.beside, as_of)
        found = delays(standing) if NEEDS_DELAYS in wanted else None
        otherwise = scenarios(standing) if NEEDS_SCENARIOS in wanted else None
    files = pack_files(cleared, pieces=wanted, draft=draft, later=found, scenarios=otherwise)
    return Made(screening, cleared.plan, files)
