"""Where on Earth a course runs: the points of its file, thinned, each with its distance from the start.

What is kept lies within 5 m of the track that was read, or a little more where the file holds very many
turns, and is rounded to 0.00001 degrees, about a metre. Both are our choice: they find a place to eat.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from pydantic import Field
from shapely import LineString

from provand.case.fields import number
from provand.record import Record, rounded

Array: TypeAlias = NDArray[np.float64]

WITHIN_M = 5.0
MAX_POSITIONS = 900
DECIMALS = 5
METRES_PER_DEG = 111_195.0
"""One degree of a great circle of the sphere that distances are measured on (6,371.0 km)."""


class Position(Record):
    """A point of the course: how far along it, and where."""

    at_m: float = number("distance from the start", 0, 1_000_000)
    latitude_deg: float = Field(ge=-90, le=90, description="latitude, WGS 84")
    longitude_deg: float = Field(ge=-180, le=180, description="longitude, WGS 84")


def thinned(at_m: Array, positions_deg: Array) -> tuple[Position, ...]:
    """Return few points that tell a track, of many: how far along, and latitude and longitude of each."""
    north, east = positions_deg[:, 0], np.unwrap(positions_deg[:, 1], period=360)
    shrink = math.cos(math.radians(float(north[0])))
    numbered = np.column_stack(
        (east * METRES_PER_DEG * shrink, north * METRES_PER_DEG, np.arange(len(at_m), dtype=np.float64))
    )
    within_m, kept = WITHIN_M, numbered
    while True:
        kept = np.asarray(LineString(numbered).simplify(within_m, preserve_topology=False).coords)
        if len(kept) <= MAX_POSITIONS:
            break
        within_m *= 1.5
    return tuple(
        Position(
            at_m=rounded(round(float(at_m[at]), 1)),
            latitude_deg=rounded(round(float(positions_deg[at, 0]), DECIMALS)),
            longitude_deg=rounded(round(float(positions_deg[at, 1]), DECIMALS)),
        )
        for at in kept[:, 2].astype(int)
    )


def position_at(track: Sequence[Position], at_m: float) -> tuple[float, float]:
    """Return latitude and longitude at a distance along a track of two points or more, on straight lines."""
    after = min(max(bisect_left(track, at_m, key=lambda position: position.at_m), 1), len(track) - 1)
    first, last = track[after - 1], track[after]
    length_m = last.at_m - first.at_m
    share = min(max((at_m - first.at_m) / length_m, 0.0), 1.0) if length_m else 1.0
    east_deg = (last.longitude_deg - first.longitude_deg + 180) % 360 - 180
    longitude_deg = (first.longitude_deg + share * east_deg + 180) % 360 - 180
    return first.latitude_deg + share * (last.latitude_deg - first.latitude_deg), longitude_deg
