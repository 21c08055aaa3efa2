"""Files as people have them: TOML, GPX and FIT, damaged ones named for what is wrong with them."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree.ElementTree import ParseError

import defusedxml.ElementTree
import numpy as np
from defusedxml.common import DefusedXmlException

from provand.case.fit import Fix, is_fit, read_fit
from provand.case.profile import Profile, profile_of_track
from provand.finding import BadInput, Finding, find

MAX_TOML_BYTES = 1_000_000
MAX_TRACK_BYTES = 40_000_000
MIN_POINTS = 20
MAX_MISSING_FRAC = 0.05
MAX_SPEED_M_PER_S = 12.0
MAX_GAP_M = 500.0
MAX_OUTLIER_M = 30.0
EARTH_RADIUS_M = 6_371_008.8
"""Mean radius of the Earth (IUGG)."""


def read_bytes(path: Path, *, most: int) -> bytes:
    """Return a file's bytes; BadInput when it is missing, no file, unreadable or larger than `most` bytes."""
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise BadInput(find("file.no_file", path.name))
        if size > most:
            raise BadInput(_too_large(path.name, size, most))
        return path.read_bytes()
    except FileNotFoundError:
        raise BadInput(find("file.missing", path.name)) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput(find("file.unreadable", path.name, reason=reason)) from None


def _too_large(name: str, size: int, most: int) -> Finding:
    return find("file.too_large", name, size=f"{size / 1e6:.1f} MB", most=f"{most / 1e6:g} MB")


def text_in(data: bytes, name: str) -> str:
    """Return the text of UTF-8 bytes, with or without a byte-order mark; BadInput names another encoding."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadInput(find("file.utf16", name))
    if b"\0" in data:
        raise BadInput(find("file.binary", name))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise BadInput(find("file.not_utf8", name, line=line)) from None


def read_toml(path: Path) -> dict[str, Any]:
    """Return the plain data of a TOML file; BadInput gives line and column of what cannot be read."""
    return toml_in(read_bytes(path, most=MAX_TOML_BYTES), path.name)


def toml_in(data: bytes, name: str) -> dict[str, Any]:
    """Return the plain data of a TOML file's bytes; BadInput as `read_toml`."""
    if len(data) > MAX_TOML_BYTES:
        raise BadInput(_too_large(name, len(data), MAX_TOML_BYTES))
    text = text_in(data, name)
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise BadInput(find("file.too_deep", name)) from None
    except ValueError as error:
        words = re.fullmatch(r"(.*?)(?: \(at (.*)\))?", str(error), re.DOTALL)
        problem, where = (words[1], words[2]) if words else (str(error), None)
        raise BadInput(find("file.toml", name, problem=problem, where=where or "a number in it")) from None


class _Track(NamedTuple):
    """The one line of a file: distances along it, raw heights, positions, one a point; what was mended."""

    x_m: np.ndarray[Any, np.dtype[np.float64]]
    heights_m: np.ndarray[Any, np.dtype[np.float64]]
    positions_deg: np.ndarray[Any, np.dtype[np.float64]]
    remarks: tuple[Finding, ...]


@lru_cache(maxsize=4)
def profile_of_file(data: bytes, name: str, *, official_m: float) -> Profile:
    """Return the profile of the track in the bytes of a file, fitted to the official distance in metres.

    Bytes that begin as a FIT file does are read as one, all others as GPX. BadInput for a file that is too
    large, empty, cut, changed on its way, neither of them, a bomb, without track or heights, or too far from
    the official distance; what was mended (jumps, missing heights, several tracks) is remarked.
    """
    track = _track(data, name)
    return profile_of_track(
        track.x_m,
        track.heights_m,
        positions_deg=track.positions_deg,
        official_m=official_m,
        read_from=name,
        remarks=track.remarks,
    )


def measured_of_file(data: bytes, name: str) -> float:
    """Return the length in metres of the track in the bytes of a file; BadInput where it holds none."""
    return float(_track(data, name).x_m[-1])


@lru_cache(maxsize=4)  # a race file that is being typed is read at each entry, and its course with it
def _track(data: bytes, name: str) -> _Track:
    if len(data) > MAX_TRACK_BYTES:
        raise BadInput(_too_large(name, len(data), MAX_TRACK_BYTES))
    if not data:
        raise BadInput(find("file.empty", name))
    stretches = [read_fit(data, name)] if is_fit(data) else _stretches(text_in(data, name), name)
    stretches = _sound(stretches, name)
    fixes, several = _one_line(stretches, name)
    fixes, jumps = _without_jumps(fixes)
    places = _along(fixes)
    gaps = np.diff(places)
    remarks = [
        *several,
        *([find("course.jumps", "course", file=name, count=jumps)] if jumps else ()),
    ]
    if np.any(gaps > MAX_GAP_M):
        count, longest = int(np.sum(gaps > MAX_GAP_M)), f"{gaps.max():.0f} m"
        remarks.append(find("course.gap", "course", file=name, count=count, longest=longest))
    heights, mended = _heights(fixes, places, name)
    if mended:
        remarks.append(find("course.mended", "course", file=name, count=mended))
    moved = np.concatenate([[True], gaps > 0])
    positions_deg = np.array([(fix.latitude_deg, fix.longitude_deg) for fix in fixes])
    return _Track(places[moved], heights[moved], positions_deg[moved], tuple(remarks))


