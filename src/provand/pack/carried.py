"""What goes along into the race: how many packs of what, in which pocket, in the bag, with whom."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from provand.case.case import Pocket
from provand.case.intake import Source
from provand.pack.voice import marks_of, take_name
from provand.plan.brought import BROUGHT, brought
from provand.plan.document import Plan
from provand.planner.stow import stowed, volume_dl


class Load(NamedTuple):
    """So many packs of one thing in one place; `pocket` is known where packs were put into pockets."""

    item: str
    name: str
    packs_count: int
    marks: tuple[str, ...]
    got_from: Source
    pocket: Pocket | None = None


def loads(plan: Plan) -> tuple[Load, ...]:
    """Return what is brought, in the order in which it is first taken, pockets before bag, crew and table.

    Part packs make a whole one; what is drunk by the mouthful is one bottle. Packs are put into pockets as
    the planner did it; where they do not all go in, no pocket is named.
    """
    return tuple(load for source in BROUGHT for load in _of(plan, source))


def _of(plan: Plan, source: Source) -> Iterator[Load]:
    packs = [
        Load(take.item, take_name(take), count, marks_of(take), source)
        for take, count in brought(plan.case, plan.race, source)
    ]
    yield from _in_pockets(plan, packs) if source == "pocket" else packs


def _in_pockets(plan: Plan, packs: list[Load]) -> Iterator[Load]:
    pockets = plan.case.athlete.pockets
    each = [(load, plan.case.item(load.item)) for load in packs for _ in range(load.packs_count)]
    rooms_dl = [int(10 * pocket.room_ml + 1e-6) for pocket in pockets]
    volumes_dl = [volume_dl(item) for _, item in each if item is not None]
    places = stowed(volumes_dl, rooms_dl) if len(volumes_dl) == len(each) else None
    if places is None:
        yield from packs
        return
    for number, pocket in enumerate(pockets):
        here = [load.item for (load, _), place in zip(each, places, strict=True) if place == number]
        for load in packs:
            if load.item in here:
                yield load._replace(packs_count=here.count(load.item), pocket=pocket)
