"""The one module that knows a solver: goals in order on a model of integers, each proven, then none other.

HiGHS runs with one thread, a fixed seed and no gap; limits are counted in nodes, never in seconds, so that
the same model gives the same values on any machine. It is handed no earlier solution to start from, and does
not presolve: with both, HiGHS 1.16.0 called values least that were not (2 for 1, 1211 for 609).

`Lexicographic` proves or raises. `Nearest` is for models too large for that: at the node limit it returns the
best value with the bound under which none can lie, and never calls the one the other.
"""

from __future__ import annotations

import math
import os
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import highspy
import numpy as np

from provand.finding import CannotWork, find
from provand.planner.progress import is_heard, tell, tell_goal

INFINITY = math.inf
MAX_NODES = 2_000_000
OPTIONS: dict[str, Any] = {
    "threads": 1,
    "random_seed": 7,
    "presolve": "off",
    "mip_rel_gap": 0.0,
    "mip_abs_gap": 0.0,
    "mip_max_nodes": MAX_NODES,
}

ONLY = "no other"
"""What is sought where nothing is minimised: another solution that keeps every goal."""

Terms = Mapping[int, float]


@dataclass(frozen=True)
class Objective:
    """A goal: minimise `constant` + sum of `terms`, an integer that cannot be under `least`."""

    name: str
    terms: Terms
    constant: int = 0
    least: int | None = None


