"""Race morning as this athlete has it: clock times that others fixed, the way there; and after the race.

A clock time is the last one before the own start as it was first given: 14:00 is the day before for a start
at 09:00, and the same day for one at 19:00. A tablet is never named, nor reckoned: others fix it.
"""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from typing import Literal, NamedTuple, Self

from pydantic import Field, model_validator

from provand.case.fields import number, optional, several, text
from provand.larder.food import Kitchen
from provand.record import Record

NEAR_H = 6
"""Ours: bag drop and pen are not longer before the own start; a time further back is one after it."""
DAY_H = 18
"""Ours: nobody is woken, or has their coffee, longer before the own start."""


class Tablet(Record):
    """A tablet at a time fixed by others, with the time without food they fixed; its name stands nowhere."""

    at: time = Field(description="clock time, as it was fixed")
    no_food_before_min: float = number("time without food before it, as it was fixed", 0, 720)
    no_food_after_min: float = number("time without food after it, as it was fixed", 0, 720)
    fixed_by: Literal["clinician", "pharmacist"] = Field(description="who fixed it: clinician or pharmacist")


class Morning(Record):
    """Race morning: what is fixed, what is rehearsed; every time as it is without a delay."""

    wake_from: time | None = Field(
        default=None, description="the earliest time at which the athlete is willing to wake"
    )
    breakfast: str = text("the rehearsed breakfast, in words", default="", longest=80)
    breakfast_from: time | None = Field(
        default=None, description="when breakfast is served from, in a hotel; none: own food"
    )
    kitchen: Kitchen | None = Field(
        default=None, description="what is at hand in the room to make breakfast with"
    )
    coffee_at: time | None = Field(
        default=None, description="when the usual coffee is had; with breakfast when left out"
    )
    travel_min: float | None = optional("the way from the room to the start", 0, 600)
    bag_drop_closes: time | None = Field(default=None, description="when the bag drop closes")
    warm_up_min: float | None = optional("how long the warm-up takes", 0, 120)
    pen_opens: time | None = Field(default=None, description="when the own pen opens")
    pen_closes: time | None = Field(default=None, description="when the own pen closes")
    tablets: tuple[Tablet, ...] = several("tablets at times fixed by others")

    @model_validator(mode="after")
    def _has_zone_of_race(self) -> Self:
        times = [getattr(self, name) for name in CLOCKS] + [one.at for one in self.tablets]
        if any(one is not None and one.tzinfo is not None for one in times):
            raise ValueError("clock times stand without an offset, in the zone of the race")
        return self


CLOCKS = {
    "wake_from": DAY_H,
    "coffee_at": DAY_H,
    "bag_drop_closes": NEAR_H,
    "pen_opens": NEAR_H,
    "pen_closes": NEAR_H,
}
"""The clock times before the start, and how many hours before it they are at most."""


class After(Record):
    """After the race."""

    next_session_h: float | None = optional("from the finish to the next hard session", 1, 240)


class DatedTablet(NamedTuple):
    """A tablet in the hours before the start, and the time without food round it."""

    at: datetime
    start: datetime
    end: datetime
    fixed_by: str


class DatedMorning(NamedTuple):
    """Race morning with every clock time as a moment before the own start, in the zone of the race."""

    wake_from: datetime | None
    coffee_at: datetime | None
    bag_drop_closes: datetime | None
    pen_opens: datetime | None
    pen_closes: datetime | None
    breakfast_from: time | None
    tablets: tuple[DatedTablet, ...]
    travel_min: float | None
    warm_up_min: float | None
    breakfast: str
    kitchen: Kitchen | None


def clock_before(clock: time, start: datetime) -> datetime:
    """Return the last moment before a start, or at it, at which the clock there shows this time.

    In the hour that the clocks skip it is as much later, in one that they repeat the first of the two.
    """
    day = start.date()
    at = datetime.combine(day, clock, start.tzinfo)
    if at.astimezone(UTC) > start.astimezone(UTC):
        at = datetime.combine(day - timedelta(days=1), clock, start.tzinfo)
    return at.astimezone(UTC).astimezone(start.tzinfo)


def clock_after(clock: time, start: datetime) -> datetime:
    """Return the first moment after a start at which the clock there shows this time."""
    at = datetime.combine(start.date(), clock, start.tzinfo)
    if at.astimezone(UTC) <= start.astimezone(UTC):
        at = datetime.combine(start.date() + timedelta(days=1), clock, start.tzinfo)
    return at.astimezone(UTC).astimezone(start.tzinfo)


def happens_once(moment: datetime) -> bool:
    """Return whether the clock shows this local time once on that day."""
    return moment.replace(fold=0).utcoffset() == moment.replace(fold=1).utcoffset()


def dated(morning: Morning, start: datetime) -> DatedMorning:
    """Return race morning before an own start, which stands in the zone of the race."""
    moments = {name: getattr(morning, name) for name in CLOCKS}
    return DatedMorning(
        **{name: at and clock_before(at, start) for name, at in moments.items()},
        breakfast_from=morning.breakfast_from,
        tablets=tuple(_dated(one, clock_before(one.at, start)) for one in morning.tablets),
        travel_min=morning.travel_min,
        warm_up_min=morning.warm_up_min,
        breakfast=morning.breakfast,
        kitchen=morning.kitchen,
    )


def _dated(tablet: Tablet, at: datetime) -> DatedTablet:
    there, zone = at.astimezone(UTC), at.tzinfo
    start = (there - timedelta(minutes=tablet.no_food_before_min)).astimezone(zone)
    end = (there + timedelta(minutes=tablet.no_food_after_min)).astimezone(zone)
    return DatedTablet(at, start, end, tablet.fixed_by)


def tablet_after(tablet: Tablet, start: datetime) -> DatedTablet:
    """Return the first time after a start at which the tablet is due."""
    return _dated(tablet, clock_after(tablet.at, start))
