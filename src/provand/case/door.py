"""The door: a case file becomes a `Case`, or every fault in it is told at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any, TypeAlias

from provand.case.case import (
    MAX_FILE_NAME,
    Athlete,
    Case,
    Forbidden,
    Origin,
    Practitioner,
    Race,
    Weather,
    Wishes,
)
from provand.case.checks import (
    WISHED,
    anchor_that_stands,
    check_athlete,
    check_crew,
    check_items,
    check_menu,
    check_morning,
    check_names,
    check_protocol,
    check_race,
    check_taken,
    check_weather,
    wished,
)
from provand.case.course import Course, Station
from provand.case.crew import Crew
from provand.case.fields import number
from provand.case.files import MAX_TRACK_BYTES, profile_of_file, read_bytes, read_toml
from provand.case.health import Health
from provand.case.intake import Intake
from provand.case.letterhead import check_practitioner
from provand.case.menu import MenuWishes
from provand.case.morning import After, Morning
from provand.case.own_foods import check_toml, own_foods_in
from provand.case.profile import Profile, profile_of_points
from provand.case.recipes import check_recipes
from provand.case.records import check_records, same_name
from provand.case.upgrade import upgrade
from provand.case.walk import Walk, bounds_of
from provand.case.when import local_moment, zone_named
from provand.finding import BadInput, Finding, find
from provand.larder.item import WATER, Item
from provand.larder.shelf import shelf
from provand.record import Record, canonical
from provand.units import read_number, unit_of

HEALTH = ".health.toml"
PARTS: dict[str, type[Record]] = {
    "practitioner": Practitioner,
    "athlete": Athlete,
    "weather": Weather,
    "wishes": Wishes,
    "morning": Morning,
    "after": After,
    "crew": Crew,
}
UNSAID = (Morning(), After(), Crew())
"""Tables in which nothing stands: as if they were not there."""


LAID = ("wishes.anchor.", "wishes.given.", "menu.laid.")
"""What the program wrote: these numbers come from a plan or a menu, and none is kept as typed."""

SOURCES = {"gpx", "fit", "points"}
"""Where a course has its profile from: exactly one of them."""
OWN_FOODS = "own_foods"
"""What a menu calls its file of foods of one's own."""


Beside: TypeAlias = Callable[[str], bytes]
"""From the name of a file that a case names to its bytes; BadInput where there is none."""


class Point(Record):
    """A height at a place, of a course typed as a table."""

    at_m: float = number("distance from the start", 0, 1_000_000)
    height_m: float = number("height", -450, 9000)


def read_case(path: Path, *, as_of: date, past: bool = False) -> Case:
    """Return the case in a TOML file; BadInput names every fault, each with its place and what is allowed.

    Numbers become the units of their fields, rounded once to nine digits. `as_of` is the day on which the
    case is read: a race before it is refused, unless `past` says that it is read to look back.
    """
    return case_of(read_toml(path), beside=in_folder(path.parent), as_of=as_of, past=past)


def in_folder(folder: Path) -> Beside:
    """Return the reader of the files that stand in a folder."""
    return lambda name: read_bytes(folder / name, most=MAX_TRACK_BYTES)


def case_of(data: Mapping[str, Any], *, beside: Beside, as_of: date, past: bool = False) -> Case:
    """Return the case that plain data describes; `beside` gives the bytes of a file that it names."""
    walk, data = Walk(), upgrade(data, "provand.case", "the case")
    parts: dict[str, Any] = {
        name: walk.record(cls, data[name], name, name) for name, cls in PARTS.items() if name in data
    }
    if "menu" in data:
        parts["menu"] = _menu(walk, data["menu"], beside)
    parts["race"] = race = _race(walk, data["race"]) if "race" in data else None
    if "course" in data:
        official_m = race.distance_m if race is not None else _typed_distance_m(data.get("race"))
        parts["course"] = _course(walk, data["course"], official_m, beside)
    if "items" in data:
        parts["items"] = walk.records(Item, data["items"], "items", "items")
    if race is not None and parts.get("wishes") is not None:
        parts["wishes"] = _wishes_at_home(walk, parts["wishes"], race)
    items = _with_shelf(walk, parts)
    if items is not None:
        parts["items"] = items
        if parts.get("wishes") is not None and parts.get("course") is not None:
            anchor = anchor_that_stands(parts["wishes"], parts["course"], items)
            parts["wishes"] = parts["wishes"].model_copy(update={"anchor": anchor})
    walk.fail(*(fault for fault in _checks(parts, as_of) if not (past and fault.code == "race.past")))
    unsaid = {name for name, part in parts.items() if part in UNSAID}
    given = {
        name: part for name, part in parts.items() if (name in data or name == "items") and name not in unsaid
    }
    rest = {key: value for key, value in data.items() if key not in given and key not in unsaid}
    case = walk.record(Case, rest, "", "", **given)
    walk.settle()
    if case is None:
        raise RuntimeError("a case that cannot be made must say why")
    origins = {path: one for path, one in walk.origins.items() if not path.startswith(LAID)}
    whole = case.model_copy(update={"origins": dict(sorted(origins.items()))})
    return Case.model_validate_json(canonical(whole))


