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
from provand.protocol.rules import Rule, assumption

Z_5_95 = 1.645
"""Normal deviate of the 5th and 95th percentile."""

REST_W_PER_KG = resting_power_w_per_kg(respiratory_ratio=0.85)

GLUCOSE_G_PER_MMOL = 0.18016
J_PER_KCAL = 4184


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
        return math.fsum(p * s for p, s in zip(self.power_w_per_kg[index], steps, strict=True)) / pace.finish_s


def from_rule(trace: Trace, figure_id: str, rule: Rule, value: Range | None = None) -> Figure:
    """Keep an assumption as a figure with its source and mark; a draw is shown from 5 to 95 %."""
    return trace.add(
        figure_id, value or draw(rule), how="rule", by=rule.id, source=rule.source, at=rule.at, mark=rule.mark
    )


def draw(rule: Rule) -> Range:
    """Return the 5 to 95 % range of an assumption that has a spread, inside its bounds; else its band."""
    if rule.sd is None:
        return rule.band
    ends = [min(max(rule.band.mid + sign * Z_5_95 * rule.sd, rule.band.low), rule.band.high) for sign in (-1, 1)]
    return Range(low=ends[0], mid=rule.band.mid, high=ends[1], means="p5-p95")


def is_walker(case: Case, finish_s: float) -> bool:
    """True for a planned walker, or a goal slower than the walking limit (an estimate of ours)."""
    limit = assumption("walker.speed").band.mid
    return case.athlete.walks or case.race.distance_m / finish_s * 3.6 < limit


def _power(course: Course, pace: PaceCase, *, walker: bool) -> tuple[float, ...]:
    powers = []
    for (start, end), (before, after), grade in zip(
        pairwise(pace.x_m), pairwise(pace.elapsed_s), grades_of(course), strict=True
    ):
        speed = (end - start) / (after - before)
        if walker:
            powers.append(looney_walking_w_per_kg(speed_m_per_s=speed, grade_frac=grade))
        else:
            powers.append(minetti_running_j_per_kg_per_m(grade_frac=grade) * speed + REST_W_PER_KG)
    return tuple(powers)


def demand_of(trace: Trace, case: Case, pace: PaceTable, *, loaded: str) -> Demand:
    """Return the demand of the race; a walker has energy only, no stores.

    `loaded` names the state of the muscle store at the start: ordinary, rested or loaded.
    """
    walker = is_walker(case, pace.goal.finish_s)
    power = tuple(_power(case.course, one, walker=walker) for one in pace.cases)
    mass = trace["athlete.body_mass_kg"]
    energies = [
        mass.value.mid * math.fsum(p * (b - a) for p, (a, b) in zip(row, pairwise(one.elapsed_s), strict=True)) / J_PER_KCAL
        for row, one in zip(power, pace.cases, strict=True)
    ]
    doubt = assumption("cost.spread").band
    energy = trace.add(
        "demand.energy_kcal_per_race",
        Range(low=min(energies) * doubt.low, mid=energies[1], high=max(energies) * doubt.high),
        how="equation",
        by="looney_walking_w_per_kg along the course" if walker else "minetti_running_j_per_kg_per_m along the course, rest added",
        source="looney2019" if walker else "minetti2002",
        at="sum over the steps of the course, each at its own grade and speed",
        mark="computed",
        inputs=[mass, trace["race.early_finish_s"], trace["race.goal_finish_s"], trace["race.slow_finish_s"]],
    )
    if walker:
        return Demand(True, power, energy, None, None, None, None, None, None, None)
    intensity, share, least = _shares(trace, case)
    return Demand(False, power, energy, intensity, share, least, *_stores(trace, case, loaded))


def _shares(trace: Trace, case: Case) -> tuple[Figure, Figure, Figure]:
    finish = trace["race.goal_finish_s"]
    intensity = trace.apply(race_intensity_frac, "demand.intensity_frac", finish_s=finish)
    least = trace.apply(rapoport_share_frac, "demand.least_carb_share_frac", intensity_frac=intensity)
    rule = assumption("share.offset")
    offset = from_rule(trace, "demand.share_offset_frac", rule)
    if case.athlete.sex == "female":
        lower = assumption("share.offset_women")
        shift = lower.band.mid
        moved = Range(
            low=offset.value.low + shift, mid=offset.value.mid + shift, high=offset.value.high + shift, means="p5-p95"
        )
        offset = trace.add(
            "demand.own_share_offset_frac", moved, how="rule", by=lower.id, inputs=[offset],
            source=lower.source, at=lower.at, mark=lower.mark,
        )  # fmt: skip
    ends = [min(1.0, max(0.0, least.value.mid + getattr(offset.value, end))) for end in ("low", "mid", "high")]
    share = trace.add(
        "demand.carb_share_frac",
        Range(low=ends[0], mid=ends[1], high=ends[2], means="p5-p95"),
        how="rule",
        by="share of trained fasted cyclists, moved to fed runners",
        inputs=[least, offset],
        source=rule.source,
        at=rule.at,
        mark=rule.mark,
    )
    return intensity, share, least


def _stores(trace: Trace, case: Case, loaded: str) -> tuple[Figure, Figure, Figure, Figure]:
    mass = trace["athlete.body_mass_kg"]
    share = assumption("muscle.active")
    women = assumption("muscle.women").band.mid if case.athlete.sex == "female" else 1.0
    active = trace.add(
        "store.active_muscle_kg", mass.value.mid * share.band.mid * women, how="rule", by=share.id, inputs=[mass],
        source=share.source, at=share.at, mark=share.mark,
    )  # fmt: skip
    figures = []
    for name, key in (("start", f"store.{loaded}"), ("full", "store.full"), ("floor", "store.floor")):
        rule = assumption(key)
        level = from_rule(trace, f"store.muscle_{name}_mmol_per_kg", rule)
        grams = active.value.mid * GLUCOSE_G_PER_MMOL
        value = Range(
            low=level.value.low * grams, mid=level.value.mid * grams, high=level.value.high * grams, means=level.value.means
        )
        figures.append(
            trace.add(
                f"store.muscle_{name}_g", value, how="rule", by="store per kilogram of active muscle, as glucose",
                inputs=[level, active], source=rule.source, at=rule.at, mark=rule.mark,
            )  # fmt: skip
        )
    liver = assumption("liver.concentration")
    level = from_rule(trace, "store.liver_mmol_per_l", liver)
    size = assumption("liver.volume").band.mid * GLUCOSE_G_PER_MMOL
    value = Range(low=level.value.low * size, mid=level.value.mid * size, high=level.value.high * size, means="p5-p95")
    figures.append(
        trace.add(
            "store.liver_start_g", value, how="rule", by="liver store after breakfast, as glucose", inputs=[level],
            source=liver.source, at=liver.at, mark=liver.mark,
        )  # fmt: skip
    )
    start, full, floor, liver_start = figures
    return start, full, floor, liver_start
