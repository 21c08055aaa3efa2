"""What to say when not everything fits."""

from __future__ import annotations

from collections.abc import Sequence

from provand.case.intake import Intake
from provand.finding import Finding, NoPlanFits, find
from provand.planner.check import stops_of
from provand.planner.problem import Problem, Solution


class NearestPlan(NoPlanFits):
    """No schedule keeps every wish; the nearest one is attached."""

    def __init__(self, nearest: Solution, *findings: Finding) -> None:
        self.nearest = nearest
        super().__init__(*findings)


def carbohydrate(problem: Problem, schedule: Sequence[Intake]) -> list[Finding]:
    inputs = problem.inputs
    counted_mg = sum(stop.counted_mg for stop in stops_of(inputs, schedule))
    short_g = inputs.carb_target_g - counted_mg / 1000
    if short_g < 5:
        return []
    return [
        find(
            "planner.short",
            "race.schedule",
            short_g=round(short_g, 1),
            target_g=round(inputs.carb_target_g, 1),
        )
    ]


def pins_in_conflict(problem: Problem) -> list[Finding]:
    return [find("planner.pins_conflict", "wishes.pinned")]
