"""From the case to runs of one body: who runs, over what steps, swallowing what; bounds from the corners."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, product
from typing import NamedTuple

from provand.case.case import Case
from provand.estimate.demand import J_PER_KCAL, Demand
from provand.estimate.pace import PaceTable
from provand.estimate.sweat import Sweat
from provand.figure import Figure, Range, Series, Trace
from provand.protocol.rules import assumption
from provand.simulation.body import Feed, Person, Run, Step, simulate

SEVENTY_KG = 70.0
HARD_FROM_FRAC, HARDEST_FRAC = 0.70, 0.85
HARD_EMPTYING_FRAC = 0.75


class Stores(NamedTuple):
    """Stores and gut along the course, and the place from which a run was short."""

    muscle: Series
    liver: Series
    gut: Series
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
    """Return the share of the emptying rate that hard running leaves: all to 0.70, three quarters at 0.85."""
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


MODEL = "store balance on published equations; see the page on how a plan is computed"


class Prepared(NamedTuple):
    """One athlete in one race, ready to be run: the case, the pace cases, the demand and the sweat."""

    case: Case
    pace: PaceTable
    demand: Demand
    sweat: Sweat

    def steps(self, index: int) -> list[Step]:
        """Return the steps of one pace case."""
        return steps_of(self.case, self.pace, self.demand, index)

    def person(self, sweat_ml_per_h: float, start: str, share: str) -> Person:
        """Return the body of one run; see `person_of`."""
        return person_of(self.case, self.demand, sweat_ml_per_h, start, share)


def _simulated(trace: Trace, figure_id: str, value: Range, what: str, inputs: Sequence[Figure]) -> Figure:
    return trace.add(
        figure_id,
        value,
        how="simulated",
        by=f"body of one race: {what}",
        source="estimate",
        at=MODEL,
        mark="estimate",
        inputs=inputs,
    )


def _inputs(trace: Trace, demand: Demand) -> list[Figure]:
    shares = (demand.share, demand.least_share)
    pools = (demand.muscle_start_g, demand.muscle_full_g, demand.muscle_floor_g, demand.liver_start_g)
    found = [demand.energy_kcal, *shares, *pools]
    return [trace["race.goal_finish_s"], *(figure for figure in found if figure is not None)]


def _runs(ready: Prepared, feeds: Sequence[Feed]) -> tuple[list[Run], Run]:
    """Return a run for each pace case and corner of store, share and sweat; and the goal's middle run."""
    runs, middles = [], {}
    for index, one in enumerate(ready.pace.cases):
        steps, rate = ready.steps(index), ready.sweat.rates[index].value
        for start, share in product(("low", "high"), repeat=2):
            run = simulate(steps, feeds, ready.person(rate.low, start, share))
            runs += [run, run.sweating(rate.high)]
        middles[one.name] = simulate(steps, feeds, ready.person(rate.mid, "mid", "mid"))
    return [*runs, *middles.values()], middles["goal"]


def _along(name: str, pool: str, runs: Sequence[Run], middle: Run) -> Series:
    columns = list(zip(*(getattr(run, pool) for run in runs), strict=True))
    low, high = tuple(map(min, columns)), tuple(map(max, columns))
    return Series(of=name, x_m=middle.x_m, low=low, mid=getattr(middle, pool), high=high)


def stores(
    trace: Trace, ready: Prepared, feeds: Sequence[Feed], swallowed: Sequence[Figure]
) -> Stores | None:
    """Return stores, gut and water along the course with what is planned swallowed; None for walkers.

    One run per pace case and corner of start store, share and sweat (5 and 95 %); the middle is the goal.
    """
    if ready.demand.walker:
        return None
    runs, middle = _runs(ready, feeds)
    inputs = [*_inputs(trace, ready.demand), *ready.sweat.rates, *swallowed]
    names = {
        "store.muscle_g": ("muscle_g", "left at the finish"),
        "store.liver_g": ("liver_g", "left at the finish"),
        "store.gut_g": ("waiting_g", "swallowed and not yet absorbed at the finish"),
        "body.water_change_ml": ("water_change_ml", "planned fluid less sweat at the finish"),
    }
    series = {}
    for name, (pool, what) in names.items():
        series[name] = along = _along(name, pool, runs, middle)
        value = Range(low=along.low[-1], mid=along.mid[-1], high=along.high[-1], means="p5-p95")
        _simulated(trace, name, value, f"{what}; corners of start store, share and sweat", inputs)
    short = [run.short_from_m for run in runs if run.short_from_m is not None]
    return Stores(
        series["store.muscle_g"], series["store.liver_g"], series["store.gut_g"], min(short, default=None)
    )
