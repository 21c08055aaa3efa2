"""Where a course runs, kept in few points: near the track that was read, on either side of any meridian."""

from __future__ import annotations

import math
from pathlib import Path

import gpxpy
import numpy as np
import pytest
from gpxpy.gpx import GPXTrackPoint, GPXTrackSegment

from provand.case.files import measured_of_file, profile_of_file
from provand.case.positions import MAX_POSITIONS, METRES_PER_DEG, WITHIN_M, position_at, thinned


def a_line(count: int, *, longitude_deg: float, wiggle_m: float) -> tuple[np.ndarray, np.ndarray]:
    """An invented line eastwards along 50° N, 10 m a point, that swings to either side."""
    at_m = 10.0 * np.arange(count)
    east_deg = at_m / (METRES_PER_DEG * math.cos(math.radians(50)))
    north_deg = wiggle_m / METRES_PER_DEG * np.sin(at_m / 60)
    turned = (longitude_deg + east_deg + 180) % 360 - 180
    return at_m, np.column_stack((50 + north_deg, turned))


def apart_m(one: tuple[float, float], other: tuple[float, float]) -> float:
    east_deg = (one[1] - other[1] + 180) % 360 - 180
    north_m, east_m = (one[0] - other[0]) * METRES_PER_DEG, east_deg * METRES_PER_DEG
    return math.hypot(north_m, east_m * math.cos(math.radians(one[0])))


@pytest.mark.parametrize("longitude_deg", [0.0, 179.99, -180.0, 18.4])
def test_few_points_stay_near_the_track_on_any_meridian(longitude_deg: float) -> None:
    at_m, places_deg = a_line(1500, longitude_deg=longitude_deg, wiggle_m=40.0)
    track = thinned(at_m, places_deg)
    assert len(track) < 500
    for place, (latitude_deg, there_deg) in zip(at_m, places_deg, strict=True):
        found = position_at(track, float(place))
        assert apart_m(found, (float(latitude_deg), float(there_deg))) < 2 * WITHIN_M + 2


def test_both_ends_are_kept() -> None:
    at_m, places_deg = a_line(300, longitude_deg=5.0, wiggle_m=80.0)
    track = thinned(at_m, places_deg)
    assert (track[0].at_m, track[-1].at_m) == (0, at_m[-1])
    assert [one.at_m for one in track] == sorted(one.at_m for one in track)


def test_a_track_of_very_many_turns_is_kept_within_its_bound() -> None:
    at_m, places_deg = a_line(9000, longitude_deg=5.0, wiggle_m=0.0)
    places_deg[::2, 0] += 30 / METRES_PER_DEG
    assert 2 <= len(thinned(at_m, places_deg)) <= MAX_POSITIONS


def line_m(points: list[GPXTrackPoint]) -> float:
    return float(GPXTrackSegment(points).length_2d())


def test_a_course_that_somebody_went_is_found_again_within_some_metres(real_course: Path) -> None:
    data = real_course.read_bytes()
    gpx = gpxpy.parse(data.decode("utf-8"))
    points = max((track.segments[0].points for track in gpx.tracks if track.segments), key=line_m)
    measured_m = measured_of_file(data, real_course.name)
    profile = profile_of_file(data, real_course.name, official_m=1.01 * measured_m)
    assert 20 < len(profile.track) < min(MAX_POSITIONS, len(points))
    assert profile.track[-1].at_m == pytest.approx(1.01 * measured_m, abs=0.1), "fitted like the heights"
    on_lines = [position_at(profile.track, float(at)) for at in np.arange(0, 1.01 * measured_m, 5.0)]
    for point in points[:: len(points) // 40]:
        here = (float(point.latitude), float(point.longitude))
        assert min(apart_m(here, one) for one in on_lines) < WITHIN_M + 5
