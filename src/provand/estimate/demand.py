"""What the race costs this body: power step by step, the share of it from carbohydrate, the stores."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

from provand.case.case import Case
from provand.case.course import Course
from provand.estimate.pace import PaceCase, PaceTable, grades_of
from provand.figure import Figure, Range, Trace
from provand.physiology.cost import looney_walking_w_per_kg, minetti_running_j_per_kg_per_m
from provand.physiology.metabolic import resting_power_w_per_kg
from provand.physiology.substrate import race_intensity_frac, rapoport_share_frac
from provand.protocol.figures import from_rule
from provand.protocol.rules import assumption

REST_W_PER_KG = resting_power_w_per_kg(respiratory_ratio=0.85)

MOST_WALKING_M_PER_S = 1.96
"""The fastest walking that Looney 2019 (doi 10.1249/MSS.0000000000002002) holds for."""

GLUCOSE_G_PER_MMOL = 0.18016
J_PER_KCAL = 4184
KCAL_PER_G_GLUCOSE = 3.74
"""Energy of a gram of glucose."""


class Demand(NamedTuple):
    """The athlete's demand: gross power in each step for each pace case, and what stands behind it."""

    walker: bool
    power_w_per_kg: tuple[tuple[float, ...], ...]
    energy_kcal: Figure
    intensity: Figure | None
    share: Figure | None
    least_share: Figure | None
    muscle_start_g: Figure | None
    muscle_full_g: Figure | None
    muscle_floor_g: Figure | None
    liver_start_g: Figure | None

    def mean_w_per_kg(self, index: int, pace: PaceCase) -> float:
        """Return the mean gross power of one pace case."""
        steps = [b - a for a, b in pairwise(pace.elapsed_s)]
        return (
            math.fsum(p * s for p, s in zip(self.power_w_per_kg[index], steps, strict=True)) / pace.finish_s
        )


def is_walker(case: Case, finish_s: float) -> bool:
    """True for a planned walker, or a goal slower than the walking limit (an estimate of ours)."""
    limit = assumption("walker.speed").band.mid
    return case.athlete.walks or case.race.distance_m / finish_s * 3.6 < limit


def cost_w_per_kg(*, speed_m_per_s: float, grade_frac: float) -> float:
    """Return the power of a step: running, or at walking speeds the lesser of running and walking."""
    running = minetti_running_j_per_kg_per_m(grade_frac=grade_frac) * speed_m_per_s + REST_W_PER_KG
    if speed_m_per_s > MOST_WALKING_M_PER_S:
        return running
    return min(running, looney_walking_w_per_kg(speed_m_per_s=speed_m_per_s, grade_frac=grade_frac))


def _power(course: Course, pace: PaceCase) -> tuple[float, ...]:
    steps = zip(pairwise(pace.x_m), pairwise(pace.elapsed_s), grades_of(course), strict=True)
    return tuple(
        cost_w_per_kg(speed_m_per_s=(end - start) / (after - before), grade_frac=grade)
        for (start, end), (before, after), grade in steps
    )


def demand_of(trace: Trace, case: Case, pace: PaceTable, *, loaded: str) -> Demand:
    """Return the demand of the race; a walker has energy only, no stores.

    `loaded` names the state of the muscle store at the start: ordinary, rested or loaded.
    """
    walker = is_walker(case, pace.goal.finish_s)
    power = tuple(_power(case.course, one) for one in pace.cases)
    mass = trace["athlete.body_mass_kg"]
    energies = [
        mass.value.mid
        * math.fsum(p * (b - a) for p, (a, b) in zip(row, pairwise(one.elapsed_s), strict=True))
        / J_PER_KCAL
        for row, one in zip(power, pace.cases, strict=True)
    ]
    doubt = assumption("cost.spread").band
    energy = trace.add(
        "demand.energy_kcal_per_race",
        Range(low=min(energies) * doubt.low, mid=energies[1], high=max(energies) * doubt.high),
        how="equation",
        by="minetti_running_j_per_kg_per_m and rest; looney_walking_w_per_kg where walking costs less",
        source="minetti2002",
        at="sum over the steps of the course, each at its own grade and speed",
        mark="computed",
        inputs=[mass, trace["race.early_finish_s"], trace["race.goal_finish_s"], trace["race.slow_finish_s"]],
    )
    if walker:
        return Demand(True, power, energy, None, None, None, None, None, None, None)
    intensity, share, least = _shares(trace, case)
    return Demand(False, power, energy, intensity, share, least, *_stores(trace, case, loaded))


