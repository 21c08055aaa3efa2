"""What no plan may exceed: fluid, caffeine at once and in 24 hours, one sugar. Always there, never None.

The fluid ceiling is the athlete's own sweat loss at its low estimate, in the case that sweats least, so
that nobody is planned to drink more than they lose. In cool air, where the heat balance knows nothing,
a small allowance stands in its place. A line of serum sodium caps both. Salt is no argument of any of it.
"""

from __future__ import annotations

from typing import NamedTuple

from provand.case.case import Case
from provand.estimate.pace import PaceTable
from provand.estimate.sweat import Sweat
from provand.figure import Figure, Range, Series, Trace
from provand.physiology.sodium import body_water_l, sodium_line_l
from provand.protocol.figures import from_rule
from provand.protocol.rules import assumption, value
from provand.safety.screening import Screening


class Allowance(NamedTuple):
    """The cool-air allowance of one athlete: how much, and how much of it before when."""

    whole_ml: float
    early_ml: float
    early_until_s: float

    def at_ml(self, elapsed_s: float) -> float:
        """Return the allowance after a time."""
        return min(self.whole_ml, self.early_ml) if elapsed_s < self.early_until_s else self.whole_ml


class SodiumLine(NamedTuple):
    """What the serum-sodium line is computed with: low body water, high sweat sodium, both ends of serum."""

    start_mmol_per_l: float
    low_mmol_per_l: float
    sweat_mmol_per_l: float
    potassium_mmol_per_l: float
    water_l: float

    def at_ml(self, low_loss_ml: float) -> float:
        """Return the fluid at which serum sodium would reach its lower limit, never below zero."""
        line = sodium_line_l(
            sweat_loss_l=low_loss_ml / 1000,
            start_sodium_mmol_per_l=self.start_mmol_per_l,
            low_sodium_mmol_per_l=self.low_mmol_per_l,
            sweat_sodium_mmol_per_l=self.sweat_mmol_per_l,
            sweat_potassium_mmol_per_l=self.potassium_mmol_per_l,
            body_water_l=self.water_l,
        )
        return max(0.0, 1000 * line)


def ceiling_ml(*, low_loss_ml: float, elapsed_s: float, allowance: Allowance, line: SodiumLine) -> float:
    """Return the fluid ceiling after a time: the larger of low loss and allowance, under the sodium line."""
    return min(max(low_loss_ml, allowance.at_ml(elapsed_s)), line.at_ml(low_loss_ml))


class Ceilings(NamedTuple):
    """Every ceiling of a plan."""

    fluid: Series
    fluid_finish: Figure
    allowance_leads: bool
    caffeine_once: Figure
    caffeine_day: Figure
    one_sugar: Figure


def ceilings_of(
    trace: Trace, case: Case, pace: PaceTable, sweat: Sweat, screening: Screening, *, age_years: float | None
) -> Ceilings:
    """Return the ceilings of this athlete in this race, each a figure that explains itself."""
    allowance, allowance_figure = _allowance(trace, sweat, screening)
    line, line_figures = _line(trace, case, screening)
    nodes, values = _nodes(case), []
    leads = False
    for x in nodes:
        at_x = []
        for index, one in enumerate(pace.cases):
            elapsed = one.time_at_s(x)
            loss = sweat.low_loss_ml(index, elapsed)
            at_x.append(ceiling_ml(low_loss_ml=loss, elapsed_s=elapsed, allowance=allowance, line=line))
            leads = leads or (x == nodes[-1] and allowance.at_ml(elapsed) >= loss)
        values.append(min(at_x))
    finish = trace.add(
        "ceiling.fluid_ml_per_race",
        values[-1],
        how="rule",
        by="own loss at its low estimate, in the case that sweats least; cool-air allowance; serum line",
        source="hewbutler2015",
        at="drinking beyond losses is the main cause; the formula and the allowance are ours",
        mark="estimate",
        inputs=[*sweat.rates, allowance_figure, *line_figures],
    )
    so_far = trace.add(
        "ceiling.fluid_so_far_ml", Range.of(values[0], values[-1], values[-1]), how="rule",
        by="the same ceiling along the course, each place at its least case", source="hewbutler2015",
        at="along the course", mark="estimate", inputs=[finish],
    )  # fmt: skip
    series = Series(of=so_far.id, x_m=tuple(nodes), low=tuple(values), mid=tuple(values), high=tuple(values))
    once, day = _caffeine(trace, screening, minor=is_minor(screening, age_years))
    sugar = from_rule(trace, "ceiling.one_sugar_g_per_h", assumption("rate.one_sugar"))
    return Ceilings(series, finish, leads, once, day, sugar)


