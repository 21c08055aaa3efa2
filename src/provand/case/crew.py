"""A crew along the course: where it stands, how it gets there, and what it may hand over."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import Field

from provand.case.course import NEAR_M, Station
from provand.case.fields import number, several, text
from provand.record import Record


class CrewPoint(Record):
    """A place where a crew stands."""

    name: str = text("name of the place", longest=40)
    at_m: float = number("distance from the start", 0, 1_000_000)
    way: str = text("how the crew gets there, and where it may park", default="", longest=120)
    hands: tuple[str, ...] = several("ids of items that may be handed over there")
    allowed: bool | None = Field(
        default=None,
        description="true where the rules of the race allow help there; without it nothing is planned there",
    )
    out_of_reach: bool = Field(default=False, description="true when the crew cannot get there after all")

    @property
    def serves(self) -> tuple[str, ...]:
        """What may be planned there: nothing where help is not known to be allowed, or nobody gets there."""
        return self.hands if self.allowed and not self.out_of_reach else ()


class Crew(Record):
    """A crew along the course."""

    points: tuple[CrewPoint, ...] = several("places where the crew stands")


def place_m(point: CrewPoint, stations: Sequence[Station]) -> float:
    """Return where a crew hands over: at the station beside it, where there is one."""
    beside = [station.at_m for station in stations if abs(station.at_m - point.at_m) < NEAR_M]
    return min(beside, key=lambda at_m: abs(at_m - point.at_m), default=point.at_m)
