"""FIT files: written by another library, read as the same track that a GPX gives; damaged ones are named."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.profile_type import FileType, Manufacturer

from provand.case.files import profile_of_file
from provand.case.fit import is_fit, read_fit
from provand.case.profile import Profile
from provand.finding import BadInput

M_PER_DEG = 111_195.08
"""Length of one degree along a meridian of a sphere of 6,371,008.8 m."""
START_MS = 1_790_000_000_000


def height_m(x_m: float) -> float:
    return float(round(100 + 40 * np.sin(x_m / 800), 1))


def records(length_m: float, *, step_m: float = 25.0) -> list[RecordMessage]:
    made = []
    for at, x_m in enumerate(np.arange(0, length_m + 1e-6, step_m)):
        record = RecordMessage()
        record.timestamp = START_MS + at * 8000
        record.position_lat = 47.0 + x_m / M_PER_DEG
        record.position_long = 8.0
        record.altitude = height_m(x_m)
        made.append(record)
    return made


def fit(messages: list[Any]) -> bytes:
    head = FileIdMessage()
    head.type, head.manufacturer, head.product = FileType.ACTIVITY, Manufacturer.DEVELOPMENT.value, 1
    head.time_created = START_MS
    builder = FitFileBuilder(auto_define=True)
    builder.add(head)
    builder.add_all(messages)
    return bytes(builder.build().to_bytes())


GOOD = fit(records(5000))


def read(data: bytes, official_m: float = 5000.0) -> Profile:
    return profile_of_file(data, "course.fit", official_m=official_m)


def refused(data: bytes) -> str:
    with pytest.raises(BadInput) as caught:
        read(data)
    return str(caught.value)


def test_a_fit_file_gives_length_place_and_heights() -> None:
    profile = read(GOOD)
    assert profile.measured_m == pytest.approx(5000, abs=1)  # positions are kept to about a centimetre
    assert (profile.latitude_deg, profile.longitude_deg) == (pytest.approx(47.0), pytest.approx(8.0))
    middle = np.interp(2500, profile.x_m, profile.elevation_m)
    assert middle == pytest.approx(height_m(2500), abs=1.5)  # smoothing rounds the tops
    assert profile.read_from == "course.fit"
    assert not profile.remarks


def test_a_fit_and_a_gpx_of_one_track_give_one_profile() -> None:
    points = "".join(
        f'<trkpt lat="{r.position_lat:.9f}" lon="{r.position_long:.9f}"><ele>{r.altitude:.1f}</ele></trkpt>'
        for r in records(5000)
    )
    gpx = (
        '<?xml version="1.0"?><gpx version="1.1" creator="a test" xmlns="http://www.topografix.com/GPX/1/1">'
        f"<trk><trkseg>{points}</trkseg></trk></gpx>"
    )
    other = profile_of_file(gpx.encode(), "course.gpx", official_m=5000)
    assert read(GOOD).x_m == other.x_m
    assert read(GOOD).elevation_m == pytest.approx(other.elevation_m, abs=0.2)  # FIT keeps heights to 0.2 m


def test_records_without_a_position_are_passed_over() -> None:
    indoors = RecordMessage()
    indoors.timestamp = START_MS - 8000
    assert read(fit([indoors, *records(5000)])).x_m == read(GOOD).x_m


@pytest.mark.parametrize("kept", [20, 400, len(GOOD) - 1])
def test_a_fit_that_breaks_off_is_named(kept: int) -> None:
    assert refused(GOOD[:kept]).startswith("course.fit: the file breaks off before its end.")


def test_a_fit_that_was_changed_is_named() -> None:
    middle = len(GOOD) // 2
    changed = GOOD[:middle] + bytes([GOOD[middle] ^ 1]) + GOOD[middle + 1 :]
    assert refused(changed).startswith("course.fit: the file's checksum does not fit what it holds")


def test_an_empty_file_is_named() -> None:
    assert refused(b"").startswith("course.fit: the file is empty.")


def test_a_fit_without_a_position_has_no_track() -> None:
    assert refused(fit([])).startswith("course.fit: the file holds no track and no route.")


def test_a_fit_without_heights_is_named() -> None:
    flat = records(5000)
    for record in flat:
        record.altitude = None
    assert "have no height" in refused(fit(flat))


def test_only_the_sign_of_a_fit_makes_one() -> None:
    assert is_fit(GOOD)
    assert not is_fit(b"\x0e" + b"<gpx></gpx>")
    assert not is_fit(b"")


def test_times_are_read_as_moments() -> None:
    assert read_fit(GOOD, "course.fit")[0].time == datetime.fromtimestamp(START_MS / 1000, UTC)
