"""Make the track of the demo's warm, hilly half marathon: a loop that no race follows, noise and all.

    python tools/demo_course.py src/provand/demo/warm-hills/course.gpx

The true profile runs through `KNOTS`; the recorded one wanders about it as a receiver's does: slowly in
height (a barometer's drift), quickly by a little more, and sideways by metres. The same bytes each time.
"""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

LENGTH_M = 21_097.5
KNOTS_KM = (0, 2.2, 4.6, 6.1, 8.4, 10.2, 12.0, 14.3, 16.2, 18.4, 20.0, 21.0975)
KNOTS_M = (180, 171, 214, 196, 252, 231, 268, 205, 226, 176, 191, 180)
SPACING_M = 15.0
START_DEG = (-33.62, 19.28)
SEED = 1203

Array = NDArray[np.floating[Any]]


def true_heights_m(x_m: Array) -> Array:
    """Return the true height at each distance."""
    return np.asarray(PchipInterpolator(KNOTS_KM, KNOTS_M)(x_m / 1000))


def true_climb_m() -> float:
    """Return the true climb: between its knots the profile runs one way."""
    return float(sum(max(0, b - a) for a, b in pairwise(KNOTS_M)))


def drifting(rng: np.random.Generator, count: int, *, spread_m: float, memory: float) -> Array:
    """Return noise that remembers: each value keeps `memory` of the one before."""
    steps = rng.normal(0, spread_m * np.sqrt(1 - memory * memory), count)
    values = np.zeros(count)
    for place in range(1, count):
        values[place] = memory * values[place - 1] + steps[place]
    return values


def loop_deg(x_m: Array) -> tuple[Array, Array]:
    """Return latitude and longitude along a wavy ring that is `LENGTH_M` round."""
    fine = np.linspace(0, 2 * np.pi, 20_001)
    radius = 1 + 0.22 * np.sin(3 * fine + 0.4) + 0.07 * np.sin(11 * fine)
    east, north = radius * np.cos(fine), radius * np.sin(fine)
    along = np.concatenate([[0], np.cumsum(np.hypot(np.diff(east), np.diff(north)))])
    scale = LENGTH_M / along[-1]
    east_m = np.interp(x_m, along * scale, (east - east[0]) * scale)
    north_m = np.interp(x_m, along * scale, (north - north[0]) * scale)
    degree_m = np.pi / 180 * 6_371_008.8
    latitude, longitude = START_DEG
    return latitude + north_m / degree_m, longitude + east_m / (degree_m * np.cos(np.radians(latitude)))


def track(seed: int = SEED) -> str:
    """Return the track as GPX."""
    rng = np.random.default_rng(seed)
    x_m = np.append(np.arange(0, LENGTH_M, SPACING_M), LENGTH_M)
    count = len(x_m)
    latitude, longitude = loop_deg(x_m)
    sideways = [drifting(rng, count, spread_m=2.5, memory=0.97) / 111_195 for _ in range(2)]
    height = true_heights_m(x_m) + drifting(rng, count, spread_m=1.5, memory=0.99) + rng.normal(0, 0.5, count)
    rows = [
        f'<trkpt lat="{lat:.6f}" lon="{lon:.6f}"><ele>{ele:.1f}</ele></trkpt>'
        for lat, lon, ele in zip(latitude + sideways[0], longitude + sideways[1], height, strict=True)
    ]
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="an invented course"'
    head += ' xmlns="http://www.topografix.com/GPX/1/1">\n<trk><name>Invented Orchard Half</name><trkseg>\n'
    return head + "\n".join(rows) + "\n</trkseg></trk>\n</gpx>\n"


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(track(), "utf-8")
