"""Caffeine in time: the most in the body over the race, and what is left in the evening; slow bodies too."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from provand.case.case import Case
from provand.estimate.pace import PaceTable
from provand.figure import Figure, Range, Trace
from provand.finding import Finding, find
from provand.physiology.caffeine import caffeine_in_body_mg
from provand.plan.course_of_race import Placed
from provand.protocol.asks import typed
from provand.safety.taken import earlier_caffeine

ABSORBED_PER_H = 4.94
"""Rate of uptake of a solution (fit to four men, doi 10.1186/s40780-021-00220-z, Table 2)."""

HALF_LIFE_H = Range.of(3.0, 8.0, 5.0)
"""Half-life in adults: about 5 h, 3 to 8 (IOM 2001; doi 10.1007/BF00609587)."""

EVENING_H = 8.0
STEPS_PER_H = 12


def _in_body(doses: Sequence[tuple[float, float]], at_h: float, half_life_h: float) -> float:
    """Return the caffeine in the body at a time from doses of (hour, mg)."""
    return sum(
        caffeine_in_body_mg(
            dose_mg=mg,
            available_frac=1.0,
            absorption_per_h=ABSORBED_PER_H,
            half_life_h=half_life_h,
            elapsed_h=at_h - hour,
        )
        for hour, mg in doses
        if at_h > hour
    )


def _peak(doses: Sequence[tuple[float, float]], half_life_h: float) -> float:
    last = max(hour for hour, _ in doses)
    first = min(hour for hour, _ in doses)
    hours = [first + step / STEPS_PER_H for step in range(1, int((last - first + 2) * STEPS_PER_H) + 2)]
    return max(_in_body(doses, at, half_life_h) for at in hours)


def caffeine_in_time(
    trace: Trace,
    case: Case,
    pace: PaceTable,
    placed: Sequence[Placed],
    planned: Figure | None,
    *,
    once_mg: float,
    day_mg: float,
) -> Iterator[Finding]:
    """Keep peak and rest as figures; yield a caution where a slow body holds more than from one full dose.

    `once_mg` and `day_mg` are the most at once and in 24 hours that the athlete's age allows.
    """
    doses = [(dose.elapsed_s / 3600, dose.caffeine_mg) for dose in earlier_caffeine(case)]
    for each in placed:
        held = each.swallowed.caffeine_mg
        if held is not None and held.mid > 0 and each.intake.amount != "rinse":
            doses.append((pace.goal.time_at_s(each.at_m) / 3600, held.mid))
    if not doses:
        return
    lives = {end: getattr(HALF_LIFE_H, end) for end in ("low", "mid", "high")}
    peaks = {end: _peak(doses, life) for end, life in lives.items()}
    evening_h = pace.goal.finish_s / 3600 + EVENING_H
    left = {end: _in_body(doses, evening_h, life) for end, life in lives.items()}
    told = typed(case, "athlete.breakfast_caffeine_mg")
    morning = trace.given(
        "caffeine.morning_mg",
        math.fsum(dose.caffeine_mg for dose in earlier_caffeine(case)),
        f"{told}, and what was taken before the start" if case.race.taken else told,
    )
    half_life = trace.add(
        "caffeine.half_life_h",
        HALF_LIFE_H,
        how="rule",
        by="half-life in adults, slow and fast bodies",
        source="newton1981",
        at="2.7 to 9.9 h in six adults; about 5 h in reviews",
        mark="read2",
    )
    inputs = [morning, half_life] if planned is None else [morning, half_life, planned]
    for figure_id, values, words in (
        ("caffeine.peak_mg", peaks, "most in the body at one time, breakfast counted"),
        ("caffeine.left_after_8_h_mg", left, "in the body eight hours after the finish"),
    ):
        trace.add(
            figure_id,
            Range(low=values["low"], mid=values["mid"], high=values["high"]),
            how="equation",
            by=f"caffeine_in_body_mg, {words}",
            source="newton1981",
            at="half-life 3 to 8 h; uptake of a solution",
            mark="read2",
            inputs=inputs,
        )
    if morning.value.mid > once_mg:
        yield find(
            "plan.morning_caffeine",
            "athlete.breakfast_caffeine",
            morning_mg=round(morning.value.mid),
            once_mg=round(once_mg),
        )
    if max(morning.value.mid, case.athlete.caffeine_habit_mg_per_day or 0) > day_mg:
        yield find("plan.caffeine_habit", "athlete.caffeine_habit", day_mg=round(day_mg))
    if peaks["high"] > _peak([(0.0, once_mg)], lives["high"]):
        yield find(
            "plan.caffeine_stacks", "caffeine.peak_mg", peak_mg=round(peaks["high"]), once_mg=round(once_mg)
        )