@dataclass
class Model:
    """Columns with bounds, some of them integers, and rows; built by name, read by the solver."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    integer: list[bool] = field(default_factory=list)
    rows: list[tuple[float, float, dict[int, float]]] = field(default_factory=list)

    def column(self, *, lower: float = 0.0, upper: float = INFINITY, integer: bool = False) -> int:
        """Add a column and return its index."""
        self.lower.append(lower)
        self.upper.append(upper)
        self.integer.append(integer)
        return len(self.lower) - 1

    def choice(self) -> int:
        """Add a yes-or-no column."""
        return self.column(upper=1.0, integer=True)

    def row(self, terms: Terms, *, lower: float = -INFINITY, upper: float = INFINITY) -> None:
        """Add a row: `lower` <= sum of `terms` <= `upper`."""
        self.rows.append((lower, upper, {c: v for c, v in terms.items() if v}))


class Lexicographic:
    """A model in the solver: goals are minimised one after another, each kept at the value it reached."""

    def __init__(self, model: Model, *, max_nodes: int = MAX_NODES) -> None:
        self._model, self._max_nodes = model, max_nodes
        self._highs = _silent_solver({**OPTIONS, "mip_max_nodes": min(max_nodes, OPTIONS["mip_max_nodes"])})
        self._highs.passModel(_as_lp(model))
        self._best: np.ndarray[Any, Any] | None = None
        self._constant = 0
        self.solver_s = 0.0
        if is_heard():
            self._highs.cbMipInterrupt.subscribe(self._tell)
            self._highs.cbMipImprovingSolution.subscribe(self._tell)

    def minimise(self, goal: Objective) -> int | None:
        """Return the proven least value and keep it from now on; None where nothing is feasible."""
        self._begin(goal)
        if self._best is not None and goal.least is not None and self._value(goal) == goal.least:
            self._keep(goal, goal.least)
            return goal.least
        before = self._best
        if not self._run(goal.terms):
            if before is not None:
                raise CannotWork(
                    find("planner.no_proof", status=f"nothing left at {goal.name}", nodes=self._max_nodes)
                )
            return None
        value = self._value(goal)
        self._keep(goal, value)
        return value

    def is_only(self, choices: Sequence[int]) -> bool:
        """Return whether no other setting of these yes-or-no columns keeps every goal."""
        assert self._best is not None
        chosen = {c: self._best[c] > 0.5 for c in choices}
        cut = {c: (-1.0 if on else 1.0) for c, on in chosen.items()}
        self._add_row(cut, lower=1.0 - sum(chosen.values()), upper=INFINITY)
        kept = self._best
        tell_goal(ONLY)
        found = self._run({})
        self._highs.deleteRows(1, np.array([self._highs.getNumRow() - 1], dtype=np.int32))
        self._best = kept
        return not found

    def value_of(self, column: int) -> int:
        """Return the integer value of a column in the best solution."""
        assert self._best is not None
        return round(float(self._best[column]))

    def _begin(self, goal: Objective, *, max_nodes: int = 0) -> None:
        self._constant = goal.constant
        tell_goal(goal.name, max_nodes=max_nodes)

    def _tell(self, event: Any) -> None:
        """Tell what the solver has found of the goal at hand, and how far it has searched."""
        seen = event.data_out
        tell(
            best=self._told(seen.mip_primal_bound),
            bound=self._told(seen.mip_dual_bound),
            nodes=seen.mip_node_count,
        )

    def _told(self, value: float) -> int | None:
        """Return a value of the goal at hand as an integer, a bound rounded up; None for one without end."""
        return self._constant + math.ceil(value - 1e-6) if math.isfinite(value) else None

    def _value(self, goal: Objective) -> int:
        assert self._best is not None
        return goal.constant + round(
            sum(value * round(float(self._best[c])) for c, value in goal.terms.items())
        )

    def _keep(self, goal: Objective, value: int) -> None:
        self._add_row(goal.terms, lower=-INFINITY, upper=float(value - goal.constant))

    def _add_row(self, terms: Terms, *, lower: float, upper: float) -> None:
        columns = sorted(terms)
        values = np.array([terms[c] for c in columns], dtype=float)
        self._highs.addRow(lower, upper, len(columns), np.array(columns, dtype=np.int32), values)

    def _aim(self, terms: Terms) -> None:
        size = len(self._model.lower)
        costs = np.zeros(size)
        for column, value in terms.items():
            costs[column] = value
        self._highs.changeColsCost(size, np.arange(size, dtype=np.int32), costs)
        self._highs.clearSolver()

    def _run(self, terms: Terms) -> bool:
        """Solve for one objective; False where nothing is feasible. Anything but a proof is our fault."""
        self._aim(terms)
        began_s = time.perf_counter()
        self._highs.run()
        self.solver_s += time.perf_counter() - began_s
        status = self._highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return False
        if status != highspy.HighsModelStatus.kOptimal:
            raise CannotWork(
                find(
                    "planner.no_proof", status=self._highs.modelStatusToString(status), nodes=self._max_nodes
                )
            )
        self._best = np.array(self._highs.getSolution().col_value)
        return True


class Bounded(NamedTuple):
    """The best value found for a goal, and the bound under which none can lie; equal where it is proven."""

    value: int
    bound: float


class Nearest(Lexicographic):
    """A model in the solver, with goals in order; where a node limit ends the search, the gap is told.

    Each goal starts from the solution of the one before, so that it has one whatever the limit.
    """

    def best(self, goal: Objective, *, max_nodes: int, near: Sequence[int] = ()) -> Bounded | None:
        """Return the best value within the nodes, kept from now on, and its bound; None: nothing is feasible.

        It is sought first where the columns of `near` that are 0 stay 0, then everywhere: these nodes each.
        CannotWork where the nodes of the first goal ended before anything was found.
        """
        self._begin(goal, max_nodes=max_nodes)
        least = -INFINITY if goal.least is None else goal.least
        if self._best is not None and near:
            self._hold([column for column in near if self.value_of(column) == 0], upper=0.0)
            self._search(goal.terms, max_nodes)
            self._hold(near, upper=1.0)
        if self._best is not None and self._value(goal) == least:
            self._keep(goal, self._value(goal))
            return Bounded(self._value(goal), least)
        bound = self._search(goal.terms, max_nodes)
        if bound is None:
            return None
        value = self._value(goal)
        self._keep(goal, value)
        if math.isfinite(bound):
            least = max(least, goal.constant + math.ceil(bound - 1e-6))
        return Bounded(value, min(value, least))

    def _hold(self, choices: Sequence[int], *, upper: float) -> None:
        """Set the upper bound of yes-or-no columns."""
        size = len(choices)
        index = np.array(choices, dtype=np.int32)
        self._highs.changeColsBounds(size, index, np.zeros(size), np.full(size, upper))

    def _search(self, terms: Terms, max_nodes: int) -> float | None:
        """Solve within the nodes; return the bound on the sum of the terms, None where nothing is feasible.

        What was feasible before stays the best, whatever the solver says of it.
        """
        start = self._best
        self._aim(terms)
        self._highs.setOptionValue("mip_max_nodes", max_nodes)
        if start is not None:
            solution = highspy.HighsSolution()
            solution.col_value = np.where(self._model.integer, start.round(), start).tolist()
            self._highs.setSolution(solution)
        began_s = time.perf_counter()
        self._highs.run()
        self.solver_s += time.perf_counter() - began_s
        status, info = self._highs.getModelStatus(), self._highs.getInfo()
        if info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible:
            self._best = np.array(self._highs.getSolution().col_value)
            return float(info.mip_dual_bound)
        if start is not None:
            return -INFINITY
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        raise CannotWork(
            find("planner.no_proof", status=self._highs.modelStatusToString(status), nodes=max_nodes)
        )


def write_model(model: Model, goal: Objective, path: Path) -> None:
    """Write a model with one goal to a file that other solvers read (`.mps` or `.lp`)."""
    highs = _silent_solver(OPTIONS)
    highs.passModel(_as_lp(model))
    for column, value in goal.terms.items():
        highs.changeColCost(column, float(value))
    if highs.writeModel(str(path)) == highspy.HighsStatus.kError:
        raise CannotWork(find("planner.no_proof", status=f"{path.name} could not be written", nodes=0))


def _silent_solver(options: Mapping[str, str | float]) -> Any:
    """Return a solver with its options checked. The first one made in a process writes to standard output."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        highs: Any = highspy.Highs()  # type: ignore[no-untyped-call]
        highs.setOptionValue("output_flag", False)
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
    for name, value in options.items():
        if highs.setOptionValue(name, value) != highspy.HighsStatus.kOk:
            raise CannotWork(find("planner.option", option=name))
    return highs


def _as_lp(model: Model) -> Any:
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(model.lower), len(model.rows)
    lp.col_cost_ = np.zeros(len(model.lower))
    lp.col_lower_, lp.col_upper_ = np.array(model.lower), np.array(model.upper)
    lp.row_lower_ = np.array([lower for lower, _, _ in model.rows])
    lp.row_upper_ = np.array([upper for _, upper, _ in model.rows])
    starts, index, value = [0], list[int](), list[float]()
    for _, _, terms in model.rows:
        index += terms.keys()
        value += terms.values()
        starts.append(len(index))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(starts, dtype=np.int32)
    lp.a_matrix_.index_ = np.array(index, dtype=np.int32)
    lp.a_matrix_.value_ = np.array(value)
    kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
    lp.integrality_ = [kinds[integer] for integer in model.integer]
    return lp
