"""The course as GPX 1.1 with a waypoint wherever something is eaten.

A waypoint says what is eaten, never what is drunk, and carries no time. There is such a file only where the
course was read from one: typed heights have no place on Earth.
"""

from __future__ import annotations

from gpxpy.gpx import GPX, GPXTrack, GPXTrackPoint, GPXTrackSegment, GPXWaypoint

from provand.case.course import Course
from provand.case.positions import position_at
from provand.pack.eaten import eaten_at, eaten_words, names_fluid
from provand.pack.letters import printable
from provand.pack.scale import between
from provand.pack.sheet import INVENTED, foot
from provand.pack.tongue import say
from provand.pack.voice import km, no_weights
from provand.plan.document import Plan, Stop

CREATOR = "Provand"
DECIMALS = 5
"""Of a degree: about a metre."""


def has_places(plan: Plan) -> bool:
    """Return whether it is known where on Earth the course runs."""
    return len(plan.case.course.track) > 1


def course_with_waypoints(plan: Plan) -> bytes:
    """Return the course with a waypoint at every stop where something is eaten, as GPX 1.1 (UTF-8)."""
    gpx, case = GPX(), plan.case
    race = printable(case.race.name, "race.name")
    gpx.creator = CREATOR
    gpx.name = race
    gpx.author_name = printable(case.practitioner.name, "practitioner.name")
    gpx.description = " ".join([foot(plan), _counts(plan), *([say(INVENTED)] if case.invented else [])])
    gpx.waypoints.extend(_waypoint(stop, plan) for stop in plan.race.stops if eaten_at(stop))
    no_weights((f"{point.name} {point.description}" for point in gpx.waypoints), "course.gpx")
    gpx.tracks.append(_track(case.course, race))
    return f"{gpx.to_xml(version='1.1')}\n".encode()


def _counts(plan: Plan) -> str:
    return say("Only the copy with the code {code} counts.", code=plan.code)


def _waypoint(stop: Stop, plan: Plan) -> GPXWaypoint:
    latitude_deg, longitude_deg = position_at(plan.case.course.track, stop.at_m)
    return GPXWaypoint(
        latitude=round(latitude_deg, DECIMALS),
        longitude=round(longitude_deg, DECIMALS),
        elevation=_height_m(plan.case.course, stop.at_m),
        name=eaten_words(eaten_at(stop), plan.case),
        description=f"{_place(stop)} {_counts(plan)}",
    )


def _place(stop: Stop) -> str:
    """Return where a waypoint lies; the name of a station that sounds like a drink is left out."""
    station = printable(stop.station, "course.stations")
    if station and not names_fluid(station):
        return say("Kilometre {km}, {place}.", km=km(stop.at_m), place=station)
    return say("Kilometre {km}.", km=km(stop.at_m))


def _height_m(course: Course, at_m: float) -> float:
    return round(between(at_m, course.x_m, course.elevation_m), 1)


def _track(course: Course, name: str) -> GPXTrack:
    points = [
        GPXTrackPoint(
            latitude=point.latitude_deg,
            longitude=point.longitude_deg,
            elevation=_height_m(course, point.at_m),
        )
        for point in course.track
    ]
    track = GPXTrack(name=name)
    track.segments.append(GPXTrackSegment(points))
    return track
