"""Pose the menu of a case: its meals, the foods this athlete may eat, what each 24 hours are held to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from provand.case.case import Case
from provand.case.menu import LaidFood, MenuWishes
from provand.figure import Figure
from provand.larder.food import Larder
from provand.planner.menu.foods import plated
from provand.planner.menu.limits import day_limits, share_bands
from provand.planner.menu.problem import DayLimit, Laid, MealSlot, Menu, MenuProblem
from provand.planner.menu.slots import Slot, slots
from provand.protocol.loading import Block, first_start, load_blocks
from provand.protocol.morning import Meal
from provand.protocol.rules import value

LIKED, DISLIKED = 0, 4


class MenuAsked(NamedTuple):
    """All that a menu is posed from beside the case: targets, who eats, what may not be eaten and why."""

    target: Figure
    fibre: Figure | None
    race_carb: Figure | None
    race_meals: Sequence[Meal]
    refused: Mapping[str, str]
    minor: bool


class Posed(NamedTuple):
    """The problem of a case, with its meals and its blocks of 24 hours."""

    problem: MenuProblem
    slots: tuple[Slot, ...]
    blocks: tuple[Block, ...]


def pose_menu(case: Case, asked: MenuAsked, *, avoid: tuple[Menu, ...] = ()) -> Posed:
    """Return the menu of a case as a problem; what is pinned on a meal that is no more is left out, and so
    is what no menu plans, such as water.

    `avoid` are menus that have been shown, where another one is wished for.
    """
    menu = case.menu or MenuWishes()
    blocks = load_blocks(first_start(case.race), before_h=24.0 * menu.blocks)
    eaten = slots(menu, case.race, blocks, asked.race_meals)
    there = {slot.id for slot in eaten}
    plates = plated(food for food in case.larder.foods if food.id not in asked.refused).foods
    planned = {food.id for food in plates}
    kept = [one for one in menu.laid if one.slot in there and one.food in planned and one.pinned]
    problem = MenuProblem(
        slots=tuple(_meals(eaten, asked)),
        days=tuple(_limit(case, asked) for _ in blocks),
        foods=plates,
        dislikes=_dislikes(menu),
        in_house=_in_house(menu, case.larder),
        pinned=laid_of(kept),
        avoid=avoid,
        variety=menu.style,
    )
    return Posed(problem, eaten, blocks)


def laid_of(rows: Sequence[LaidFood]) -> Menu:
    """Return the foods of a case's menu as the planner counts them."""
    return tuple(Laid(one.slot, one.food, one.portions_count) for one in rows)


def _limit(case: Case, asked: MenuAsked) -> DayLimit:
    """Return what 24 hours are held to; a minor's usual meals have no limit by body mass."""
    return day_limits(
        body_mass_kg=None if asked.minor else case.athlete.body_mass_kg,
        carb_g=asked.target.value.mid,
        max_fibre_g=None if asked.fibre is None else asked.fibre.value.high,
    )


def _meals(eaten: Sequence[Slot], asked: MenuAsked) -> list[MealSlot]:
    found = []
    for block in dict.fromkeys(slot.block for slot in eaten):
        today = [slot for slot in eaten if slot.block == block]
        for slot, band in zip(today, share_bands([slot.kind for slot in today]), strict=True):
            low, high = _race_share(asked) if slot.meal == "race meal" and asked.race_carb else band
            found.append(MealSlot(slot.id, slot.kind, slot.at, block, slot.kitchen, low, high))
    return found


def _race_share(asked: MenuAsked) -> tuple[float, float]:
    """Return which share of its 24 hours the meal before the race is, where its own amount is ticked."""
    assert asked.race_carb is not None
    whole_g, tolerance = asked.target.value.mid, value("menu.race_meal").mid
    share = asked.race_carb.value.mid / whole_g
    return share * (1 - tolerance), min(1.0, share * (1 + tolerance))


def _dislikes(menu: MenuWishes) -> dict[str, int]:
    return dict.fromkeys(menu.liked, LIKED) | dict.fromkeys(menu.disliked, DISLIKED)


def _in_house(menu: MenuWishes, larder: Larder) -> dict[str, float]:
    """Return what is in the house, in grams as eaten."""
    per_g = {food.id: food.bought.g_per_eaten_g for food in larder.foods}
    held: dict[str, float] = {}
    for one in menu.in_house:
        held[one.food] = held.get(one.food, 0.0) + one.amount_g / per_g[one.food]
    return held
