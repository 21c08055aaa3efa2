"""Pinned intakes that exclude each other: the smallest sets of them to give up, so that the others fit."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from provand.case.intake import Intake
from provand.finding import CannotWork, Finding, find
from provand.planner.check import judge
from provand.planner.model import build
from provand.planner.points import wide
from provand.planner.pose import NO_ROOM, pose
from provand.planner.problem import Problem, ThirstLine
from provand.planner.solve import Lexicographic, Objective

MAX_TRIES = 100
"""Sets of pins tried in the solver at most; from there on the last ones are given up one by one."""
MAX_NODES = 2_000

Pins = tuple[int, ...]


def pins_in_the_way(problem: Problem) -> tuple[Pins, list[Finding]]:
    """Return the pins to leave out (by number), and what to say; nothing where all of them fit.

    Of the smallest sets that clear the way the one of the latest pins is left out; all are named.
    """
    reason = _reason(problem)
    if reason is None:
        return (), []
    sets = _smallest(problem)
    tried_all = bool(sets)
    sets = sets or [_last_ones(problem)]
    said = [find("planner.pins_conflict", "wishes.pinned", reason=reason)]
    said += [find("planner.pins_without", "wishes.pinned", pins=_names(problem, without)) for without in sets]
    if not tried_all:
        said.append(find("planner.pins_untried", "wishes.pinned", tries=MAX_TRIES))
    return max(sets), said


def _smallest(problem: Problem) -> list[Pins]:
    """Return every set of the smallest size without which the other pins fit."""
    everyone, tries = range(len(problem.pins)), 0
    for size in range(1, len(problem.pins) + 1):
        found = []
        for without in combinations(everyone, size):
            left = _left(problem, without)
            if _broken(left) is not None:
                continue
            tries += 1
            if tries > MAX_TRIES:
                return []
            if _is_laid(left):
                found.append(without)
        if found:
            return found
    return []


def _last_ones(problem: Problem) -> Pins:
    count = len(problem.pins)
    for first in range(count - 1, 0, -1):
        without = tuple(range(first, count))
        if _reason(_left(problem, without)) is None:
            return without
    return tuple(range(count))


def _left(problem: Problem, without: Pins) -> Problem:
    return pose(problem.inputs, without=frozenset(without))


def _reason(problem: Problem) -> str | None:
    """Return why the pins of a problem cannot all stay, or None."""
    broken = _broken(problem)
    if broken is None and not _is_laid(problem):
        return "No schedule takes them all."
    return broken


def _broken(problem: Problem) -> str | None:
    verdict = judge(problem, problem.pins, ThirstLine())
    found = [*verdict.broken, *(f for f in verdict.strained if f.code in NO_ROOM)]
    return found[0].sentence if found else None


def _is_laid(problem: Problem) -> bool:
    """Return whether any schedule holds the pins; one without a proof within the nodes counts as none."""
    if not problem.pins:
        return True
    model = build(replace(problem, gaps=wide(problem.gaps))).model
    try:
        solver = Lexicographic(model, max_nodes=MAX_NODES)
        return solver.minimise(Objective("any schedule", {}, least=0)) is not None
    except CannotWork:
        return False


def _names(problem: Problem, without: Pins) -> str:
    return " and ".join(_name(problem, problem.pins[number]) for number in without)


def _name(problem: Problem, pin: Intake) -> str:
    return f"{problem.inputs.item_of(pin.item).name} at km {(pin.at_m or 0.0) / 1000:.1f}"
