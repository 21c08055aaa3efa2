"""A plan is a pure function: the same case, screening and day give the same plan, to the byte."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from datetime import date, datetime, timedelta
from typing import NamedTuple

from provand.card import sources
from provand.case.ageing import ageing
from provand.case.case import Case
from provand.case.door import unknown_served
from provand.figure import Figure, Range, Series
from provand.finding import BadInput, Finding, OnHold, find
from provand.phrase import Phrase, phrase
from provand.plan.body_work import BodyWork, limits_of, work_out
from provand.plan.brought import needs_of_bottles
from provand.plan.caffeine import caffeine_in_time
from provand.plan.course_of_race import Placed, counted_fluid, feeds_of, place, race_sums, stops_of
from provand.plan.document import (
    CeilingUse,
    DrinkingLine,
    Goal,
    IfThen,
    Plan,
    ProtocolUse,
    RaceSchedule,
    SourceShown,
    plan_of,
)
from provand.plan.ladder import Grounds, Ladder, ladder
from provand.plan.lines import loading_lines, recovery_lines
from provand.plan.menu import MenuLaid, menu_of
from provand.plan.substitutes import Laid, stand_ins
from provand.plan.withheld import case_as_shown, is_hidden, seen, speaks_of, told
from provand.planner.if_then import IF_THEN, THIRST, drinking_line
from provand.planner.places import first_named
from provand.planner.pose import pose
from provand.planner.problem import Mode, RaceInputs, Solution, ThirstLine
from provand.planner.race import solve
from provand.protocol.firing import Fired
from provand.protocol.own import Protocols, shipped
from provand.protocol.rules import OURS, SHIPPED, Protocol, protocol, stale_rules, value
from provand.protocol.targets import Targets, targets
from provand.safety.limits import Limits, Permission
from provand.safety.screening import Screening
from provand.safety.taken import fluid_before_ml, fluid_let_go_ml
from provand.simulation.prepare import Prepared, stores
from provand.units import clock

CEILINGS = (
    ("fluid", "so far", "ceiling.fluid_so_far_ml"),
    ("caffeine at once", "single", "ceiling.caffeine_once_mg"),
    ("caffeine in 24 hours", "day", "ceiling.caffeine_mg_per_day"),
    ("one sugar", "rate", "ceiling.one_sugar_g_per_h"),
)


class _Drawn(NamedTuple):
    """What one drawing-up brings together."""

    case: Case
    screening: Screening
    protocols: Protocols
    work: BodyWork
    goals: Targets
    inputs: RaceInputs
    solution: Solution
    placed: tuple[Placed, ...]
    series: tuple[Series, ...]
    morning: Ladder
    menu: MenuLaid
    findings: tuple[Finding, ...]


def draw_up(case: Case, screening: Screening, *, protocols: Protocols | None = None, as_of: date) -> Plan:
    """Return the plan of a case under a screening, judged on a day.

    `protocols` are those that the case wishes for; without them the shipped ones, where the case names one
    of these. Raises BadInput where the case cannot be computed or wishes for other protocols, NoPlanFits
    where no schedule keeps limits and pins, OnHold without a birth date.
    """
    return draw_up_timed(case, screening, protocols=protocols, as_of=as_of).plan


class Timed(NamedTuple):
    """A plan, and the seconds that the solver took; the time belongs to no plan."""

    plan: Plan
    solver_s: float


def draw_up_timed(
    case: Case, screening: Screening, *, protocols: Protocols | None = None, as_of: date
) -> Timed:
    """Return the plan with the time its solver took; otherwise as `draw_up`."""
    protocols = _wished_for(case, protocols)
    work = work_out(case, screening)
    _refuse_pre_start(case, work)
    _refuse_pins_outside(case, work)
    goals = targets_of(case, screening, work, protocols=protocols, as_of=as_of)
    inputs = race_inputs(case, screening, work, goals)
    solution = solve(pose(inputs))
    placed = place(inputs, solution.intakes)
    fluid = counted_fluid(placed, solution.thirst, inputs)
    series, found = _after(work, inputs, placed, fluid)
    morning = ladder(_grounds(case, screening, work, goals))
    laid = menu_of(work.trace, case, goals, minor=work.minor, withheld=screening.withheld)
    plan = _document(
        _Drawn(
            case,
            screening,
            protocols,
            work,
            goals,
            inputs,
            solution,
            placed,
            series,
            morning,
            laid,
            (
                *screening.findings,
                *work.findings(),
                *goals.findings,
                *solution.findings,
                *case.course.remarks,
                *ageing(case, as_of),
                *unknown_served(case),
                *found,
                *morning.findings,
                *laid.findings,
                *_toilet_again(case),
                *_wish_left_out(inputs),
                *_about_time_and_wishes(inputs, solution),
                *_stale_assumptions(as_of),
            ),
        )
    )
    return Timed(plan, solution.solver_s)


def _grounds(case: Case, screening: Screening, work: BodyWork, goals: Targets) -> Grounds:
    """Return what race morning is made from."""
    ceilings = work.ceilings
    return Grounds(
        trace=work.trace,
        case=case,
        breakfast=goals.breakfast,
        drink=goals.drink_before,
        withheld=frozenset(screening.withheld),
        most_caffeine_mg=min(ceilings.caffeine_once.value.low, ceilings.caffeine_day.value.low),
        finish_slow_s=work.finish.slow.value.mid,
    )


def targets_of(
    case: Case, screening: Screening, work: BodyWork, *, protocols: Protocols, as_of: date
) -> Targets:
    """Return every target of a case, from what is known of this body in this race."""
    return targets(
        work.trace,
        case,
        race_time=_race_time(work),
        body_mass=work.trace["athlete.body_mass_kg"],
        carb_use_low=work.carb_use,
        age_years=_age(work),
        minor=work.minor,
        withheld=frozenset(screening.withheld),
        protocols=protocols,
        as_of=as_of,
    )


def _wished_for(case: Case, protocols: Protocols | None) -> Protocols:
    """Return the protocols that a case wishes for; BadInput where these are others, or a file not given."""
    name = case.wishes.protocol
    if protocols is None and name in SHIPPED:
        return shipped(name)
    if protocols is None or protocols.lead.id != name:
        raise BadInput(find("plan.protocol_not_given", "wishes.protocol", name=name))
    return protocols


def _refuse_pre_start(case: Case, work: BodyWork) -> None:
    """Raise BadInput for a drink before the start that the ceiling does not leave room for."""
    most = work.ceilings.fluid.low[0]
    ml = fluid_before_ml(case)
    if ml > most and case.race.taken:
        raise BadInput(find("plan.taken_too_much", "race.taken", ml=round(ml), most=int(most)))
    if ml > most:
        raise BadInput(find("plan.pre_start_too_much", "race.pre_start_drink", ml=round(ml), most=int(most)))


def _toilet_again(case: Case) -> Iterator[Finding]:
    """Yield what was drunk in the wait for a later start and is not counted."""
    ml = fluid_let_go_ml(case)
    if ml > 0:
        minutes = round(case.race.last_toilet_min)
        yield find("plan.toilet_again", "race.last_toilet", ml=round(ml), minutes=minutes)


def _wish_left_out(inputs: RaceInputs) -> Iterator[Finding]:
    """Yield that a wish for caffeine is not met where a race is too short for more than a rinse."""
    if inputs.mode != "rate" and inputs.case.wishes.caffeine_mg:
        yield find("plan.short_race_no_caffeine", "wishes.caffeine")


def _refuse_pins_outside(case: Case, work: BodyWork) -> None:
    """Raise BadInput for a pin by the clock or by elapsed time that lies outside the race."""
    slow_s, faults = work.finish.slow.value.mid, []
    for number, pin in enumerate(case.wishes.pinned, 1):
        at_s = pin.at_elapsed_s
        if pin.at_clock is not None:
            at_s = (pin.at_clock - case.race.own_start).total_seconds()
        if at_s is not None and not 0 <= at_s <= slow_s:
            faults.append(find("plan.pin_outside", f"wishes.pinned[{number}]", slow=clock(slow_s)))
    if faults:
        raise BadInput(*faults)


LONG_RACE_S = 5 * 3600


def _about_time_and_wishes(inputs: RaceInputs, solution: Solution) -> Iterator[Finding]:
    """Yield what a long race is beyond, and a wish for caffeine that is not met."""
    if inputs.pace.goal.finish_s > LONG_RACE_S:
        yield find("plan.long_race", "race.goal", limit_h=LONG_RACE_S // 3600)
    missed = next((goal.value for goal in solution.goals if goal.name == "caffeine wish"), 0)
    if missed > 0 and inputs.mode == "rate":
        yield find("plan.wish_unmet", "wishes.caffeine", missed_mg=missed)


def _stale_assumptions(as_of: date) -> Iterator[Finding]:
    """Yield one finding where assumptions of ours have passed their day of review."""
    rules = [rule for name in OURS for rule in protocol(name).rules]
    stale = stale_rules(rules, as_of)
    if stale:
        first = str(stale[0].facts["review_by"])
        yield find("plan.assumptions_stale", "protocol", count=len(stale), first=first)


def _age(work: BodyWork) -> float:
    if work.age_years is None:
        raise OnHold(find("plan.no_birth_date", "athlete.born"))
    return work.age_years


def _race_time(work: BodyWork) -> Figure:
    early, goal, slow = work.finish.early, work.finish.goal, work.finish.slow
    return work.trace.add(
        "race.finish_s",
        Range(low=early.value.mid, mid=goal.value.mid, high=slow.value.mid),
        how="rule",
        by="early, goal and slow together",
        inputs=[early, goal, slow],
    )


def race_inputs(case: Case, screening: Screening, work: BodyWork, goals: Targets) -> RaceInputs:
    """Return what the race schedule is made from."""
    limits: Limits = limits_of(case, work, screening)
    hours = work.finish.goal.value.mid / 3600
    band = goals.race.carb.value
    upper = max(band.high, band.mid, limits.one_sugar_g_per_h)
    mode: dict[str, Mode] = {"rate": "rate", "small": "small", "none": "rinse"}
    return RaceInputs(
        case=case,
        items={item.id: item for item in case.items},
        pace=work.pace,
        mode=mode[goals.race.mode],
        carb_low_g=band.low * hours,
        carb_target_g=band.mid * hours,
        carb_high_g=upper * hours,
        upper_rate_g_per_h=upper,
        fluid_ceiling=limits.fluid_ceiling,
        pre_start_ml=fluid_before_ml(case),
        glucose_limit_g_per_h=limits.one_sugar_g_per_h,
        caffeine_single_mg=math.floor(limits.caffeine_once_mg),
        caffeine_day_mg=math.floor(limits.caffeine_day_mg),
        earlier_caffeine=limits.earlier_caffeine,
        glucose_waiting_g=limits.glucose_waiting_g,
        withheld=frozenset(screening.withheld),
        refused=dict(limits.refused),
        forbidden_s=limits.windows,
        walker=work.demand.walker,
    )


def _after(
    work: BodyWork, inputs: RaceInputs, placed: tuple[Placed, ...], fluid: Series
) -> tuple[tuple[Series, ...], list[Finding]]:
    """Return the series of the plan and what the runs with the plan swallowed show."""
    trace, case = work.trace, inputs.case
    sums = race_sums(trace, inputs, placed, work.finish.goal)
    drunk = trace.add(
        fluid.of,
        Range(low=fluid.low[-1], mid=fluid.mid[-1], high=fluid.high[-1]),
        how="rule",
        by="swallowed for certain; as planned; as poured, the drinking line followed at every station",
        inputs=[sums["fluid_ml"]] if "fluid_ml" in sums else [],
    )
    once_mg = work.ceilings.caffeine_once.value.low
    found = list(
        caffeine_in_time(
            trace,
            case,
            work.pace,
            placed,
            sums.get("caffeine_mg"),
            once_mg=once_mg,
            day_mg=once_mg if work.minor else value("caffeine.day").low,
        )
    )
    eaten = sums.get("carb_g") or trace.add("race.carb_g_per_race", 0.0, how="sum", by="nothing is eaten")
    ready = Prepared(case, work.pace, work.demand, work.sweat)
    ran = stores(trace, ready, feeds_of(placed), [eaten, drunk])
    series = [work.elapsed, fluid, work.ceilings.fluid]
    if ran is None:
        found.append(find("plan.walker", "race.goal"))
    else:
        series += [ran.muscle, ran.liver, ran.gut]
        if ran.short_from_m is not None:
            found.append(find("plan.stores_low", "store.muscle_g", km=round(ran.short_from_m / 1000)))
    return tuple(series), found


def _document(drawn: _Drawn) -> Plan:
    """Return the plan as its file would be read: what stands in memory is what is written, to the digit."""
    case, screening, work, goals = drawn.case, drawn.screening, drawn.work, drawn.goals
    withheld = tuple(sorted(screening.withheld))
    figures = seen(work.trace.figures, withheld)
    rules = tuple(rule for rule in goals.fired if not speaks_of(f"{rule.band} {rule.override}", withheld))
    kept = [s for s in drawn.series if not is_hidden(s.of, withheld)]
    rests_on = _rests_on(case, withheld)
    shown, race = case_as_shown(case, withheld), _race(drawn)
    plan = Plan(
        case=shown,
        case_code=case.code,
        protocols=tuple(_use(one) for one in drawn.protocols.in_order),
        rules=rules,
        figures=figures,
        ceilings=tuple(
            CeilingUse(on=on, kind=kind, figure=figure)
            for on, kind, figure in CEILINGS
            if not is_hidden(figure, withheld)
        ),
        series=tuple(kept),
        race=race,
        loading=loading_lines(goals.load, minor=work.minor, withheld=withheld),
        morning=drawn.morning.lines,
        menu=drawn.menu.with_bottles(case, needs_of_bottles(shown, race, withheld)),
        recovery=recovery_lines(case, goals, _finish(case, work), withheld=withheld),
        if_then=tuple(IfThen(**line._asdict()) for line in IF_THEN),
        stand_ins=stand_ins(_laid(drawn)),
        withheld=withheld,
        time_struck=work.heat.struck,
        basis=", ".join(one.text for one in rests_on),
        rests_on=rests_on,
        findings=_once(told(drawn.findings, withheld)),
        sources=_sources(figures, rules),
    )
    return plan_of(plan.as_bytes)


def _laid(drawn: _Drawn) -> Laid:
    """Return the schedule as the gate holds it to its limits."""
    inputs, thirst = drawn.inputs, drawn.solution.thirst
    first = thirst.first_station
    return Laid(
        case=drawn.case,
        items=inputs.items,
        pace=drawn.work.pace,
        limits=limits_of(drawn.case, drawn.work, drawn.screening),
        intakes=drawn.solution.intakes,
        line=Permission(thirst.amount, 0.0 if first is None else inputs.stations[first].at_m),
    )


def _race(drawn: _Drawn) -> RaceSchedule:
    case, work, solution, inputs = drawn.case, drawn.work, drawn.solution, drawn.inputs
    rehearsed = frozenset(r.item for r in case.athlete.rehearsed)
    no_fluid = "fluid" in drawn.screening.withheld
    stops = stops_of(drawn.placed, work.pace, rehearsed, case.wishes.pinned)
    if no_fluid:
        stops = tuple(stop.model_copy(update={"fluid_so_far_ml": None}) for stop in stops)
    return RaceSchedule(
        mode=inputs.mode,
        intakes=solution.intakes,
        stops=stops,
        drinking=THIRST_ALONE if no_fluid else _drinking(inputs, solution.thirst),
        closed_from_m=inputs.closed_from_m,
        rinses_m=tuple(p.at_m for p in drawn.placed if p.intake.amount == "rinse"),
        goals=tuple(
            Goal(name=g.name, value=g.value, unit=g.unit)
            for g in solution.goals
            if not speaks_of(g.name, drawn.screening.withheld)
        ),
        proven=solution.proven,
    )


THIRST_ALONE = DrinkingLine(amount="none", poured_ml=0, sentence=THIRST)
"""What is said where fluid is withheld; the planner has kept room for thirst all the same, unseen."""


def _drinking(inputs: RaceInputs, line: ThirstLine) -> DrinkingLine:
    stations = inputs.stations
    said = drinking_line(line, first_named(inputs, line))
    return DrinkingLine(
        amount=line.amount,
        poured_ml=line.poured_ml,
        first_station=stations[line.first_station].name if line.first_station else "",
        sentence=said.text,
        words=(said,),
    )


def _finish(case: Case, work: BodyWork) -> datetime:
    return case.race.own_start + timedelta(seconds=work.finish.goal.value.mid)


def _use(used: Protocol) -> ProtocolUse:
    return ProtocolUse(id=used.id, title=used.title, edition=used.edition, code=used.code)


def _rests_on(case: Case, withheld: Collection[str]) -> tuple[Phrase, ...]:
    """Return on what information the plan rests; dates as ISO writes them."""
    athlete = case.athlete
    parts = [phrase("what {athlete} told us", athlete=athlete.name)]
    if "grams" not in withheld:
        parts.append(phrase("body mass of {day}", day=athlete.body_mass_on.isoformat()))
    if {"fluid", "grams"}.isdisjoint(withheld):
        parts.append(_tests(len(athlete.sweat_tests)))
    return (*parts, phrase("forecast of {day}", day=case.weather.seen_on.isoformat()))


def _tests(count: int) -> Phrase:
    if count == 0:
        return phrase("no sweat test")
    return phrase("1 sweat test") if count == 1 else phrase("{count} sweat tests", count=count)


def _once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    kept: list[Finding] = []
    for finding in findings:
        if finding not in kept:
            kept.append(finding)
    return tuple(kept)


def _sources(figures: Iterable[Figure], rules: Iterable[Fired]) -> tuple[SourceShown, ...]:
    """Return every source that a figure or a shown rule rests on, in order of first use."""
    keys = dict.fromkeys([*(f.source for f in figures if f.source), *(r.source for r in rules if r.source)])
    known = sources()
    return tuple(SourceShown(key=key, cite=known[key].cite, doi=known[key].doi) for key in keys)
