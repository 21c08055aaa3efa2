"""What to say when not everything fits: how much is missing, which single wish would help, and how far."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from provand.case.case import Pocket
from provand.case.intake import Intake
from provand.figure import Series
from provand.finding import Finding, NoPlanFits, find
from provand.planner.limits import packs_needed, stops_of
from provand.planner.points import STEP_MG, wide
from provand.planner.pose import pose
from provand.planner.problem import Problem, RaceInputs, Solution
from provand.planner.run import Run

WORTH_A_WORD_G = STEP_MG / 1000
"""A miss within the first goal's step is none."""
WORTH_A_SEARCH_G = 10.0
"""From here on it is tried which wish stands in the way."""
AMPLE_ML = 5000.0
"""Room, or fluid, that nothing in a race fills."""


class NearestPlan(NoPlanFits):
    """Not every pinned intake can stay; `nearest` is the schedule without those that cannot."""

    def __init__(self, nearest: Solution, *findings: Finding) -> None:
        self.nearest = nearest
        super().__init__(*findings)


def conflict(pin: Intake) -> Finding:
    """Return the finding on a pinned intake that the others leave no room for."""
    return find(
        "planner.pins_conflict", "wishes.pinned", item=pin.item, at_km=round((pin.at_m or 0.0) / 1000, 1)
    )


def short_g(problem: Problem, schedule: Sequence[Intake]) -> float:
    """Return how much carbohydrate is missing to the target, as surely eaten."""
    counted_mg = sum(stop.counted_mg for stop in stops_of(problem.inputs, schedule))
    return problem.inputs.carb_target_g - counted_mg / 1000


def shortfall(problem: Problem, schedule: Sequence[Intake]) -> list[Finding]:
    """Return what is missing to the target, and which wish, given up alone, would bring how much of it."""
    missing_g = short_g(problem, schedule)
    if missing_g <= WORTH_A_WORD_G:
        return []
    found = [
        find(
            "planner.short",
            "race.schedule",
            short_g=round(missing_g, 1),
            target_g=round(problem.inputs.carb_target_g, 1),
        )
    ]
    if missing_g >= WORTH_A_SEARCH_G:
        found += _helps(problem, missing_g)
    return found


def _helps(problem: Problem, missing_g: float) -> Iterator[Finding]:
    for code, eased in _eased(problem.inputs):
        run = Run(replace(easier := pose(eased), gaps=wide(easier.gaps)))
        if run.misses is None:
            continue
        left_g = short_g(problem, run.intakes)
        if left_g <= missing_g - WORTH_A_WORD_G:
            yield find(
                code,
                "race.schedule",
                left_g=max(0, round(left_g)),
                more_ml=_more_room_ml(problem, run.intakes),
            )


def _eased(inputs: RaceInputs) -> Iterator[tuple[str, RaceInputs]]:
    """Yield the inputs with one wish given up, in the order in which they give way."""
    case = inputs.case
    ample = case.athlete.model_copy(update={"pockets": (Pocket(name="more", room_ml=AMPLE_ML),)})
    yield "planner.helps_pockets", replace(inputs, case=case.model_copy(update={"athlete": ample}))
    dry = {item_id: item.model_copy(update={"with_water": False}) for item_id, item in inputs.items.items()}
    yield "planner.helps_pairing", replace(inputs, items=dry)
    if case.wishes.rehearsed_only:
        wishes = case.wishes.model_copy(update={"rehearsed_only": False})
        yield "planner.helps_rehearsal", replace(inputs, case=case.model_copy(update={"wishes": wishes}))
    yield "planner.fluid_binds", replace(inputs, fluid_ceiling=_lifted(inputs.fluid_ceiling))


def _lifted(ceiling: Series) -> Series:
    """Return a ceiling that nothing reaches, to see whether the ceiling is what binds; never to plan with."""
    ample = tuple(AMPLE_ML for _ in ceiling.low)
    return ceiling.model_copy(update={"low": ample, "mid": ample, "high": ample})


def _more_room_ml(problem: Problem, schedule: Sequence[Intake]) -> int:
    inputs = problem.inputs
    packs = packs_needed(inputs, schedule)
    need_ml = sum(count * (inputs.items[item_id].pocket_ml or 0.0) for item_id, count in packs.items())
    over_ml = need_ml - sum(pocket.room_ml for pocket in inputs.case.athlete.pockets)
    return max(0, 10 * round(over_ml / 10))
