"""Course files: true profiles come back from noisy tracks; damaged files are named for what is wrong."""

from __future__ import annotations

import importlib.util
import sys
import time
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from types import ModuleType

import gpxpy
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from provand.case.door import read_case
from provand.case.files import MAX_TRACK_BYTES, profile_of_file, read_bytes
from provand.case.profile import HYSTERESIS_M, Profile, profile_of_points, smooth, without_jitter
from provand.finding import BadInput

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "src" / "provand" / "demo" / "warm-hills"
HALF_M = 21_097.5
DEGREE_M = np.pi / 180 * 6_371_008.8


def _demo_course() -> ModuleType:
    spec = importlib.util.spec_from_file_location("demo_course", ROOT / "tools" / "demo_course.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["demo_course"] = module
    spec.loader.exec_module(module)
    return module


demo_course = _demo_course()

Point = tuple[float, float, str]


def straight(
    length_m: float, *, step_m: float = 25.0, height: Callable[[float], str] = "{:.1f}".format
) -> list[Point]:
    """Return points due north from 53 degrees; `height` gives the text of a height from the distance."""
    return [(53 + x / DEGREE_M, -7.5, height(x)) for x in np.arange(0, length_m + 1e-6, step_m)]


def gpx(points: Sequence[Point], *, times: Sequence[datetime] = ()) -> str:
    rows = []
    for at, (lat, lon, ele) in enumerate(points):
        inside = f"<ele>{ele}</ele>" if ele else ""
        inside += f"<time>{times[at]:%Y-%m-%dT%H:%M:%SZ}</time>" if times else ""
        rows.append(f'<trkpt lat="{lat:.7f}" lon="{lon:.7f}">{inside}</trkpt>')
    return wrapped("<trk><trkseg>\n" + "\n".join(rows) + "\n</trkseg></trk>")


def wrapped(inside: str) -> str:
    return f'<?xml version="1.0"?>\n<gpx version="1.1" creator="a test" xmlns="http://www.topografix.com/GPX/1/1">\n{inside}\n</gpx>\n'


def profile_at(path: Path, official_m: float) -> Profile:
    return profile_of_file(read_bytes(path, most=MAX_TRACK_BYTES), path.name, official_m=official_m)


def read(folder: Path, text: str | bytes, official_m: float) -> Profile:
    path = folder / "course.gpx"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return profile_at(path, official_m)


def refused(folder: Path, text: str | bytes, official_m: float = 5000.0) -> str:
    with pytest.raises(BadInput) as caught:
        read(folder, text, official_m)
    assert caught.value.status == 2
    assert len(caught.value.findings) == 1
    return str(caught.value)


def climb(profile: Profile) -> float:
    return float(np.maximum(0, np.diff(profile.elevation_m)).sum())


def hilly(x: float) -> str:
    return f"{100 + 20 * np.sin(x / 400):.1f}"


GOOD = gpx(straight(5000, height=hilly))


def test_the_demo_course_is_what_its_script_makes() -> None:
    assert (DEMO / "course.gpx").read_text("utf-8") == demo_course.track()


def test_the_demo_course_is_read_as_its_true_profile() -> None:
    case = read_case(DEMO / "case.toml", as_of=date(2026, 11, 25))
    assert case.course.climb_m == pytest.approx(demo_course.true_climb_m(), rel=0.03)
    assert case.course.x_m[-1] == HALF_M
    assert case.course.read_from == "course.gpx"
    assert [remark.code for remark in case.course.remarks] == ["course.scaled"]
    assert case.origins["course.elevation_m"].kind == "file"


@pytest.mark.parametrize("seed", range(5))
def test_a_noisy_track_gives_back_its_climb_heights_and_grades(tmp_path: Path, seed: int) -> None:
    """Within 6 % of the climb (noise of 1.6 m), 2 m of height, and 1.5 % of grade: ours to hold."""
    profile = read(tmp_path, demo_course.track(seed), HALF_M)
    x_m = np.array(profile.x_m)
    true_m = demo_course.true_heights_m(x_m)
    assert climb(profile) == pytest.approx(demo_course.true_climb_m(), rel=0.06)
    assert np.sqrt(np.mean(np.square(np.array(profile.elevation_m) - true_m))) < 2
    grades = np.diff(profile.elevation_m) / np.diff(x_m)
    assert np.sqrt(np.mean(np.square(grades - np.diff(true_m) / np.diff(x_m)))) < 0.015
    raw = gpxpy.parse(demo_course.track(seed)).get_uphill_downhill().uphill
    assert raw > 1.15 * demo_course.true_climb_m(), "the noise must be worth smoothing"


def test_a_flat_track_with_noise_climbs_less_than_one_hysteresis_step(tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    profile = read(tmp_path, gpx(straight(10_000, height=lambda _: f"{50 + rng.normal(0, 1.5):.1f}")), 10_000)
    assert climb(profile) < HYSTERESIS_M


def test_an_even_slope_keeps_its_ends_and_its_grade(tmp_path: Path) -> None:
    profile = read(tmp_path, gpx(straight(5000, height=lambda x: f"{x * 0.04:.2f}")), 5000)
    assert profile.elevation_m[0] == pytest.approx(0, abs=0.1)
    assert profile.elevation_m[-1] == pytest.approx(200, abs=0.1)
    assert np.diff(profile.elevation_m) / np.diff(profile.x_m) == pytest.approx(0.04, abs=0.001)


def test_nodes_are_100_m_apart_and_few_on_a_long_course(tmp_path: Path) -> None:
    profile = read(tmp_path, GOOD, 5000)
    assert np.diff(profile.x_m) == pytest.approx(100, rel=0.01)
    assert len(profile_of_points([(0, 5), (200_000, 9)], official_m=200_000).x_m) < 1000


def test_the_real_course_loses_its_jitter_and_keeps_its_hills(real_course: Path) -> None:
    """Its file holds tracks of two walks and one height 60 m out: the longer is taken, the height mended."""
    profile = profile_at(real_course, 8640)
    tracks = [track for track in gpxpy.parse(real_course.read_text("utf-8")).tracks if track.get_points_no()]
    raw = tracks[0].get_uphill_downhill().uphill
    heights = [point.elevation for point in tracks[0].segments[-1].points]
    assert 0.75 * raw < climb(profile) < raw
    assert max(profile.elevation_m) - min(profile.elevation_m) == pytest.approx(np.ptp(heights), rel=0.06)
    assert profile.measured_m == pytest.approx(tracks[0].length_2d(), rel=0.003)
    assert [remark.code for remark in profile.remarks] == ["course.several", "course.mended", "course.scaled"]


def test_a_length_within_3_percent_is_fitted_and_both_lengths_are_said(tmp_path: Path) -> None:
    profile = read(tmp_path, gpx(straight(5100, height=hilly)), 5000)
    assert profile.x_m[-1] == 5000
    assert profile.measured_m == pytest.approx(5100, abs=0.2)
    assert [remark.line() for remark in profile.remarks] == [
        "course: course.gpx measures 5.10 km; it was fitted to the official 5 km."
    ]


def test_a_course_3_km_short_names_both_lengths_and_what_to_do(tmp_path: Path) -> None:
    text = gpx(straight(18_100, step_m=50, height=hilly))
    assert refused(tmp_path, text, HALF_M) == (
        "course: course.gpx measures 18.10 km, 3.00 km short of the official 21.0975 km. "
        "Check the distance, or whether a part of the course is missing from the file."
    )


def test_a_course_too_long_is_refused_too(tmp_path: Path) -> None:
    assert "0.40 km longer than the official 4.6 km" in refused(tmp_path, GOOD, 4600)


def test_a_200_mb_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.gpx"
    with path.open("wb") as file:
        file.truncate(200_000_000)
    began = time.perf_counter()
    with pytest.raises(BadInput) as caught:
        profile_at(path, 5000)
    assert time.perf_counter() - began < 0.5
    assert str(caught.value).startswith("huge.gpx: the file has 200.0 MB; at most 40 MB are read.")
    assert MAX_TRACK_BYTES == 40_000_000


BOMB = (
    '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa">'
    + "".join(f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9))
    + "]><gpx>&j;</gpx>"
)
OUTSIDE = '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]><gpx>&x;</gpx>'
REMOTE = '<?xml version="1.0"?><!DOCTYPE gpx SYSTEM "http://192.0.2.1/x.dtd"><gpx></gpx>'


@pytest.mark.parametrize("text", [BOMB, OUTSIDE, REMOTE], ids=["bomb", "file", "address"])
def test_xml_that_declares_entities_is_refused_at_once(tmp_path: Path, text: str) -> None:
    began = time.perf_counter()
    assert "declares entities" in refused(tmp_path, text)
    assert time.perf_counter() - began < 0.5


@pytest.mark.parametrize("part", [0.3, 0.5, 0.9, 0.999])
def test_a_cut_file_says_where_it_breaks_off(tmp_path: Path, part: float) -> None:
    cut = GOOD[: int(len(GOOD) * part)]
    line = cut.count("\n") + 1
    assert f"breaks off or is damaged at line {line}, column" in refused(tmp_path, cut)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the file is empty"),
        ("<html><body>Not found</body></html>", "holds no track and no route"),
        ("PK\x03\x04 a zip", "damaged at line 1"),
        (GOOD.encode("utf-16"), "UTF-16"),
        (wrapped('<wpt lat="53" lon="-7"><ele>1</ele></wpt>'), "holds no track and no route"),
        (wrapped("<trk><trkseg></trkseg></trk>"), "holds no track and no route"),
        (gpx(straight(5000, step_m=500, height=hilly)), "has 11 points; at least 20 are needed"),
        (gpx(straight(5000, height=lambda _: "")), "201 of the 201 points have no height. Export the course"),
        (gpx(straight(5000, height=lambda x: "" if x % 250 == 0 else "nan" if x % 500 == 25 else hilly(x))),
         "31 of the 201 points have no height"),
        (gpx(straight(5000, height=lambda _: "0.0")), "every point has the same height, 0 m"),
        (gpx(straight(5000, height=lambda _: "twelve")), "not a GPX that can be read"),
        (GOOD.replace('lat="53', 'lat="nan53'), "not a GPX that can be read"),
        (GOOD.replace('lat="53', 'lat="153'), "201 points of the track have no place on the Earth"),
        (gpx(straight(5000, height=lambda x: f"{700 + 600 * np.sin(x / 400):.1f}")), "by more than 45%"),
    ],
    ids=["empty", "a web page", "zip", "utf-16", "waypoints", "empty track", "few points", "no heights",
         "some heights", "one height", "words", "no number", "off the Earth", "steep"],
)  # fmt: skip
def test_a_file_that_gives_no_course_is_named_for_what_is_wrong(
    tmp_path: Path, text: str | bytes, said: str
) -> None:
    assert said in refused(tmp_path, text)


