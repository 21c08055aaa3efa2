"""The goals of a menu as integers to minimise, in their order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from provand.planner.menu.model import MenuModel
from provand.planner.menu.problem import MenuProblem
from provand.planner.solve import Objective


class Aim(NamedTuple):
    """A goal, what one step of it is, and how many nodes it is worth."""

    goal: Objective
    unit: str
    max_nodes: int


CARB, SLACK, HOUSE, LIKING, DULL, FAMILIES = 600, 200, 200, 150, 40, 30
"""Nodes for each goal: what takes long is a nicety, so it may end with a gap, and then says so."""


def carbohydrate(made: MenuModel) -> Aim:
    """Return the first goal: no day outside its band."""
    return Aim(Objective("carbohydrate", dict.fromkeys(made.carb, 1.0), least=0), "g", CARB)


def eased(made: MenuModel, wishes: Iterable[str]) -> Iterator[Aim]:
    """Yield what was eased, the dearest wish first, each to be kept as nearly as can be."""
    for wish in GIVES_WAY:
        if wish in wishes and made.slack.get(wish):
            yield Aim(Objective(wish, dict.fromkeys(made.slack[wish], 1.0), least=0), UNITS[wish], SLACK)


def wishes_of_taste(problem: MenuProblem, made: MenuModel) -> Iterator[Aim]:
    """Yield the last goals in their order: what is there first, then liking, variety, few foods to buy."""
    there = {problem.food_of[food].buy for food in problem.in_house if food in problem.food_of}
    house = [made.used[name] for name in sorted(there) if name in made.used]
    if house:
        yield Aim(
            Objective("in the house, unused", dict.fromkeys(house, -1.0), len(house), least=0), "foods", HOUSE
        )
    yield Aim(Objective("liking", made.liking(problem), least=0), "points", LIKING)
    if made.dull:
        yield Aim(Objective("monotony", dict.fromkeys(made.dull, 1.0), least=0), "times", DULL)
    yield Aim(Objective("foods to buy", dict.fromkeys(made.bought.values(), 1.0), least=0), "foods", FAMILIES)


LIMITS = ("fat", "fibre", "volume", "sweet drinks", "protein, most")
"""What a day is held to beside carbohydrate."""
TASTE = ("protein", "variety", "evenness")
"""What gives way before carbohydrate does."""
GIVES_WAY = ("pins", *LIMITS, *TASTE)
"""Wishes that may be eased, the dearest first: the last gives way first."""
UNITS = {
    "pins": "foods",
    "fat": "g",
    "fibre": "g",
    "volume": "g",
    "sweet drinks": "drinks",
    "protein, most": "g",
    "protein": "g",
    "variety": "times",
    "evenness": "g",
}
