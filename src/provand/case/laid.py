"""Changes of the schedule by hand: pin, unpin, move, swap; and solve again around what is pinned.

They leave the schedule as given: the planner judges it and completes the figures. What the person pinned
stays apart in `wishes.pinned`; the whole schedule stands in `wishes.given`.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple

from pydantic import Field

from provand.case.course import NEAR_M
from provand.case.fields import text
from provand.case.intake import Amount, Intake, Source, as_typed
from provand.case.scene import Changing, Made, Scene, called, refuse
from provand.case.typed import Step, add, drop
from provand.case.words import in_words, listed
from provand.larder.item import WATER, Item
from provand.units import read_number

POURED = ("drink", "water")


class Spot(NamedTuple):
    """A place on the course: a station, a crew's, or a distance from the start."""

    at_m: float
    station: str
    serves: tuple[str, ...]
    hands: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        return self.station or f"km {self.at_m / 1000:.1f}"

    def source(self, item_id: str) -> Source:
        """Return where an item comes from there: the station that serves it, a crew, else a pocket."""
        return "station" if item_id in self.serves else "crew" if item_id in self.hands else "pocket"


def spot(scene: Scene, typed: str, about: str) -> Spot:
    """Return the place that is typed: the name of a station or of a crew's place, or a distance.

    BadInput for another.
    """
    crew = [one for one in scene.case.crew_points if one.name.casefold() == typed.strip().casefold()]
    if crew:
        at_m = scene.case.crew_place_m(crew[0])
    elif not any(symbol.isdigit() for symbol in typed):
        _, station = scene.station(typed, about)
        at_m = station.at_m
    else:
        named = [one for one in scene.case.course.stations if one.name.casefold() == typed.strip().casefold()]
        length_m = scene.case.course.length_m
        at_m = named[0].at_m if named else read_number(typed, "m", about, 0, length_m)
    for station in scene.case.course.stations:
        if abs(station.at_m - at_m) < NEAR_M:
            serves = tuple(served.item for served in station.serves)
            return Spot(station.at_m, station.name, serves, scene.case.handed_at(station.at_m))
    for point in scene.case.crew_points:
        if abs(point.at_m - at_m) < NEAR_M:
            return Spot(point.at_m, "", (), point.serves)
    return Spot(at_m, "", ())


class Hand(NamedTuple):
    """A schedule under somebody's hands."""

    scene: Scene

    def item(self, item_id: str) -> Item:
        return self.scene.item(item_id, "wishes.given")

    def taken(self, item_id: str, place: Spot) -> Intake | None:
        """Return the intake of an item at a place, or None."""
        same = [one for one in self.scene.schedule if one.item == item_id and one.at_m is not None]
        near = [one for one in same if abs((one.at_m or 0.0) - place.at_m) < NEAR_M]
        return min(near, key=lambda one: abs((one.at_m or 0.0) - place.at_m), default=None)

    def must_be_taken(self, item_id: str, place: Spot) -> Intake:
        """Return the intake of an item at a place; BadInput tells where it is taken instead."""
        found = self.taken(item_id, place)
        if found is None:
            item = self.item(item_id)
            places = [one.at_m for one in self.scene.schedule if one.item == item_id]
            where = listed([f"km {at_m / 1000:.1f}" for at_m in places if at_m is not None])
            raise refuse(
                "change.not_there", "wishes.given", item=called(item), place=place.words, where=where
            )
        return found

    def lay(self, item: Item, place: Spot, portion_frac: float, amount: Amount | None = None) -> Intake:
        """Return an intake at a place: from the station that serves the item, a crew, else a pocket."""
        source = place.source(item.id)
        served, poured = source == "station", amount not in (None, "whole")
        if (source == "pocket" and item.pocket_ml is None) or (poured and not served):
            names = [one.name for one in self.scene.case.course.stations if item.id in _served(one.serves)]
            raise refuse(
                "change.no_source", "wishes.given", item=called(item), place=place.words, where=listed(names)
            )
        usual: Amount = "cup" if served and item.texture in POURED else "whole"
        return Intake(
            item=item.id,
            at_m=place.at_m,
            portion_frac=portion_frac,
            amount=amount or usual,
            got_from=source,
            station=place.station if served else "",
        )

    def without(self, intake: Intake) -> list[Intake]:
        """Return the schedule without an intake, nor the cup of water that went with it alone."""
        rest = [one for one in self.scene.schedule if one != intake]
        cup = self.water_at(intake.at_m)
        others = [one for one in rest if one.at_m == intake.at_m and self.item(one.item).with_water]
        if cup is not None and self.item(intake.item).with_water and not others:
            rest.remove(cup)
        return rest

    def water_at(self, at_m: float | None) -> Intake | None:
        """Return the cup of water poured at a place, or None."""
        poured = (one for one in self.scene.schedule if one.item == WATER and one.amount != "whole")
        return next((one for one in poured if one.at_m == at_m), None)

    def water_with(self, intake: Intake, place: Spot, like: Intake | None) -> list[Intake]:
        """Return the cup of water that a bite needs, where the station pours it and none is there yet.

        It is as large as the cup in `like`, else as the first one of the schedule; where the schedule holds
        none, none is added: water may be withheld.
        """
        cups = [one for one in self.scene.schedule if one.item == WATER and one.amount != "whole"]
        model = like or next(iter(cups), None)
        needs = self.item(intake.item).with_water and WATER in place.serves
        if not needs or model is None or self.water_at(place.at_m) is not None:
            return []
        return [self.lay(self.item(WATER), place, model.portion_frac, model.amount)]


