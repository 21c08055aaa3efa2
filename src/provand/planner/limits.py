"""What a schedule breaks, stop by stop: limits that never give way; rules and wishes that may."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from provand.case.intake import Intake
from provand.finding import Finding, find
from provand.planner.patterns import (
    LEAST_OF_KIND_MG,
    carb_high_mg,
    counted_mg,
    drunk_ml,
    is_fed_by,
    is_rehearsed,
    up,
    why_never,
    why_not,
)
from provand.planner.places import FIRST_S, is_forbidden, permitted_ml, place_at, place_of, served_at
from provand.planner.points import is_meal
from provand.planner.problem import DAY_S, DOSE_S, Gaps, Place, Problem, RaceInputs, ThirstLine
from provand.planner.stow import stowed, volume_dl
from provand.safety.counting import is_poured, max_caffeine_mg, max_glucose_g


@dataclass(frozen=True, kw_only=True)
class Stop:
    """All intakes of one place, and whether they feed."""

    place: Place
    takes: tuple[Intake, ...]
    counted_mg: int


def stops_of(inputs: RaceInputs, schedule: Sequence[Intake]) -> list[Stop]:
    """Return a schedule as stops in the order of the course."""
    at: dict[float, list[Intake]] = {}
    for take in schedule:
        at.setdefault(place_of(inputs, take), []).append(take)
    made = []
    for x_m in sorted(at):
        place, takes = place_at(inputs, x_m), tuple(at[x_m])
        made.append(
            Stop(
                place=place, takes=takes, counted_mg=sum(counted_mg(inputs, t, place.station) for t in takes)
            )
        )
    return made


def broken(problem: Problem, stops: Sequence[Stop], thirst: ThirstLine) -> tuple[Finding, ...]:
    """Return every limit broken that never gives way, the drinking line drunk in full."""
    inputs = problem.inputs
    return (
        *_never(inputs, stops),
        *_closed(inputs, stops, thirst),
        *_fluid(inputs, stops, thirst),
        *_caffeine(inputs, stops),
        *_glucose(inputs, stops),
        *_at_hand(inputs, stops),
        *_from_crew(inputs, stops),
    )


def strained(problem: Problem, stops: Sequence[Stop]) -> tuple[Finding, ...]:
    """Return every rule or wish that a schedule passes over."""
    inputs = problem.inputs
    return (
        *_too_early(inputs, stops),
        *_upper_rate(inputs, stops),
        *_too_much(inputs, stops),
        *_against_wishes(inputs, stops),
        *_pockets(inputs, stops),
        *_pairing(inputs, stops),
        *_scraps(problem, stops),
        *_more_than_one(inputs, stops),
        *_uneven(problem.strict, stops),
    )


def where(inputs: RaceInputs, place: Place) -> str:
    """Return a place in words: the station, else the kilometre."""
    return inputs.stations[place.station].name if place.station is not None else f"km {place.at_m / 1000:.1f}"


def _never(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    for item_id in sorted({take.item for stop in stops for take in stop.takes}):
        reason = why_never(inputs, inputs.item_of(item_id))
        if reason:
            yield find("planner.never", "race.schedule", item=item_id, reason=reason)


def _closed(inputs: RaceInputs, stops: Sequence[Stop], thirst: ThirstLine) -> Iterator[Finding]:
    for stop in stops:
        place = stop.place
        rinses = all(take.amount == "rinse" for take in stop.takes)
        if is_forbidden(inputs, place.early_s, place.slow_s, rinse=rinses):
            yield find("planner.forbidden", "race.schedule", place=where(inputs, place))
        elif place.slow_s > inputs.closed_from_slow_s and not rinses:
            yield find("planner.too_late", "race.schedule", place=where(inputs, place))
    for n, station in enumerate(inputs.stations):
        place = place_at(inputs, station.at_m)
        if permitted_ml(inputs, n, thirst) and is_forbidden(inputs, place.early_s, place.slow_s):
            yield find("planner.forbidden", "race.schedule", place=where(inputs, place))


def _too_early(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    for stop in stops:
        if stop.counted_mg and stop.place.early_s < FIRST_S:
            yield find("planner.too_early", "race.schedule", place=where(inputs, stop.place))


def _fluid(inputs: RaceInputs, stops: Sequence[Stop], thirst: ThirstLine) -> Iterator[Finding]:
    """Every drop so far, the drinking line drunk in full, against the ceiling wherever one drinks."""
    takes = {stop.place.at_m: stop.takes for stop in stops}
    places = {stop.place.at_m: stop.place for stop in stops}
    for station in inputs.stations:
        places.setdefault(station.at_m, place_at(inputs, station.at_m))
    so_far_ml = 0
    for _, place in sorted(places.items()):
        other_ml, water_ml = drunk_ml(inputs, place, takes.get(place.at_m, ()))
        if place.station is not None:
            water_ml = max(water_ml, permitted_ml(inputs, place.station, thirst))
        so_far_ml += other_ml + water_ml
        if other_ml + water_ml > 0 and so_far_ml > place.room_ml:
            yield find(
                "planner.fluid",
                "race.schedule",
                place=where(inputs, place),
                drunk_ml=so_far_ml,
                room_ml=place.room_ml,
            )


def added(inputs: RaceInputs, stop: Stop, amount: Callable[..., float]) -> float:
    return math.fsum(
        amount(take, item, served_at(inputs, stop.place.station, take.item))
        for take in stop.takes
        if (item := inputs.item_of(take.item)).texture != "water"
    )


def _passing_s(place: Place) -> tuple[float, float, float]:
    return place.early_s, place.goal_s, place.slow_s


def _caffeine(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    doses = [(stop.place, mg) for stop in stops if (mg := added(inputs, stop, max_caffeine_mg)) > 0]
    for code, window_s, limit_mg in (
        ("planner.caffeine_single", DOSE_S, inputs.caffeine_single_mg),
        ("planner.caffeine_day", DAY_S, inputs.caffeine_day_mg),
    ):
        for last, _ in doses:
            taken_mg = max(
                math.fsum(
                    mg
                    for at_s, mg in [
                        *inputs.earlier_caffeine,
                        *((_passing_s(place)[case], mg) for place, mg in doses),
                    ]
                    if 0 <= _passing_s(last)[case] - at_s <= window_s
                )
                for case in range(3)
            )
            if taken_mg > limit_mg + 1e-6:
                shown_mg = -1 if math.isinf(taken_mg) else up(taken_mg)
                yield find(
                    code, "race.schedule", place=where(inputs, last), taken_mg=shown_mg, limit_mg=limit_mg
                )


def _bucket(
    stops: Sequence[Stop], eaten_mg: Sequence[float], rate_g_per_h: float, *, waiting_mg: float = 0.0
) -> list[Place]:
    """Return where, in any case, a bucket leaking at this rate holds more than half an hour's worth."""
    over = set()
    for case in range(3):
        held_mg, before_s = waiting_mg, 0.0
        for n, (stop, mg) in enumerate(zip(stops, eaten_mg, strict=True)):
            now_s = _passing_s(stop.place)[case]
            held_mg = max(0.0, held_mg - 1000 * rate_g_per_h * (now_s - before_s) / 3600) + mg
            before_s = now_s
            if mg > 0 and held_mg > 500 * rate_g_per_h + 1e-6:
                over.add(n)
    return [stops[n].place for n in sorted(over)]


