"""Ten thousand schedules: the gate refuses each that passes a limit, and none that does not.

The judge here shares nothing with the gate: it has its own table of what things hold, reckons in whole
numbers at even paces, and puts the limits otherwise (every span of doses for the bucket, every pair for
caffeine, every moment for fluid).
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any, NamedTuple

from provand.case.case import Case, Race
from provand.case.course import Course, Served, Station
from provand.case.intake import Intake
from provand.estimate.pace import PaceCase, PaceTable
from provand.figure import Range, Series
from provand.finding import Finding
from provand.larder.composition import Composition
from provand.larder.item import Item
from provand.larder.label import Label
from provand.safety.gate import gate
from provand.safety.limits import Dose, Limits, Permission, Window

TRIES = 10_000
GUN = datetime(2026, 12, 20, 9, 0, tzinfo=UTC)

PACKS = {
    "plain": (20, 26, 0, 0),
    "strong": (30, 40, 0, 0),
    "awake": (20, 26, 80, 0),
    "sweet": (16, 14, 0, 12),
    "pill": (0, 0, 100, 0),
}
"""Per pack: ml of water, g of glucose, mg of caffeine, g of fructose."""

DRINKS = {"water": (0, 0, 0), "sports": (6, 0, 0), "cola": (4, 10, 4)}
"""Per 100 ml: g of glucose, mg of caffeine, g of fructose."""

STEP_M = 60
"""Places stand on multiples of this, so that every pace here passes them on a whole second."""


class Exact(Item):
    """An item whose contents are set outright, so that no rounding of a label is part of the question."""

    made_of: Composition

    @property
    def holds(self) -> Composition:
        return self.made_of


def exact(name: str, texture: str, *, pack_ml: float | None, **amounts: float) -> Exact:
    held = {key: Range.exact(amount) for key, amount in amounts.items()}
    label = Label(convention="EU", basis="pack", pack_ml=pack_ml, ingredients="water, maltodextrin")
    free_from = () if amounts["fructose_g"] else ("fructose", "sorbitol")
    made_of = Composition(**held)
    return Exact(id=name, name=name, texture=texture, label=label, free_from=free_from, made_of=made_of)


def items() -> dict[str, Item]:
    made: dict[str, Item] = {}
    for name, (water_ml, glucose_g, caffeine_mg, fructose_g) in PACKS.items():
        made[name] = exact(
            name,
            "capsule" if name == "pill" else "gel",
            pack_ml=None,
            water_ml=water_ml,
            carb_g=glucose_g + fructose_g,
            glucose_g=glucose_g,
            fructose_g=fructose_g,
            caffeine_mg=caffeine_mg,
            sodium_mg=50,
        )
    for name, (glucose_g, caffeine_mg, fructose_g) in DRINKS.items():
        made[name] = exact(
            name,
            "water" if name == "water" else "drink",
            pack_ml=100,
            water_ml=95,
            carb_g=glucose_g + fructose_g,
            glucose_g=glucose_g,
            fructose_g=fructose_g,
            caffeine_mg=caffeine_mg,
            sodium_mg=50,
        )
    return made


ITEMS = items()


class Try(NamedTuple):
    """One random race with a schedule and its limits."""

    length_m: int
    speeds_m_per_s: tuple[int, int, int]
    stations: tuple[Station, ...]
    schedule: tuple[Intake, ...]
    pre_ml: int
    permission: Permission
    limits: Limits


def drawn(dice: random.Random) -> Try:
    """Return a random try; about half of them keep every limit."""
    length_m = STEP_M * dice.randint(100, 500)
    speeds = tuple(sorted(dice.sample((2, 3, 4, 5), 3), reverse=True))
    places = sorted(dice.sample(range(STEP_M, length_m, STEP_M), dice.randint(0, 6)))
    stations = tuple(
        Station(name=f"S{at}", at_m=at_m, serves=_served(dice)) for at, at_m in enumerate(places)
    )
    schedule = tuple(_intake(dice, length_m, stations) for _ in range(dice.randint(0, 7)))
    return Try(
        length_m,
        speeds,
        stations,
        schedule,
        pre_ml=dice.choice((0, 0, 100, 250)),
        permission=Permission(
            dice.choice(("none", "none", "cup", "half", "mouthful")),
            from_m=dice.choice(places) if places else 0,
        ),
        limits=_limits(dice, length_m, speeds[-1]),
    )


def _served(dice: random.Random) -> tuple[Served, ...]:
    return tuple(
        Served(
            item=name,
            cup_ml=dice.choice((100, 160, 200, 240)),
            fill_frac=Range.of(0.25, dice.choice((0.5, 0.75, 1.0))),
        )
        for name in dice.choice((("water",), ("water", "sports"), ("cola",), ("sports", "cola"), ()))
    )


def _intake(dice: random.Random, length_m: int, stations: tuple[Station, ...]) -> Intake:
    """Return a pack at a place or a time, a cup at a station that serves it, or a mouthful anywhere."""
    cups = [(station, cup.item) for station in stations for cup in station.serves]
    if cups and dice.random() < 0.4:
        station, name = dice.choice(cups)
        amount = dice.choice(("cup", "half", "mouthful", "rinse"))
        by_name = {"station": station.name, "got_from": "station"} if dice.random() < 0.7 else {}
        return Intake(item=name, amount=amount, at_m=station.at_m, **by_name)
    moment: dict[str, Any] = {"at_m": STEP_M * dice.randint(1, length_m // STEP_M + 2)}
    kind = dice.random()
    if kind < 0.2:
        moment = {"at_elapsed_s": dice.randint(60, length_m // 3)}
    elif kind < 0.3:
        moment = {"at_clock": GUN + timedelta(seconds=dice.randint(60, length_m // 3))}
    if dice.random() < 0.1:
        name, amount = dice.choice(tuple(DRINKS)), dice.choice(("mouthful", "rinse"))
        return Intake(item=name, amount=amount, **moment)
    name = dice.choice(("plain", "plain", "sweet", "sweet", "strong", "awake", "pill"))
    return Intake(item=name, portion_frac=dice.choice((0.5, 1.0, 1.0, 1.0, 2.0)), **moment)


def _limits(dice: random.Random, length_m: int, slowest_m_per_s: int) -> Limits:
    nodes = sorted({0.0, length_m + 0.5, *(dice.randint(1, length_m) + 0.5 for _ in range(5))})
    level, low_ml = dice.choice((80, 250, 900)), []
    for _ in nodes:
        level += dice.randint(0, 250)
        low_ml.append(float(level))
    spare = {"mid": tuple(9 * ml for ml in low_ml), "high": tuple(9 * ml for ml in low_ml)}
    starts = [dice.randint(0, length_m // 2) + 0.5 for _ in range(dice.choice((0, 0, 0, 1)))]
    return Limits(
        fluid_ceiling=Series(of="ceiling.fluid_so_far_ml", x_m=tuple(nodes), low=tuple(low_ml), **spare),
        caffeine_once_mg=200,
        caffeine_day_mg=400,
        one_sugar_g_per_h=dice.choice((60, 60, 90)),
        last_intake_s=length_m // slowest_m_per_s - dice.choice((0, 0, 900)) + 0.5,
        refused={name: "refused" for name in ITEMS if dice.random() < 0.03},
        withheld=tuple(part for part in ("caffeine", "sodium", "fluid", "fructose") if dice.random() < 0.06),
        windows=tuple(Window(at_s, at_s + 300, dice.random() < 0.5) for at_s in starts),
        earlier_caffeine=tuple(
            Dose(-dice.randint(60, 100_000), dice.choice((40, 120))) for _ in range(dice.choice((0, 1, 3)))
        ),
        glucose_waiting_g=dice.choice((0, 0, 0, 12, 45)),
    )


# The judge: whole numbers only. Fluid in quarters of a millilitre, sugar and caffeine in 400ths.


class Taken(NamedTuple):
    """One intake as the judge sees it at one pace."""

    at_s: int
    fluid: int
    glucose: int
    caffeine: int


def _whole(number: float) -> int:
    """Return a number that is whole as what it is, and refuse any other."""
    assert number == int(number)
    return int(number)


def _amounts(one: Intake, stations: tuple[Station, ...]) -> tuple[int, int, int]:
    if one.amount == "whole":
        water_ml, glucose_g, caffeine_mg, _ = PACKS[one.item]
        halves = _whole(2 * one.portion_frac)
        return 2 * halves * water_ml, 200 * halves * glucose_g, 200 * halves * caffeine_mg
    fluid = 4 * 40
    if one.amount in ("cup", "half"):
        (cup,) = (c for s in stations if s.at_m == one.at_m for c in s.serves if c.item == one.item)
        fluid = _whole(4 * cup.cup_ml * cup.fill_frac.high / (2 if one.amount == "half" else 1))
    glucose_g, caffeine_mg, _ = DRINKS[one.item]
    return fluid, fluid * glucose_g, fluid * caffeine_mg


def _time_s(one: Intake, tried: Try, speed: int) -> int:
    if one.at_m is not None:
        return _whole(min(one.at_m, tried.length_m) / speed)
    if one.at_elapsed_s is not None:
        return _whole(one.at_elapsed_s)
    assert one.at_clock is not None
    return _whole((one.at_clock - GUN).total_seconds())


def _water(tried: Try, station: Station) -> list[Served]:
    return [cup for cup in station.serves if cup.item == "water" and "water" not in tried.limits.refused]


def _permitted(tried: Try, station: Station) -> int:
    """Return what the line adds at a station beyond the cups of water planned there."""
    if (
        tried.permission.amount == "none"
        or station.at_m < tried.permission.from_m
        or not _water(tried, station)
    ):
        return 0
    pool = _water(tried, station)
    quarters = max(_whole(4 * cup.cup_ml * cup.fill_frac.high) for cup in pool)
    line = {"cup": quarters, "half": _whole(quarters / 2), "mouthful": 160}[tried.permission.amount]
    there = [one for one in tried.schedule if one.item == "water" and one.at_m == station.at_m]
    return max(0, line - sum(_amounts(one, tried.stations)[0] for one in there))


def _ceiling(tried: Try, place_m: int) -> int:
    """Return the ceiling at a place: that of the last node behind it, for a ceiling that never falls."""
    series = tried.limits.fluid_ceiling
    return 4 * _whole(max(ml for x_m, ml in zip(series.x_m, series.low, strict=True) if x_m <= place_m))


def judged(tried: Try) -> set[tuple[str, object]]:
    """Return the limits that a try passes, as code and what tells two of one code apart."""
    found: set[tuple[str, object]] = set()
    for speed in tried.speeds_m_per_s:
        takes = [Taken(_time_s(one, tried, speed), *_amounts(one, tried.stations)) for one in tried.schedule]
        found |= set(_fluid(tried, speed, takes))
        found |= set(_sugar(takes, tried.limits))
        found |= set(_caffeine(takes, tried.limits))
    return found | set(_by_itself(tried))


def _fluid(tried: Try, speed: int, takes: list[Taken]) -> Iterator[tuple[str, object]]:
    drunk = [(take.at_s, take.fluid) for take in takes] + [(0, 4 * tried.pre_ml)]
    drunk += [(_whole(one.at_m / speed), _permitted(tried, one)) for one in tried.stations]
    for moment, _ in drunk:
        so_far = sum(fluid for at_s, fluid in drunk if at_s <= moment)
        if so_far > _ceiling(tried, min(tried.length_m, moment * speed)):
            yield "gate.fluid", 0


def _sugar(takes: list[Taken], limits: Limits) -> Iterator[tuple[str, object]]:
    rate_g_per_h = _whole(limits.one_sugar_g_per_h)
    waiting = Taken(at_s=0, fluid=0, glucose=400 * _whole(limits.glucose_waiting_g), caffeine=0)
    for first in (waiting, *takes):
        for last in (take for take in takes if take.glucose > 0):
            span_s = last.at_s - first.at_s
            eaten = (take for take in (waiting, *takes) if first.at_s <= take.at_s <= last.at_s)
            within = sum(take.glucose for take in eaten)
            if span_s >= 0 and 3600 * within > 400 * rate_g_per_h * (span_s + 1800):
                yield "gate.one_sugar", 0


def _caffeine(takes: list[Taken], limits: Limits) -> Iterator[tuple[str, object]]:
    doses = [(take.at_s, take.caffeine) for take in takes if take.caffeine]
    planned = {at_s for at_s, _ in doses}
    doses += [(_whole(one.elapsed_s), 400 * _whole(one.caffeine_mg)) for one in limits.earlier_caffeine]
    for hours, most_mg in ((2, limits.caffeine_once_mg), (24, limits.caffeine_day_mg)):
        for first, _ in doses:
            for last in planned:
                within = sum(amount for at_s, amount in doses if first <= at_s <= last)
                if 0 <= last - first <= 3600 * hours and within > 400 * most_mg:
                    yield "gate.caffeine", hours


PART_OF = {
    "caffeine": {"awake", "pill", "cola"},
    "sodium": {"pill"},
    "fluid": {"water", "sports", "cola"},
    "fructose": {"sweet", "cola"},
}


def _by_itself(tried: Try) -> Iterator[tuple[str, object]]:
    for number, one in enumerate(tried.schedule):
        times_s = [_time_s(one, tried, speed) for speed in tried.speeds_m_per_s]
        rinse = one.amount == "rinse"
        if one.item in tried.limits.refused:
            yield "gate.refused_item", number
        for part in tried.limits.withheld:
            if one.item in PART_OF[part] and not (part == "fluid" and rinse):
                yield "gate.withheld_part", (number, part)
        if one.at_m is not None and one.at_m > tried.length_m:
            yield "gate.off_course", number
        if max(times_s) > tried.limits.last_intake_s and not rinse:
            yield "gate.too_late", number
        for window in tried.limits.windows:
            if _meets(window, times_s) and not (rinse and window.rinse_allowed):
                yield "gate.in_window", number
    for station in tried.stations:
        on_line = tried.permission.amount != "none" and station.at_m >= tried.permission.from_m
        times_s = [_whole(station.at_m / speed) for speed in tried.speeds_m_per_s]
        for window in tried.limits.windows:
            if on_line and _water(tried, station) and _meets(window, times_s):
                yield "gate.in_window", station.name


def _meets(window: Window, times_s: list[int]) -> bool:
    return not (max(times_s) < window.start_s or min(times_s) > window.end_s)


# The two, side by side.


def gated(tried: Try) -> tuple[Finding, ...]:
    race = Race(
        name="Invented", gun=GUN, zone="UTC", distance_m=tried.length_m, pre_start_drink_ml=tried.pre_ml
    )
    course = Course(
        x_m=(0, tried.length_m), elevation_m=(0, 0), measured_m=tried.length_m, stations=tried.stations
    )
    cases = (
        PaceCase(name=name, x_m=(0, tried.length_m), elapsed_s=(0, tried.length_m / speed))
        for name, speed in zip(("early", "goal", "slow"), tried.speeds_m_per_s, strict=True)
    )
    return gate(
        tried.schedule,
        case=Case.model_construct(race=race, course=course),
        items=ITEMS,
        pace=PaceTable(cases=tuple(cases)),
        limits=tried.limits,
        permission=tried.permission,
    )


def kinds(found: set[tuple[str, object]]) -> Counter[str]:
    """Return how many breaches there are of each code; caffeine has one for each of its two windows."""
    return Counter(code for code, _ in found)


def test_the_gate_refuses_every_schedule_above_a_limit_and_no_other() -> None:
    dice = random.Random(20_261_125)
    seen: Counter[str] = Counter()
    for _ in range(TRIES):
        tried = drawn(dice)
        found, expected = gated(tried), judged(tried)
        assert Counter(finding.code for finding in found) == kinds(expected), (tried, found)
        seen += Counter({code for code, _ in expected} or {"kept"})
    assert seen["kept"] > TRIES // 10, seen
    codes = (
        "fluid",
        "one_sugar",
        "caffeine",
        "refused_item",
        "withheld_part",
        "off_course",
        "too_late",
        "in_window",
    )
    assert min(seen[f"gate.{code}"] for code in codes) > TRIES // 100, seen
