"""Small races, every schedule tried by hand: the solver finds the best, whatever its seed and presolve."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from schedule import invented_inputs

from provand.case.case import Wishes
from provand.case.intake import Intake
from provand.planner import solve as engine
from provand.planner.check import judge
from provand.planner.problem import Pattern, Problem, RaceInputs
from provand.planner.progress import Stage, heard_in, listening, tell, told_in
from provand.planner.race import pose, solve
from provand.planner.solve import ONLY

SHORT = {"distance_m": 15_000.0, "goal_s": 5700.0, "station_every_m": 4000.0, "slot_s": 720.0}

RACES: dict[str, dict[str, Any]] = {
    "ample ceiling, two kinds": {"rehearsed": ("gel-25", "gel-isotonic"), "ceiling_ml_per_h": 600.0},
    "tight ceiling": {
        "rehearsed": ("gel-25", "gel-isotonic"),
        "ceiling_ml_per_h": 160.0,
        "carb_g_per_h": 40.0,
    },
    "caffeine wished for": {
        "rehearsed": ("gel-isotonic", "gel-25-caffeine"),
        "wishes": Wishes(caffeine_mg=75),
    },
    "one small pocket": {
        "rehearsed": ("gel-40", "gel-isotonic"),
        "pockets_ml": (100.0,),
        "carb_g_per_h": 40.0,
    },
    "gut of 60 g/h": {"rehearsed": ("gel-40", "gel-25"), "upper_rate_g_per_h": 60.0},
    "an earlier schedule": {
        "rehearsed": ("gel-25", "gel-isotonic"),
        "wishes": Wishes(
            anchor=(Intake(item="gel-isotonic", at_m=5600.0), Intake(item="gel-25", at_m=8000.0))
        ),
    },
}


def race(name: str) -> RaceInputs:
    return invented_inputs(**{"wishes": Wishes(), **SHORT, **RACES[name]})


def every_schedule(problem: Problem) -> Iterator[tuple[Intake, ...]]:
    """Yield every way to take one pattern, or none, at each place."""
    choices: list[list[Pattern | None]] = [[None, *made] for made in problem.patterns]
    for picked in product(*choices):
        yield tuple(take for pattern in picked if pattern for take in pattern.takes)


def best_by_hand(problem: Problem) -> tuple[int, ...]:
    """Return the goals of the best schedule that breaks nothing, over all schedules and drinking lines."""
    found = []
    for schedule in every_schedule(problem):
        for line in problem.levels:
            verdict = judge(problem, schedule, line)
            if verdict.holds:
                found.append(verdict.values)
    return min(found)


@pytest.mark.parametrize("name", RACES)
def test_the_solver_finds_what_trying_everything_finds(name: str) -> None:
    problem = pose(race(name))
    assert 100 < sum(1 for _ in every_schedule(problem)) < 4000
    solution = solve(problem)
    assert tuple(goal.value for goal in solution.goals) == best_by_hand(problem)
    assert solution.proven
    assert solution.unique


def test_the_races_tried_by_hand_differ_in_what_decides() -> None:
    goals = {name: {g.name: g.value for g in solve(pose(race(name))).goals} for name in RACES}
    assert goals["ample ceiling, two kinds"]["thirst, amount"] == 0
    assert goals["tight ceiling"]["thirst, amount"] > 0
    assert goals["caffeine wished for"]["caffeine wish"] == 0
    assert goals["one small pocket"]["carbohydrate to 5 g"] > 0
    assert goals["an earlier schedule"]["lines changed"] > 0


def half(**changes: Any) -> RaceInputs:
    return invented_inputs(station_every_m=4000.0, **changes)


@pytest.mark.parametrize(("seed", "presolve"), [(1, "off"), (23, "off"), (456, "off"), (7, "on"), (99, "on")])
def test_five_ways_of_solving_give_one_schedule(
    monkeypatch: pytest.MonkeyPatch, seed: int, presolve: str
) -> None:
    problem = pose(half())
    usual = solve(problem)
    monkeypatch.setitem(engine.OPTIONS, "random_seed", seed)
    monkeypatch.setitem(engine.OPTIONS, "presolve", presolve)
    other = solve(problem)
    assert other.intakes == usual.intakes
    assert other.thirst == usual.thirst
    assert other.goals == usual.goals
    assert usual.unique
    assert other.unique


def test_a_schedule_without_any_tie_break_weight_is_still_the_only_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Where distinct weights tie, exact powers of two settle it."""
    monkeypatch.setattr("provand.planner.run.tie_breaks", lambda schedule: iter(()))
    solution = solve(pose(invented_inputs(**{**SHORT, "rehearsed": ("gel-25", "gel-isotonic")})))
    assert solution.unique


def test_how_far_a_solve_is_is_told_in_the_order_of_its_goals_and_changes_nothing() -> None:
    problem, stages = pose(half()), list[Stage]()
    with listening(stages.append):
        heard = solve(problem)
    assert heard == replace(solve(problem), solver_s=heard.solver_s)
    counted = [stage for stage in stages if stage.of]
    assert [stage.nth for stage in counted] == sorted(stage.nth for stage in counted)
    assert (counted[-1].nth, counted[-1].of, counted[-1].goal) == (9, 9, ONLY)
    reached = {goal.name: goal.value for goal in heard.goals}
    found = [stage for stage in counted if stage.goal in reached and stage.best is not None]
    assert {stage.goal for stage in found} >= {"carbohydrate to 5 g", "handling", "road"}
    for stage in found:
        assert stage.best is not None
        assert stage.best >= reached[stage.goal] >= (stage.bound or 0)


def test_what_is_told_stands_whole_in_its_file_while_the_work_goes_on(tmp_path: Path) -> None:
    place = tmp_path / "told"
    assert heard_in(place) is None

    def work() -> Stage | None:
        assert heard_in(place) == Stage("begun")
        tell(part="even gaps", goal="road", nth=8, of=9)
        return heard_in(place)

    assert told_in(place, work, (), {}) == Stage("even gaps", "road", nth=8, of=9)
    assert told_in(tmp_path / "gone" / "told", lambda: "done", (), {}) == "done"


def test_the_solver_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    solve(pose(invented_inputs(**SHORT)))
    assert capfd.readouterr() == ("", "")


def test_a_misspelt_option_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(engine.OPTIONS, "mip_relgap", 0.0)
    with pytest.raises(engine.CannotWork, match="mip_relgap"):
        solve(pose(invented_inputs(**SHORT)))


def test_no_proof_within_the_nodes_is_an_error_and_never_a_schedule(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(engine.OPTIONS, "mip_max_nodes", 0)
    with pytest.raises(engine.CannotWork, match="without a proof"):
        solve(pose(half(carb_g_per_h=52.0, pockets_ml=(200.0, 90.0))))