def _nodes(case: Case) -> list[float]:
    return sorted({*case.course.x_m, *(station.at_m for station in case.course.stations)})


def _allowance(trace: Trace, sweat: Sweat, screening: Screening) -> tuple[Allowance, Figure]:
    mass = trace["athlete.body_mass_kg"]
    share = _share(trace)
    whole = min(1000 * mass.value.mid * share.value.mid, sweat.middle_least_loss_ml.value.mid)
    early = assumption("ceiling.first").band.mid
    careful = screening.fluid_care == "half"
    if careful:
        whole, early = whole * assumption("ceiling.half").band.mid, 0.0
    figure = trace.add(
        "ceiling.cool_allowance_ml",
        whole,
        how="rule",
        by="least of a share of body mass and the middle loss of the case that sweats least",
        source="estimate",
        at="our own",
        mark="estimate",
        inputs=[mass, share, sweat.middle_least_loss_ml],
    )
    until = assumption("ceiling.half_from" if careful else "ceiling.first_until").band.mid
    return Allowance(whole, early, 60 * until), figure


def _share(trace: Trace) -> Figure:
    rule = assumption("ceiling.cool_share")
    return from_rule(trace, "ceiling.allowance_frac", rule, rule.band.mid / 100)


def _line(trace: Trace, case: Case, screening: Screening) -> tuple[SodiumLine, list[Figure]]:
    key = "water.women" if case.athlete.sex != "male" else "water.men"
    share = from_rule(trace, "sodium.body_water_frac", assumption(key))
    water = trace.apply(
        body_water_l, "sodium.body_water_l", body_mass_kg=trace["athlete.body_mass_kg"], water_frac=share
    )
    sweat = from_rule(trace, "sodium.sweat_mmol_per_l", assumption("sweat.sodium"))
    potassium = from_rule(trace, "sodium.sweat_potassium_mmol_per_l", assumption("sweat.potassium"))
    start = from_rule(
        trace,
        "sodium.start_mmol_per_l",
        assumption("ceiling.sodium"),
        screening.sodium_line_mmol_per_l,
        by="start value of the sodium line",
    )
    low = from_rule(trace, "sodium.low_mmol_per_l", assumption("ceiling.sodium_low"))
    line = SodiumLine(
        start.value.low, low.value.high, sweat.value.high, potassium.value.high, water.value.low
    )
    return line, [water, sweat, potassium, start, low]


def is_minor(screening: Screening, age_years: float | None) -> bool:
    """Return whether a minor's limits hold: by the screening, on the day of the race, or without an age."""
    return screening.minor or age_years is None or age_years < value("age.adult").low


def _caffeine(trace: Trace, screening: Screening, *, minor: bool) -> tuple[Figure, Figure]:
    """Return the ceilings at once and in any 24 hours; a minor's are by body mass.

    What the screening allows in 24 hours lowers both: at once is never more than in 24 hours. A minor may
    have no more at once than an adult.
    """
    mass = [trace["athlete.body_mass_kg"]] if minor else []
    of_day = assumption("caffeine.minor_day" if minor else "caffeine.day")
    of_once = assumption("caffeine.single")
    most_mg = of_day.band.mid * (mass[0].value.mid if minor else 1.0)
    if screening.caffeine_day_most_mg is not None:
        most_mg = min(most_mg, screening.caffeine_day_most_mg)
    once_mg = min(most_mg, of_once.band.mid)
    leads = of_day if minor and once_mg < of_once.band.mid else of_once
    return (
        from_rule(trace, "ceiling.caffeine_once_mg", leads, once_mg, inputs=mass),
        from_rule(trace, "ceiling.caffeine_mg_per_day", of_day, most_mg, inputs=mass),
    )
