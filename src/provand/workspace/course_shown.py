"""The course of a race file as its page draws it: the hill and its stations, as far as typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from provand.case.case import Race
from provand.case.course import Course
from provand.case.files import profile_of_file
from provand.case.profile import Profile, profile_of_points
from provand.case.words import read_as
from provand.finding import BadInput
from provand.pack.scale import Ground, nice_step
from provand.pack.shapes import Box, Drawing, Px, Shape, Words, area, line
from provand.pack.svg import written
from provand.pack.voice import km
from provand.units import read_number
from provand.workspace.desk import file_of
from provand.workspace.entry import shown_value
from provand.workspace.models import Desk
from provand.workspace.race_edit import place_m
from provand.workspace.race_file import COURSE_FILE, POINTS, STATIONS, rows_at

WIDTH: Px = 560
LEFT: Px = 44
RIGHT: Px = 540
TOP: Px = 22
BASE: Px = 112
HEIGHT: Px = 134


class Shown(NamedTuple):
    """A drawing as SVG, where its plot begins and ends in its own width, how long it is, and words on it."""

    svg: str
    left: Px
    right: Px
    width: Px
    length_km: float
    says: str
    remarks: tuple[str, ...]


def course_shown(desk: Desk, data: Mapping[str, Any]) -> Shown | None:
    """Return the drawing of the course; None while there is no distance or no profile that can be read."""
    try:
        profile = _profile(desk, data)
    except BadInput:
        return None
    if profile is None:
        return None
    course = Course(x_m=profile.x_m, elevation_m=profile.elevation_m, measured_m=profile.measured_m)
    ground = Ground(course, LEFT, RIGHT, TOP, BASE)
    places = [place_m(str(row.get("at", ""))) for row in rows_at(data, STATIONS)]
    told = f"{profile.measured_m / 1000:.2f} km, +{course.climb_m:.0f} m"
    shapes = (*_axis(ground), *_hill(ground), *_stations(ground, places))
    drawing = Drawing(WIDTH, HEIGHT, "The hill with the stations", told, tuple(shapes))
    remarks = tuple(f"{one.sentence[:1].upper()}{one.sentence[1:]}" for one in profile.remarks)
    return Shown(written(drawing, "classes"), LEFT, RIGHT, WIDTH, course.length_m / 1000, told, remarks)


def _profile(desk: Desk, data: Mapping[str, Any]) -> Profile | None:
    """Return the profile from the file or the heights by hand; None without either, or without a distance."""
    distance = shown_value(data, "race.distance")
    if not distance:
        return None
    official_m = read_as(Race, "distance_m", distance, "race.distance").mid
    name, points = shown_value(data, COURSE_FILE), rows_at(data, POINTS)
    if name:
        return profile_of_file(file_of(desk, name), name, official_m=official_m)
    if not points:
        return None
    typed = [(place_m(str(one.get("at", ""))), _height_m(str(one.get("height", "")))) for one in points]
    return profile_of_points(typed, official_m=official_m)


def _height_m(text: str) -> float:
    return read_number(text, "m", "height", -450, 9000)


def _hill(ground: Ground) -> list[Shape]:
    profile = ground.profile()
    ends = (ground.right, ground.base), (ground.left, ground.base)
    return [area("land", *profile, *ends), line("outline", *profile), line("base", *ends)]


def _axis(ground: Ground) -> list[Shape]:
    """Return round heights at the left and round kilometres below, the finish in bold."""
    shapes: list[Shape] = [line("axis", (ground.left, ground.top), (ground.left, ground.base))]
    step_m = nice_step(ground.high_m - ground.low_m, 3)
    height_m = step_m * -(-ground.low_m // step_m)
    while height_m <= ground.high_m:
        y = ground.y(height_m)
        shapes.append(line("axis", (ground.left - 4, y), (ground.left, y)))
        shapes.append(Words("tick", ground.left - 8, y + 4, f"{height_m:g}", "end"))
        height_m += step_m
    length_km = ground.course.length_m / 1000
    step_km = nice_step(length_km, 5)
    for count in range(int(length_km / step_km) + 1):
        x = ground.x(1000 * count * step_km)
        if x < ground.right - 34:
            shapes.append(Words("tick", x, ground.base + 17, f"{count * step_km:g}", "middle"))
    return [
        *shapes,
        Words("tick-strong", ground.right, ground.base + 17, km(ground.course.length_m), "middle"),
    ]


def _stations(ground: Ground, places_m: list[float]) -> list[Shape]:
    """Return the stations that stand on the course, by number."""
    shapes: list[Shape] = []
    for n, at_m in enumerate(places_m, 1):
        if at_m > ground.course.length_m:
            continue
        x, hill = ground.x(at_m), ground.hill_y(at_m)
        shapes += [
            line("dots", (x, TOP - 6), (x, hill)),
            line("station-line", (x, hill), (x, ground.base)),
            Box("station", x - 3, ground.base - 3, 6, 6),
            Words("tick-strong", x, TOP - 9, str(n), "middle"),
        ]
    return shapes
