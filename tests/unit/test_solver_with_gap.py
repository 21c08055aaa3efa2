"""At a node limit the best value is told with a bound that none can pass; the race's proof is untouched."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest

from provand.finding import CannotWork
from provand.planner.solve import Lexicographic, Model, Nearest, Objective, write_model

WEIGHTS = [31, 29, 27, 25, 23, 22, 21, 19, 17, 16, 14, 13, 12, 11, 9, 8]
PRICES = [17, 16, 14, 14, 12, 12, 11, 11, 9, 9, 8, 7, 7, 6, 5, 4]
NEEDED = 143


def cover() -> tuple[Model, list[int]]:
    """Return a small cover: chosen weights reach what is needed."""
    model = Model()
    columns = [model.choice() for _ in WEIGHTS]
    model.row({c: float(w) for c, w in zip(columns, WEIGHTS, strict=True)}, lower=NEEDED, upper=NEEDED)
    return model, columns


def price(columns: list[int]) -> Objective:
    return Objective("price", {c: float(p) for c, p in zip(columns, PRICES, strict=True)}, least=0)


def least_price() -> int:
    items = range(len(WEIGHTS))
    return min(
        sum(PRICES[i] for i in chosen)
        for size in items
        for chosen in combinations(items, size)
        if sum(WEIGHTS[i] for i in chosen) == NEEDED
    )


def test_with_enough_nodes_the_bound_is_the_value_and_the_value_is_least() -> None:
    model, columns = cover()
    found = Nearest(model).best(price(columns), max_nodes=100_000)
    assert found is not None and found.value == found.bound == least_price()


@pytest.mark.parametrize("max_nodes", [1, 2, 5, 20])
def test_at_a_node_limit_the_bound_lies_under_the_truth_and_the_value_over_it(max_nodes: int) -> None:
    model, columns = cover()
    solver = Nearest(model)
    first = solver.best(Objective("any", {}, least=0), max_nodes=100_000)
    found = solver.best(price(columns), max_nodes=max_nodes)
    assert first is not None and found is not None
    assert found.bound <= least_price() <= found.value
    kept = sum(p * solver.value_of(c) for c, p in zip(columns, PRICES, strict=True))
    assert kept == found.value


def test_a_value_that_was_reached_is_kept_by_the_goals_after_it() -> None:
    model, columns = cover()
    solver = Nearest(model)
    found = solver.best(price(columns), max_nodes=100_000)
    count = Objective("fewest", dict.fromkeys(columns, 1.0), least=0)
    assert solver.best(count, max_nodes=100_000) is not None
    assert found is not None
    assert sum(p * solver.value_of(c) for c, p in zip(columns, PRICES, strict=True)) == found.value


def test_what_is_not_feasible_is_told_apart_from_what_was_not_found() -> None:
    model, columns = cover()
    model.row(dict.fromkeys(columns, 1.0), upper=2.0)
    assert Nearest(model).best(price(columns), max_nodes=100_000) is None


def test_the_prover_still_proves_or_raises() -> None:
    model, columns = cover()
    assert Lexicographic(model).minimise(price(columns)) == least_price()
    with pytest.raises(CannotWork):
        hard, hard_columns = cover()
        Lexicographic(hard, max_nodes=0).minimise(price(hard_columns))


def test_another_solver_reads_the_model_and_finds_the_same_value(tmp_path: Path) -> None:
    pyscipopt = pytest.importorskip("pyscipopt")
    model, columns = cover()
    path = tmp_path / "cover.mps"
    write_model(model, price(columns), path)
    scip = pyscipopt.Model()
    scip.hideOutput()
    scip.readProblem(str(path))
    scip.optimize()
    assert round(scip.getObjVal()) == least_price()
