"""Which pocket holds which pack: exact, because a pack that fits nowhere stays at home."""

from __future__ import annotations

from collections.abc import Sequence

from provand.larder.item import Item
from provand.planner.patterns import up

NOWHERE_DL = 10**9
"""The room of a pack whose size nobody says: more than any pocket has."""


def volume_dl(item: Item) -> int:
    """Return the room a pack takes, in tenths of a millilitre; more than any pocket where nobody says."""
    return NOWHERE_DL if item.pocket_ml is None else up(10 * item.pocket_ml)


def stowed(volumes_dl: Sequence[int], rooms_dl: Sequence[int]) -> tuple[int, ...] | None:
    """Return the number of the pocket for each pack, or None where they do not all go in.

    Packs and rooms are in tenths of a millilitre. The largest pack goes first, into the tightest pocket that
    lets all others in; of pockets with equal room one is tried.
    """
    order = sorted(range(len(volumes_dl)), key=lambda pack: (-volumes_dl[pack], pack))
    found = _into([volumes_dl[pack] for pack in order], list(rooms_dl))
    if found is None:
        return None
    places = dict(zip(order, found, strict=True))
    return tuple(places[pack] for pack in range(len(volumes_dl)))


def _into(volumes_dl: list[int], rooms_dl: list[int]) -> list[int] | None:
    if not volumes_dl:
        return []
    if sum(volumes_dl) > sum(rooms_dl):
        return None
    tried = set()
    for pocket in sorted(range(len(rooms_dl)), key=lambda pocket: (rooms_dl[pocket], pocket)):
        room = rooms_dl[pocket]
        if room in tried or volumes_dl[0] > room:
            continue
        tried.add(room)
        left = list(rooms_dl)
        left[pocket] = room - volumes_dl[0]
        rest = _into(volumes_dl[1:], left)
        if rest is not None:
            return [pocket, *rest]
    return None
