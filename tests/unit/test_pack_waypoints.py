"""The course with waypoints: held to the schema of GPX 1.1, read back, and silent about fluid and time."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import gpxpy
import pytest
import xmlschema
from gpxpy.gpx import GPX, GPXWaypoint
from plans import LENGTH_M, a_case, a_plan, a_stop, a_take, cleared, some_lines

from provand.case.positions import Position, position_at
from provand.finding import CannotWork
from provand.pack.pieces import HELD, Making, sheets_of
from provand.pack.voice import FLUID
from provand.pack.waypoints import course_with_waypoints
from provand.pack.write import pack_files
from provand.plan.document import Plan, Stop
from provand.plan.withheld import WEIGHTS


def a_track() -> tuple[Position, ...]:
    """An invented ring of points, a full turn over the length of the course, through the meridian of 180."""
    turns = [number / 60 for number in range(61)]
    return tuple(
        Position(
            at_m=round(LENGTH_M * turn, 1),
            latitude_deg=round(0.03 * math.sin(2 * math.pi * turn), 5),
            longitude_deg=round((180 + 0.03 * math.cos(2 * math.pi * turn) + 180) % 360 - 180, 5),
        )
        for turn in turns
    )


def on_earth(stops: tuple[Stop, ...] | None = None, **changes: Any) -> Plan:
    """The invented plan on a course whose places are known."""
    case = a_case()
    placed = case.model_copy(update={"course": case.course.model_copy(update={"track": a_track()})})
    return a_plan(placed, stops=stops, **changes)


def read(plan: Plan) -> GPX:
    return gpxpy.parse(course_with_waypoints(plan).decode("utf-8"))


def told(point: GPXWaypoint) -> str:
    return f"{point.name} {point.description} {point.comment or ''} {point.symbol or ''}"


def test_the_file_keeps_to_the_schema_of_its_version(gpx_schema: Path, tmp_path: Path) -> None:
    schema = xmlschema.XMLSchema(str(gpx_schema), allow="local")
    for number, plan in enumerate((on_earth(), on_earth(()), on_earth(time_struck=True))):
        path = tmp_path / f"{number}.gpx"
        path.write_bytes(course_with_waypoints(plan))
        schema.validate(str(path))
    broken = tmp_path / "broken.gpx"
    broken.write_bytes(course_with_waypoints(on_earth()).replace(b"<wpt lat=", b"<wpt latitude="))
    with pytest.raises(xmlschema.XMLSchemaValidationError):
        schema.validate(str(broken))


def test_there_is_a_waypoint_for_each_stop_where_something_is_eaten_and_for_no_other() -> None:
    plan = on_earth()
    points = read(plan).waypoints
    assert [point.name for point in points] == ["lemon gel", "3 × orange chews", "gel with caffeine"]
    assert len(points) < len(plan.race.stops), "two of its stops are sports drink alone"


def test_a_waypoint_lies_where_the_stop_is_on_the_course() -> None:
    plan = on_earth()
    for point, at_m in zip(read(plan).waypoints, (4600.0, 7900.0, 13_400.0), strict=True):
        turn = at_m / LENGTH_M
        assert point.latitude == pytest.approx(0.03 * math.sin(2 * math.pi * turn), abs=0.0002)
        east = (point.longitude - 180 + 180) % 360 - 180
        assert east == pytest.approx(0.03 * math.cos(2 * math.pi * turn), abs=0.0002)
        assert -180 <= point.longitude <= 180


def test_no_waypoint_names_fluid_or_a_time() -> None:
    case = a_case()
    cola = a_take("chews", case).model_copy(update={"name": "cola chews"})
    sip = a_take("water", case, amount="mouthful", got_from="station")
    rinse = a_take("gel", case, amount="rinse")
    stops = (
        a_stop(4600.0, cola, sip, case=case, station="Millrace"),
        a_stop(9100.0, a_take("gel", case), sip, case=case, station="Waters of Water End"),
        a_stop(13_400.0, rinse, case=case, station="Kiln Top"),
    )
    points = read(on_earth(stops)).waypoints
    assert [point.name for point in points] == ["chews", "lemon gel"]
    for point in [*points, *read(on_earth()).waypoints]:
        assert not FLUID.search(told(point))
        assert point.time is None
    assert b"<time>" not in course_with_waypoints(on_earth())


def test_the_file_says_for_whom_by_whom_on_what_and_which_copy_counts() -> None:
    plan = on_earth()
    gpx = read(plan)
    assert gpx.author_name == "Ines Halloway"
    assert f"Only the copy with the code {plan.code} counts." in str(gpx.description)
    assert "no medical advice" in str(gpx.description)
    assert "Invented example" in str(gpx.description)
    assert all(plan.code in str(point.description) for point in gpx.waypoints)


def test_the_track_of_the_file_is_the_course() -> None:
    (track,) = read(on_earth()).tracks
    assert track.length_2d() == pytest.approx(2 * math.pi * 0.03 * 111_195, rel=0.005)


def test_numbers_are_written_out_whole() -> None:
    place = Position(at_m=0, latitude_deg=0.00001, longitude_deg=-0.00001)
    there = place.model_copy(update={"at_m": LENGTH_M, "latitude_deg": 0.1})
    case = a_case()
    case = case.model_copy(update={"course": case.course.model_copy(update={"track": (place, there)})})
    text = course_with_waypoints(a_plan(case)).decode("utf-8")
    assert 'lat="0.00001" lon="-0.00001"' in text
    assert "e-05" not in text


def test_without_places_on_earth_there_is_no_such_file() -> None:
    names = [[sheet.name for sheet in sheets_of(Making(plan), HELD)] for plan in (a_plan(), on_earth())]
    assert ["course.gpx" in listed for listed in names] == [False, True]


def test_with_weights_withheld_no_byte_tells_one_and_one_in_a_name_stops_the_writing() -> None:
    plain = tuple(line for line in some_lines(a_case())["loading"] if not WEIGHTS.search(line.says))
    plan = on_earth(withheld=("grams",), loading=plain)
    (file,) = pack_files(cleared(plan), pieces=("waypoints",))
    assert not WEIGHTS.search(file.data.decode("utf-8"))
    case = a_case()
    heavy = a_take("gel", case).model_copy(update={"name": "gel 40 g"})
    with pytest.raises(CannotWork, match="40 g"):
        course_with_waypoints(on_earth((a_stop(4600.0, heavy, case=case),)))


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert course_with_waypoints(on_earth()) == course_with_waypoints(on_earth())


def test_a_place_past_either_end_is_the_end() -> None:
    track = a_track()
    assert position_at(track, -5.0) == pytest.approx((track[0].latitude_deg, track[0].longitude_deg))
    assert position_at(track, 1e9) == pytest.approx((track[-1].latitude_deg, track[-1].longitude_deg))
