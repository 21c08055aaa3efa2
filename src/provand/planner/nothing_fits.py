"""What to say when not everything fits: how much is missing, and which wishes given up would bring it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from provand.case.intake import Intake
from provand.figure import Series
from provand.finding import CannotWork, Finding, NoPlanFits, find
from provand.planner.give_up import AMPLE_ML, MAX_LOOKS, MAX_NODES, GivenUp, Looked, smallest_sets
from provand.planner.limits import stops_of
from provand.planner.points import STEP_MG, target_mg, wide
from provand.planner.pose import pose
from provand.planner.problem import Problem, RaceInputs, Solution
from provand.planner.progress import tell_part
from provand.planner.run import Run

WORTH_A_WORD_G = STEP_MG / 1000
"""A miss within the first goal's step is none."""
WORTH_A_SEARCH_G = 10.0
"""From here on it is tried which wishes stand in the way."""
BY_HAND = "Rehearse it first; only the practitioner may plan what is not rehearsed."


class NearestPlan(NoPlanFits):
    """Not every pinned intake can stay; `nearest` is the schedule without those that cannot."""

    def __init__(self, nearest: Solution, *findings: Finding) -> None:
        self.nearest = nearest
        super().__init__(*findings)

    def __reduce__(self) -> tuple[Any, ...]:
        return NearestPlan, (self.nearest, *self.findings)


def shortfall(problem: Problem, schedule: Sequence[Intake]) -> list[Finding]:
    """Return what is missing to the target, and the smallest sets of wishes that would bring it."""
    counted_mg = sum(stop.counted_mg for stop in stops_of(problem.inputs, schedule))
    target_g, fits_g = problem.inputs.carb_target_g, counted_mg / 1000
    missing_g = target_g - fits_g
    if missing_g <= WORTH_A_WORD_G:
        return []
    found = [
        find(
            "planner.short",
            "race.schedule",
            short_g=round(missing_g, 1),
            target_g=round(target_g, 1),
            fits_g=round(fits_g, 1),
        )
    ]
    if missing_g >= WORTH_A_SEARCH_G:
        tell_part("in the way")
        found += _wishes(problem, smallest_sets(problem, counted_mg))
        found += _ceiling(problem, counted_mg)
        found += _at_hand(problem, counted_mg)
    return found


def _wishes(problem: Problem, looked: Looked) -> Iterator[Finding]:
    for given_up in looked.enough:
        yield _said("planner.fits_with", problem, given_up)
    for given_up in looked.helps:
        yield _said("planner.closer_with", problem, given_up)
    together = looked.all_together
    if together is not None and not together.enough:
        wanted_mg = target_mg(problem.inputs)
        left_g = round((wanted_mg - together.counted_mg) / 1000)
        target_g = round(wanted_mg / 1000)
        yield find("planner.not_even_with", "race.schedule", left_g=left_g, target_g=target_g)
    if not looked.finished:
        yield find("planner.not_all_tried", "race.schedule", looks=MAX_LOOKS, nodes=MAX_NODES)


def _said(code: str, problem: Problem, given_up: GivenUp) -> Finding:
    wanted_mg = target_mg(problem.inputs)
    return find(
        code,
        "race.schedule",
        wishes=" and ".join(_words(given_up)),
        target_g=round(wanted_mg / 1000),
        left_g=max(0, round((wanted_mg - given_up.counted_mg) / 1000)),
        then=BY_HAND if given_up.unrehearsed else "",
    )


def _words(given_up: GivenUp) -> Iterator[str]:
    """Yield what is given up, in the order in which it gives way; a wish that is not needed is left out."""
    if given_up.room_ml:
        yield f"one more pocket of about {given_up.room_ml} ml"
    if given_up.dry:
        yield f"{given_up.dry} intake{'s' if given_up.dry > 1 else ''} without the water that goes with it"
    if given_up.unrehearsed:
        names = given_up.unrehearsed
        counted = "one more rehearsed kind" if len(names) == 1 else f"{len(names)} more rehearsed kinds"
        yield f"{counted} ({', '.join(names)})"


def _ceiling(problem: Problem, counted_mg: int) -> Iterator[Finding]:
    """Yield that the fluid ceiling binds, where without it more would fit. It is looked at, never moved."""
    lifted = replace(problem.inputs, fluid_ceiling=_lifted(problem.inputs.fluid_ceiling))
    if _most_mg(lifted) >= counted_mg + STEP_MG:
        yield find("planner.fluid_binds", "race.schedule")


def _at_hand(problem: Problem, counted_mg: int) -> Iterator[Finding]:
    """Yield that more would fit with enough at hand of what is lost or was eaten."""
    case, wanted_mg = problem.inputs.case, target_mg(problem.inputs)
    if not case.athlete.stock:
        return
    athlete = case.athlete.model_copy(update={"stock": ()})
    most_mg = _most_mg(replace(problem.inputs, case=case.model_copy(update={"athlete": athlete})))
    if most_mg >= counted_mg + STEP_MG:
        names = [problem.inputs.item_of(stock.item).name for stock in case.athlete.stock]
        left_g = max(0, round((wanted_mg - most_mg) / 1000))
        yield find(
            "planner.at_hand_binds", "athlete.stock", items=" and ".join(dict.fromkeys(names)), left_g=left_g
        )


def _most_mg(inputs: RaceInputs) -> int:
    """Return the carbohydrate of the schedule that other inputs would have; 0 where none is found."""
    posed = pose(inputs)
    try:
        run = Run(replace(posed, gaps=wide(posed.gaps)), max_nodes=MAX_NODES)
    except CannotWork:
        return 0
    return run.counted_mg if run.misses is not None else 0


def _lifted(ceiling: Series) -> Series:
    """Return a ceiling that nothing reaches, to see whether the ceiling is what binds; never to plan with."""
    ample = tuple(AMPLE_ML for _ in ceiling.low)
    return ceiling.model_copy(update={"low": ample, "mid": ample, "high": ample})
