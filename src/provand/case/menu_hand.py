"""Changes of the menu by hand: a menu laid as a whole, more or less of a food, another food, one that stays.

They leave the schedule of the race as it is.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any, Literal

from pydantic import Field

from provand.case.fields import text
from provand.case.menu import LaidFood, MealName, MenuWishes
from provand.case.scene import Changing, Made, Scene
from provand.case.typed import Step, put
from provand.case.walk import near
from provand.finding import BadInput, find
from provand.larder.food import Food, Larder
from provand.units import read_number

LAID = "menu.laid"


def food_named(larder: Larder, food_id: str, about: str) -> Food:
    """Return a food by its id; BadInput names the nearest."""
    found = larder.food_of(food_id)
    if found is None:
        known = [food.id for food in larder.foods]
        raise BadInput(find("menu.unknown_food", about, food=food_id, near=near(food_id, known)))
    return found


def as_row(one: LaidFood) -> dict[str, Any]:
    """Return a food of a meal as it is typed in a case file."""
    row: dict[str, Any] = {"on": one.on, "meal": one.meal, "food": one.food, "portions": one.portions_count}
    return row | ({"pinned": True} if one.pinned else {})


def _laid(rows: Iterable[LaidFood]) -> Step:
    return put(LAID, [as_row(one) for one in rows])


def _menu(scene: Scene) -> MenuWishes:
    return scene.case.menu or MenuWishes()


class OnMeal(Changing):
    """A change of one food of one meal."""

    on: date = Field(description="the day of the meal")
    meal: MealName = Field(description="which meal")
    food: str = text("id of the food", longest=60)

    def standing(self, scene: Scene) -> LaidFood | None:
        """Return the food as it stands on the meal, or None."""
        same = (one for one in _menu(scene).laid if (one.on, one.meal, one.food) == self._place())
        return next(same, None)

    def must_stand(self, scene: Scene) -> LaidFood:
        """Return the food as it stands; BadInput names what stands on that meal instead."""
        found = self.standing(scene)
        if found is None:
            there = [one.food for one in _menu(scene).laid if (one.on, one.meal) == (self.on, self.meal)]
            told = ", ".join(there) or "nothing"
            raise BadInput(find("menu.not_there", LAID, food=self.food, meal=self.called, there=told))
        return found

    def _place(self) -> tuple[date, str, str]:
        return self.on, self.meal, self.food

    @property
    def called(self) -> str:
        return f"{self.meal} of {self.on.day} {self.on:%B}"


class LayMenu(Changing):
    """A whole menu, in place of the one that was laid."""

    kind: Literal["lay menu"] = "lay menu"
    laid: tuple[LaidFood, ...] = Field(description="the foods of the meals")

    def made(self, scene: Scene) -> Made:
        meals = len({one.slot for one in self.laid})
        said = f"A menu of {meals} meals is laid." if self.laid else "No menu is laid any more."
        return Made((_laid(self.laid),), said, "not touched")


class Portions(OnMeal):
    """So many household portions of a food on a meal; 0 takes it off."""

    kind: Literal["portions"] = "portions"
    portions: str = text("how many household portions, as 1.5; 0 takes the food off")

    def made(self, scene: Scene) -> Made:
        food, found = food_named(scene.case.larder, self.food, LAID), self.standing(scene)
        count = read_number(self.portions, "count", f"{LAID}.portions", 0, 20)
        rest = [one for one in _menu(scene).laid if one != found]
        if count == 0:
            self.must_stand(scene)
            return Made((_laid(rest),), f"{food.name}: off the {self.called}.", "not touched")
        new = LaidFood(
            on=self.on,
            meal=self.meal,
            food=food.id,
            portions_count=count,
            pinned=bool(found and found.pinned),
        )
        laid = [new if one == found else one for one in _menu(scene).laid] if found else [*rest, new]
        return Made(
            (_laid(laid),), f"{food.name}, {food.portion.says(count)}: on the {self.called}.", "not touched"
        )


class SwapFood(OnMeal):
    """Another food in the place of one, in its usual amount."""

    kind: Literal["swap food"] = "swap food"
    other: str = text("id of the food in its place", longest=60)
    portions: str = text(
        "how many household portions of it; the middle of what is usual when left out", default=""
    )

    def made(self, scene: Scene) -> Made:
        larder = scene.case.larder
        old, other = self.must_stand(scene), food_named(larder, self.other, LAID)
        usual = other.portion.counts[len(other.portion.counts) // 2]
        count = usual
        if self.portions.strip():
            count = read_number(self.portions, "count", f"{LAID}.portions", 0.25, 20)
        new = LaidFood(on=self.on, meal=self.meal, food=other.id, portions_count=count)
        laid = [new if one == old else one for one in _menu(scene).laid]
        was = food_named(larder, self.food, LAID).name
        said = f"{other.name} takes the place of {was} on the {self.called}."
        return Made((_laid(laid),), said, "not touched")


class StayFood(OnMeal):
    """A food that stays on its meal when the menu is laid again, or need not stay any more."""

    kind: Literal["stay food"] = "stay food"
    stays: bool = Field(default=True, description="false where it need not stay any more")

    def made(self, scene: Scene) -> Made:
        old = self.must_stand(scene)
        new = old.model_copy(update={"pinned": self.stays})
        laid = [new if one == old else one for one in _menu(scene).laid]
        how = "stays on" if self.stays else "need not stay on"
        said = f"{food_named(scene.case.larder, self.food, LAID).name} {how} the {self.called}."
        return Made((_laid(laid),), said, "not touched")
