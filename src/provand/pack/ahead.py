"""What pieces hold that was planned beforehand, later starts and scenarios: only where it is wanted."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import NamedTuple

from provand.pack.pieces import NEEDS_DELAYS, SCENARIOS, Piece
from provand.plan.delays import Delays, delays
from provand.plan.scenarios import Scenarios, scenarios
from provand.plan.standing import Standing


class Ahead(NamedTuple):
    """What was planned beforehand; None where no piece holds it."""

    later: Delays | None = None
    scenarios: Scenarios | None = None


def needs_ahead(pieces: Collection[Piece], *, draft: bool) -> bool:
    """Return whether anything must be planned for these pieces; no draft holds any of it."""
    return not draft and bool({NEEDS_DELAYS, *SCENARIOS} & set(pieces))


def ahead(standing: Callable[[], Standing], pieces: Collection[Piece], *, draft: bool) -> Ahead:
    """Return what these pieces hold of a plan; `standing` is asked for only where something is planned."""
    if not needs_ahead(pieces, draft=draft):
        return Ahead()
    stands = standing()
    wanted = {one for piece in pieces for one in SCENARIOS.get(piece, ())}
    return Ahead(
        later=delays(stands) if NEEDS_DELAYS in pieces else None,
        scenarios=scenarios(stands, wanted) if wanted else None,
    )
