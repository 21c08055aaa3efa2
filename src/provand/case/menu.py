"""What is wished of the menu before the race, and what is laid on it: foods in household portions.

The menu is computed apart (it takes a solver some seconds) and kept in the case as `laid`; a plan adds up
and checks what is laid. A meal is called by its day and its name.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, time
from typing import Literal, NamedTuple, Self

from pydantic import Field, model_validator

from provand.case.fields import number, several, text
from provand.larder.food import Food, Kitchen
from provand.record import Record

MealName = Literal[
    "breakfast", "morning snack", "lunch", "afternoon snack", "dinner", "evening snack", "race meal", "top-up"
]
"""The meals of a day, each at most once; the last two come before the start, at times of their own."""


class MealTime(Record):
    """When and where a meal is eaten: every day, or on one day in place of what holds for every day."""

    meal: MealName = Field(description="which meal")
    at: time = Field(description="clock time of that day, as 7:30")
    on: date | None = Field(
        default=None, description="that day alone; a day that is named has only its own meals"
    )
    kitchen: Kitchen | None = Field(
        default=None, description="what is at hand, where other than menu.kitchen"
    )


class InHouse(Record):
    """Food that is in the house already and should be eaten first."""

    food: str = text("id of the food", longest=60)
    amount_g: float = number("how much of it, as bought", 1, 20_000)


class LaidFood(Record):
    """A food on a meal: how many household portions of it."""

    on: date = Field(description="the day of the meal")
    meal: MealName = Field(description="which meal")
    food: str = text("id of the food", longest=60)
    portions_count: float = number("how many household portions", 0.25, 20)
    pinned: bool = Field(default=False, description="true when it stays, whatever else changes")

    @property
    def slot(self) -> str:
        return slot_id(self.on, self.meal)


def slot_id(on: date, meal: str) -> str:
    """Return how a meal is called everywhere: `2026-12-05 lunch`."""
    return f"{on.isoformat()} {meal}"


def _is_empty(listed: tuple[Food, ...]) -> bool:
    return not listed


class MenuWishes(Record):
    """The menu of the last days: when and where one eats, likes, what is in the house, what is laid."""

    blocks: int = Field(default=2, ge=1, le=3, description="how many 24 hours before the start, 1 to 3")
    meals: tuple[MealTime, ...] = several("meals with their times; five a day when left out")
    kitchen: Kitchen = Field(
        default="full",
        description="what is at hand: full, kettle, none, petrol station or hotel breakfast",
    )
    style: Literal["vary", "repeat"] = Field(
        default="vary", description="vary, or repeat: the same meals each day"
    )
    liked: tuple[str, ...] = several("ids of foods the athlete likes best")
    disliked: tuple[str, ...] = several("ids of foods to keep off the menu where that is possible")
    refused: tuple[str, ...] = several("ids of foods the athlete will not eat")
    in_house: tuple[InHouse, ...] = several("foods in the house already")
    laid: tuple[LaidFood, ...] = several("the menu as it is laid: foods in household portions")
    own_foods: tuple[Food, ...] = Field(
        default=(),
        description="name of a file of labels and recipes beside the case: foods of one's own for this menu",
        exclude_if=_is_empty,
    )

    @model_validator(mode="after")
    def _once(self) -> Self:
        doubled = sorted({one for one in _places(self.laid) if list(_places(self.laid)).count(one) > 1})
        if doubled:
            raise ValueError(f"a food stands twice on one meal: {', '.join(doubled)}")
        named = [f"{one.on or 'every day'} {one.meal}" for one in self.meals]
        twice = sorted({one for one in named if named.count(one) > 1})
        if twice:
            raise ValueError(f"a meal stands twice: {', '.join(twice)}")
        return self

    def foods_named(self) -> Iterator[tuple[str, str]]:
        """Yield each food that is named, with the place it is typed at."""
        for kind in ("liked", "disliked", "refused"):
            for at, food in enumerate(getattr(self, kind), 1):
                yield f"menu.{kind}[{at}]", food
        for at, held in enumerate(self.in_house, 1):
            yield f"menu.in_house[{at}].food", held.food
        for at, one in enumerate(self.laid, 1):
            yield f"menu.laid[{at}].food", one.food


def _places(laid: tuple[LaidFood, ...]) -> Iterator[str]:
    for one in laid:
        yield f"{one.food} on {one.slot}"


class UsualMeal(NamedTuple):
    """A meal at the time most people eat it, where nothing else is typed."""

    meal: MealName
    at: time


USUAL_MEALS = (
    UsualMeal("breakfast", time(8)),
    UsualMeal("morning snack", time(10, 30)),
    UsualMeal("lunch", time(13)),
    UsualMeal("afternoon snack", time(16)),
    UsualMeal("dinner", time(19)),
)
"""Five meals a day, spread from the morning: ours, to be changed by whoever eats."""
