"""What the goals count, in integers: one wording for the model that plans and for the check that judges."""

from __future__ import annotations

import math
from collections.abc import Sequence

from provand.planner.problem import Gaps, RaceInputs
from provand.protocol.rules import value

STEP_MG = round(1000 * value("rate.tolerance").mid)
"""Two schedules this close in carbohydrate are equal to the first goal."""
TENTH_MG, GUT_MG = 100, 10
"""Carbohydrate counts in tenths of a gram for the goals, in hundredths for the gut: small whole numbers,
since the solver erred on large ones."""
LEAST_MG = 8000
"""Less carbohydrate than this at one stop is a sip in passing: no gap is counted from it (estimate)."""


def is_meal(counted_mg: int) -> bool:
    """Return whether a stop feeds so much that the gaps are counted from it; less is a sip in passing."""
    return counted_mg >= LEAST_MG


def gap_points(gap_s: float, best_s: float) -> int:
    """Return what a gap costs: tenths of a squared minute outside five minutes round the best gap."""
    over_min = max(0.0, abs(gap_s - best_s) / 60 - 5.0)
    return round(10 * over_min * over_min)


def grade_points(grade_frac: float, *, gel: bool) -> int:
    """Return what eating on a slope costs, in tenths of a point: climbing over 1.5 %, falling under -5 %."""
    climb = 1000 * max(0.0, grade_frac - 0.015)
    fall = 600 * max(0.0, -0.05 - grade_frac)
    return round((climb + fall) * (2 if gel else 1))


def caffeine_points(share_frac: float) -> int:
    """Return what caffeine outside 43 to 67 % of the race costs, in tenths of a point: one a percent."""
    return round(1000 * max(0.0, 0.43 - share_frac, share_frac - 0.67))


def target_mg(inputs: RaceInputs) -> int:
    """Return the target for the whole race, to the tenth of a gram."""
    return TENTH_MG * round(1000 * inputs.carb_target_g / TENTH_MG)


def carb_misses(wanted_mg: int, counted_mg: int) -> int:
    """Return how many steps of 5 g beyond the first the target is missed by, under or over."""
    return max(0, abs(wanted_mg - counted_mg) - 1) // STEP_MG


def carb_grams_off(wanted_mg: int, counted_mg: int) -> int:
    """Return by how many begun grams the target is missed, either way."""
    return math.ceil(abs(wanted_mg - counted_mg) / 1000)


def gaps(inputs: RaceInputs, span_s: float, usual_mg: int) -> Gaps:
    """Return the window between intakes: as assumed, but wider where few intakes fill a long race.

    `span_s` is the goal time in which eating is possible, counted from the start, `usual_mg` what one intake
    holds as a rule.
    """
    wanted = max(1.0, 1000 * inputs.carb_target_g / max(1, usual_mg))
    usual_min = value("intake.gap")
    best_min = min(60, max(round(usual_min.mid), round(span_s / 60 / (wanted + 0.5))))
    return Gaps(
        min_s=60 * usual_min.low,
        max_s=60.0 * round(usual_min.high / usual_min.mid * best_min),
        best_s=60.0 * best_min,
    )


def wide(gaps: Gaps) -> Gaps:
    """Return the window that is left when evenness gives way."""
    return Gaps(min_s=10.0 * 60, max_s=math.inf, best_s=gaps.best_s)


def in_order(names: Sequence[str], *, anchored: bool) -> list[str]:
    """Return the names of goals in their order.

    Near an earlier schedule, few lines changed come before the amount of the line about thirst: else it would
    say a cup for half of one at the price of every gel in another place.
    """
    amount, lines = "thirst, amount", "lines changed"
    rest = [name for name in names if name != amount]
    at = rest.index(lines) + 1 if anchored else names.index(amount)
    return [*rest[:at], amount, *rest[at:]]