def _race(walk: Walk, data: Any) -> Race | None:
    """Return the race with its moments in its own zone."""
    race = walk.record(Race, data, "race", "race")
    if race is None:
        return None
    try:
        zone = zone_named(race.zone, "race.zone")
        moments = {"gun": local_moment(race.gun, zone, "race.gun")}
        forbidden = tuple(
            Forbidden(
                start=local_moment(window.start, zone, f"race.forbidden[{at}].start"),
                end=local_moment(window.end, zone, f"race.forbidden[{at}].end"),
                why=window.why,
                rinse_allowed=window.rinse_allowed,
            )
            for at, window in enumerate(race.forbidden, 1)
        )
        taken = tuple(
            one
            if one.at is None
            else one.model_copy(update={"at": local_moment(one.at, zone, f"race.taken[{at}].at")})
            for at, one in enumerate(race.taken, 1)
        )
    except BadInput as error:
        walk.fail(*error.findings)
        return None
    return race.model_copy(update={**moments, "forbidden": forbidden, "taken": taken})


def _menu(walk: Walk, data: Any, beside: Beside) -> MenuWishes | None:
    """Return the menu with the foods of the file that it names."""
    if not isinstance(data, Mapping) or OWN_FOODS not in data:
        return walk.record(MenuWishes, data, "menu", "menu", own_foods=())
    rest = {key: value for key, value in data.items() if key != OWN_FOODS}
    name, about = data[OWN_FOODS], f"menu.{OWN_FOODS}"
    try:
        check_toml(_plain_name(name, about))
        own = own_foods_in(beside(name), name)
    except BadInput as error:
        walk.fail(*error.findings)
        return walk.record(MenuWishes, rest, "menu", "menu", own_foods=None)
    walk.origins[about] = Origin(kind="file", text=name)
    return walk.record(MenuWishes, rest, "menu", "menu", own_foods=own)


def _plain_name(name: Any, about: str) -> str:
    """Return the bare name of a file that stands beside the case; BadInput for anything else."""
    if not _is_file_name(name):
        raise BadInput(
            find("entry.wrong_kind", about, problem="a file name is needed here", allowed=f'"{about}"')
        )
    if Path(name).name != name:
        raise BadInput(find("file.outside", about, file=name))
    return str(name)


def _wishes_at_home(walk: Walk, wishes: Wishes, race: Race) -> Wishes | None:
    """Return the wishes with clock times in the race's zone."""

    def at_home(intake: Intake, about: str) -> Intake:
        if intake.at_clock is None:
            return intake
        moment = local_moment(intake.at_clock, zone_named(race.zone, "race.zone"), f"{about}.at_clock")
        return intake.model_copy(update={"at_clock": moment})

    try:
        homed = [(about, at_home(intake, about)) for about, intake in wished(wishes)]
    except BadInput as error:
        walk.fail(*error.findings)
        return None
    lists = {
        kind: tuple(intake for about, intake in homed if about.startswith(f"wishes.{kind}["))
        for kind in WISHED
    }
    return wishes.model_copy(update=lists)


def _typed_distance_m(race: Any) -> float | None:
    """Return the distance of a race that is wrong elsewhere, so that its course is looked at all the same."""
    typed = race.get("distance") if isinstance(race, Mapping) else None
    try:
        low, high = bounds_of(Race.model_fields["distance_m"])
        return read_number(typed, "m", "race.distance", low, high) if isinstance(typed, str) else None
    except BadInput:
        return None


