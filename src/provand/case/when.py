"""Clock times of a race: a zone that exists, and a moment that happens there exactly once."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from difflib import get_close_matches
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

from provand.finding import BadInput, find


@cache
def zone_names() -> frozenset[str]:
    """Return the IANA zones known here, without the names that mean another place on each machine."""
    return frozenset(available_timezones() - {"localtime", "Factory"})


def zone_named(name: str, about: str) -> ZoneInfo:
    """Return the zone of that name; BadInput with the nearest names for one that does not exist."""
    if name in zone_names():
        return ZoneInfo(name)
    close = get_close_matches(name, zone_names(), n=1)
    near = f"Did you mean {close[0]}?" if close else "Type it as Europe/Dublin."
    raise BadInput(find("race.zone", about, zone=name, near=near))


def _offset(moment: datetime) -> timedelta:
    return moment.utcoffset() or timedelta()


def _fixed(moment: datetime) -> datetime:
    return moment.astimezone(timezone(_offset(moment)))


def local_moment(moment: datetime, zone: ZoneInfo, about: str) -> datetime:
    """Return a typed moment with its fixed offset in the race's zone.

    Without an offset the moment must exist there once: BadInput for an hour that the clocks skip or
    repeat. With an offset it must be the zone's own.
    """
    if moment.tzinfo is not None:
        local = moment.astimezone(zone)
        if _offset(local) != _offset(moment):
            raise BadInput(
                find("race.offset", about, text=moment.isoformat(), zone=zone.key, there=local.isoformat())
            )
        return _fixed(local)
    both = [moment.replace(tzinfo=zone, fold=fold) for fold in (0, 1)]
    if _offset(both[0]) == _offset(both[1]):
        return _fixed(both[0])
    first, last = sorted(one.astimezone(UTC).astimezone(zone).isoformat() for one in both)
    happens = both[0].astimezone(UTC).astimezone(zone).replace(tzinfo=None) == moment
    code = "race.twice" if happens else "race.skipped"
    raise BadInput(find(code, about, text=moment.isoformat(), zone=zone.key, first=first, last=last))


def age_years(born: date, on: date) -> int:
    """Return the age in whole years; someone born on 29 February comes of age on 1 March."""
    return on.year - born.year - ((on.month, on.day) < (born.month, born.day))
