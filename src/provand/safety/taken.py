"""What was taken before the start counts in the race: caffeine, fluid since the toilet, glucose."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import timedelta
from typing import NamedTuple

from provand.case.case import Case, Taken
from provand.case.intake import Intake
from provand.finding import BadInput, find
from provand.safety.counting import fluid_ml, max_caffeine_mg, max_glucose_g
from provand.safety.limits import Dose, aware


class Before(NamedTuple):
    """One thing taken before the start: seconds before it (0 or less), and the most that it holds."""

    elapsed_s: float
    caffeine_mg: float
    fluid_ml: float
    glucose_g: float
    since_toilet: bool


def before_start(case: Case) -> tuple[Before, ...]:
    """Return what was taken before the start; BadInput where an amount that a limit counts is not known.

    Without a time it counts as taken at the start. The own start is the earliest, so that nothing lies longer
    back than it may.
    """
    return tuple(_counted(case, one, number) for number, one in enumerate(case.race.taken, 1))


def _counted(case: Case, one: Taken, number: int) -> Before:
    item = case.item(one.item) if one.item else None
    intake = Intake(item=one.item or "water", at_m=0.0, portion_frac=one.portion_frac)
    caffeine_mg, drunk_ml, glucose_g = one.caffeine_mg or 0.0, one.fluid_ml or 0.0, 0.0
    if item is not None:
        glucose_g = max_glucose_g(intake, item)
        caffeine_mg = max_caffeine_mg(intake, item) if one.caffeine_mg is None else caffeine_mg
        drunk_ml = fluid_ml(intake, item) if one.fluid_ml is None else drunk_ml
        for what, amount in (("caffeine", caffeine_mg), ("fluid", drunk_ml), ("carbohydrate", glucose_g)):
            if math.isinf(amount):
                raise BadInput(find("race.taken_unknown", f"race.taken[{number}]", what=what, item=item.name))
    start = aware(case.race.gun, case.race) + timedelta(seconds=case.race.own_offset_s.low)
    elapsed_s = 0.0 if one.at is None else min(0.0, (aware(one.at, case.race) - start).total_seconds())
    return Before(elapsed_s, caffeine_mg, drunk_ml, glucose_g, elapsed_s >= -60 * case.race.last_toilet_min)


def fluid_before_ml(case: Case) -> float:
    """Return all fluid since the last toilet before the start: the drink as planned, and what was taken."""
    taken = [one.fluid_ml for one in before_start(case) if one.since_toilet]
    return math.fsum([case.race.pre_start_drink_ml, *taken])


def fluid_let_go_ml(case: Case) -> float:
    """Return the fluid of a wait that is not counted: the last toilet is put off with the start."""
    first_s = -60 * case.race.last_toilet_min - (case.race.delay_s or 0.0)
    waited = [one for one in before_start(case) if not one.since_toilet and one.elapsed_s >= first_s]
    return math.fsum(one.fluid_ml for one in waited)


def earlier_caffeine(case: Case) -> tuple[Dose, ...]:
    """Return the caffeine of race morning.

    What is usual counts at the start: the careful reading, whatever the hour. What was taken counts at its
    time.
    """
    return tuple(_doses(case))


def _doses(case: Case) -> Iterator[Dose]:
    if case.athlete.breakfast_caffeine_mg > 0:
        yield Dose(0.0, case.athlete.breakfast_caffeine_mg)
    for one in before_start(case):
        if one.caffeine_mg > 0:
            yield Dose(one.elapsed_s, one.caffeine_mg)


def glucose_waiting_g(case: Case, *, rate_g_per_h: float) -> float:
    """Return the glucose of what was taken that still waits in the gut at the start."""
    waiting_g, then_s = 0.0, -math.inf
    for one in sorted(before_start(case), key=lambda one: one.elapsed_s):
        waiting_g = max(0.0, waiting_g - rate_g_per_h * (one.elapsed_s - then_s) / 3600) + one.glucose_g
        then_s = one.elapsed_s
    return max(0.0, waiting_g + rate_g_per_h * then_s / 3600)
