"""Stations and their cups: which station and which cup an intake means, what is water, what the line pours.

Gate, planner and plan all ask here. `refused` are the ids of items, and of products nobody knows, that the
athlete may not be given.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from provand.case.course import Served, Station
from provand.case.intake import Intake
from provand.larder.item import WATER, Item
from provand.safety.counting import MOUTHFUL_ML, SHARE_OF_CUP

AT_STATION_M = 1.0
"""A place this near to a station is the station."""


def is_at(station: Station, at_m: float) -> bool:
    return abs(station.at_m - at_m) < AT_STATION_M


def station_of(intake: Intake, stations: Sequence[Station]) -> Station | None:
    """Return the station of an intake: by its place, else by its name."""
    here = [] if intake.at_m is None else [station for station in stations if is_at(station, intake.at_m)]
    named = [station for station in stations if station.name == intake.station]
    return next(iter(here or named), None)


def known_waters(station: Station, items: Mapping[str, Item], refused: Collection[str]) -> list[Served]:
    """Return the cups that hold water for certain, and that the athlete may have."""
    return [cup for cup in waters(station, items, refused) if cup.item in items]


def waters(station: Station, items: Mapping[str, Item], refused: Collection[str]) -> list[Served]:
    """Return the cups to plan as water; what nobody describes is one, unless it, or water, is refused."""

    def is_water(item_id: str) -> bool:
        return items[item_id].texture == "water" if item_id in items else WATER not in refused

    return [cup for cup in station.serves if cup.item not in refused and is_water(cup.item)]


def served_as(
    item: Item, station: Station | None, items: Mapping[str, Item], refused: Collection[str]
) -> Served | None:
    """Return the fullest cup in which a station serves an item, or None."""
    if station is None:
        return None
    same = [cup for cup in station.serves if cup.item == item.id]
    water = waters(station, items, refused) if item.texture == "water" else []
    return max(same or water, key=lambda cup: cup.poured_ml.high, default=None)


def line_pours_ml(
    amount: str, station: Station, items: Mapping[str, Item], refused: Collection[str]
) -> float:
    """Return what the drinking line pours at a station: water that is served for certain, else nothing."""
    cups = known_waters(station, items, refused)
    if amount == "none" or not cups:
        return 0.0
    if amount == "mouthful":
        return MOUTHFUL_ML
    return SHARE_OF_CUP[amount] * max(cup.poured_ml.high for cup in cups)
