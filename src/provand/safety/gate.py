"""The gate: checks a schedule against every limit that no schedule may pass, and names each one broken.

It knows nothing of how a schedule was made. It counts every pace case by itself, takes cups as poured, and
counts a permitted cup as drunk. Times are seconds since the own start; the tolerance is a millionth.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

from provand.case.case import Case, Race
from provand.case.course import Station
from provand.case.intake import Intake
from provand.estimate.pace import PaceCase, PaceTable
from provand.finding import BadInput, Finding, find
from provand.larder.item import Item
from provand.protocol.rules import value
from provand.safety.counting import (
    fluid_ml,
    is_poured,
    max_caffeine_mg,
    max_glucose_g,
)
from provand.safety.cups import AT_STATION_M, is_at, line_pours_ml, served_as, station_of
from provand.safety.limits import Dose, Limits, Permission, aware, ceiling_at_ml
from provand.safety.refusals import withheld_parts
from provand.safety.taken import fluid_before_ml
from provand.units import clock

TOLERANCE = 1e-6


class _Counted(NamedTuple):
    """An intake, how it is called, and what it counts for."""

    intake: Intake
    label: str
    fluid_ml: float
    glucose_g: float
    caffeine_mg: float


class _Walk(NamedTuple):
    """One pace case with one own start after the gun."""

    pace: PaceCase
    gun: datetime
    offset_s: float

    def time_s(self, intake: Intake) -> float:
        """Return when an intake is taken in this case."""
        if intake.at_m is not None:
            return self.pace.time_at_s(intake.at_m)
        if intake.at_elapsed_s is not None:
            return intake.at_elapsed_s
        assert intake.at_clock is not None
        at_clock = intake.at_clock
        moment = at_clock if at_clock.tzinfo else at_clock.replace(tzinfo=self.gun.tzinfo)
        return (moment - self.gun).total_seconds() - self.offset_s

    def place_m(self, intake: Intake) -> float:
        """Return where an intake is taken in this case."""
        return self.pace.place_at_m(self.time_s(intake)) if intake.at_m is None else intake.at_m


class _Sip(NamedTuple):
    """Fluid at a time and place of one case."""

    at_s: float
    at_m: float
    fluid_ml: float
    label: str


class _Over(NamedTuple):
    """A limit passed: where first, by which intake, in which case, how much there was."""

    at: float
    label: str
    case: str
    amount: float
    limit: float


class _Given(NamedTuple):
    """Everything but the intakes."""

    stations: Sequence[Station]
    length_m: float
    before_ml: float
    items: Mapping[str, Item]
    walks: Sequence[_Walk]
    limits: Limits
    permission: Permission


def gate(
    schedule: Sequence[Intake],
    *,
    case: Case,
    items: Mapping[str, Item],
    pace: PaceTable,
    limits: Limits,
    permission: Permission,
) -> tuple[Finding, ...]:
    """Return one finding for each limit that a schedule passes, naming intake and amounts; else none."""
    given = _Given(
        stations=case.course.stations,
        length_m=case.course.length_m,
        before_ml=fluid_before_ml(case),
        items=items,
        walks=_walks(case.race, pace, schedule),
        limits=limits,
        permission=permission,
    )
    found: list[Finding] = []
    counted: list[_Counted] = []
    for intake in schedule:
        found += _faults(intake, given)
        try:
            counted += _count(intake, given)
        except BadInput as error:
            found += error.findings
    found += [find("gate.not_known", one.label, what=what) for one in counted for what in _unknown(one)]
    known = [one for one in counted if not _unknown(one)]
    found += _fluid_fault(known, given)
    found += _one_sugar_fault(known, given)
    found += _caffeine_faults(known, given)
    found += _line_faults(given)
    return tuple(found)


def label_of(intake: Intake, items: Mapping[str, Item]) -> str:
    """Return how an intake is called in a finding: its name, and its place or time."""
    name = items[intake.item].name if intake.item in items else intake.item
    if intake.at_m is not None:
        return f"{name} at {intake.at_m / 1000:.1f} km"
    if intake.at_elapsed_s is not None:
        return f"{name} at {clock(intake.at_elapsed_s)}"
    return f"{name} at {intake.at_clock:%H:%M}"


def _walks(race: Race, pace: PaceTable, schedule: Iterable[Intake]) -> list[_Walk]:
    """Return every pace case; with an intake tied to the clock, for the first and the last own start."""
    by_clock = any(intake.at_clock is not None for intake in schedule)
    offsets_s = {race.own_offset_s.low, race.own_offset_s.high} if by_clock else {race.own_offset_s.mid}
    gun = aware(race.gun, race)
    return [_Walk(one, gun, offset_s) for one in pace.cases for offset_s in sorted(offsets_s)]


# One intake by itself.


def _faults(intake: Intake, given: _Given) -> Iterator[Finding]:
    """Yield what is wrong with an intake whatever else is taken: what it is, where, when."""
    label, limits = label_of(intake, given.items), given.limits
    item = given.items.get(intake.item)
    if item is None:
        yield find("gate.unknown_item", label)
        return
    if item.id in limits.refused:
        yield find("gate.refused_item", label, why=limits.refused[item.id])
    for part in withheld_parts(intake, item, limits.withheld):
        yield find("gate.withheld_part", label, part=part)
    if intake.at_m is not None and intake.at_m > given.length_m + TOLERANCE:
        yield find("gate.off_course", label, length_km=given.length_m / 1000)
    times_s = [walk.time_s(intake) for walk in given.walks]
    is_rinse = intake.amount == "rinse"
    if max(times_s) > limits.last_intake_s + TOLERANCE and not is_rinse:
        yield find("gate.too_late", label, at=clock(max(times_s)), last=clock(limits.last_intake_s))
    yield from _window_faults(label, times_s, given, is_rinse=is_rinse)


def _window_faults(
    label: str, times_s: Sequence[float], given: _Given, *, is_rinse: bool
) -> Iterator[Finding]:
    """Yield each window that the runner may be in between the first and the last of these times."""
    for window in given.limits.windows:
        may_be_in = min(times_s) <= window.end_s and max(times_s) >= window.start_s
        if may_be_in and not (is_rinse and window.rinse_allowed):
            start, end = (clock(max(0.0, at_s)) for at_s in (window.start_s, window.end_s))
            yield find("gate.in_window", label, start=start, end=end)


def _count(intake: Intake, given: _Given) -> Iterator[_Counted]:
    item = given.items.get(intake.item)
    if item is not None:
        station = station_of(intake, given.stations)
        served = served_as(item, station, given.items, given.limits.refused)
        yield _Counted(
            intake=intake,
            label=label_of(intake, given.items),
            fluid_ml=fluid_ml(intake, item, served),
            glucose_g=max_glucose_g(intake, item, served),
            caffeine_mg=max_caffeine_mg(intake, item, served),
        )


def _unknown(one: _Counted) -> tuple[str, ...]:
    amounts = {"water": one.fluid_ml, "carbohydrate": one.glucose_g, "caffeine": one.caffeine_mg}
    return tuple(what for what, amount in amounts.items() if math.isinf(amount))


# The drinking line.


def _permitted_ml(station: Station, given: _Given) -> float:
    """Return what the drinking line pours at a station."""
    if station.at_m <= given.permission.from_m - AT_STATION_M:
        return 0.0
    return line_pours_ml(given.permission.amount, station, given.items, given.limits.refused)


def _line_faults(given: _Given) -> Iterator[Finding]:
    """Yield each station at which the drinking line would fall into a window where nothing is taken."""
    for station in given.stations:
        if _permitted_ml(station, given) > 0:
            times_s = [walk.pace.time_at_s(station.at_m) for walk in given.walks]
            yield from _window_faults(_line_at(station), times_s, given, is_rinse=False)


def _line_at(station: Station) -> str:
    return f"the drinking line at {station.name}"


# The sums.


def _first(over: Iterable[_Over]) -> list[_Over]:
    """Return the first place or time at which a limit is passed, in the case that passes it by most."""
    return sorted(over, key=lambda one: (one.at, -one.amount))[:1]


def _fluid_fault(counted: Sequence[_Counted], given: _Given) -> list[Finding]:
    """Check all fluid since the last toilet against the ceiling, at every sip of every case."""
    over = []
    for walk in given.walks:
        sips = sorted(_sips(counted, walk, given), key=lambda sip: (sip.at_s, sip.at_m))
        for taken, sip in enumerate(sips, 1):
            drunk_ml = math.fsum(earlier.fluid_ml for earlier in sips[:taken])
            ceiling_ml = ceiling_at_ml(given.limits.fluid_ceiling, sip.at_m)
            if sip.fluid_ml > 0 and drunk_ml > ceiling_ml + TOLERANCE:
                over.append(_Over(sip.at_m, sip.label, walk.pace.name, drunk_ml, ceiling_ml))
    return [
        find("gate.fluid", one.label, case=one.case, amount_ml=one.amount, limit_ml=one.limit)
        for one in _first(over)
    ]


def _sips(counted: Sequence[_Counted], walk: _Walk, given: _Given) -> Iterator[_Sip]:
    """Yield all fluid of one case: the drink before the start, the intakes, what the line permits beyond."""
    yield _Sip(0.0, 0.0, given.before_ml, "the drink before the start")
    for one in counted:
        yield _Sip(max(0.0, walk.time_s(one.intake)), walk.place_m(one.intake), one.fluid_ml, one.label)
    waters = [one for one in counted if is_poured(one.intake) and _is_water(one, given)]
    for station in given.stations:
        cups_ml = math.fsum(cup.fluid_ml for cup in waters if _is_at(station, cup.intake))
        extra_ml = max(0.0, _permitted_ml(station, given) - cups_ml)
        yield _Sip(walk.pace.time_at_s(station.at_m), station.at_m, extra_ml, _line_at(station))


def _is_water(one: _Counted, given: _Given) -> bool:
    return given.items[one.intake.item].texture == "water"


def _is_at(station: Station, intake: Intake) -> bool:
    return intake.at_m is not None and is_at(station, intake.at_m)


def _one_sugar_fault(counted: Sequence[_Counted], given: _Given) -> list[Finding]:
    """Check that glucose never waits in a bucket of half an hour's worth that empties at the limit."""
    rate_g_per_h, over = given.limits.one_sugar_g_per_h, []
    most_g = rate_g_per_h / 2
    for walk in given.walks:
        waiting_g, then_s = given.limits.glucose_waiting_g, 0.0
        for at_s, one in sorted(((walk.time_s(o.intake), o) for o in counted), key=lambda pair: pair[0]):
            emptied_g = rate_g_per_h * (at_s - then_s) / 3600
            waiting_g, then_s = max(0.0, waiting_g - emptied_g) + one.glucose_g, at_s
            if one.glucose_g > 0 and waiting_g > most_g + TOLERANCE:
                over.append(_Over(at_s, one.label, walk.pace.name, waiting_g, most_g))
    return [
        find(
            "gate.one_sugar",
            one.label,
            case=one.case,
            amount_g=one.amount,
            limit_g=one.limit,
            rate_g_per_h=rate_g_per_h,
        )
        for one in _first(over)
    ]


def _caffeine_faults(counted: Sequence[_Counted], given: _Given) -> Iterator[Finding]:
    """Check the caffeine of every window that ends with a planned dose; earlier doses count."""
    spans = (
        (value("caffeine.window").high, given.limits.caffeine_once_mg),
        (value("caffeine.day_window").high, given.limits.caffeine_day_mg),
    )
    for span_h, limit_mg in spans:
        over = []
        for walk in given.walks:
            planned = [(walk.time_s(one.intake), one) for one in counted if one.caffeine_mg > 0]
            doses = [Dose(at_s, one.caffeine_mg) for at_s, one in planned]
            doses += given.limits.earlier_caffeine
            for at_s, one in planned:
                since_s = at_s - 3600 * span_h - TOLERANCE
                taken_mg = math.fsum(mg for dose_s, mg in doses if since_s <= dose_s <= at_s)
                if taken_mg > limit_mg + TOLERANCE:
                    over.append(_Over(at_s, one.label, walk.pace.name, taken_mg, limit_mg))
        for most in _first(over):
            yield find("gate.caffeine", most.label, span_h=span_h, amount_mg=most.amount, limit_mg=most.limit)