def test_a_missing_file_is_a_fault_of_the_case(tmp_path: Path) -> None:
    text = (DEMO / "case.toml").read_text("utf-8")
    (tmp_path / "case.toml").write_text(text, "utf-8")
    with pytest.raises(BadInput, match=r"course\.gpx: there is no such file"):
        read_case(tmp_path / "case.toml", as_of=date(2026, 11, 25))


def test_few_missing_heights_are_drawn_from_their_neighbours_and_said(tmp_path: Path) -> None:
    gaps = {500.0: "", 2000.0: "nan", 3000.0: "-32768", 4000.0: "0.0"}
    profile = read(tmp_path, gpx(straight(5000, height=lambda x: gaps.get(float(x), hilly(x)))), 5000)
    whole = read(tmp_path, GOOD, 5000)
    assert np.abs(np.array(profile.elevation_m) - np.array(whole.elevation_m)).max() < 0.5
    assert profile.remarks[0].line() == (
        "course: 4 heights of course.gpx were missing or stood out and were drawn from their neighbours."
    )


def test_a_point_that_jumped_off_the_course_is_left_out_and_said(tmp_path: Path) -> None:
    points = straight(5000, height=hilly)
    points[80] = (points[80][0], -7.48, points[80][2])
    profile = read(tmp_path, gpx(points), 5000)
    assert profile.measured_m == pytest.approx(5000, abs=1)
    assert [remark.code for remark in profile.remarks] == ["course.jumps"]


