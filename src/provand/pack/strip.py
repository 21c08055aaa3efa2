"""The course strip: hill, stations, what is taken, and the body's stores under it, to scale, in pixels.

Geometry only. x runs from the start to the finish of the course; everything stands over its place. A row
whose figures the plan does not have, or may not show, is left out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from provand.case.course import Station
from provand.pack.flags import LANE_PX, Flag, drawn, flag_of, grip, sign_of, stacked
from provand.pack.hand import NO_HAND, Hand, slide_of
from provand.pack.hatch import hatched
from provand.pack.letters import cut_to, printable, width_of
from provand.pack.rows import AFTER_PLOT, CEILING, ROW_GAP, store_rows
from provand.pack.rulers import rulers
from provand.pack.scale import Ground, nice_step
from provand.pack.shapes import Box, Disc, Drawing, Group, Mark, Path, Px, Shape, Words, area, line, names
from provand.pack.voice import km, mark_of_texture, span, stop_words, whole
from provand.plan.document import Plan, Stop
from provand.units import clock

WIDTH: Px = 1216
LEFT: Px = 128
RIGHT: Px = 1104
SCALE_Y: Px = 20
TAKE_Y: Px = 38
HILL: Px = 132
STATIONS: Px = 48


def course_strip(plan: Plan, cautions: Mapping[str, int] | None = None, *, hand: Hand = NO_HAND) -> Drawing:
    """Return the strip of a plan.

    `cautions` are the numbers of the cautions by what they are about (an item, a station, a figure), for
    the lozenges. Parts withheld have no row; with times struck there is no clock on the strip. `hand` is
    what a page adds.
    """
    numbers = cautions or {}
    flags = flags_of(plan, numbers, hand.passes)
    hill_top = TAKE_Y + lanes_of(flags, hand) * LANE_PX
    ground = Ground(plan.case.course, LEFT, RIGHT, hill_top + 4, hill_top + HILL)
    rows, y = store_rows(plan, ground, ground.base + STATIONS + ROW_GAP, numbers.get(CEILING, 0))
    ruled, bottom = rulers(plan, ground, y)
    standing = [replace(flag, hill_y=ground.hill_y(plan.race.stops[flag.stops[0]].at_m)) for flag in flags]
    shapes: list[Shape] = [
        *scale_bar(ground),
        *names(TAKE_Y + LANE_PX + 12, "Take", "from pocket", "or station"),
        *hill(ground),
        *_closed(plan, ground),
        *station_lines(ground, bottom),
        *rows,
        *ruled,
        *_stations(plan, ground),
        *(shape for flag in standing for shape in _flag(flag, hill_top, plan, ground, hand)),
        *_signs(bottom + 30, round(ground.times_height)),
    ]
    title = f"Course strip: {printable(plan.case.race.name, 'race.name')}"
    return Drawing(WIDTH, bottom + 40, title, strip_in_words(plan), tuple(shapes))


def lanes_of(flags: Sequence[Flag], hand: Hand) -> int:
    """Return how many lanes are drawn: one more than are used, so that the next edit shifts nothing."""
    used = 1 + max((flag.lane for flag in flags), default=0)
    return max(used, hand.lanes) if hand.lanes else used + 1


def _flag(flag: Flag, hill_top: Px, plan: Plan, ground: Ground, hand: Hand) -> list[Group]:
    """Return a flag; under a hand each of its stops slides, those of a merged flag by their signs alone."""
    whole_flag = drawn(flag, hill_top, label_of(flag, plan), held=hand.slides)
    if not hand.slides:
        return [whole_flag]
    stops = {index: plan.race.stops[index] for index in flag.stops}
    slides = {index: slide_of(stop, plan, hand.passes.get(index, "")) for index, stop in stops.items()}
    if len(stops) == 1:
        return [replace(whole_flag, slide=slides[flag.stops[0]])]
    signs = [
        Group(
            stop_words(stop, plan.case),
            _sign_held(flag, ground.x(stop.at_m), ground.hill_y(stop.at_m)),
            f"stop-{index}",
            slides[index],
        )
        for index, stop in stops.items()
    ]
    return [replace(whole_flag, key=""), *signs]


def _sign_held(flag: Flag, x: Px, y: Px) -> tuple[Shape, ...]:
    return (*grip(x, y, held=True), sign_of(flag, x, y))


def flags_of(
    plan: Plan, cautions: Mapping[str, int], passes: Mapping[int, str] | None = None
) -> tuple[Flag, ...]:
    """Return the flags of the stops in their lanes; their places on the hill are not known yet."""
    ground = Ground(plan.case.course, LEFT, RIGHT, 0, 0)
    flags = [
        flag_of(
            stop,
            index,
            plan.case,
            x=ground.x(stop.at_m),
            struck=plan.time_struck,
            caution=caution_at(stop, cautions),
            passes=(passes or {}).get(index, ""),
        )
        for index, stop in enumerate(plan.race.stops)
    ]
    return stacked(flags, plan.race.stops, right_px=WIDTH, struck=plan.time_struck)


def caution_at(stop: Stop, cautions: Mapping[str, int]) -> int:
    """Return the number of the caution about a stop, by its items or its station; 0 without one."""
    about = [*(take.item for take in stop.takes), stop.station]
    return next((cautions[name] for name in about if name in cautions), 0)


def label_of(flag: Flag, plan: Plan) -> str:
    """Return a flag in words, for those who do not see it."""
    stops = [plan.race.stops[index] for index in flag.stops]
    what = stop_words(stops[0], plan.case) if len(stops) == 1 else flag.text
    when = "" if plan.time_struck else span(stops[0].goal_s, stops[-1].goal_s)
    station = printable(stops[0].station, "course.stations")
    return ", ".join(part for part in (what, when, f"{km(stops[0].at_m)} km", station, flag.state) if part)


def scale_bar(ground: Ground) -> list[Shape]:
    """Return the km figures and the scale bar, whole kilometres alternating ink and paper."""
    length_km = ground.course.length_m / 1000
    px_per_km = (ground.right - ground.left) / length_km
    steps = (1,) if length_km < 10 else (2, 5, 10, 20, 50)
    figure_km = next((step for step in steps if step * px_per_km >= 40), steps[-1])
    block_km = next((step for step in (1, 2, 5) if step * px_per_km >= 8), 10)
    shapes: list[Shape] = [
        Words("tick", ground.left - 20, SCALE_Y - 6, "km", "end"),
        Box("scale", ground.left, SCALE_Y, ground.right - ground.left, 6),
    ]
    for start_km in range(block_km, math.ceil(length_km), 2 * block_km):
        wide = (min(start_km + block_km, length_km) - start_km) * px_per_km
        shapes.append(Box("scale-ink", ground.left + start_km * px_per_km, SCALE_Y, wide, 6))
    for place_km in range(0, math.ceil(length_km), figure_km):
        x = ground.left + place_km * px_per_km
        if x < ground.right - 30:
            shapes.append(Words("tick", x, SCALE_Y - 6, str(place_km), "middle"))
    return [*shapes, Words("tick-strong", ground.right, SCALE_Y - 6, km(ground.course.length_m), "middle")]


def hill(ground: Ground) -> list[Shape]:
    profile, step_m = ground.profile(), nice_step(ground.high_m - ground.low_m, 4)
    shapes: list[Shape] = [
        area("land", (ground.left, ground.base), *profile, (ground.right, ground.base)),
        line("outline", *profile),
        line("axis", (ground.left, ground.top), (ground.left, ground.base)),
        line("base", (ground.left, ground.base), (ground.right, ground.base)),
        Words("name", 0, (ground.top + ground.base) / 2, "Height, m"),
    ]
    for index in range(math.ceil(ground.low_m / step_m), math.floor(ground.high_m / step_m) + 1):
        y = ground.y(index * step_m)
        if y < ground.base - 8:
            figure = Words("tick", ground.left - 10, y + 4, whole(index * step_m), "end")
            shapes += [line("axis", (ground.left - 4, y), (ground.left, y)), figure]
    return shapes


def _closed(plan: Plan, ground: Ground) -> list[Shape]:
    """Return the hatched bar where nothing more is taken."""
    start = ground.x(min(plan.race.closed_from_m, ground.course.length_m))
    if ground.right - start < 2:
        return []
    top, bottom, x = ground.base + 3, ground.base + 10, ground.right + AFTER_PLOT
    corners = ((start, top), (ground.right, top), (ground.right, bottom), (start, bottom))
    return [
        Path("no", hatched("diagonal", corners)),
        Path("no-edge", (corners,), closed=True),
        Words("name", x, ground.base + 8, "no more intakes"),
        Words("note", x, ground.base + 22, "last 15 min, slow"),
    ]


def station_lines(ground: Ground, bottom: Px) -> list[Shape]:
    """Return the dotted lines from the stations down through all rows."""
    at = [ground.x(station.at_m) for station in ground.course.stations]
    return [Path("dots", tuple(((x, ground.base + STATIONS), (x, bottom)) for x in at))] if at else []


def _stations(plan: Plan, ground: Ground) -> list[Shape]:
    stations = ground.course.stations
    if not stations:
        return []
    shapes: list[Shape] = names(ground.base + 18, "Stations", "served, km")
    ends = [*(ground.x(station.at_m) for station in stations[1:]), ground.right + 8]
    for station, end in zip(stations, ends, strict=True):
        shapes += _station(plan, station, ground, end - ground.x(station.at_m) - 12)
    return shapes


def _station(plan: Plan, station: Station, ground: Ground, room: Px) -> list[Shape]:
    """Return one station: its square on the base line, its hanging name, what is served there, its km."""
    x, base = ground.x(station.at_m), ground.base
    shapes: list[Shape] = [
        Box("station", x - 3, base - 3, 6, 6),
        line("station-line", (x, base), (x, base + 42)),
    ]
    name = cut_to(printable(station.name, "course.stations"), "condensed-bold", 13, room)
    if name == station.name or width_of(name, "condensed-bold", 13) > 24:
        shapes.append(Words("name", x + 6, base + 24, name))
    items = [plan.case.item(served.item) for served in station.serves]
    marks = list(dict.fromkeys(mark_of_texture(item.texture if item else "water") for item in items))
    at = x + 6
    for mark in marks[: max(0, int(room // 15))]:
        shapes.append(Mark("mark-ink", mark, at, base + 29, 13))
        at += 16
    if at + 28 - x < room + 12:
        shapes.append(Words("note", at + 2, base + 40, km(station.at_m)))
    return shapes


def _signs(y: Px, times_height: int) -> list[Shape]:
    """Return the legend of signs, and the scale in words."""
    crossed = ((310.0, y - 9), (330.0, y - 9), (330.0, y + 1), (310.0, y + 1))
    band = ((362.0, y - 9), (382.0, y - 9), (382.0, y + 1), (362.0, y + 1))
    return [
        Disc("sign", 5, y - 4, 4.5),
        Words("note", 16, y, "free"),
        Box("sign", 56, y - 9, 10, 10),
        Words("note", 72, y, "pinned: stays there"),
        Disc("ring", 193, y - 4, 4.5),
        Words("note", 204, y, "not rehearsed"),
        Path("no", hatched("diagonal", crossed)),
        Path("no-edge", (crossed,), closed=True),
        Words("note", 336, y, "no"),
        Path("band", (band,), closed=True),
        Path("edge", ((band[0], band[1]), (band[3], band[2]))),
        Words("note", 388, y, "where it may lie, low to high"),
        Words("note", WIDTH, y, f"Distance to scale; heights × {max(times_height, 1)}.", "end"),
    ]


def strip_in_words(plan: Plan) -> str:
    """Return what the strip shows, in words, for those who do not see it."""
    course = plan.case.course
    drawing = f"The course drawn to scale, {km(course.length_m)} km, {whole(course.climb_m)} m of climb."
    stops = []
    for stop in plan.race.stops:
        when = "" if plan.time_struck else f" at {clock(stop.goal_s)}"
        stops.append(f"{km(stop.at_m)} km{when}: {stop_words(stop, plan.case)}")
    return f"{drawing} Taken: {'; '.join(stops)}." if stops else f"{drawing} Nothing is taken."
