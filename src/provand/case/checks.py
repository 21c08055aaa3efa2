"""What cannot be true of a case as a whole: each check takes the parts it needs and yields faults."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from provand.case.case import Athlete, Race, SweatTest, Weather, Wishes
from provand.case.course import NEAR_M, Course
from provand.case.crew import Crew
from provand.case.intake import Intake
from provand.case.menu import MenuWishes
from provand.case.morning import CLOCKS, Morning, clock_before, happens_once
from provand.case.walk import near
from provand.finding import Finding, find
from provand.larder.food import Larder
from provand.larder.item import WATER, Item
from provand.larder.shelf import shelf
from provand.units import clock, shown

MIN_SPEED_M_PER_S, MAX_SPEED_M_PER_S = 0.7, 7.5
"""Ours: slower than a stroll and faster than any runner over 3 km or more is a typing error."""
MIN_MASS_INDEX, MAX_MASS_INDEX = 12.0, 60.0
"""Ours: kilograms by squared metres outside these are a mass or a height in a wrong unit."""
MAX_AGE_YEARS = 100
LITRE_PER_KG = 1.0
MAX_SWEAT_L_PER_H = 4.0
"""Ours: above the largest rate on record, so a wrong unit."""
MIN_GEL_FRAC, MAX_GEL_FRAC = 0.15, 0.85
"""Ours: gels hold 18 to 51 g in 29 to 120 g (Zhang 2015, IJSNEM), so none is thinner than 18 in 120."""
MAX_DRINK_G_PER_100_ML = 20.0
"""Ours: a drink above this is a syrup, or the label of its powder."""


def _kilometres(place_m: float) -> str:
    return f"{shown(place_m / 1000, 'km')} km"


MOST_DAYS_AHEAD = 1100
"""A race further ahead than three years is a slip of the pen."""


PHONE = re.compile(r"\+?[0-9 ()./\-]+")
LEAST_DIGITS, MOST_DIGITS = 2, 15
"""Of a telephone number: some emergency numbers have two; 15 is the limit of ITU-T E.164 (from memory)."""


def is_phone_number(text: str) -> bool:
    """Return whether a text can be dialled: digits, a plus before them, and what groups them."""
    digits = sum(sign.isdigit() for sign in text)
    return bool(PHONE.fullmatch(text)) and LEAST_DIGITS <= digits <= MOST_DIGITS


def check_race(race: Race, as_of: date) -> Iterator[Finding]:
    """Yield what is wrong with the day, the times and the speeds of the race."""
    if race.medics_phone and not is_phone_number(race.medics_phone):
        yield find("race.phone", "race.medics_phone", text=race.medics_phone)
    day = race.gun.date()
    if (day - as_of).days > MOST_DAYS_AHEAD:
        yield find("race.far", "race.gun", day=day.isoformat(), most=MOST_DAYS_AHEAD)
    if day < as_of:
        yield find("race.past", "race.gun", day=day.isoformat(), as_of=as_of.isoformat())
    finish = race.finish_s
    if race.goal_s is not None and finish is not None and not finish.low <= race.goal_s <= finish.high:
        ends = f"{clock(finish.low)} to {clock(finish.high)}"
        yield find("race.goal_outside", "race.goal", goal=clock(race.goal_s), ends=ends)
    if race.cutoff_s is not None and race.goal_s is not None and race.goal_s > race.cutoff_s:
        yield find("race.cutoff", "race.cutoff", goal=clock(race.goal_s), cutoff=clock(race.cutoff_s))
    for name, time_s in (
        ("race.goal", race.goal_s),
        ("race.finish", finish.low if finish else None),
        ("race.finish", finish.high if finish else None),
    ):
        if time_s is not None:
            yield from _speed(name, race.distance_m, time_s)
    for window in race.forbidden:
        if window.end <= window.start:
            yield find("race.window", "race.forbidden", why=window.why)


def check_morning(morning: Morning, race: Race) -> Iterator[Finding]:
    """Yield each clock time that cannot be before the own start, or that the clocks skip or show twice."""
    start = race.first_start
    for name, most_h in CLOCKS.items():
        typed = getattr(morning, name)
        if typed is None:
            continue
        at = clock_before(typed, start)
        if _hours_between(at, start) > most_h:
            yield find(
                "morning.not_before",
                f"morning.{name}",
                at=f"{typed:%H:%M}",
                start=f"{start:%H:%M}",
                most_h=most_h,
            )
    for number, tablet in enumerate(morning.tablets, 1):
        at = clock_before(tablet.at, start)
        if not happens_once(at) or at.time() != tablet.at:
            yield find("morning.tablet_clock", f"morning.tablets[{number}].at", at=f"{tablet.at:%H:%M}")
    if morning.pen_opens is None or morning.pen_closes is None:
        return
    opens, closes = (clock_before(at, start) for at in (morning.pen_opens, morning.pen_closes))
    if closes <= opens:
        yield find("morning.pen", "morning.pen_closes", opens=f"{opens:%H:%M}", closes=f"{closes:%H:%M}")


def _hours_between(first: datetime, last: datetime) -> float:
    return (last.astimezone(UTC) - first.astimezone(UTC)).total_seconds() / 3600


def _speed(about: str, distance_m: float, time_s: float) -> Iterator[Finding]:
    if not MIN_SPEED_M_PER_S <= distance_m / time_s <= MAX_SPEED_M_PER_S:
        speed = f"{distance_m / time_s * 3.6:.1f} km/h"
        yield find("race.speed", about, time=clock(time_s), distance=_kilometres(distance_m), speed=speed)


def check_athlete(athlete: Athlete, as_of: date) -> Iterator[Finding]:
    """Yield what is wrong with dates, body and sweat tests of the athlete."""
    if athlete.born is not None:
        years = (as_of - athlete.born).days / 365.25
        if not 0 < years <= MAX_AGE_YEARS:
            yield find("athlete.born", "athlete.born", born=athlete.born.isoformat(), limit=MAX_AGE_YEARS)
    index = athlete.body_mass_kg / (athlete.height_m * athlete.height_m)
    if not MIN_MASS_INDEX <= index <= MAX_MASS_INDEX:
        mass, height = shown(athlete.body_mass_kg, "kg"), shown(athlete.height_m, "m")
        yield find("athlete.mass_and_height", "athlete.body_mass", mass=mass, height=height)
    days = [("athlete.body_mass_on", athlete.body_mass_on)]
    days += [(f"athlete.results[{at}].on", result.on) for at, result in enumerate(athlete.results, 1)]
    days += [(f"athlete.sweat_tests[{at}].on", test.on) for at, test in enumerate(athlete.sweat_tests, 1)]
    yield from _in_future(days, as_of)
    for at, result in enumerate(athlete.results, 1):
        yield from _speed(f"athlete.results[{at}].finish", result.distance_m, result.finish_s)
    for at, test in enumerate(athlete.sweat_tests, 1):
        yield from _sweat_test(test, athlete, f"athlete.sweat_tests[{at}]")


def _in_future(days: Iterable[tuple[str, date]], as_of: date) -> Iterator[Finding]:
    for about, day in days:
        if day > as_of:
            yield find("entry.future", about, day=day.isoformat(), as_of=as_of.isoformat())


def _sweat_test(test: SweatTest, athlete: Athlete, about: str) -> Iterator[Finding]:
    gone_kg = test.mass_before_kg - test.mass_after_kg + test.kit_gain_kg
    lost_l = gone_kg * LITRE_PER_KG + test.drunk_ml / 1000 + test.eaten_g / 1000 - test.urine_ml / 1000
    if lost_l <= 0 or lost_l / (test.duration_s / 3600) > MAX_SWEAT_L_PER_H:
        yield find("athlete.sweat_test", about, lost=f"{lost_l:.2f} l", time=clock(test.duration_s))
    if not 0.75 <= test.mass_before_kg / athlete.body_mass_kg <= 1.33:
        before, now = shown(test.mass_before_kg, "kg"), shown(athlete.body_mass_kg, "kg")
        yield find("athlete.test_mass", f"{about}.mass_before", before=before, now=now)


def check_weather(weather: Weather, as_of: date) -> Iterator[Finding]:
    """Yield a fault for a forecast of the future."""
    yield from _in_future([("weather.seen_on", weather.seen_on)], as_of)


def check_items(items: Iterable[Item]) -> Iterator[Finding]:
    """Yield a fault for a label that a mixed-up basis would explain."""
    for item in items:
        about, label = f"items.{item.id}.label", item.label
        carb = label.available_carb_g()
        if carb is None:
            continue
        mass = {"100 g": 100.0, "serving": label.serving_g, "pack": label.pack_g or label.pack_ml}.get(
            label.basis
        )
        if item.texture == "gel" and mass and not MIN_GEL_FRAC <= carb / mass <= MAX_GEL_FRAC:
            yield find("label.thin_gel", about, carb=f"{carb:g}", mass=f"{mass:g}")
        volume = {"100 ml": 100.0, "serving": label.serving_ml, "pack": label.pack_ml}.get(label.basis)
        limit = {"drink": MAX_DRINK_G_PER_100_ML, "water": 0.0}.get(item.texture)
        if volume and limit is not None and carb / volume * 100 > limit:
            yield find("label.strong_drink", about, carb=f"{carb / volume * 100:g}", limit=f"{limit:g}")


def check_taken(race: Race, items: Iterable[Item]) -> Iterator[Finding]:
    """Yield what is wrong with what was taken before the start: an unknown item, a time after it."""
    known = {item.id for item in items}
    last = race.gun + timedelta(seconds=race.own_offset_s.high)
    for at, one in enumerate(race.taken, 1):
        if one.item and one.item not in known:
            near_by = near(one.item, known | {item.id for item in shelf()})
            yield find("entry.unknown_item", f"race.taken[{at}].item", item=one.item, near=near_by)
        if one.at is not None and one.at > last:
            day, start = (moment.strftime("%Y-%m-%d %H:%M") for moment in (one.at, last))
            yield find("race.taken_late", f"race.taken[{at}].at", at=day, start=start)


def check_names(athlete: Athlete, wishes: Wishes, course: Course, items: Iterable[Item]) -> Iterator[Finding]:
    """Yield a fault for each item or station that is named and stands nowhere."""
    known = {item.id for item in items}
    named = [(f"athlete.rehearsed[{at}].item", one.item) for at, one in enumerate(athlete.rehearsed, 1)]
    named += [(f"athlete.stock[{at}].item", one.item) for at, one in enumerate(athlete.stock, 1)]
    named += [(f"athlete.refused[{at}]", one) for at, one in enumerate(athlete.refused, 1)]
    named += [(f"wishes.banned[{at}]", one) for at, one in enumerate(wishes.banned, 1)]
    for about, intake in wished(wishes):
        named.append((f"{about}.item", intake.item))
        stations = [station.name for station in course.stations]
        if intake.station and intake.station not in stations:
            yield find(
                "wishes.no_station",
                f"{about}.station",
                name=intake.station,
                near=near(intake.station, stations),
            )
        if intake.at_m is not None and intake.at_m > course.length_m:
            place, finish = _kilometres(intake.at_m), _kilometres(course.length_m)
            yield find("wishes.past_finish", f"{about}.at", place=place, finish=finish)
    for about, item_id in named:
        if item_id not in known:
            yield find(
                "entry.unknown_item",
                about,
                item=item_id,
                near=near(item_id, known | {item.id for item in shelf()}),
            )


def check_crew(crew: Crew, course: Course | None, items: Iterable[Item]) -> Iterator[Finding]:
    """Yield what is wrong with the places of a crew: past the finish, one like another, unknown items."""
    known = {item.id for item in items}
    for at, point in enumerate(crew.points, 1):
        about = f"crew.points[{at}]"
        if course is not None and point.at_m > course.length_m:
            place, finish = (f"{one_m / 1000:g} km" for one_m in (point.at_m, course.length_m))
            yield find("course.station_past", f"{about}.at", name=point.name, at=place, finish=finish)
        for other in crew.points[: at - 1]:
            if other.name.casefold() == point.name.casefold():
                yield find("crew.same_name", f"{about}.name", name=point.name)
            if abs(other.at_m - point.at_m) < NEAR_M:
                yield find("crew.same_place", f"{about}.at", name=point.name, other=other.name)
        for number_there, item_id in enumerate(point.hands, 1):
            if item_id == WATER:
                yield find("crew.water", f"{about}.hands[{number_there}]")
            elif item_id not in known:
                near_by = near(item_id, known | {item.id for item in shelf()})
                yield find("entry.unknown_item", f"{about}.hands[{number_there}]", item=item_id, near=near_by)


def check_menu(menu: MenuWishes) -> Iterator[Finding]:
    """Yield a fault for each food that the menu names and nobody knows."""
    known = {food.id for food in Larder(menu.own_foods).foods}
    for about, food_id in menu.foods_named():
        if food_id not in known:
            yield find("menu.unknown_food", about, food=food_id, near=near(food_id, known))


SHIPPED_PROTOCOLS = ("position-stands", "common-practice")
"""The protocols that a case may name; any other name is of a file beside it."""


def check_protocol(wishes: Wishes) -> Iterator[Finding]:
    """Yield a fault for a protocol that is neither shipped nor the bare name of a TOML file."""
    name = wishes.protocol
    if name in SHIPPED_PROTOCOLS:
        return
    is_toml = name.endswith(".toml") and not name.endswith(".health.toml") and name.isprintable()
    if not is_toml:
        yield find("wishes.protocol", "wishes.protocol", name=name, near=near(name, SHIPPED_PROTOCOLS))
    elif Path(name).name != name or "\\" in name:
        yield find("file.outside", "wishes.protocol", file=name)


WISHED = ("pinned", "anchor", "given")
"""The lists of intakes in the wishes."""


def anchor_that_stands(wishes: Wishes, course: Course, items: Iterable[Item]) -> tuple[Intake, ...]:
    """Return the intakes of an earlier schedule whose item, station and place the case still has."""
    known, names = {item.id for item in items}, {"", *(station.name for station in course.stations)}
    return tuple(
        intake
        for intake in wishes.anchor
        if intake.item in known and intake.station in names and (intake.at_m or 0.0) <= course.length_m
    )


def wished(wishes: Wishes) -> Iterator[tuple[str, Intake]]:
    """Yield each intake that the wishes name, with its place as typed."""
    for kind in WISHED:
        for at, intake in enumerate(getattr(wishes, kind), 1):
            yield f"wishes.{kind}[{at}]", intake