def test_a_timed_jump_is_left_out_by_its_speed(tmp_path: Path) -> None:
    points = straight(5000, height=hilly)
    times = [datetime(2026, 5, 3, tzinfo=UTC) + timedelta(seconds=8 * at) for at in range(len(points))]
    points[80] = (points[80][0], -7.497, points[80][2])
    profile = read(tmp_path, gpx(points, times=times), 5000)
    assert [remark.code for remark in profile.remarks] == ["course.jumps"]
    with pytest.raises(BadInput, match="longer than the official"):
        read(tmp_path, gpx(points), 5000 - 250)


def test_a_gap_is_bridged_and_said(tmp_path: Path) -> None:
    points = straight(5000, height=hilly)
    profile = read(tmp_path, gpx(points[:60] + points[90:]), 5000)
    assert profile.remarks[0].line() == (
        "course: course.gpx has 1 gaps, the longest of 775 m; a straight line was drawn across."
    )


def test_tracks_that_follow_one_another_are_joined_and_a_stray_one_is_said(tmp_path: Path) -> None:
    points = straight(5000, height=hilly)

    def track(part: Sequence[Point]) -> str:
        return gpx(part).split('1/1">\n')[1].removesuffix("\n</gpx>\n")

    joined = read(tmp_path, wrapped(track(points[:100]) + track(points[100:])), 5000)
    assert joined.remarks == ()
    stray = [(lat + 1, lon, ele) for lat, lon, ele in points[:30]]
    assert [r.code for r in read(tmp_path, wrapped(track(points) + track(stray)), 5000).remarks] == [
        "course.several"
    ]


