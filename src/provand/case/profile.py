"""The profile of a course: heights by distance, cleaned of noise and fitted to the official distance.

Heights along a track are resampled every 10 m and smoothed by a Gaussian of 50 m, about what a runner's
effort answers to; then every rise or fall under 3 m between turning points is taken for noise and evened
out (hysteresis), so that jitter adds no climb. All three lengths are our estimate. A grade too steep to be a
road or path is met with more smoothing, never with clipping.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from provand.case.positions import Position, thinned
from provand.finding import BadInput, Finding, find
from provand.record import rounded

Array: TypeAlias = NDArray[np.float64]

SPACING_M = 10.0
NODE_M = 100.0
MAX_NODES = 900
SMOOTHING_M = 50.0
MAX_SMOOTHING_M = 300.0
HYSTERESIS_M = 3.0
MAX_GRADE_FRAC = 0.45
FIT_FRAC = 0.03
"""The official distance and the measured one may differ by this much; a track is then scaled."""


class Profile(NamedTuple):
    """A course as read: what `Course` needs of it, and what was remarked."""

    x_m: tuple[float, ...]
    elevation_m: tuple[float, ...]
    measured_m: float
    latitude_deg: float | None
    longitude_deg: float | None
    read_from: str
    remarks: tuple[Finding, ...]
    track: tuple[Position, ...] = ()


def _smoothed(values: Array, width: float) -> Array:
    """Return values under a Gaussian whose standard deviation is `width` samples.

    Past either end the values go on along the straight line that fits the last stretch of them.
    """
    reach = int(4 * width) + 1
    kernel = np.exp(-0.5 * np.square(np.arange(-reach, reach + 1) / width))
    padded = np.concatenate(
        [_continued(values[::-1], reach, width)[::-1], values, _continued(values, reach, width)]
    )
    return np.convolve(padded, kernel / kernel.sum(), mode="valid")


def _continued(values: Array, count: int, width: float) -> Array:
    """Return `count` more values along the line that fits the last few."""
    last = values[-max(3, int(3 * width)) :]
    slope, start = np.polyfit(np.arange(len(last)), last, 1)
    return np.asarray(start + slope * np.arange(len(last), len(last) + count))


def _turning_points(heights: Array, step_m: float) -> list[int]:
    """Return the places, both ends among them, between which the height truly rises or falls by `step_m`."""
    turns = [0]
    low = high = 0
    rising: bool | None = None
    for place, height in enumerate(heights):
        high = place if height > heights[high] else high
        low = place if height < heights[low] else low
        if rising is not False and heights[high] - height >= step_m:
            turns.append(high)
            rising, low = False, place
            high = place
        elif rising is not True and height - heights[low] >= step_m:
            turns.append(low)
            rising, high = True, place
            low = place
    turns.append(len(heights) - 1)
    return sorted(set(turns))


def _even(heights: Array) -> Array:
    """Return a stretch made to run one way only: the mean of its two monotone envelopes."""
    sign = 1.0 if heights[-1] >= heights[0] else -1.0
    up = np.clip(sign * heights, sign * heights[0], sign * heights[-1])
    from_below = np.maximum.accumulate(up)
    from_above = np.minimum.accumulate(up[::-1])[::-1]
    return sign * (from_below + from_above) / 2


def without_jitter(heights: Array, step_m: float) -> Array:
    """Return heights whose rises and falls under `step_m` are evened out."""
    evened = heights.copy()
    turns = _turning_points(heights, step_m)
    for first, last in pairwise(turns):
        evened[first : last + 1] = _even(heights[first : last + 1])
    return evened


def smooth(heights: Array) -> Array:
    """Return heights, one every 10 m, without noise; smoothed further until no grade is too steep to run.

    BadInput when even 300 m of smoothing leaves such a grade.
    """
    width_m = SMOOTHING_M
    while width_m <= MAX_SMOOTHING_M:
        calm = without_jitter(_smoothed(heights, width_m / SPACING_M), HYSTERESIS_M)
        if np.max(np.abs(np.diff(calm)), initial=0.0) <= MAX_GRADE_FRAC * SPACING_M:
            return calm
        width_m *= 1.5
    raise BadInput(find("course.steep", "course", limit=f"{MAX_GRADE_FRAC:.0%}"))


def _nodes(length_m: float) -> Array:
    steps = min(MAX_NODES, max(1, round(length_m / NODE_M)))
    return np.linspace(0.0, length_m, steps + 1)


def fitted(measured_m: float, official_m: float, read_from: str) -> tuple[Finding, ...]:
    """Return what to say about two lengths of one course; BadInput when they are too far apart to scale."""
    lengths = {
        "measured": f"{measured_m / 1000:.2f} km",
        "official": f"{official_m / 1000:g} km",
        "file": read_from,
    }
    lengths["apart"] = f"{abs(measured_m - official_m) / 1000:.2f} km"
    if abs(measured_m - official_m) > FIT_FRAC * official_m:
        raise BadInput(
            find("course.short" if measured_m < official_m else "course.long", "course", **lengths)
        )
    return (find("course.scaled", "course", **lengths),) if abs(measured_m - official_m) >= 1 else ()


def profile_of_track(
    x_m: Array,
    heights_m: Array,
    *,
    positions_deg: Array,
    official_m: float,
    read_from: str,
    remarks: tuple[Finding, ...],
) -> Profile:
    """Return the profile of a track: distances along it, raw heights and positions, one a point.

    `positions_deg` are pairs of latitude and longitude.
    """
    measured_m = float(x_m[-1])
    remarks += fitted(measured_m, official_m, read_from)
    scaled = x_m * (official_m / measured_m)
    grid = np.linspace(0.0, official_m, max(2, round(official_m / SPACING_M)) + 1)
    calm = smooth(np.interp(grid, scaled, heights_m))
    nodes = _nodes(official_m)
    return Profile(
        x_m=tuple(rounded(float(place)) for place in nodes),
        elevation_m=tuple(rounded(round(float(height), 2)) for height in np.interp(nodes, grid, calm)),
        measured_m=rounded(round(measured_m, 1)),
        latitude_deg=rounded(float(positions_deg[0, 0])),
        longitude_deg=rounded(float(positions_deg[0, 1])),
        read_from=read_from,
        remarks=remarks,
        track=thinned(scaled, positions_deg),
    )


def profile_of_points(points_m: list[tuple[float, float]], *, official_m: float) -> Profile:
    """Return the profile of typed points, (distance, height) in metres, with straight lines between."""
    places = np.array([place for place, _ in points_m])
    if len(points_m) < 2 or places[0] != 0 or np.any(np.diff(places) <= 0):
        raise BadInput(find("course.points", "course.points"))
    remarks = fitted(float(places[-1]), official_m, "the table of points")
    scaled = places * (official_m / places[-1])
    nodes = np.unique(np.concatenate([_nodes(official_m), scaled]))
    keep = np.concatenate([[True], np.diff(nodes) > 1.0])
    keep[-1] = True
    if len(keep) > 2 and nodes[-1] - nodes[-2] <= 1.0:
        keep[-2] = False
    nodes = nodes[keep]
    heights = np.interp(nodes, scaled, [height for _, height in points_m])
    return Profile(
        x_m=tuple(rounded(float(place)) for place in nodes),
        elevation_m=tuple(rounded(round(float(height), 2)) for height in heights),
        measured_m=rounded(float(places[-1])),
        latitude_deg=None,
        longitude_deg=None,
        read_from="typed points",
        remarks=remarks,
    )
