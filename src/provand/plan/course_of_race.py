"""The race as the plan shows it: stops with what has been had so far, sums that are exact, series, feeds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import NamedTuple

from provand.case.case import Case
from provand.case.course import Served
from provand.case.intake import Intake
from provand.estimate.pace import PaceTable
from provand.figure import Figure, Range, Series, Trace
from provand.larder.composition import Composition
from provand.larder.item import Item
from provand.plan.document import Stop, Take
from provand.planner.places import permitted_ml, place_of
from provand.planner.problem import RaceInputs, ThirstLine
from provand.protocol.asks import typed
from provand.protocol.firing import assumed
from provand.safety.counting import contents, fluid_ml, is_poured, swallowed_ml
from provand.safety.cups import served_as, station_of
from provand.safety.taken import fluid_before_ml
from provand.simulation.body import Feed

NOTHING = Range.exact(0.0)


class Placed(NamedTuple):
    """An intake with its item, its station, its cup and its place along the course."""

    intake: Intake
    item: Item
    served: Served | None
    station: str
    at_m: float

    @property
    def swallowed(self) -> Composition:
        """What is swallowed of it; nothing of a rinse, which is spat out."""
        return contents(self.intake, self.item, self.served)

    @property
    def fluid(self) -> Range:
        """The fluid of it: what is swallowed for certain up to what the ceiling counts."""
        most = fluid_ml(self.intake, self.item, self.served)
        if is_poured(self.intake):
            sure = swallowed_ml(self.intake, self.served)
            return Range(low=min(sure.low, most), mid=min(sure.mid, most), high=most)
        water = self.item.holds.water_ml
        low = 0.0 if water is None else water.low * self.intake.portion_frac
        mid = low if water is None else water.mid * self.intake.portion_frac
        return Range(low=min(low, most), mid=min(mid, most), high=most)


def place(inputs: RaceInputs, intakes: Iterable[Intake]) -> tuple[Placed, ...]:
    """Return the intakes of a schedule in the order of the course."""
    placed = []
    for intake in intakes:
        item, station = inputs.items[intake.item], station_of(intake, inputs.stations)
        served = served_as(item, station, inputs.items, inputs.refused)
        name = station.name if station else ""
        placed.append(Placed(intake, item, served, name, place_of(inputs, intake)))
    return tuple(sorted(placed, key=lambda p: p.at_m))


def _plus(a: Range, b: Range | None) -> Range:
    if b is None:
        return a
    return Range(low=a.low + b.low, mid=a.mid + b.mid, high=a.high + b.high)


def stops_of(
    placed: Sequence[Placed], pace: PaceTable, rehearsed: frozenset[str], pinned: Sequence[Intake]
) -> tuple[Stop, ...]:
    """Return one stop a place, with carbohydrate and fluid so far as ranges."""
    carb, fluid, stops = NOTHING, NOTHING, []
    for at_m, group in groupby(placed, key=lambda p: p.at_m):
        here = list(group)
        for each in here:
            if each.intake.amount != "rinse":
                carb = _plus(carb, each.swallowed.carb_g)
            fluid = _plus(fluid, each.fluid)
        early, goal, slow = (one.time_at_s(at_m) for one in pace.cases)
        takes = tuple(
            Take(
                item=p.item.id,
                name=p.item.name,
                texture=p.item.texture,
                portion_frac=p.intake.portion_frac,
                amount=p.intake.amount,
                got_from=p.intake.got_from,
                with_caffeine=p.item.holds.caffeine_mg is None or p.item.holds.caffeine_mg.high > 0,
                rehearsed=p.item.id in rehearsed or p.item.texture == "water",
            )
            for p in here
        )
        stops.append(
            Stop(
                at_m=at_m,
                early_s=early,
                goal_s=goal,
                slow_s=slow,
                station=here[0].station,
                takes=takes,
                carb_so_far_g=carb,
                fluid_so_far_ml=fluid,
                pinned=any(p.intake in pinned for p in here),
            )
        )
    return tuple(stops)


def race_sums(trace: Trace, inputs: RaceInputs, placed: Sequence[Placed], goal: Figure) -> dict[str, Figure]:
    """Return the sums over the race as figures: each intake from its label, the whole, the hourly mean."""
    sums: dict[str, Figure] = {}
    for amount in ("carb_g", "sodium_mg", "caffeine_mg"):
        parts = [
            part
            for number, each in enumerate(placed, 1)
            if each.intake.amount != "rinse"
            and (part := _part(trace, inputs.case, each, number, amount)) is not None
        ]
        if parts:
            sums[amount] = trace.sum(f"race.{amount}_per_race", parts, by="sum of the intakes")
    fluid = [_fluid_part(trace, inputs, each, number) for number, each in enumerate(placed, 1)]
    if fluid:
        sums["fluid_ml"] = trace.sum("race.planned_fluid_ml_per_race", fluid, by="sum of the intakes")
    carb = sums.get("carb_g")
    if carb is not None:
        hours = goal.value.mid / 3600
        sums["carb_g_per_h"] = trace.add(
            "race.carb_g_per_h",
            Range(low=carb.value.low / hours, mid=carb.value.mid / hours, high=carb.value.high / hours),
            how="rule",
            by="whole race over goal time",
            inputs=[carb, goal],
        )
    return sums


def _part(trace: Trace, case: Case, each: Placed, number: int, amount: str) -> Figure | None:
    """Return what one intake gives, resting on the item's label; None where none is known or in it."""
    value = getattr(each.swallowed, amount)
    held = getattr(each.item.holds, amount)
    if value is None or held is None or held.high == 0:
        return None
    label_id = f"item.{each.item.id}.{amount}_per_item"
    label = trace.given(label_id, held, label_text(case, each.item, amount))
    taken = "swallowed of the cup" if is_poured(each.intake) else f"{each.intake.portion_frac:g} of it"
    return trace.add(
        f"intake.{number}.{amount}_per_race",
        value,
        how="rule",
        by=f"{each.item.name}: {taken}",
        inputs=[label],
    )


