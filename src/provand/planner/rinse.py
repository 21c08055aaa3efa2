"""Under 75 minutes: a mouth rinse, at the stations that serve something to rinse with."""

from __future__ import annotations

from provand.case.intake import Intake
from provand.finding import Finding, find
from provand.planner.check import judge
from provand.planner.patterns import why_not
from provand.planner.problem import Problem, ThirstLine
from provand.protocol.rules import value

WANTED = round(100 / value("rinse.part").mid) - 1
"""Places on the way that a rinse after each eighth of the race needs."""


def rinses(problem: Problem) -> tuple[tuple[Intake, ...], tuple[Finding, ...]]:
    """Return a rinse at every station where it breaks no limit, beside the pinned intakes; and what lacks.

    The drinking line, at its smallest, comes before a rinse. Nothing is optimised, so nothing is proven.
    """
    inputs = problem.inputs
    line = problem.levels[0] if problem.levels else ThirstLine()
    taken_m = {take.at_m for take in problem.pins}
    schedule = list(problem.pins)
    for station in inputs.stations:
        drinks = sorted(
            served.item
            for served in station.serves
            if (item := inputs.items.get(served.item))
            and item.texture == "drink"
            and not why_not(inputs, item)
        )
        if drinks and station.at_m not in taken_m:
            rinse = Intake(
                item=drinks[0], amount="rinse", at_m=station.at_m, got_from="station", station=station.name
            )
            if not judge(problem, [*schedule, rinse], line).broken:
                schedule.append(rinse)
    done = len(schedule) - len(problem.pins)
    if done >= WANTED:
        return tuple(schedule), ()
    return tuple(schedule), (find("planner.too_few_stations", "race.schedule", wanted=WANTED, count=done),)
