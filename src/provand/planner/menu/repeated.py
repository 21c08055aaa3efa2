"""The same meals each day: days that have equal rules are laid once, and every one of them eats that menu."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from provand.planner.menu.model import rules_of_day
from provand.planner.menu.problem import Laid, Menu, MenuProblem


def days_once(problem: MenuProblem) -> MenuProblem:
    """Return the problem with the first of each kind of day alone, where days are to repeat.

    What is in the house is shared out over the days that eat of it.
    """
    first = _first_like(problem)
    if problem.variety != "repeat" or len(set(first)) == len(first):
        return problem
    kept = sorted(set(first))
    slots = tuple(s._replace(day=kept.index(s.day)) for s in problem.slots if s.day in kept)
    ids = {slot.id for slot in slots}
    most = max(Counter(first).values())
    return replace(
        problem,
        slots=slots,
        days=tuple(problem.days[day] for day in kept),
        in_house={food: amount_g / most for food, amount_g in problem.in_house.items()},
        pinned=tuple(pin for pin in problem.pinned if pin.slot in ids),
        avoid=tuple(tuple(one for one in menu if one.slot in ids) for menu in problem.avoid),
    )


def every_day(problem: MenuProblem, once: MenuProblem, laid: Menu) -> Menu:
    """Return the menu of all days from that of the days laid once."""
    if once is problem:
        return laid
    first = _first_like(problem)
    meals = {day: [slot.id for slot in problem.slots if slot.day == day] for day in range(len(problem.days))}
    return tuple(
        Laid(meals[day][meals[first[day]].index(one.slot)], one.food, one.portions_count)
        for day in range(len(problem.days))
        for one in laid
        if one.slot in meals[first[day]]
    )


def _first_like(problem: MenuProblem) -> list[int]:
    """Return for each day the first one that has the same rules."""
    rules = [rules_of_day(problem, day) for day in range(len(problem.days))]
    return [rules.index(rule) for rule in rules]
