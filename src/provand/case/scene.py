"""What a change is made in: the case as it stands, the schedule planned for it, and what a change gives."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple

from provand.case.case import Case
from provand.case.course import Station
from provand.case.crew import CrewPoint
from provand.case.intake import Intake
from provand.case.typed import Step
from provand.case.walk import near
from provand.finding import BadInput, find
from provand.larder.item import Item
from provand.larder.shelf import shelf
from provand.record import Record


class Scene(NamedTuple):
    """A case, and the schedule of its plan."""

    case: Case
    schedule: tuple[Intake, ...]

    def item(self, item_id: str, about: str) -> Item:
        """Return an item of the case or of the starter shelf; BadInput names the nearest."""
        known = {item.id: item for item in (*shelf(), *self.case.items)}
        if item_id not in known:
            raise BadInput(find("entry.unknown_item", about, item=item_id, near=near(item_id, known)))
        return known[item_id]

    def station(self, name: str, about: str) -> tuple[int, Station]:
        """Return a station and its number, counted from 1; BadInput names the nearest."""
        for number, station in enumerate(self.case.course.stations, 1):
            if station.name.casefold() == name.strip().casefold():
                return number, station
        names = [station.name for station in self.case.course.stations]
        raise BadInput(find("wishes.no_station", about, name=name, near=near(name, names)))

    def crew_point(self, name: str, about: str) -> tuple[int, CrewPoint]:
        """Return a place of the crew and its number, counted from 1; BadInput names the nearest."""
        points = () if self.case.crew is None else self.case.crew.points
        for number, point in enumerate(points, 1):
            if point.name.casefold() == name.strip().casefold():
                return number, point
        raise BadInput(find("crew.no_point", about, name=name, near=near(name, [one.name for one in points])))


Follows = Literal["as before", "given", "near", "afresh", "not touched"]


class Made(NamedTuple):
    """What a change does: the edits, the sentence in plain words, and how the schedule goes on.

    A schedule goes on `as before`: solved near the old one, or still as given. It is `given` where this
    change lays it by hand, in `given`; solved again `near` the old one; or `afresh`. It is `not touched`
    by what has nothing to do with it.
    """

    steps: tuple[Step, ...]
    sentence: str
    follows: Follows = "as before"
    given: tuple[Intake, ...] = ()


class Changing(Record):
    """A change: it says which edits it makes of a case, and tells them in a sentence."""

    def made(self, scene: Scene) -> Made:
        """Return edits and sentence; BadInput says what cannot be, and what is near."""
        raise NotImplementedError


def called(item: Item) -> str:
    """Return what an item is called where its name alone may mean another: `gel (gel-25)`."""
    return f"{item.name} ({item.id})"


def refuse(code: str, about: str, **facts: str) -> BadInput:
    return BadInput(find(code, about, **facts))


def sentence(parts: Iterable[str]) -> str:
    """Return parts as one sentence, its first letter a capital."""
    text = ", ".join(parts)
    return f"{text[:1].upper()}{text[1:]}."
