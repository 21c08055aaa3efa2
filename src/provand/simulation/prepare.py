"""From the case to runs of one body: who runs, over what steps, swallowing what; bounds from the corners."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, product
from typing import NamedTuple

from provand.case.case import Case
from provand.estimate.demand import J_PER_KCAL, Demand, from_rule
from provand.estimate.pace import PaceTable
from provand.estimate.sweat import Sweat
from provand.figure import Figure, Range, Series, Trace
from provand.protocol.rules import assumption
from provand.simulation.body import Feed, Person, Run, Step, simulate

SEVENTY_KG = 70.0
HARD_FROM_FRAC, HARDEST_FRAC = 0.70, 0.85
HARD_EMPTYING_FRAC = 0.75


class Stores(NamedTuple):
    """What the runs show: carbohydrate used, stores and gut along the course, water, and where short."""

    carb_use: Figure
    muscle: Series
    liver: Series
    gut: Series
    figures: tuple[Figure, ...]
    short_from_m: float | None


def steps_of(case: Case, pace: PaceTable, demand: Demand, index: int) -> list[Step]:
    """Return the steps of one pace case, each with its time and cost."""
    one = pace.cases[index]
    mass = case.athlete.body_mass_kg
    return [
        Step(end, (after - before) / 60, mass * power * 60 / J_PER_KCAL)
        for (_, end), (before, after), power in zip(
            pairwise(one.x_m), pairwise(one.elapsed_s), demand.power_w_per_kg[index], strict=True
        )
    ]


def _emptying_frac(intensity: float) -> float:
    """Return how much of the emptying rate is left at an intensity: full to 0.70, the middle of a half at 0.85."""
    share = min(1.0, max(0.0, (intensity - HARD_FROM_FRAC) / (HARDEST_FRAC - HARD_FROM_FRAC)))
    return 1 - share * (1 - HARD_EMPTYING_FRAC)


def person_of(case: Case, demand: Demand, sweat_ml_per_h: float, start: str, share: str) -> Person:
    """Return the body of one run: `start` and `share` name the ends of store and share (low, mid, high)."""
    assert demand.share and demand.least_share and demand.intensity
    assert demand.muscle_start_g and demand.muscle_full_g and demand.muscle_floor_g and demand.liver_start_g
    mass = case.athlete.body_mass_kg
    return Person(
        body_mass_kg=mass,
        muscle_start_g=max(getattr(demand.muscle_start_g.value, start), demand.muscle_floor_g.value.mid),
        muscle_full_g=demand.muscle_full_g.value.mid,
        muscle_floor_g=demand.muscle_floor_g.value.mid,
        liver_start_g=getattr(demand.liver_start_g.value, start),
        liver_output_g_per_min=assumption("liver.output").band.mid * mass / SEVENTY_KG,
        new_glucose_g_per_min=assumption("liver.new_glucose").band.mid,
        output_held_frac=assumption("liver.held").band.mid,
        sparing_frac=assumption("muscle.sparing").band.mid,
        from_active_frac=assumption("muscle.from_active").band.mid,
        least_share_frac=demand.least_share.value.mid,
        share_frac=getattr(demand.share.value, share),
        emptying_frac=_emptying_frac(demand.intensity.value.mid),
        sweat_ml_per_h=sweat_ml_per_h,
    )


def carb_use(trace: Trace, case: Case, pace: PaceTable, demand: Demand, sweat: Sweat) -> Figure | None:
    """Return the carbohydrate burnt in an hour when nothing is eaten, over pace cases and corners; None for walkers."""
    if demand.walker:
        return None
    rates = {}
    for index, one in enumerate(pace.cases):
        steps = steps_of(case, pace, demand, index)
        for start, share in product(("low", "mid", "high"), repeat=2):
            run = simulate(steps, [], person_of(case, demand, 0.0, start, share))
            rates[one.name, start, share] = run.used_g / one.finish_s * 3600
    return trace.add(
        "demand.carb_use_g_per_h",
        Range(low=min(rates.values()), mid=rates["goal", "mid", "mid"], high=max(rates.values()), means="p5-p95"),
        how="simulated",
        by="body of one race, nothing eaten; corners of start store and share, early to slow",
        source="estimate",
        at="store balance on published equations; see the equations page",
        mark="estimate",
        inputs=_inputs(trace, demand),
    )


def _inputs(trace: Trace, demand: Demand) -> list[Figure]:
    found = [demand.energy_kcal, demand.share, demand.least_share, demand.muscle_start_g, demand.muscle_full_g,
             demand.muscle_floor_g, demand.liver_start_g]  # fmt: skip
    return [trace["race.goal_finish_s"], *(figure for figure in found if figure is not None)]


def _ends(runs: Sequence[Run], mid: Run, pool: str) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    columns = list(zip(*(getattr(run, pool) for run in runs), strict=True))
    return tuple(map(min, columns)), tuple(getattr(mid, pool)), tuple(map(max, columns))


def stores(
    trace: Trace,
    case: Case,
    pace: PaceTable,
    demand: Demand,
    sweat: Sweat,
    feeds: Sequence[Feed],
    swallowed: Sequence[Figure],
) -> Stores | None:
    """Return stores, gut and water along the course with what is planned swallowed; None for walkers.

    One run per pace case and corner of start store, share and sweat (5 and 95 %); the middle is the goal.
    """
    if demand.walker:
        return None
    runs, middle = [], None
    for index in range(len(pace.cases)):
        steps = steps_of(case, pace, demand, index)
        rate = sweat.rates[index].value
        for start, share, end in product(("low", "high"), repeat=3):
            runs.append(simulate(steps, feeds, person_of(case, demand, getattr(rate, end), start, share)))
        mid = simulate(steps, feeds, person_of(case, demand, rate.mid, "mid", "mid"))
        runs.append(mid)
        middle = mid if pace.cases[index].name == "goal" else middle
    assert middle is not None
    inputs = [*_inputs(trace, demand), *sweat.rates, *swallowed]
    rounded_nodes = middle.x_m
    series, figures = [], []
    for name, pool in (("store.muscle_g", "muscle_g"), ("store.liver_g", "liver_g"), ("store.gut_g", "waiting_g")):
        low, mid_values, high = _ends(runs, middle, pool)
        figures.append(
            trace.add(
                name, Range(low=low[-1], mid=mid_values[-1], high=high[-1], means="p5-p95"), how="simulated",
                by="body of one race, at the finish; corners of start store, share and sweat", source="estimate",
                at="store balance on published equations; see the equations page", mark="estimate", inputs=inputs,
            )  # fmt: skip
        )
        series.append(Series(of=name, x_m=rounded_nodes, low=low, mid=mid_values, high=high))
    low, mid_values, high = _ends(runs, middle, "water_change_ml")
    figures.append(
        trace.add(
            "body.water_change_ml", Range(low=low[-1], mid=mid_values[-1], high=high[-1], means="p5-p95"), how="simulated",
            by="planned fluid less sweat at the finish", source="estimate", at="our own", mark="estimate", inputs=inputs,
        )  # fmt: skip
    )
    short = [run.short_from_m for run in runs if run.short_from_m is not None]
    return Stores(trace["demand.carb_use_g_per_h"], series[0], series[1], series[2], tuple(figures), min(short, default=None))


