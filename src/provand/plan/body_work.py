"""All about this body in this race that does not depend on what is planned: times, heat, cost, ceilings."""

from __future__ import annotations

from typing import NamedTuple

from provand.case.case import Case
from provand.case.when import age_years
from provand.estimate.demand import Demand, carb_use, demand_of
from provand.estimate.finish import Finish, finish_times
from provand.estimate.heat import Heat, heat_of
from provand.estimate.pace import PaceTable, pace_table
from provand.estimate.sweat import Sweat, sweat_of
from provand.figure import Figure, Range, Series, Trace
from provand.finding import Finding, find
from provand.protocol.asks import typed
from provand.protocol.rules import assumption
from provand.safety.ceilings import Ceilings, ceilings_of, is_minor
from provand.safety.limits import Limits, windows_of
from provand.safety.refusals import refused_items
from provand.safety.screening import Screening
from provand.safety.taken import earlier_caffeine, glucose_waiting_g
from provand.units import read_number

ELAPSED = "race.elapsed_s"


class BodyWork(NamedTuple):
    """The body and the race before anything is planned, with the trace that all figures stand in."""

    trace: Trace
    heat: Heat
    finish: Finish
    pace: PaceTable
    demand: Demand
    sweat: Sweat
    ceilings: Ceilings
    carb_use: Figure | None
    age_years: float | None
    minor: bool

    @property
    def elapsed(self) -> Series:
        """Elapsed time along the course: early as low, goal as mid, slow as high."""
        early, goal, slow = self.pace.cases
        return Series(of=ELAPSED, x_m=goal.x_m, low=early.elapsed_s, mid=goal.elapsed_s, high=slow.elapsed_s)

    def findings(self) -> list[Finding]:
        """Return what must be said about times, heat and sweat."""
        found = [*self.finish.findings, *self.heat.findings, *self.sweat.findings]
        if not self.sweat.balanced:
            found.append(find("sweat.unbalanced", "weather"))
        if self.ceilings.allowance_leads:
            found.append(find("sweat.capped", "athlete.sweat_tests"))
        return found


def loading_state(case: Case, screening: Screening, *, minor: bool) -> str:
    """Return the state of the muscle store that may be counted on: ordinary unless a load was ticked by hand.

    It stays ordinary where no loading dose is part of the plan: for a minor, or where one is withheld.
    A ticked load of 8 g/kg a day or more counts as loaded, from 5 as rested: our estimate, on the trials that
    the store figures cite. For women an ordinary load moves the store little, so they count as rested.
    """
    dose = next((o for o in case.wishes.overrides if o.what == "load.dose_g_per_kg_per_day"), None)
    if dose is None or minor or not {"loading", "grams"}.isdisjoint(screening.withheld):
        return "ordinary"
    grams = read_number(dose.value, "g/kg/day", "wishes.overrides", 0, 20)
    if grams >= LOADED_FROM_G and case.athlete.sex == "male":
        return "loaded"
    return "rested" if grams >= RESTED_FROM_G else "ordinary"


LOADED_FROM_G, RESTED_FROM_G = 8.0, 5.0


def given_figures(trace: Trace, case: Case) -> None:
    """Keep the typed numbers that the estimates need, each with the text it was typed as."""
    athlete, race, weather = case.athlete, case.race, case.weather
    trace.given("athlete.body_mass_kg", athlete.body_mass_kg, typed(case, "athlete.body_mass_kg"))
    trace.given("athlete.height_m", athlete.height_m, typed(case, "athlete.height_m"))
    trace.given("race.distance_m", race.distance_m, typed(case, "race.distance_m"))
    trace.given("race.own_offset_s", race.own_offset_s, typed(case, "race.own_offset_s"))
    trace.given("weather.air_temp_c", weather.air_temp_c, typed(case, "weather.air_temp_c"))
    trace.given("weather.humidity_frac", weather.humidity_frac, typed(case, "weather.humidity_frac"))
    trace.given("weather.wind_m_per_s", weather.wind_m_per_s, typed(case, "weather.wind_m_per_s"))
    if athlete.born is not None:
        age = age_years(athlete.born, race.gun.date())
        trace.given(
            "athlete.age_years", float(age), f"born {athlete.born.isoformat()}, on the day of the race"
        )
    if athlete.usual_carb_g_per_day is not None:
        trace.given(
            "athlete.usual_carb_g_per_day",
            athlete.usual_carb_g_per_day,
            typed(case, "athlete.usual_carb_g_per_day"),
        )


def work_out(case: Case, screening: Screening) -> BodyWork:
    """Return times, heat, demand, sweat and ceilings of one case, all in one trace."""
    trace = Trace()
    given_figures(trace, case)
    heat = heat_of(trace, case)
    finish = finish_times(trace, case, slowdown=heat.slowdown, struck=heat.struck)
    pace = pace_table(case.course, finish, fade_frac=assumption("pace.fade").band.mid)
    trace.add(
        ELAPSED,
        Range(low=finish.early.value.mid, mid=finish.goal.value.mid, high=finish.slow.value.mid),
        how="equation",
        by="fade_elapsed_frac and flat_equivalent_ratio along the course, scaled to each finish",
        source="minetti2002",
        at="cost of slopes over cost of the level; fade from nikolaidis2019",
        mark="computed",
        inputs=[finish.early, finish.goal, finish.slow, trace["race.distance_m"]],
    )
    age = trace["athlete.age_years"].value.mid if "athlete.age_years" in trace else None
    minor = is_minor(screening, age)
    demand = demand_of(trace, case, pace, loaded=loading_state(case, screening, minor=minor))
    sweat = sweat_of(trace, case, pace, demand, heat)
    ceilings = ceilings_of(trace, case, pace, sweat, screening, age_years=age)
    use = carb_use(trace, pace, demand)
    return BodyWork(trace, heat, finish, pace, demand, sweat, ceilings, use, age, minor)


def limits_of(case: Case, work: BodyWork, screening: Screening) -> Limits:
    """Return every limit that the gate checks a schedule of this case against."""
    ceilings = work.ceilings
    rate_g_per_h = ceilings.one_sugar.value.low
    return Limits(
        fluid_ceiling=ceilings.fluid,
        caffeine_once_mg=ceilings.caffeine_once.value.low,
        caffeine_day_mg=ceilings.caffeine_day.value.low,
        one_sugar_g_per_h=rate_g_per_h,
        last_intake_s=work.pace.slow.finish_s - 60 * assumption("intake.last_before_finish").band.mid,
        refused=refused_items(case, {item.id: item for item in case.items}, screening.withheld),
        withheld=tuple(screening.withheld),
        windows=windows_of(case.race),
        earlier_caffeine=earlier_caffeine(case),
        glucose_waiting_g=glucose_waiting_g(case, rate_g_per_h=rate_g_per_h),
    )
