"""The gap that a lost intake leaves: who loses one leaves it, and takes the next one as planned."""

from __future__ import annotations

from typing import NamedTuple

from provand.planner.patterns import lines_by_place
from provand.planner.problem import RaceInputs


class Anchored(NamedTuple):
    """The places of an earlier schedule where something was eaten, in their order."""

    meals_m: tuple[float, ...]

    def is_left(self, from_m: float, to_m: float) -> bool:
        """Return whether a gap is one that the earlier schedule had one meal in, and both its ends.

        The start of the race is an end like any other. Such a gap counts as even: to move what was not lost
        would change a second line.
        """
        stays = to_m in self.meals_m and (from_m == 0 or from_m in self.meals_m)
        return stays and sum(from_m < meal_m < to_m for meal_m in self.meals_m) == 1


def anchored(inputs: RaceInputs) -> Anchored:
    """Return where the earlier schedule had something to eat; nothing without one."""
    lines = lines_by_place(inputs, inputs.case.wishes.anchor)
    fed = (x_m for x_m, line in lines.items() if any(_feeds(inputs, item) for item, _, _ in line))
    return Anchored(tuple(sorted(fed)))


def _feeds(inputs: RaceInputs, item_id: str) -> bool:
    return inputs.item_of(item_id).texture != "water"