def _stretches(text: str, name: str) -> list[list[Fix]]:
    """Return the points of each non-empty track (of a file with routes alone: of each route)."""
    import gpxpy  # noqa: PLC0415 - only a course file needs it
    import gpxpy.gpx  # noqa: PLC0415

    try:
        defusedxml.ElementTree.fromstring(text, forbid_dtd=True)
        gpx = gpxpy.parse(text)
    except DefusedXmlException:
        raise BadInput(find("file.entities", name)) from None
    except ParseError as error:
        line, column = error.position
        raise BadInput(find("file.cut", name, line=line, column=column)) from None
    except (gpxpy.gpx.GPXException, ValueError, RecursionError) as error:
        raise BadInput(find("file.not_gpx", name, problem=" ".join(str(error).split())[:120])) from None
    lines: list[list[Any]] = [
        [point for segment in track.segments for point in segment.points] for track in gpx.tracks
    ]
    if not any(lines):
        lines = [list(route.points) for route in gpx.routes]
    return [[_fix(point) for point in line] for line in lines if line]


def _sound(found: list[list[Fix]], name: str) -> list[list[Fix]]:
    """Return the lines without points that lie nowhere on Earth; BadInput where there are many of them."""
    sound = [[fix for fix in line if _is_sound(fix)] for line in found]
    lost = sum(map(len, found)) - sum(map(len, sound))
    if lost > MAX_MISSING_FRAC * sum(map(len, found)):
        raise BadInput(find("course.bad_points", name, count=lost))
    return [line for line in sound if line]


def _fix(point: Any) -> Fix:
    height = math.nan if point.elevation is None else float(point.elevation)
    return Fix(float(point.latitude), float(point.longitude), height, point.time)


def _is_sound(fix: Fix) -> bool:
    return -90 <= fix.latitude_deg <= 90 and -180 <= fix.longitude_deg <= 180


def _one_line(stretches: list[list[Fix]], name: str) -> tuple[list[Fix], list[Finding]]:
    """Return the longest line of tracks that follow one another, and a remark where the file holds others."""
    if not stretches:
        raise BadInput(find("course.no_track", name))
    lines: list[list[Fix]] = []
    for stretch in stretches:
        if lines and _distances_m(lines[-1][-1:], stretch[:1])[0] <= MAX_GAP_M:
            lines[-1] = lines[-1] + stretch
        else:
            lines.append(stretch)
    longest = max(lines, key=lambda fixes: float(_along(fixes)[-1]))
    if len(longest) < MIN_POINTS:
        raise BadInput(find("course.few_points", name, count=len(longest), least=MIN_POINTS))
    if len(lines) == 1:
        return longest, []
    return longest, [find("course.several", "course", file=name, count=len(lines))]


def _distances_m(from_fixes: Sequence[Fix], to_fixes: Sequence[Fix]) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return great-circle distances, by the haversine formula."""
    start = np.radians([(fix.latitude_deg, fix.longitude_deg) for fix in from_fixes]).reshape(-1, 2)
    end = np.radians([(fix.latitude_deg, fix.longitude_deg) for fix in to_fixes]).reshape(-1, 2)
    half = np.square(np.sin((end - start) / 2))
    chord = half[:, 0] + np.cos(start[:, 0]) * np.cos(end[:, 0]) * half[:, 1]
    return np.asarray(2 * EARTH_RADIUS_M * np.arcsin(np.sqrt(np.clip(chord, 0, 1))))


def _along(fixes: Sequence[Fix]) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.concatenate([[0.0], np.cumsum(_distances_m(fixes[:-1], fixes[1:]))])


def _without_jumps(fixes: list[Fix]) -> tuple[list[Fix], int]:
    """Return the points without those that no runner reached: left and come back to at impossible speed."""
    steps = _distances_m(fixes[:-1], fixes[1:])
    across = _distances_m(fixes[:-2], fixes[2:])
    kept = [fixes[0]]
    for at in range(1, len(fixes) - 1):
        there, back, over = float(steps[at - 1]), float(steps[at]), float(across[at - 1])
        far = there > MAX_GAP_M and back > MAX_GAP_M
        if min(there, back) > 2 * over and (far or _too_fast(fixes, at, there, back)):
            continue
        kept.append(fixes[at])
    kept.append(fixes[-1])
    return kept, len(fixes) - len(kept)


def _too_fast(fixes: list[Fix], at: int, there_m: float, back_m: float) -> bool:
    times = [fixes[place].time for place in (at - 1, at, at + 1)]
    if any(time is None for time in times):
        return False
    first, middle, last = (time.timestamp() for time in times if time is not None)
    into_s, out_s = max(middle - first, 0.1), max(last - middle, 0.1)
    return there_m / into_s > MAX_SPEED_M_PER_S and back_m / out_s > MAX_SPEED_M_PER_S


def _heights(
    fixes: list[Fix], places: np.ndarray[Any, np.dtype[np.float64]], name: str
) -> tuple[np.ndarray[Any, np.dtype[np.float64]], int]:
    """Return one height a point, missing ones and outliers drawn from their neighbours, and how many."""
    heights = np.array([fix.height_m for fix in fixes])
    known = np.isfinite(heights) & (heights > -450) & (heights < 9000)
    missing = int(np.sum(~known))
    if missing > MAX_MISSING_FRAC * len(heights):
        raise BadInput(find("course.no_heights", name, count=missing, total=len(heights)))
    if np.ptp(heights[known]) == 0:
        raise BadInput(find("course.one_height", name, height=f"{heights[known][0]:g} m"))
    filled = np.interp(places, places[known], heights[known])
    padded = np.pad(filled, 2, mode="edge")
    medians = np.median(np.lib.stride_tricks.sliding_window_view(padded, 5), axis=1)
    outlier = np.abs(filled - medians) > MAX_OUTLIER_M
    return np.where(outlier, medians, filled), missing + int(np.sum(outlier))
