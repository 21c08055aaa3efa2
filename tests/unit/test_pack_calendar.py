"""The calendar, read back by other libraries, in two zones whose clocks change."""

from __future__ import annotations

import io
import re
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import vobject
from dateutil.tz import tzical
from icalendar import Calendar
from plans import a_case, a_plan

from provand.figure import Range
from provand.pack.dates import race_calendar
from provand.pack.voice import FLUID
from provand.plan.document import Line, Plan
from provand.plan.withheld import WEIGHTS

CHANGES = [
    ("Europe/Dublin", date(2026, 3, 29)),
    ("Europe/Dublin", date(2026, 10, 25)),
    ("Australia/Adelaide", date(2026, 10, 4)),
]
"""Nights on which clocks change; the races are on the morning after."""


def plan_in(zone: str, on: date, **changes: Any) -> Plan:
    """A plan with a gun at 09:30 on a day, a line before the clocks change and one after."""
    tz = ZoneInfo(zone)
    case = a_case()
    gun = datetime(on.year, on.month, on.day, 9, 30, tzinfo=tz)
    case = case.model_copy(
        update={"race": case.race.model_copy(update={"gun": gun, "zone": zone, **changes})}
    )
    lines = (
        Line(at=datetime(on.year, on.month, on.day, 0, 20, tzinfo=tz), title="Night alarm", says=""),
        Line(
            at=datetime(on.year, on.month, on.day, 6, 30, tzinfo=tz),
            title="Breakfast",
            says="1 glass of water.",
        ),
        Line(at=datetime(on.year, on.month, on.day, 8, 0, tzinfo=tz), title="Drink 300 ml", says="Water."),
        Line(at=datetime(on.year, on.month, on.day, 8, 40, tzinfo=tz), title="Leave the house", says=""),
    )
    return a_plan(case, morning=lines)


def events(data: bytes) -> dict[str, Any]:
    return {str(event["SUMMARY"]): event for event in Calendar.from_ical(data).walk("VEVENT")}


@pytest.mark.parametrize(("zone", "on"), CHANGES)
def test_a_second_reader_finds_the_same_moments(zone: str, on: date) -> None:
    plan = plan_in(zone, on)
    data = race_calendar(plan).decode()
    calendar = vobject.readOne(data)
    read = {event.summary.value: event.dtstart.value.astimezone(UTC) for event in calendar.vevent_list}
    for line in plan.morning:
        if line.title != "Drink 300 ml":
            assert line.at is not None
            assert read[line.title] == line.at.astimezone(UTC)


@pytest.mark.parametrize(("zone", "on"), CHANGES)
def test_the_zone_inside_the_file_has_the_offsets_of_that_night(zone: str, on: date) -> None:
    text = race_calendar(plan_in(zone, on)).decode()
    inside = tzical(io.StringIO(text)).get(zone)
    for hour in (0, 6, 9, 15):
        moment = datetime(on.year, on.month, on.day, hour, 15)
        assert moment.replace(tzinfo=inside).utcoffset() == moment.replace(tzinfo=ZoneInfo(zone)).utcoffset()


def test_times_carry_the_zone_of_the_race_and_no_floating_hour() -> None:
    text = race_calendar(a_plan()).decode()
    assert "DTSTART;TZID=Australia/Adelaide:20261206T073400" in text
    assert not re.search(r"DTSTART:\d{8}T\d{6}\r", text.split("END:VTIMEZONE")[-1])
    assert text.count("BEGIN:VTIMEZONE") == 1


def test_the_own_start_has_its_range_in_words_and_no_alarm() -> None:
    event = events(race_calendar(a_plan()))["Quernbeck Half Marathon: own start 07:34 to 07:38"]
    assert "You cross the start line at 07:34 to 07:38, Australia/Adelaide." in event["DESCRIPTION"]
    assert a_plan().code in event["DESCRIPTION"]
    assert not event.walk("VALARM")
    assert event["DTEND"].dt - event["DTSTART"].dt == timedelta(minutes=4, seconds=7440)


def test_morning_events_ring_and_nothing_that_rings_names_fluid() -> None:
    read = events(race_calendar(plan_in("Europe/Dublin", date(2026, 3, 29))))
    morning = {name: event for name, event in read.items() if "own start" not in name}
    assert set(morning) == {"Night alarm", "Breakfast", "Leave the house"}
    for event in morning.values():
        (alarm,) = event.walk("VALARM")
        told = " ".join(str(part) for part in (event["SUMMARY"], event["DESCRIPTION"], alarm["DESCRIPTION"]))
        assert not FLUID.search(told)


