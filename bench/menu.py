"""The menu: what is left unproven, and the solver beside a greedy hand and beside a second open solver."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any, NamedTuple

from measure import Ratio
from menu_foods import many_foods
from menu_posed import posed

from provand.planner.menu.checker import checked
from provand.planner.menu.goals import wishes_of_taste
from provand.planner.menu.greedy import greedy
from provand.planner.menu.lay import lay
from provand.planner.menu.problem import Menu, MenuProblem, MenuSolution, points
from provand.planner.menu.run import MenuRun
from provand.planner.solve import Bounded, Nearest, Objective, write_model

FOODS, DAYS = 158, 3
NODES = 2_000
"""For either solver on the one day of which both are measured."""
ALL_NODES, MOST_S = 200, 60.0
"""The same of all 15 meals, of which neither comes to an end; the second one stops by the clock, too."""


class Found(NamedTuple):
    """What a solver found for one goal: its value, the bound under which none lies, processor seconds."""

    value: float
    bound: float
    taken_s: float


def menu(build: Path) -> list[Ratio]:
    """Return the ratios of an invented menu of 15 meals from 158 foods, and of one day of it beside SCIP.

    The second ratio is 0 where the solver's menu is better than the hand's, first in limits and wishes not
    kept, then in liking; 1 where they are the same, and 2 where it is worse. The third is 0 where the two
    solvers agree: the value of neither lies under the bound of the other. Of all 15 meals either has its
    nodes and tells how far it came: the ratio of what they found is 0 where SCIP found no menu at all.
    """
    foods = many_foods(FOODS)
    problem = posed(days=DAYS, foods=foods)
    solution = lay(problem)
    ours, other = two_solvers(posed(foods=foods), build, NODES)
    all_ours, all_other = two_solvers(problem, build, ALL_NODES)
    print(f"{len(problem.foods)} foods x {len(problem.slots)} meals, every goal with its gap:")
    for goal in solution.goals:
        print(f"  {goal.name}: {goal.value} {goal.unit}, at most {goal.gap} better")
    _tell("one day", NODES, ours, other)
    _tell(f"{len(problem.slots)} meals", ALL_NODES, all_ours, all_other)
    print(f"  a greedy hand, which may miss limits: {_worth(problem, greedy(problem))[1]}")
    liking_gap = next(goal.gap for goal in solution.goals if goal.name == "liking")
    return [
        Ratio("the menu, gap in liking", float(liking_gap), "one step of the goal", 1.0),
        Ratio("the menu, goals", beside_a_hand(problem, solution), "the goals of a greedy hand", 0.0),
        Ratio("one day, solvers apart", _apart(ours, other), "two that contradict each other", 0.0),
        Ratio("15 meals, solvers apart", _apart(all_ours, all_other), "two that contradict each other", 0.0),
        Ratio("15 meals, liking", all_ours.value / all_other.value, "SCIP's within as many nodes", 1.0),
        Ratio("one day, time for liking", ours.taken_s / other.taken_s, "SCIP on the same file", 1.0),
    ]


def _tell(of: str, nodes: int, ours: Found, other: Found) -> None:
    """Print what both found; a value that is infinite is of no menu at all."""
    print(
        f"{of}, liking and its bound within {nodes} nodes: HiGHS {ours.value:g} {ours.bound:g}; "
        f"SCIP {other.value:g} {other.bound:g}; processor seconds {ours.taken_s:.0f} and {other.taken_s:.0f}"
    )


def _apart(ours: Found, other: Found) -> float:
    agree = ours.bound <= other.value + 1e-6 and other.bound <= ours.value + 1e-6
    return 0.0 if agree else 1.0


def beside_a_hand(problem: MenuProblem, solution: MenuSolution) -> float:
    """Return 0 where the solver's menu is better than a greedy hand's, 1 where it is equal, 2 where worse."""
    solved, by_hand = _worth(problem, solution.laid), _worth(problem, greedy(problem))
    print(f"not kept and liking: solver {solved}, greedy hand {by_hand}")
    return float((solved >= by_hand) + (solved > by_hand))


def _worth(problem: MenuProblem, laid: Menu) -> tuple[int, int]:
    liking = sum(points(problem, problem.food_of[one.food], one.portions_count) for one in laid)
    return len(checked(problem, laid)), liking


def two_solvers(problem: MenuProblem, build: Path, nodes: int) -> tuple[Found, Found]:
    """Return what HiGHS and SCIP find for liking in the same model, in which every day is on its target."""
    run = MenuRun(problem, all_or_nothing=True)
    goal = next(aim.goal for aim in wishes_of_taste(run.problem, run.made) if aim.goal.name == "liking")
    build.mkdir(parents=True, exist_ok=True)
    path = build / "menu.mps"
    write_model(run.made.model, goal, path)
    return _highs(run, goal, nodes), _scip(path, nodes)


def _highs(run: MenuRun, goal: Objective, nodes: int) -> Found:
    solver = Nearest(run.made.model)
    began_s = time.process_time()
    found = solver.best(goal, max_nodes=nodes)
    assert isinstance(found, Bounded), "a menu exists"
    return Found(found.value, found.bound, time.process_time() - began_s)


def _scip(path: Path, nodes: int) -> Found:
    from pyscipopt import Model  # noqa: PLC0415 - an open solver of the test set-up alone

    scip: Any = Model()
    scip.hideOutput()
    scip.readProblem(str(path))
    scip.setParam("limits/nodes", nodes)
    scip.setParam("limits/time", MOST_S)
    scip.setParam("lp/threads", 1)
    began_s = time.process_time()
    scip.optimize()
    taken_s = time.process_time() - began_s
    value = scip.getObjVal() if scip.getNSols() else float("inf")
    return Found(value, scip.getDualbound(), taken_s)