def test_a_route_serves_where_there_is_no_track(tmp_path: Path) -> None:
    route = (
        GOOD.replace("trkpt", "rtept").replace("<trk><trkseg>", "<rte>").replace("</trkseg></trk>", "</rte>")
    )
    assert read(tmp_path, route, 5000).x_m[-1] == 5000


def test_points_recorded_while_standing_still_change_nothing(tmp_path: Path) -> None:
    points = straight(5000, height=hilly)
    assert read(tmp_path, gpx([*points[:50], *[points[50]] * 40, *points[51:]]), 5000) == read(
        tmp_path, GOOD, 5000
    )


def test_typed_points_are_joined_by_straight_lines() -> None:
    profile = profile_of_points([(0, 10), (2000, 50), (5000, 20)], official_m=5000)
    places = dict(zip(profile.x_m, profile.elevation_m, strict=True))
    assert (places[1000], places[2000], places[3500]) == (30, 50, 35)


@pytest.mark.parametrize(
    "points", [[(0, 1)], [(10, 1), (5000, 1)], [(0, 1), (3000, 2), (3000, 3), (5000, 1)]], ids=str
)
def test_typed_points_that_go_back_or_start_late_are_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(BadInput, match="start at 0"):
        profile_of_points(points, official_m=5000)


@given(
    places=st.lists(st.floats(0.001, 0.999), min_size=0, max_size=40, unique=True),
    official=st.floats(3000, 200_000),
)
def test_nodes_of_typed_points_rise_from_0_to_the_official_distance(
    places: list[float], official: float
) -> None:
    inside = sorted({round(place * official, 2) for place in places} - {0.0, official})
    profile = profile_of_points([(x, x / 100) for x in [0.0, *inside, official]], official_m=official)
    assert profile.x_m[0] == 0
    assert profile.x_m[-1] == pytest.approx(official, rel=1e-8)
    assert np.all(np.diff(profile.x_m) > 0)


HEIGHTS = st.lists(st.floats(-20, 20), min_size=3, max_size=80).map(lambda steps: np.cumsum(np.array(steps)))


@given(heights=HEIGHTS)
def test_evening_out_never_adds_climb_nor_moves_the_ends(heights: np.ndarray) -> None:
    calm = without_jitter(heights, HYSTERESIS_M)
    assert np.maximum(0, np.diff(calm)).sum() <= np.maximum(0, np.diff(heights)).sum() + 1e-9
    assert (calm[0], calm[-1]) == (heights[0], heights[-1])
    assert calm.max() <= heights.max() + 1e-9
    assert calm.min() >= heights.min() - 1e-9


@given(rise=st.floats(4, 60), width=st.floats(100, 400))
def test_a_hill_keeps_most_of_its_height(rise: float, width: float) -> None:
    """A hill as wide as four times the smoothing (a 200 m bump) keeps over three quarters of its height."""
    x = np.arange(0, 4000, 10.0)
    peak = np.ptp(smooth(rise * np.exp(-0.5 * np.square((x - 2000) / width))))
    assert 0.75 * rise < peak <= rise