def test_a_changed_plan_keeps_the_names_of_its_events() -> None:
    first = a_plan()
    later = a_plan(
        first.case.model_copy(
            update={"race": first.case.race.model_copy(update={"own_offset_s": Range.of(600, 900)})}
        )
    )
    lines = [
        line.model_copy(update={"at": line.at + timedelta(minutes=9)}) for line in later.morning if line.at
    ]
    moved = later.model_copy(update={"morning": tuple(lines)})
    assert moved.code != first.code
    before, after = (sorted(str(e["UID"]) for e in events(race_calendar(p)).values()) for p in (first, moved))
    assert before == after
    assert len(set(before)) == len(before)


def test_another_athlete_has_other_events_and_no_name_can_be_read_from_them() -> None:
    case = a_case()
    other = a_plan(case.model_copy(update={"athlete": case.athlete.model_copy(update={"name": "Ola Berg"})}))
    mine, theirs = ({str(e["UID"]) for e in events(race_calendar(p)).values()} for p in (a_plan(), other))
    assert not mine & theirs
    assert "Askerby" not in " ".join(mine)


def test_two_lines_of_one_title_are_two_events() -> None:
    plan = a_plan()
    wake = plan.morning[0]
    assert wake.at is not None
    twice = plan.model_copy(
        update={"morning": (wake, wake.model_copy(update={"at": wake.at + timedelta(minutes=10)}))}
    )
    calendar = Calendar.from_ical(race_calendar(twice))
    uids = [str(event["UID"]) for event in calendar.walk("VEVENT")]
    assert len(set(uids)) == 3


def test_the_same_plan_gives_the_same_bytes_stamped_by_the_plan() -> None:
    assert race_calendar(a_plan()) == race_calendar(a_plan())
    assert b"DTSTAMP:20261124T000000Z" in race_calendar(a_plan())
    assert b"SEQUENCE:0" in race_calendar(a_plan())


def test_with_times_struck_the_finish_is_not_told() -> None:
    told = " ".join(
        str(event["DESCRIPTION"]) for event in events(race_calendar(a_plan(time_struck=True))).values()
    )
    assert "Finish" not in told


def test_a_gun_without_a_zone_is_read_in_the_zone_of_the_race() -> None:
    case = a_case()
    naive = case.race.model_copy(update={"gun": datetime(2026, 12, 6, 7, 30)})
    text = race_calendar(a_plan(case.model_copy(update={"race": naive}))).decode()
    assert "DTSTART;TZID=Australia/Adelaide:20261206T073400" in text


def alarms(data: bytes) -> list[tuple[str, datetime]]:
    """What rings and when, as another library reads it."""
    found = []
    for event in vobject.readOne(data.decode()).vevent_list:
        for alarm in event.contents.get("valarm", []):
            at = event.dtstart.value.astimezone(UTC) + alarm.trigger.value
            found.append((f"{alarm.description.value} {event.summary.value} {event.description.value}", at))
    return found


@pytest.mark.parametrize(("zone", "on"), CHANGES)
def test_a_second_reader_hears_no_alarm_that_names_fluid_or_rings_for_a_drink(zone: str, on: date) -> None:
    plan = plan_in(zone, on)
    found = alarms(race_calendar(plan))
    assert len(found) == 3
    drinks = [line.at for line in plan.morning if FLUID.search(line.title)]
    assert drinks
    for told, at in found:
        assert not FLUID.search(told)
        for drink in drinks:
            assert drink is not None
            assert not timedelta(minutes=0) <= drink.astimezone(UTC) - at <= timedelta(minutes=10)


@pytest.mark.parametrize(
    "title", ["Drink with it", "Your usual coffee", "A glass of juice", "Refill the flask"]
)
def test_a_line_that_sounds_like_a_drink_is_no_event(title: str) -> None:
    plan = a_plan()
    wake = plan.morning[0]
    line = wake.model_copy(update={"title": title})
    only = race_calendar(plan.model_copy(update={"morning": (wake, line)}))
    assert len(alarms(only)) == 1
    assert title.encode() not in only


def test_no_race_time_of_an_intake_is_in_the_calendar() -> None:
    plan = a_plan()
    starts = {event["DTSTART"].dt.astimezone(UTC) for event in events(race_calendar(plan)).values()}
    own = plan.case.race.gun.astimezone(UTC) + timedelta(seconds=plan.case.race.own_offset_s.low)
    assert max(starts) == own, "nothing is dated after the start"
    assert b"gel" not in race_calendar(plan)


def test_with_weights_withheld_no_byte_tells_one() -> None:
    assert not WEIGHTS.search(race_calendar(a_plan(withheld=("grams",))).decode("utf-8"))
