"""Textures as lines cut to a shape: diagonal for no, upright for gut, level for fluid, dots for liver."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from shapely import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.prepared import prep

from provand.pack.shapes import Point, Px

Texture = Literal["plain", "dots", "upright", "level"]
DIAGONAL_PX: Px = 6
UPRIGHT_PX: Px = 4
LEVEL_PX: Px = 4
DOT_PX: Px = 5
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


def _cut(polygon: Polygon, rays: list[tuple[Point, Point]]) -> Lines:
    if polygon.is_empty or not rays:
        return ()
    inside = MultiLineString(rays).intersection(polygon)
    lines = [tuple((x, y) for x, y in piece.coords) for piece in _pieces(inside) if piece.length > 0.5]
    return tuple(sorted(lines))


def _sound(points: tuple[Point, ...]) -> BaseGeometry:
    return Polygon(points).buffer(0)


def _steps(low: Px, high: Px, step: Px) -> list[Px]:
    first, last = math.ceil(low / step), math.floor(high / step)
    return [index * step for index in range(first, last + 1)]


def diagonal(points: tuple[Point, ...]) -> Lines:
    """Return lines at 45 degrees, rising to the right, inside the shape."""
    shape = _sound(points)
    left, top, right, bottom = shape.bounds
    step = DIAGONAL_PX * math.sqrt(2)
    rays = [((c - bottom, bottom), (c - top, top)) for c in _steps(left + top, right + bottom, step)]
    return _cut(shape, rays)


def upright(points: tuple[Point, ...]) -> Lines:
    """Return upright lines inside the shape."""
    shape = _sound(points)
    left, top, right, bottom = shape.bounds
    return _cut(shape, [((x, top), (x, bottom)) for x in _steps(left, right, UPRIGHT_PX)])


def level(points: tuple[Point, ...]) -> Lines:
    """Return level lines inside the shape."""
    shape = _sound(points)
    left, top, right, bottom = shape.bounds
    return _cut(shape, [((left, y), (right, y)) for y in _steps(top, bottom, LEVEL_PX)])


def dots(points: tuple[Point, ...]) -> Lines:
    """Return a grid of very short lines inside the shape: drawn with round ends they are dots."""
    shape = _sound(points)
    if shape.is_empty:
        return ()
    left, top, right, bottom = shape.bounds
    inside = prep(shape)
    grid = [(x, y) for x in _steps(left, right, DOT_PX) for y in _steps(top, bottom, DOT_PX)]
    return tuple(
        ((x, y), (x + 0.1, y)) for x, y in grid if inside.contains(LineString([(x, y), (x + 0.1, y)]))
    )


def texture_of(kind: Texture, points: tuple[Point, ...]) -> Lines:
    """Return the lines of a texture inside the shape; a plain one has none."""
    if kind == "plain" or len(points) < 4:
        return ()
    return {"dots": dots, "upright": upright, "level": level}[kind](points)
