"""The meals between the first hour of the load and the start: which, when, where, in which 24 hours."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

from provand.case.case import Forbidden, Race
from provand.case.menu import USUAL_MEALS, MealName, MenuWishes, slot_id
from provand.larder.food import Kitchen, MealKind
from provand.protocol.loading import Block
from provand.protocol.morning import Meal
from provand.protocol.rules import value

KINDS: dict[MealName, MealKind] = {
    "breakfast": "breakfast",
    "morning snack": "snack",
    "lunch": "lunch",
    "afternoon snack": "snack",
    "dinner": "dinner",
    "evening snack": "snack",
    "top-up": "snack",
}
"""What a meal is like: which foods stand on it, and how much of a day it may be."""


class Slot(NamedTuple):
    """A meal: its day and name, what it is like, when and where it is eaten, in which block of hours."""

    on: date
    meal: MealName
    kind: MealKind
    at: datetime
    block: int
    kitchen: Kitchen

    @property
    def id(self) -> str:
        return slot_id(self.on, self.meal)

    @property
    def is_before_race(self) -> bool:
        return self.meal in ("race meal", "top-up")


def slots(
    menu: MenuWishes, race: Race, blocks: Sequence[Block], race_meals: Sequence[Meal]
) -> tuple[Slot, ...]:
    """Return the meals of these blocks in order, those before the race among them.

    Every day has the meals typed for it, else those typed for every day, else five at usual times. A meal in
    a window in which nothing is eaten is left out, and so is one that comes just before the meal of the race.
    """
    zone = ZoneInfo(race.zone)
    first, start = blocks[0].start.astimezone(zone), blocks[-1].end.astimezone(zone)
    before = list(_before_race(menu, race_meals, zone))
    last = min((slot.at for slot in before), default=start) - timedelta(hours=value("menu.clear").mid)
    daily = [slot for on in _days(first, start) for slot in _daily(menu, on, zone)]
    inside = [slot for slot in daily if first <= slot.at <= last]
    eaten = sorted((*inside, *before), key=lambda slot: slot.at)
    return tuple(
        slot._replace(block=_block(slot.at, blocks)) for slot in eaten if not _is_in(slot.at, race.forbidden)
    )


def _days(first: datetime, last: datetime) -> Iterator[date]:
    for number in range((last.date() - first.date()).days + 1):
        yield first.date() + timedelta(days=number)


def _daily(menu: MenuWishes, on: date, zone: ZoneInfo) -> Iterator[Slot]:
    own = [one for one in menu.meals if one.on == on]
    every = [one for one in menu.meals if one.on is None]
    for meal in own or every or USUAL_MEALS:
        kitchen = getattr(meal, "kitchen", None) or menu.kitchen
        at = datetime.combine(on, meal.at, zone)
        yield Slot(on, meal.meal, KINDS[meal.meal], at, 0, kitchen)


def _before_race(menu: MenuWishes, meals: Iterable[Meal], zone: ZoneInfo) -> Iterator[Slot]:
    for number, meal in enumerate(meals):
        at = meal.at.astimezone(zone)
        name: MealName = "top-up" if number else "race meal"
        eaten: MealKind = "breakfast" if at.hour < value("menu.breakfast_until").mid else "lunch"
        yield Slot(at.date(), name, KINDS.get(name, eaten), at, 0, menu.kitchen)


def _block(at: datetime, blocks: Sequence[Block]) -> int:
    return max(number for number, block in enumerate(blocks) if block.start <= at)


def _is_in(at: datetime, windows: Iterable[Forbidden]) -> bool:
    return any(window.start <= at <= window.end for window in windows)