def _served(serves: Iterable[object]) -> list[str]:
    return [str(getattr(one, "item", "")) for one in serves]


def _in_order(schedule: Iterable[Intake]) -> tuple[Intake, ...]:
    return tuple(sorted(schedule, key=lambda one: one.at_m or 0.0))


def _unpinned(scene: Scene, intake: Intake) -> list[Step]:
    """Return the steps that take an intake out of the pinned ones, the last first."""
    same = [at for at, one in enumerate(scene.case.wishes.pinned, 1) if _is_same(one, intake)]
    return [drop(f"wishes.pinned[{at}]") for at in reversed(same)]


def _is_same(one: Intake, other: Intake) -> bool:
    return one.item == other.item and one.at_m is not None and one.at_m == other.at_m


class Pin(Changing):
    """An intake that stays where it is, whatever else changes; one that is not planned yet is added."""

    kind: Literal["pin"] = "pin"
    item: str = text("id of the item", longest=40)
    at: str = text("place: a station, or a distance as 9.8 km")
    amount: Amount | None = Field(default=None, description="of a cup: cup, half, mouthful")
    portion: str = text("how many packs, or which part of one, as 0.5", default="")

    def made(self, scene: Scene) -> Made:
        hand, place = Hand(scene), spot(scene, self.at, "wishes.pinned")
        item = scene.item(self.item, "wishes.pinned")
        portion_frac = 1.0
        if self.portion.strip():
            portion_frac = read_number(self.portion, "frac", "wishes.pinned.portion", 0.05, 20)
        found = hand.taken(item.id, place)
        asked = self.amount is not None or bool(self.portion.strip())
        if found is not None and not asked:
            pinned, given = found, list(scene.schedule)
            said = f"{called(item)} stays at {place.words}."
        else:
            pinned = hand.lay(item, place, portion_frac, self.amount)
            rest = [one for one in scene.schedule if one != found]
            given = [*rest, pinned, *hand.water_with(pinned, place, None)]
            said = f"{called(item)} is taken at {place.words}, and stays there."
        if any(_is_same(one, pinned) for one in scene.case.wishes.pinned) and not asked:
            raise refuse("change.already", "wishes.pinned", what=f"{called(item)} is pinned there")
        steps = (*_unpinned(scene, pinned), add("wishes.pinned", as_typed(pinned)))
        return Made(steps, said, "given", _in_order(given))


