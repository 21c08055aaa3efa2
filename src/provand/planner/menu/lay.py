"""The menu: laid goal by goal, each proven or with its gap; where not all can be kept, the nearest one."""

from __future__ import annotations

from dataclasses import replace

from provand.finding import BadInput, Finding, NoPlanFits, find
from provand.planner.menu.checker import WHERE, checked
from provand.planner.menu.goals import LIMITS, TASTE
from provand.planner.menu.in_the_way import in_the_way
from provand.planner.menu.problem import MenuProblem, MenuSolution
from provand.planner.menu.repeated import days_once, every_day
from provand.planner.menu.rules import patterns_for
from provand.planner.menu.run import MenuRun
from provand.planner.progress import tell_part


def lay(problem: MenuProblem) -> MenuSolution:
    """Return the menu. What it does not keep stands in its findings, and what is in the way.

    BadInput where a pin names a food or a meal that there is not; NoPlanFits where nothing can be laid.
    """
    _check_pins(problem)
    bare = _without_dish(problem)
    in_order = tuple(sorted(problem.foods, key=lambda food: food.id))
    posed = replace(problem, foods=in_order, whole=problem.whole | set(bare))
    once = days_once(posed)
    run = _nearest(once)
    run.finish()
    laid = every_day(posed, once, run.menu)
    found = checked(posed, laid)
    if run.problem.eased:
        tell_part("in the way")
        found += in_the_way(once)
    elif found:
        raise AssertionError("the check refuses the menu: " + "; ".join(finding.line() for finding in found))
    return MenuSolution(laid=laid, goals=tuple(run.reached), findings=(*bare.values(), *found))


def _check_pins(problem: MenuProblem) -> None:
    for pin in problem.pinned:
        if pin.slot not in problem.slot_of:
            raise BadInput(find("menu.no_such_meal", pin.slot, food=pin.food))
        if pin.food not in problem.food_of:
            raise BadInput(find("menu.not_allowed", pin.slot, food=pin.food))
        if pin.portions_count <= 0:
            raise BadInput(find("menu.no_portion", pin.slot, food=pin.food, count=pin.portions_count))


def _without_dish(problem: MenuProblem) -> dict[str, Finding]:
    """Return the meals for which the foods at hand make no dish; but for pins they stay empty."""
    spared = replace(problem, eased=frozenset({"protein"}))
    return {
        slot.id: find("menu.nothing_at_hand", slot.id, kind=slot.kind, kitchen=WHERE[slot.kitchen])
        for slot in problem.slots
        if slot.id not in problem.whole and not patterns_for(spared, slot)
    }


def _nearest(problem: MenuProblem) -> MenuRun:
    """Return the menu, or the nearest: taste gives way, then carbohydrate; limits where pins break them."""
    for ease in ((), TASTE[1:], TASTE):
        tell_part("menu, eased" if ease else "menu")
        run = MenuRun(problem, ease=ease, all_or_nothing=True)
        if run.met:
            return run
    tell_part("nearest menu")
    run = MenuRun(problem, ease=TASTE)
    if not run.feasible:
        run = MenuRun(problem, ease=TASTE, first=LIMITS)
    if not run.feasible:
        raise NoPlanFits(find("menu.none"))
    return run