def _course(walk: Walk, data: Any, official_m: float | None, beside: Beside) -> Course | None:
    """Return the course from its file or its table of points, fitted to the official distance."""
    if not isinstance(data, Mapping):
        return walk.record(Course, data, "course", "course")
    rest = {key: value for key, value in data.items() if key not in SOURCES}
    if len(SOURCES & set(data)) != 1:
        walk.fail(find("course.one_source", "course"))
        profile = None
    else:
        profile = _profile(walk, data, official_m, beside)
    if profile is None:
        walk.record(Course, rest, "course", "course", x_m=None, elevation_m=None, measured_m=None)
        return None
    stations = walk.records(Station, rest.pop("stations", []), "course.stations", "course.stations")
    wrong = [
        find(
            "course.station_past",
            f"course.stations[{at}].at",
            name=station.name,
            at=f"{station.at_m / 1000:g} km",
            finish=f"{profile.x_m[-1] / 1000:g} km",
        )
        for at, station in enumerate(stations or (), 1)
        if station.at_m > profile.x_m[-1]
    ]
    names = [station.name.casefold() for station in stations or ()]
    wrong += [
        find("course.same_name", f"course.stations[{at}].name", name=station.name)
        for at, station in enumerate(stations or (), 1)
        if names.index(station.name.casefold()) < at - 1
    ]
    walk.fail(*wrong)
    given: dict[str, Any] = profile._asdict()
    for name in ("latitude_deg", "longitude_deg"):
        if name.removesuffix("_deg") in rest or given[name] is None:
            del given[name]
    return walk.record(Course, rest, "course", "course", **given, stations=None if wrong else stations)


def _is_file_name(name: Any) -> bool:
    return isinstance(name, str) and 0 < len(name) <= MAX_FILE_NAME and name.isprintable()


def _profile(walk: Walk, data: Mapping[str, Any], official_m: float | None, beside: Beside) -> Profile | None:
    """Return the profile of the course, or None after keeping what is wrong with it."""
    points: tuple[Point, ...] | None = ()
    if "points" in data:
        points = walk.records(Point, data["points"], "course.points", "course.points")
    else:
        (kind,) = SOURCES & set(data)
        if not _is_file_name(data[kind]):
            problem, allowed = "a file name is needed here", f'"course.{kind}"'
            walk.fail(find("entry.wrong_kind", f"course.{kind}", problem=problem, allowed=allowed))
            return None
    if official_m is None or points is None:
        return None
    try:
        if "points" in data:
            profile = profile_of_points([(p.at_m, p.height_m) for p in points], official_m=official_m)
            origin = Origin(kind="typed", text=f"{len(points)} points of distance and height")
        else:
            name = _plain_name(data[kind], f"course.{kind}")
            profile = profile_of_file(beside(name), name, official_m=official_m)
            origin = Origin(kind="file", text=profile.read_from)
    except BadInput as error:
        walk.fail(*error.findings)
        return None
    walk.origins = {path: one for path, one in walk.origins.items() if not path.startswith("course.points.")}
    settled = [name for name in profile._fields if getattr(profile, name) not in (None, ())]
    told = [name for name in settled if name == "track" or unit_of(name) is not None]
    walk.origins.update({f"course.{name}": origin for name in told})
    return profile


def _with_shelf(walk: Walk, parts: Mapping[str, Any]) -> tuple[Item, ...] | None:
    """Return the typed items, then those of the starter shelf that the case names; water always."""
    typed = parts.get("items", ())
    if typed is None:
        return None
    have = {item.id for item in typed}
    named = {WATER, *_named(parts)}
    added = tuple(item for item in shelf() if item.id in named - have)
    for item in added:
        for name, value in item.label.model_dump().items():
            if isinstance(value, float):
                text = f"{value:g} {unit_of(name) or ''}, starter shelf: read your own pack"
                walk.origins[f"items.{item.id}.label.{name}"] = Origin(kind="assumed", text=text)
    return (*typed, *added)


