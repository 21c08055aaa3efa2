"""Pose the problem of a case: its places, what may happen at each, what the drinking line may say."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from statistics import median

from provand.case.intake import Intake
from provand.finding import Finding, find
from provand.larder.item import Item
from provand.planner.check import Verdict, judge
from provand.planner.patterns import carried, pattern_of, patterns_at
from provand.planner.places import levels, place_of, places
from provand.planner.points import gaps
from provand.planner.prechecks import prechecks
from provand.planner.problem import Pattern, Place, Problem, RaceInputs, ThirstLine

NO_ROOM = ("planner.pockets", "planner.upper_rate", "planner.too_much", "planner.more_than_one")
"""What a pinned intake must not pass either, for the solver to lay the rest around it."""


def pose(inputs: RaceInputs, *, without: Collection[int] = ()) -> Problem:
    """Return the problem of a case: its places, what may happen at each, what the drinking line may say.

    Pinned intakes that break a limit are left out, each with its reason, unless the schedule is as given;
    `without` leaves out some of the others, by number.
    Raises BadInput where a pinned cup has no station to pour it.
    """
    pins, refused = _pins(inputs)
    pins = tuple(pin for number, pin in enumerate(pins) if number not in without)
    pins_m = {place_of(inputs, take) for take in pins}
    anchors_m = {place_of(inputs, take) for take in inputs.case.wishes.anchor}
    laid = places(inputs, tuple(sorted(pins_m | anchors_m)))
    pockets = carried(inputs)
    made = tuple(_made(inputs, place, pins, pockets) for place in laid)
    window = gaps(inputs, inputs.pace.goal.time_at_s(inputs.closed_from_m), _usual_mg(made))
    problem = Problem(
        inputs=inputs,
        places=laid,
        patterns=made,
        pins=pins,
        pinned=frozenset(k for k, place in enumerate(laid) if place.at_m in pins_m),
        levels=(),
        gaps=window,
        strict=window,
        findings=(*refused, *prechecks(inputs, made, pockets)),
    )
    return replace(problem, levels=_levels(problem))


def _pins(inputs: RaceInputs) -> tuple[tuple[Intake, ...], tuple[Finding, ...]]:
    """Return the pinned intakes that break no limit on their own, tied to places; and what is wrong else."""
    wishes = inputs.case.wishes
    tied = _tied(inputs, wishes.pinned)
    if wishes.schedule == "as given":
        stays = {(take.item, take.at_m) for take in tied}
        given = _tied(inputs, wishes.given)
        return (*tied, *(take for take in given if (take.item, take.at_m) not in stays)), ()
    window = gaps(inputs, 0.0, 1)
    empty = Problem(
        inputs=inputs,
        places=(),
        patterns=(),
        pins=(),
        pinned=frozenset(),
        levels=(),
        gaps=window,
        strict=window,
        findings=(),
    )
    kept: list[Intake] = []
    findings: list[Finding] = []
    for take in tied:
        verdict = judge(empty, [take], ThirstLine())
        broken = [*verdict.broken, *(f for f in verdict.strained if f.code in NO_ROOM)]
        if broken:
            findings += [
                find("planner.pin_refused", "wishes.pinned", item=take.item, reason=f.sentence)
                for f in broken
            ]
        else:
            kept.append(take)
    return tuple(kept), tuple(findings)


def _tied(inputs: RaceInputs, schedule: Sequence[Intake]) -> tuple[Intake, ...]:
    """Return intakes tied to places."""
    return tuple(
        take.model_copy(update={"at_m": place_of(inputs, take), "at_elapsed_s": None, "at_clock": None})
        for take in schedule
    )


def _made(
    inputs: RaceInputs, place: Place, pins: Sequence[Intake], pockets: Sequence[Item]
) -> tuple[Pattern, ...]:
    here = tuple(take for take in pins if take.at_m == place.at_m)
    if here:
        return (pattern_of(inputs, place, here),)
    return patterns_at(inputs, place, pockets) if place.open else ()


def _usual_mg(made: Sequence[Sequence[Pattern]]) -> int:
    """Return the carbohydrate of a usual intake: the middle one of the largest portions of each kind."""
    largest: dict[str, int] = {}
    for pattern in (pattern for patterns in made for pattern in patterns):
        for kind in pattern.kinds:
            largest[kind] = max(largest.get(kind, 0), pattern.counted_mg)
    return round(median(largest.values())) if largest else 1


def _levels(problem: Problem) -> tuple[ThirstLine, ...]:
    """Return the levels of the drinking line from the first station at which a mouthful fits all the way."""
    for first in range(len(problem.inputs.stations)):
        lines = levels(problem.inputs, first)
        if lines and not breaks_line(judge(problem, problem.pins, lines[0])):
            return lines
    return ()


def breaks_line(verdict: Verdict) -> bool:
    """Return whether a drinking line does not fit, under the ceiling or into the windows."""
    return any(finding.code in ("planner.fluid", "planner.forbidden") for finding in verdict.broken)
