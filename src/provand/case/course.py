"""The course: places and heights, and the stations on it."""

from __future__ import annotations

from itertools import pairwise
from typing import Self

from pydantic import Field, model_validator

from provand.case.fields import number, several, text
from provand.case.positions import Position
from provand.figure import Range
from provand.finding import Finding
from provand.larder.item import WATER
from provand.record import Record

NEAR_M = 60.0
"""Ours: so near, two places are one. A kilometre is typed with one decimal; a crew stands beside a table."""


class Served(Record):
    """What a station serves, in what cup; 2/3 to 3/4 full unless said (common practice, no source)."""

    item: str = text(
        "id of the item served; an id that no item has is taken as water", default=WATER, longest=40
    )
    cup_ml: float = number("size of the cup", 20, 1000, default=200.0)
    fill_frac: Range = number(
        "how full it is poured", 0.05, 1, default=Range.of(2 / 3, 3 / 4, means="bounds")
    )

    @property
    def poured_ml(self) -> Range:
        return Range.of(self.cup_ml * self.fill_frac.low, self.cup_ml * self.fill_frac.high)


class Station(Record):
    """A place where something is served."""

    name: str = text("name of the station", longest=40)
    at_m: float = number("distance from the start", 0, 1_000_000)
    serves: tuple[Served, ...] = several("what is served")


class Course(Record):
    """Heights by distance, in steps, from 0 to the official distance; and the stations."""

    x_m: tuple[float, ...] = Field(description="distances from the start", min_length=2)
    elevation_m: tuple[float, ...] = Field(description="smoothed height at each distance", min_length=2)
    latitude_deg: float | None = Field(default=None, description="of the start", ge=-90, le=90)
    longitude_deg: float | None = Field(default=None, description="of the start", ge=-180, le=180)
    measured_m: float = number(
        "length as measured along the file, before it was fitted to the official distance", 0, 1_000_000
    )
    read_from: str = text("what it was read from", default="")
    track: tuple[Position, ...] = Field(
        default=(),
        description="where it runs, where a file told it; no figure rests on it",
        exclude_if=lambda track: not track,
    )
    stations: tuple[Station, ...] = several("stations in order")
    remarks: tuple[Finding, ...] = several("what was remarked while the course was read")

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if len(self.x_m) != len(self.elevation_m):
            raise ValueError("a course needs one height for each distance")
        if self.x_m[0] != 0 or any(b <= a for a, b in pairwise(self.x_m)):
            raise ValueError("the distances of a course start at 0 and rise")
        for station in self.stations:
            if station.at_m > self.length_m:
                raise ValueError(
                    f"station {station.name} at {station.at_m:g} m is past the finish at {self.length_m:g} m"
                )
        if any(b.at_m <= a.at_m for a, b in pairwise(self.stations)):
            raise ValueError("the stations must stand in the order of the course, each at a place of its own")
        return self

    @property
    def length_m(self) -> float:
        return self.x_m[-1]

    @property
    def climb_m(self) -> float:
        return sum(max(0.0, b - a) for a, b in pairwise(self.elevation_m))