def _shares(trace: Trace, case: Case) -> tuple[Figure, Figure, Figure]:
    intensity = trace.apply(
        race_intensity_frac, "demand.intensity_frac", finish_s=trace["race.goal_finish_s"]
    )
    least = trace.apply(rapoport_share_frac, "demand.least_carb_share_frac", intensity_frac=intensity)
    rule = assumption("share.offset")
    offset = from_rule(trace, "demand.share_offset_frac", rule)
    if case.athlete.sex == "female":
        lower = assumption("share.offset_women")
        moved = _moved(offset.value, lower.band.mid)
        offset = from_rule(trace, "demand.own_share_offset_frac", lower, moved, inputs=[offset])
    ends = [
        min(1.0, max(0.0, least.value.mid + getattr(offset.value, end))) for end in ("low", "mid", "high")
    ]
    share = from_rule(
        trace,
        "demand.carb_share_frac",
        rule,
        Range(low=ends[0], mid=ends[1], high=ends[2], means="p5-p95"),
        by="share of trained fasted cyclists, moved to fed runners",
        inputs=[least, offset],
    )
    return intensity, share, least


def _moved(value: Range, by: float) -> Range:
    return Range(low=value.low + by, mid=value.mid + by, high=value.high + by, means=value.means)


def _times(value: Range, factor: float) -> Range:
    return Range(low=value.low * factor, mid=value.mid * factor, high=value.high * factor, means=value.means)


def _stores(trace: Trace, case: Case, loaded: str) -> tuple[Figure, Figure, Figure, Figure]:
    mass, share = trace["athlete.body_mass_kg"], assumption("muscle.active")
    women = assumption("muscle.women").band.mid if case.athlete.sex == "female" else 1.0
    active = from_rule(
        trace, "store.active_muscle_kg", share, mass.value.mid * share.band.mid * women, inputs=[mass]
    )

    def muscle(name: str, key: str) -> Figure:
        rule = assumption(key)
        level = from_rule(trace, f"store.muscle_{name}_mmol_per_kg", rule)
        grams = _times(level.value, active.value.mid * GLUCOSE_G_PER_MMOL)
        by = "store per kilogram of active muscle, as glucose"
        return from_rule(trace, f"store.muscle_{name}_g", rule, grams, by=by, inputs=[level, active])

    liver = assumption("liver.concentration")
    level = from_rule(trace, "store.liver_mmol_per_l", liver)
    liver_g = _times(level.value, assumption("liver.volume").band.mid * GLUCOSE_G_PER_MMOL)
    return (
        muscle("start", f"store.{loaded}"),
        muscle("full", "store.full"),
        muscle("floor", "store.floor"),
        from_rule(
            trace,
            "store.liver_start_g",
            liver,
            liver_g,
            by="liver store after breakfast, as glucose",
            inputs=[level],
        ),
    )


def carb_use(trace: Trace, pace: PaceTable, demand: Demand) -> Figure | None:
    """Return the carbohydrate that the race asks for in an hour, as if no store emptied; None for walkers.

    A run with nothing eaten would burn less as its stores empty: that is no measure of what to eat.
    """
    if demand.share is None:
        return None
    share, energy = demand.share.value, demand.energy_kcal.value
    hours = [one.finish_s / 3600 for one in pace.cases]
    ends = (
        share.low * energy.low / max(hours),
        share.mid * energy.mid / hours[1],
        share.high * energy.high / min(hours),
    )
    low, mid, high = (end / KCAL_PER_G_GLUCOSE for end in ends)
    return trace.add(
        "demand.carb_use_g_per_h",
        Range(low=low, mid=mid, high=high, means="p5-p95"),
        how="equation",
        by="share of the energy from carbohydrate, at 3.74 kcal a gram of glucose",
        source="jeukendrup2005",
        at="carb_burn_g_per_min over the whole race, early to slow",
        mark="computed",
        inputs=[demand.energy_kcal, demand.share, trace["race.goal_finish_s"]],
    )
