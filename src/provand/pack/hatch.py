"""Textures as lines cut to a shape: diagonal for no, upright for gut, level for fluid, dots for liver."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from typing import Literal

from shapely import LineString, MultiLineString, Polygon, contains_xy
from shapely.geometry.base import BaseGeometry

from provand.pack.shapes import Point, Px

Hatch = Literal["diagonal", "plain", "dots", "upright", "level"]
DIAGONAL_PX: Px = 6
UPRIGHT_PX: Px = 4
LEVEL_PX: Px = 4
DOT_PX: Px = 5
SHORTEST_PX: Px = 0.5
SIMPLER_PX: Px = 0.2
"""Douglas and Peucker's tolerance: no point of a line moves farther than this."""

Lines = tuple[tuple[Point, ...], ...]


def simpler(points: list[Point]) -> tuple[Point, ...]:
    """Return a line with the points that no eye would miss left out."""
    if len(points) < 3:
        return tuple(points)
    return tuple((x, y) for x, y in LineString(points).simplify(SIMPLER_PX, preserve_topology=False).coords)


def _pieces(shape: BaseGeometry) -> Iterator[LineString]:
    if isinstance(shape, LineString):
        if not shape.is_empty:
            yield shape
        return
    for part in getattr(shape, "geoms", ()):
        yield from _pieces(part)


def _cut(shape: BaseGeometry, rays: list[tuple[Point, Point]]) -> Lines:
    inside = MultiLineString(rays).intersection(shape)
    lines = [
        tuple((x, y) for x, y in piece.coords) for piece in _pieces(inside) if piece.length > SHORTEST_PX
    ]
    return tuple(sorted(lines))


def _steps(low: Px, high: Px, step: Px) -> list[Px]:
    return [index * step for index in range(math.ceil(low / step), math.floor(high / step) + 1)]


@lru_cache(maxsize=256)
def hatched(kind: Hatch, points: tuple[Point, ...]) -> Lines:
    """Return the lines of a hatch inside a shape, in a fixed order; none for a shape without area.

    Dots are very short lines: drawn with round ends they are round.
    """
    if len(points) < 3:
        return ()
    shape = Polygon(points).buffer(0)
    if kind == "plain" or shape.is_empty:
        return ()
    left, top, right, bottom = shape.bounds
    if kind == "dots":
        grid = [(x, y) for x in _steps(left, right, DOT_PX) for y in _steps(top, bottom, DOT_PX)]
        inside = contains_xy(shape, grid) if grid else ()
        return tuple(((x, y), (x + 0.1, y)) for (x, y), is_in in zip(grid, inside, strict=True) if is_in)
    if kind == "level":
        return _cut(shape, [((left, y), (right, y)) for y in _steps(top, bottom, LEVEL_PX)])
    if kind == "upright":
        return _cut(shape, [((x, top), (x, bottom)) for x in _steps(left, right, UPRIGHT_PX)])
    sums = _steps(left + top, right + bottom, DIAGONAL_PX * math.sqrt(2))
    return _cut(shape, [((c - bottom, bottom), (c - top, top)) for c in sums])