def _glucose(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    eaten_mg = [1000 * added(inputs, stop, max_glucose_g) for stop in stops]
    waiting_mg = 1000 * inputs.glucose_waiting_g
    for place in _bucket(stops, eaten_mg, inputs.glucose_limit_g_per_h, waiting_mg=waiting_mg):
        yield find(
            "planner.glucose",
            "race.schedule",
            place=where(inputs, place),
            limit_g_per_h=inputs.glucose_limit_g_per_h,
        )


def _upper_rate(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    eaten_mg = [float(sum(carb_high_mg(inputs, t, s.place.station) for t in s.takes)) for s in stops]
    for place in _bucket(stops, eaten_mg, inputs.upper_rate_g_per_h):
        yield find(
            "planner.upper_rate",
            "race.schedule",
            place=where(inputs, place),
            limit_g_per_h=inputs.upper_rate_g_per_h,
        )


def _too_much(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    eaten_mg = sum(carb_high_mg(inputs, t, s.place.station) for s in stops for t in s.takes)
    if eaten_mg > 1000 * inputs.carb_high_g + 1e-6:
        yield find("planner.too_much", "race.schedule", eaten_g=eaten_mg / 1000, limit_g=inputs.carb_high_g)


def _against_wishes(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    for item_id in sorted({take.item for stop in stops for take in stop.takes}):
        item = inputs.item_of(item_id)
        reason = "" if why_never(inputs, item) else why_not(inputs, item)
        if reason:
            yield find("planner.against_wish", "race.schedule", item=item_id, reason=reason)
        elif not is_rehearsed(inputs, item_id):
            yield find("planner.unrehearsed", "race.schedule", item=item_id)
    wished_mg, taken_mg = (
        inputs.case.wishes.caffeine_mg or 0,
        sum(added(inputs, s, max_caffeine_mg) for s in stops),
    )
    if wished_mg < taken_mg < math.inf:
        yield find("planner.over_wish", "race.schedule", taken_mg=up(taken_mg), wished_mg=wished_mg)


def _at_hand(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    packs = packs_needed(inputs, [take for stop in stops for take in stop.takes])
    for item_id, have_count in sorted(inputs.at_hand.items()):
        if packs.get(item_id, 0) > have_count:
            need, have = packs[item_id], f"{have_count:g}"
            yield find("planner.not_at_hand", "race.schedule", item=item_id, need=need, have=have)


def _from_crew(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    """Yield what is planned from a crew where none may hand it over; silent where a case names no crew."""
    for stop in stops if inputs.case.crew is not None else ():
        here = inputs.case.handed_at(stop.place.at_m)
        for take in stop.takes:
            if take.got_from == "crew" and take.item not in here:
                item, place = inputs.item_of(take.item).name, where(inputs, stop.place)
                yield find("planner.no_crew", "race.schedule", item=item, place=place)


def packs_needed(inputs: RaceInputs, schedule: Sequence[Intake]) -> dict[str, int]:
    """Return how many whole packs a schedule takes out of pockets, by item."""
    pieces: Counter[str] = Counter()
    for take in schedule:
        if take.got_from == "pocket" and not is_poured(take):
            pieces[take.item] += round(take.portion_frac * inputs.item_of(take.item).divides_into)
    return {
        item_id: -(-count // inputs.item_of(item_id).divides_into)
        for item_id, count in sorted(pieces.items())
    }


def _pockets(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    packs = packs_needed(inputs, [take for stop in stops for take in stop.takes])
    volumes = [volume_dl(inputs.item_of(item_id)) for item_id, count in packs.items() for _ in range(count)]
    rooms = [math.floor(10 * pocket.room_ml + 1e-6) for pocket in inputs.case.athlete.pockets]
    if stowed(volumes, rooms) is None:
        yield find("planner.pockets", "race.schedule", need_ml=sum(volumes) / 10, room_ml=sum(rooms) / 10)


def _pairing(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    for stop in stops:
        items = [inputs.item_of(take.item) for take in stop.takes]
        bites = [item for item in items if item.texture in ("gel", "chew", "solid")]
        drinks = {item.texture for item in items}
        for item in bites:
            by_thirst = "fluid" in inputs.withheld and stop.place.station is not None
            if item.with_water and "water" not in drinks and not by_thirst:
                yield find("planner.no_water", "race.schedule", item=item.id, place=where(inputs, stop.place))
            if "drink" in drinks:
                yield find("planner.on_drink", "race.schedule", item=item.id, place=where(inputs, stop.place))


def _scraps(problem: Problem, stops: Sequence[Stop]) -> Iterator[Finding]:
    given: Counter[str] = Counter()
    for stop in stops:
        for take in stop.takes:
            given[take.item] += counted_mg(problem.inputs, take, stop.place.station)
    for item_id, mg in sorted(given.items()):
        if is_fed_by(problem, item_id) and mg < LEAST_OF_KIND_MG:
            yield find("planner.scrap", "race.schedule", item=item_id, carb_g=round(mg / 1000, 1))


def _more_than_one(inputs: RaceInputs, stops: Sequence[Stop]) -> Iterator[Finding]:
    meals = sum(is_meal(stop.counted_mg) for stop in stops)
    if inputs.mode != "rate" and meals > 1:
        yield find("planner.more_than_one", "race.schedule", count=meals)


class Gap(NamedTuple):
    """The time before a stop that feeds, from the stop that fed before it, or from the start."""

    gap_s: float
    before: Stop | None
    stop: Stop


def gaps_between(stops: Sequence[Stop]) -> list[Gap]:
    """Return the gap before every stop that feeds."""
    feeding = [stop for stop in stops if is_meal(stop.counted_mg)]
    first = [Gap(feeding[0].place.goal_s, None, feeding[0])] if feeding else []
    return first + [Gap(b.place.goal_s - a.place.goal_s, a, b) for a, b in pairwise(feeding)]


def uneven_gaps(window: Gaps, stops: Sequence[Stop]) -> list[Gap]:
    """Return the gaps that are too short, or too long."""
    return [
        gap
        for gap in gaps_between(stops)
        if gap.gap_s > window.max_s or (gap.before is not None and gap.gap_s < window.min_s)
    ]


def _uneven(window: Gaps, stops: Sequence[Stop]) -> Iterator[Finding]:
    for gap_s, _, stop in uneven_gaps(window, stops):
        yield find(
            "planner.uneven",
            "race.schedule",
            gap_min=round(gap_s / 60),
            at_km=round(stop.place.at_m / 1000, 1),
        )