def _named(parts: Mapping[str, Any]) -> Iterator[str]:
    athlete, course, wishes = parts.get("athlete"), parts.get("course"), parts.get("wishes")
    if parts.get("race") is not None:
        yield from (one.item for one in parts["race"].taken)
    if athlete is not None:
        yield from (one.item for one in athlete.stock)
        yield from (rehearsed.item for rehearsed in athlete.rehearsed)
        yield from athlete.refused
    if course is not None:
        yield from (served.item for station in course.stations for served in station.serves)
    if parts.get("crew") is not None:
        yield from (item_id for point in parts["crew"].points for item_id in point.hands)
    if wishes is not None:
        yield from wishes.banned
        yield from (intake.item for _, intake in wished(wishes))


def _checks(parts: Mapping[str, Any], as_of: date) -> Iterator[Finding]:
    """Yield what the parts cannot be together; a part that failed is left out."""
    athlete, race, course = parts.get("athlete"), parts.get("race"), parts.get("course")
    items = parts.get("items") or ()
    if parts.get("practitioner") is not None:
        yield from check_practitioner(parts["practitioner"])
    if race is not None:
        yield from check_race(race, as_of)
        if items:
            yield from check_taken(race, items)
        if parts.get("morning") is not None:
            yield from check_morning(parts["morning"], race)
    if athlete is not None:
        yield from check_athlete(athlete, as_of)
    if parts.get("weather") is not None:
        yield from check_weather(parts["weather"], as_of)
    yield from _may_be_left_out(parts)
    yield from check_items(items)
    yield from check_recipes(items)
    without_time = race is not None and race.goal_s is None and race.finish_s is None
    if without_time and athlete is not None and not athlete.results:
        yield find("race.no_time", "race.goal")
    wishes = parts.get("wishes", Wishes())
    if wishes is not None:
        yield from check_protocol(wishes)
    for at, override in enumerate(wishes.overrides if wishes else (), 1):
        if override.on > as_of:
            about = f"wishes.overrides[{at}].on"
            yield find("entry.future", about, day=override.on.isoformat(), as_of=as_of.isoformat())
    if athlete is not None and course is not None and wishes is not None and items:
        yield from check_names(athlete, wishes, course, items)


def _may_be_left_out(parts: Mapping[str, Any]) -> Iterator[Finding]:
    if parts.get("menu") is not None:
        yield from check_menu(parts["menu"])
    if parts.get("crew") is not None:
        yield from check_crew(parts["crew"], parts.get("course"), parts.get("items") or ())


def unknown_served(case: Case) -> list[Finding]:
    """Return a note for each thing that a station serves and no item describes: it counts as water."""
    return [
        find("course.unknown_served", f"course.stations[{at}]", station=station.name, item=served.item)
        for at, station in enumerate(case.course.stations, 1)
        for served in station.serves
        if case.item(served.item) is None
    ]


def health_path(path: Path) -> Path:
    """Return where the health answers of a case file stand: `NAME.health.toml` beside `NAME.toml`."""
    if not path.name:
        return path / HEALTH
    return path if path.name.endswith(HEALTH) else path.with_name(path.name.removesuffix(".toml") + HEALTH)


def read_health(path: Path, *, of: Case | None = None) -> Health | None:
    """Return the health answers beside a case file, or None where there are none.

    With `of`, the answers must be bound to that case's athlete: BadInput where they are another person's.
    """
    place = health_path(path)
    if not place.exists():
        return None
    return health_of(read_toml(place), name=place.name, of=of)


def health_of(data: Mapping[str, Any], *, name: str, of: Case | None = None) -> Health:
    """Return the health answers that plain data describes; `name` is the file's, for the faults.

    With `of`, the answers must be bound to that case's athlete. BadInput tells every fault at once.
    """
    walk = Walk()
    health = walk.record(Health, upgrade(data, "provand.health", name), "", "")
    if health is not None:
        walk.fail(*check_records(health))
        if of is not None and not _same_person(health, of.athlete):
            walk.fail(find("health.other_person", name, theirs=health.athlete, name=of.athlete.name))
    walk.settle()
    if health is None:
        raise RuntimeError("answers that cannot be read must say why")
    return health


def _same_person(health: Health, athlete: Athlete) -> bool:
    same_birth = health.born is None or athlete.born is None or health.born == athlete.born
    return same_name(health.athlete, athlete.name) and same_birth