class Unpin(Changing):
    """An intake that need not stay any more; it is where it was until the schedule is solved again."""

    kind: Literal["unpin"] = "unpin"
    item: str = text("id of the item", longest=40)
    at: str = text("place, where several of the item are pinned", default="")

    def made(self, scene: Scene) -> Made:
        pinned = scene.case.wishes.pinned
        place = spot(scene, self.at, "wishes.pinned") if self.at.strip() else None
        same = [
            number
            for number, one in enumerate(pinned, 1)
            if one.item == self.item
            and (place is None or (one.at_m is not None and abs(one.at_m - place.at_m) < NEAR_M))
        ]
        if len(same) != 1:
            known = listed([f"{one.item} at {_moment(one)}" for one in pinned])
            raise refuse("change.not_one_pin", "wishes.pinned", item=self.item, known=known)
        one = pinned[same[0] - 1]
        said = f"{called(scene.item(self.item, 'wishes.pinned'))} at {_moment(one)} need not stay any more."
        return Made((drop(f"wishes.pinned[{same[0]}]"),), said, "given", scene.schedule)


def _moment(intake: Intake) -> str:
    if intake.at_m is not None:
        return intake.station or f"km {intake.at_m / 1000:.1f}"
    if intake.at_elapsed_s is not None:
        return in_words(intake.at_elapsed_s, "at_elapsed_s")
    return f"{intake.at_clock:%H:%M}"


class Move(Changing):
    """An intake taken at another place; a pinned one stays pinned there."""

    kind: Literal["move"] = "move"
    item: str = text("id of the item", longest=40)
    at: str = text("place where it is now")
    to: str = text("place where it goes")

    def made(self, scene: Scene) -> Made:
        hand = Hand(scene)
        item = scene.item(self.item, "wishes.given")
        place, goal = spot(scene, self.at, "wishes.given"), spot(scene, self.to, "wishes.given")
        old = hand.must_be_taken(item.id, place)
        if hand.taken(item.id, goal) not in (None, old):
            raise refuse("change.already", "wishes.given", what=f"{called(item)} is taken at {goal.words}")
        poured = None if old.amount == "whole" else old.amount
        new = hand.lay(item, goal, old.portion_frac, poured or ("whole" if item.texture in POURED else None))
        given = [*hand.without(old), new, *hand.water_with(new, goal, hand.water_at(old.at_m))]
        steps = _unpinned(scene, old)
        if steps:
            steps.append(add("wishes.pinned", as_typed(new)))
        said = f"{called(item)} moves from {place.words} to {goal.words}."
        return Made(tuple(steps), said, "given", _in_order(given))


class Swap(Changing):
    """Another item in the place of one."""

    kind: Literal["swap"] = "swap"
    item: str = text("id of the item", longest=40)
    at: str = text("place where it is")
    other: str = text("id of the item in its place", longest=40)

    def made(self, scene: Scene) -> Made:
        hand, place = Hand(scene), spot(scene, self.at, "wishes.given")
        item, other = (scene.item(one, "wishes.given") for one in (self.item, self.other))
        old = hand.must_be_taken(item.id, place)
        if hand.taken(other.id, place) is not None:
            raise refuse("change.already", "wishes.given", what=f"{called(other)} is taken at {place.words}")
        new = hand.lay(other, place._replace(at_m=old.at_m or 0.0), 1.0)
        kept = hand.without(old) if not other.with_water else [o for o in scene.schedule if o != old]
        given = [*kept, new, *hand.water_with(new, place, None)]
        steps = _unpinned(scene, old)
        if steps:
            steps.append(add("wishes.pinned", as_typed(new)))
        said = f"{called(other)} takes the place of {called(item)} at {place.words}."
        return Made(tuple(steps), said, "given", _in_order(given))


class Solve(Changing):
    """The schedule solved again around what is pinned, near the one that stands, or afresh."""

    kind: Literal["solve"] = "solve"
    afresh: bool = Field(default=False, description="true to forget the schedule that stands")

    def made(self, scene: Scene) -> Made:
        pins = len(scene.case.wishes.pinned)
        around = {0: "", 1: " around the pinned intake"}.get(pins, f" around {pins} pinned intakes")
        how = "afresh" if self.afresh else "near the one that stands"
        return Made((), f"The schedule is solved again{around}, {how}.", "afresh" if self.afresh else "near")
