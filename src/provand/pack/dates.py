"""The calendar file: the own start and the morning before it, in the race's own zone.

An event keeps its UID when the plan changes, so that a new file replaces the old one: its sequence number is
higher, and events that the new plan no longer has come along as cancelled. No event names or times fluid, or
tells of a tablet: others read along. The start rings no alarm.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Component, Event

from provand.pack.sheet import NO_ADVICE, finish, own_start, own_start_said
from provand.pack.tongue import say
from provand.pack.voice import FLUID, span, title_of
from provand.phrase import to_say
from provand.plan.document import Line, Plan
from provand.plan.ladder import WAKE_UP

MINUTES_BEFORE = 10
UNTOLD = re.compile(r"\btablets?\b", re.IGNORECASE)
"""What stands in no calendar, which others may see."""
CANCELLED = to_say("Cancelled: {title}")
NO_LONGER_COUNTS = to_say("This no longer counts. Ask whoever gave you the plan.")


def _uid(plan: Plan, event: str) -> str:
    """Return the name of an event for life: the same for every plan of this athlete, race and year."""
    case = plan.case
    parts = (
        case.practitioner.name,
        case.athlete.name,
        str(case.athlete.born),
        case.race.name,
        str(case.race.gun.year),
    )
    return hashlib.sha256("\n".join((*parts, event)).encode("utf-8")).hexdigest()[:32] + "@provand"


def _event(plan: Plan, key: str, title: str, says: str, *, start: datetime, end: datetime) -> Event:
    event = Event()
    event.add("uid", _uid(plan, key))
    event.add("summary", title)
    event.add("description", says)
    event.add("dtstart", start)
    event.add("dtend", end)
    return event


def _alarm(title: str, *, rings_at_once: bool) -> Alarm:
    """Return an alarm some minutes before, but for waking, which is rung at its time."""
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", title)
    alarm.add("trigger", timedelta(minutes=0 if rings_at_once else -MINUTES_BEFORE))
    return alarm


def _start_event(plan: Plan) -> Event:
    first, last = own_start(plan)
    times = finish(plan)
    until = last + timedelta(seconds=times.high if times else 3600)
    at = own_start_said(plan)
    says = [say("You cross the start line at {start}, {zone}.", start=at, zone=plan.case.race.zone)]
    if times is not None and not plan.time_struck:
        says.append(say("Finish after {span}.", span=span(times.low, times.high)))
    says += [say("Plan {code}; the sheet with this code counts.", code=plan.code), say(NO_ADVICE)]
    title = say("{race}: own start {start}", race=plan.case.race.name, start=at)
    return _event(plan, "own start", title, " ".join(says), start=first, end=until)


def _morning_events(plan: Plan, zone: ZoneInfo) -> list[Event]:
    events, seen = [], dict[str, int]()
    start = own_start(plan)[0]
    for entry in plan.morning:
        if entry.at is None or _local(entry, zone) >= start:
            continue
        if FLUID.search(entry.title) or UNTOLD.search(entry.title):
            continue
        seen[entry.title] = seen.get(entry.title, 0) + 1
        at = _local(entry, zone)
        says, title = (
            say("What and how much: see the sheet with the code {code}.", code=plan.code),
            title_of(entry),
        )
        event = _event(
            plan,
            f"{entry.title} {seen[entry.title]}",
            title,
            says,
            start=at,
            end=at + timedelta(minutes=15),
        )
        event.add_component(_alarm(title, rings_at_once=entry.title == WAKE_UP))
        events.append(event)
    return events


def _local(entry: Line, zone: ZoneInfo) -> datetime:
    assert entry.at is not None
    return entry.at.replace(tzinfo=zone) if entry.at.tzinfo is None else entry.at.astimezone(zone)


def race_calendar(plan: Plan, *, sequence: int = 0, earlier: Iterable[bytes] = ()) -> bytes:
    """Return the calendar of a plan as iCalendar; the same plan gives the same bytes.

    `sequence` is higher in each calendar of a race that is handed out; events of the `earlier` ones that this
    plan does not have are in it as cancelled.
    """
    zone = ZoneInfo(plan.case.race.zone)
    events = [*_morning_events(plan, zone), _start_event(plan)]
    kept = {str(event["uid"]) for event in events}
    events += [_cancelled(old) for uid, old in _last_events(earlier).items() if uid not in kept]
    stamp = datetime.combine(plan.case.weather.seen_on, datetime.min.time(), UTC)
    return _written(events, "PUBLISH", sequence=sequence, stamp=stamp, year=plan.case.race.gun.year)


def cancelled_calendar(earlier: Iterable[bytes], *, sequence: int, at: datetime) -> bytes:
    """Return the calendar that takes back every event of earlier ones; `at` is the aware moment of it."""
    events = [_cancelled(old) for old in _last_events(earlier).values()]
    year = min(event.decoded("dtstart").year for event in events)
    return _written(events, "CANCEL", sequence=sequence, stamp=at.astimezone(UTC), year=year)


def _last_events(calendars: Iterable[bytes]) -> dict[str, Component]:
    """Return the events of calendars by UID, each as the last calendar has it."""
    read = (Calendar.from_ical(data) for data in calendars)
    return {str(event["uid"]): event for calendar in read for event in calendar.walk("VEVENT")}


def _cancelled(old: Component) -> Event:
    event = Event()
    event.add("uid", str(old["uid"]))
    title = str(old["summary"]).removeprefix(say(CANCELLED, title=""))
    event.add("summary", say(CANCELLED, title=title))
    event.add("description", f"{say(NO_LONGER_COUNTS)} {say(NO_ADVICE)}")
    for name in ("dtstart", "dtend"):
        event.add(name, old.decoded(name))
    event.add("status", "CANCELLED")
    return event


def _written(events: Iterable[Event], method: str, *, sequence: int, stamp: datetime, year: int) -> bytes:
    calendar = Calendar()
    calendar.add("prodid", "-//Provand//race plan//EN")
    calendar.add("version", "2.0")
    calendar.add("method", method)
    for event in events:
        event.add("sequence", sequence)
        event.add("dtstamp", stamp)
        calendar.add_component(event)
    calendar.add_missing_timezones(first_date=date(year - 1, 1, 1), last_date=date(year + 2, 1, 1))
    return bytes(calendar.to_ical())