def _fluid_part(trace: Trace, inputs: RaceInputs, each: Placed, number: int) -> Figure:
    """Return the fluid of one intake, resting on the cup and how full it is, or on the item's label."""
    poured = is_poured(each.intake)
    return trace.add(
        f"intake.{number}.fluid_ml_per_race",
        each.fluid,
        how="rule",
        by=f"{each.item.name}: {'swallowed, up to what was poured' if poured else 'the water in it'}",
        inputs=_cup(trace, inputs, each) if poured else [_water(trace, inputs.case, each.item)],
    )


def _water(trace: Trace, case: Case, item: Item) -> Figure:
    figure_id = f"item.{item.id}.water_ml_per_item"
    held = item.holds.water_ml or Range.exact(fluid_ml(Intake(item=item.id, at_m=0.0), item))
    return trace.given(figure_id, held, label_text(case, item, "water_ml"))


def _cup(trace: Trace, inputs: RaceInputs, each: Placed) -> list[Figure]:
    """Return what a cup rests on: what is swallowed, and a mouthful, or the cup and its fill as typed."""
    intake, served, station = each.intake, each.served, station_of(each.intake, inputs.stations)
    rests = [assumed(trace, "cup.swallowed")]
    if intake.amount in ("mouthful", "rinse"):
        return [*rests, assumed(trace, "cup.mouthful")]
    assert station is not None and served is not None
    at, place = inputs.stations.index(station), station.serves.index(served)
    for field, value in (("cup_ml", served.cup_ml), ("fill_frac", served.fill_frac)):
        text = typed(inputs.case, f"course.stations.{at}.serves.{place}.{field}")
        rests.append(trace.given(f"station.{at + 1}.served_{place + 1}_{field}", value, text))
    return rests


LABEL_FIELDS = {"sodium_mg": ("sodium_mg", "salt_g"), "water_ml": ("water_ml", "pack_ml", "pack_g")}
"""The fields of a label that an amount may be reckoned from: the first that was given counts."""


def label_text(case: Case, item: Item, amount: str) -> str:
    """Return how an item's amount was given: the text as typed, or the starter shelf's."""
    number = case.items.index(item) if item in case.items else -1
    for name in LABEL_FIELDS.get(amount, (amount,)):
        basis = "pack" if name.startswith("pack_") else item.label.basis
        for path in (f"items.{key}.label.{name}" for key in (number, item.id)):
            if path in case.origins:
                return f"{typed(case, path)} per {basis}"
    return f"label of {item.name}"


def counted_fluid(placed: Sequence[Placed], thirst: ThirstLine, inputs: RaceInputs) -> Series:
    """Return the fluid so far: swallowed for certain, as planned, and with the drinking line followed."""
    case = inputs.case
    before = fluid_before_ml(case)
    low = mid = high = before
    rows = [(0.0, low, mid, high)]
    extra = {s.at_m: permitted_ml(inputs, n, thirst) for n, s in enumerate(case.course.stations)}
    for at_m in sorted({*extra, *(p.at_m for p in placed)}):
        rows.append((at_m, low, mid, high))
        here = [p for p in placed if p.at_m == at_m]
        waters = [p for p in here if is_poured(p.intake) and p.item.texture == "water"]
        cups = math.fsum(p.fluid.high for p in waters)
        low += math.fsum(p.fluid.low for p in here)
        mid += math.fsum(p.fluid.mid for p in here)
        others = math.fsum(p.fluid.high for p in here if p not in waters)
        high += others + max(cups, extra.get(at_m, 0.0))
        rows.append((at_m, low, mid, high))
    rows.append((case.course.length_m, low, mid, high))
    x, lows, mids, highs = zip(*rows, strict=True)
    return Series(of="race.fluid_so_far_ml", x_m=x, low=lows, mid=mids, high=highs)


def feeds_of(placed: Sequence[Placed]) -> list[Feed]:
    """Return what the simulation swallows: the middle of each intake; an unknown split counts as glucose."""
    feeds = []
    for each in placed:
        if each.intake.amount == "rinse":
            continue
        held = each.swallowed
        carb = held.carb_g.mid if held.carb_g else 0.0
        fructose = held.fructose_g.mid if held.fructose_g else 0.0
        feeds.append(Feed(each.at_m, each.fluid.mid, max(0.0, carb - fructose), fructose))
    return feeds
