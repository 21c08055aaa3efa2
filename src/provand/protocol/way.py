"""The way to the start, backwards from it: last toilet, pen, warm-up, bag drop, leaving."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from provand.protocol.asks import AskedCase
from provand.protocol.loading import earlier, first_start, neat
from provand.protocol.rules import value


class Way(NamedTuple):
    """When what is done before the own start as first given; None for what nobody asked for."""

    start: datetime
    toilet: datetime
    pen: datetime | None = None
    warm_up: datetime | None = None
    bag: datetime | None = None
    leave: datetime | None = None


def way_of(case: AskedCase) -> Way:
    """Return the way to the start of a case, each moment in the zone of the race."""
    start = first_start(case.race)
    toilet = earlier(start, elapsed_s=60 * case.race.last_toilet_min)
    morning = case.dated_morning
    if morning is None:
        return Way(start, toilet)
    pen, warm_up, bag = morning.pen_opens, None, None
    if morning.pen_closes is not None:
        pen = _before(morning.pen_closes, "way.pen")
    if morning.warm_up_min:
        warm_up = _warm_up(morning.warm_up_min, toilet, pen or _before(start, "way.pen"))
    if morning.bag_drop_closes is not None:
        bag = _before(morning.bag_drop_closes, "way.bag")
    leave = None
    if morning.travel_min is not None:
        there = min(at for at in (toilet, pen, warm_up, bag) if at is not None)
        leave = neat(earlier(_before(there, "way.spare"), elapsed_s=60 * morning.travel_min))
    return Way(start, toilet, pen, warm_up, bag, leave)


def _warm_up(warm_up_min: float, toilet: datetime, pen: datetime) -> datetime:
    """Return when a warm-up begins: between the last toilet and the pen where it fits, else before both."""
    last = earlier(pen, elapsed_s=60 * warm_up_min)
    return last if last >= toilet else earlier(min(toilet, pen), elapsed_s=60 * warm_up_min)


def _before(moment: datetime, rule_id: str) -> datetime:
    """Return a moment so many minutes before another, as an assumption says."""
    return earlier(moment, elapsed_s=60 * value(rule_id).mid)
