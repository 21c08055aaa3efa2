"""What may happen at one place: the items that may be planned at all, and the patterns made of them.

What must not be on the page is not made: nothing unrehearsed, no gel on sports drink, no gel without the
water it needs. So no rule has to be switched off with a large number.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from provand.case.intake import Amount, Intake, Source
from provand.larder.item import WATER, Item
from provand.planner.places import place_of, pours_water, served_at
from provand.planner.points import GUT_MG, TENTH_MG, caffeine_points, grade_points, is_meal
from provand.planner.problem import Pattern, Place, Problem, RaceInputs
from provand.safety.counting import contents, fluid_ml, is_poured, max_caffeine_mg, max_glucose_g
from provand.safety.refusals import withheld_parts

Line = tuple[tuple[str, float, str], ...]
"""What the page prints of one stop: items with their portions and amounts."""
BITES = ("gel", "chew", "solid")
WITH_BITE: tuple[Amount, ...] = ("mouthful", "half", "cup")
"""What may be poured with a bite that needs water."""
LEAST_OF_KIND_MG = 15_000
"""A kind that gives less than this in the whole race is a scrap, and is not planned (estimate)."""
UNREHEARSED = 6
"""What an unrehearsed kind costs in handling where the practitioner allows it (estimate)."""
PAIRING_POINTS = {"cup": 0, "half": 5, "mouthful": 20}
"""What less than a cup costs, in tenths of a point (estimate)."""


def why_not(inputs: RaceInputs, item: Item) -> str:
    """Return why an item may not be planned, or an empty string."""
    return why_never(inputs, item) or _why_not_by_wish(inputs, item)


def why_never(inputs: RaceInputs, item: Item) -> str:
    """Return why no hand can plan an item: excluded, refused, withheld; or an empty string."""
    if item.id in inputs.refused:
        return inputs.refused[item.id]
    if item.id in (*inputs.case.wishes.banned, *inputs.case.athlete.refused):
        return "not wanted"
    parts = withheld_parts(Intake(item=item.id, at_m=0.0), item, inputs.withheld)
    return "this plan leaves it out" if parts else ""


def _why_not_by_wish(inputs: RaceInputs, item: Item) -> str:
    wishes, held = inputs.case.wishes, item.holds
    if item.texture == "water":
        return ""
    reasons = {
        "neither eaten nor poured at a place of its own": item.texture in ("powder", "capsule"),
        "its carbohydrate or its size is not known": held.carb_g is None
        or math.isinf(fluid_ml(Intake(item=item.id, at_m=0.0), item)),
        "its caffeine is not known: type 0 mg where the pack names none": held.caffeine_mg is None,
        "it holds caffeine, and none is wished for": held.caffeine_mg is not None
        and held.caffeine_mg.high > 0
        and not wishes.caffeine_mg,
        "not rehearsed": wishes.rehearsed_only
        and "rehearsal" not in inputs.eased
        and not is_rehearsed(inputs, item.id),
    }
    return next((reason for reason, holds in reasons.items() if holds), "")


def is_rehearsed(inputs: RaceInputs, item_id: str) -> bool:
    """Return whether an item was kept down in training; water always was."""
    return inputs.item_of(item_id).texture == "water" or any(
        rehearsed.item == item_id for rehearsed in inputs.case.athlete.rehearsed
    )


def carried(inputs: RaceInputs) -> tuple[Item, ...]:
    """Return what may be planned from the pockets."""
    fits = max((pocket.room_ml for pocket in inputs.case.athlete.pockets), default=0.0)
    able = (item for item in inputs.items.values() if item.pocket_ml is not None and item.pocket_ml <= fits)
    return tuple(
        sorted((i for i in able if i.id != WATER and not why_not(inputs, i)), key=lambda item: item.id)
    )


def patterns_at(inputs: RaceInputs, place: Place, pockets: Sequence[Item]) -> tuple[Pattern, ...]:
    """Return every pattern that may happen at an open place; `pockets` are the items carried."""
    made = [pattern_of(inputs, place, takes) for takes in _takes(inputs, place, pockets)]
    return tuple(p for p in made if p.counted_mg > 0 and p.other_ml + p.water_ml <= max(0, place.room_ml))


def handed(inputs: RaceInputs, x_m: float) -> tuple[Item, ...]:
    """Return what may be planned from a crew at a place."""
    items = [inputs.items[item_id] for item_id in sorted(set(inputs.case.handed_at(x_m)))]
    return tuple(item for item in items if item.id != WATER and not why_not(inputs, item))


def _takes(inputs: RaceInputs, place: Place, pockets: Sequence[Item]) -> Iterator[tuple[Intake, ...]]:
    """Yield what may be taken together; what a crew hands over here comes out of no pocket."""
    crew = handed(inputs, place.at_m)
    own: list[tuple[Item, Source]] = [(item, "pocket") for item in pockets if item not in crew]
    own += [(item, "crew") for item in crew]
    flasks = [_sip(inputs, place, item, source) for item, source in own if item.texture == "water"]
    for item, source in own:
        if item.texture in BITES:
            yield from _bites(inputs, place, item, flasks, source)
        elif item.texture == "drink":
            yield from ((_whole(inputs, place, item, p, source),) for p in _sips(item))
    if place.station is None:
        return
    for item in _offered(inputs, place.station):
        if item.texture in BITES:
            yield from _bites(inputs, place, item, flasks, "station")
        elif item.texture == "drink" and item.label.pack_ml is not None:
            yield from ((_poured(inputs, place, item.id, *cup),) for cup in _cups(inputs))


def _offered(inputs: RaceInputs, station: int) -> list[Item]:
    served = {s.item: inputs.item_of(s.item) for s in inputs.stations[station].serves}
    return [
        item for item_id, item in sorted(served.items()) if item.id == item_id and not why_not(inputs, item)
    ]


def _cups(inputs: RaceInputs) -> list[tuple[Amount, float]]:
    if inputs.mode == "small":
        return [("mouthful", 1.0)]
    return [("half", 1.0), ("cup", 1.0), ("cup", 2.0)]


def _bites(
    inputs: RaceInputs, place: Place, item: Item, flasks: Sequence[Intake], source: Source
) -> Iterator[tuple[Intake, ...]]:
    for portion_frac in _portions(item):
        bite = _whole(inputs, place, item, portion_frac, source)
        if not item.with_water:
            yield (bite,)
            continue
        if "pairing" in inputs.eased and "fluid" not in inputs.withheld:
            yield (bite,)
        if place.station is not None and pours_water(inputs, place.station):
            yield from _with_cup(inputs, place, bite)
        else:
            yield from ((bite, flask) for flask in flasks)


def _with_cup(inputs: RaceInputs, place: Place, bite: Intake) -> Iterator[tuple[Intake, ...]]:
    """Yield a bite with water; where no water may be planned, the thirst line at the station has to do."""
    if "fluid" in inputs.withheld:
        yield (bite,)
    else:
        yield from ((bite, _poured(inputs, place, WATER, amount, 1.0)) for amount in WITH_BITE)


def _portions(item: Item) -> list[float]:
    """Return the parts of a pack worth planning: half and whole, a quarter where that is a bite."""
    carb_mg = 1000 * (item.holds.carb_g.mid if item.holds.carb_g else 0)
    parts = {item.divides_into, round(item.divides_into / 2), round(item.divides_into / 4)} - {0}
    shares = sorted(part / item.divides_into for part in parts)
    return [share for share in shares if share == 1 or is_meal(int(share * carb_mg))]


def _sips(item: Item) -> list[float]:
    """Return the fewest sips of a flask that feed, and twice as many."""
    carb_mg = 1000 * (item.holds.carb_g.mid if item.holds.carb_g else 0)
    fewest = next(
        (n for n in range(1, item.divides_into + 1) if is_meal(int(n / item.divides_into * carb_mg))), 0
    )
    return [n / item.divides_into for n in (fewest, 2 * fewest) if 0 < n <= item.divides_into]


def _sip(inputs: RaceInputs, place: Place, flask: Item, source: Source) -> Intake:
    return _whole(inputs, place, flask, 1 / flask.divides_into, source)


def _whole(inputs: RaceInputs, place: Place, item: Item, portion_frac: float, source: Source) -> Intake:
    station = ""
    if source == "station":
        assert place.station is not None
        station = inputs.stations[place.station].name
    return Intake(item=item.id, portion_frac=portion_frac, at_m=place.at_m, got_from=source, station=station)


def _poured(inputs: RaceInputs, place: Place, item_id: str, amount: Amount, portion_frac: float) -> Intake:
    assert place.station is not None
    return Intake(
        item=item_id,
        amount=amount,
        portion_frac=portion_frac,
        at_m=place.at_m,
        got_from="station",
        station=inputs.stations[place.station].name,
    )


ENDLESS = 1e6
"""What an amount without end counts as here: more than any limit, and still a whole number."""


def up(amount: float) -> int:
    """Round up, but for the noise of binary fractions."""
    return math.ceil(amount - 1e-6)


def in_steps(carb_g: float) -> int:
    """Return an amount that a limit counts, in mg, rounded up to the step of the gut."""
    return GUT_MG * up(1000 * carb_g / GUT_MG)


def counted_mg(inputs: RaceInputs, take: Intake, station: int | None) -> int:
    """Return the carbohydrate that counts as eaten: a pack as printed, a cup as what is surely swallowed."""
    carb_g = contents(take, inputs.item_of(take.item), served_at(inputs, station, take.item)).carb_g
    if carb_g is None:
        return 0
    eaten_g = carb_g.low if is_poured(take) else carb_g.mid
    return TENTH_MG * math.floor(1000 * eaten_g / TENTH_MG + 1e-6)


def carb_high_mg(inputs: RaceInputs, take: Intake, station: int | None) -> int:
    """Return the carbohydrate that counts for the gut: a pack as printed, a cup as the most swallowed."""
    carb_g = contents(take, inputs.item_of(take.item), served_at(inputs, station, take.item)).carb_g
    if carb_g is None:
        return 0
    return in_steps(carb_g.high if is_poured(take) else carb_g.mid)


def drunk_ml(inputs: RaceInputs, place: Place, takes: Sequence[Intake]) -> tuple[int, int]:
    """Return all other fluid and the water of cups at a place, in ml, rounded up.

    The two are apart because the water of a station's cup is what the drinking line speaks of.
    """
    parts_ml = {True: 0.0, False: 0.0}
    for take in takes:
        item, served = inputs.item_of(take.item), served_at(inputs, place.station, take.item)
        parts_ml[item.texture == "water" and is_poured(take)] += fluid_ml(take, item, served)
    return up(min(parts_ml[False], 1e9)), up(min(parts_ml[True], 1e9))


def pattern_of(inputs: RaceInputs, place: Place, takes: tuple[Intake, ...]) -> Pattern:
    """Return what happens at a place, with everything it counts for."""
    counted = [
        (take, inputs.item_of(take.item), served_at(inputs, place.station, take.item)) for take in takes
    ]
    packs = [(take, item) for take, item, _ in counted if take.got_from == "pocket" and not is_poured(take)]
    other_ml, water_ml = drunk_ml(inputs, place, takes)
    caffeine_mg = up(min(ENDLESS, sum(max_caffeine_mg(*one) for one in counted if one[1].texture != "water")))
    return Pattern(
        takes=takes,
        counted_mg=sum(counted_mg(inputs, take, place.station) for take in takes),
        carb_high_mg=sum(carb_high_mg(inputs, take, place.station) for take in takes),
        glucose_high_mg=in_steps(
            min(ENDLESS, sum(max_glucose_g(*one) for one in counted if one[1].texture != "water"))
        ),
        caffeine_mg=caffeine_mg,
        other_ml=other_ml,
        water_ml=water_ml,
        pieces=tuple((item.id, round(take.portion_frac * item.divides_into)) for take, item in packs),
        kinds=tuple(
            sorted(
                {item.id for take, item, _ in counted if item.texture != "water" or take.got_from == "pocket"}
            )
        ),
        handling=handling(inputs, takes),
        road=road(inputs, place, takes, caffeine_mg=caffeine_mg),
    )


def handling(inputs: RaceInputs, takes: tuple[Intake, ...]) -> int:
    """Return what a stop costs in handling: chews at pace, a second cup, a sip from a flask, each one."""
    cost = 0
    for take in takes:
        item = inputs.item_of(take.item)
        cost += item.texture in ("chew", "solid") and not inputs.walker
        cost += is_poured(take) and take.portion_frac > 1
        cost += item.texture in ("drink", "water") and not is_poured(take)
    return cost


def is_fed_by(problem: Problem, kind: str) -> bool:
    """Return whether a kind has to give enough to be worth its place on the page: not water, no pin."""
    inputs = problem.inputs
    pinned = {take.item for take in inputs.case.wishes.pinned}
    return inputs.mode == "rate" and kind not in pinned and inputs.item_of(kind).texture != "water"


def kind_cost(inputs: RaceInputs, item_id: str) -> int:
    """Return what a kind costs in handling: two, a flask three; more where it was never rehearsed."""
    item = inputs.item_of(item_id)
    flask = item.texture in ("drink", "water") and item.pocket_ml is not None
    return (3 if flask else 2) + (0 if is_rehearsed(inputs, item_id) else UNREHEARSED)


def road(inputs: RaceInputs, place: Place, takes: tuple[Intake, ...], *, caffeine_mg: int) -> int:
    """Return what a stop costs on the road: slope, caffeine too early or late, less than a cup of water."""
    items = [inputs.item_of(take.item) for take in takes]
    points = grade_points(place.grade_frac, gel=any(item.texture == "gel" for item in items))
    if caffeine_mg:
        points += caffeine_points(place.goal_s / inputs.pace.goal.finish_s)
    return points + sum(PAIRING_POINTS[take.amount] for take in takes if take.amount in PAIRING_POINTS)


def line_of(takes: Sequence[Intake]) -> Line:
    """Return what the page prints of a stop, to see whether two stops are the same line."""
    return tuple(sorted((take.item, take.portion_frac, take.amount) for take in takes))


def lines_by_place(inputs: RaceInputs, schedule: Sequence[Intake]) -> dict[float, Line]:
    """Return what a schedule has at each of its places, as lines to compare."""
    stops: dict[float, list[Intake]] = {}
    for take in schedule:
        stops.setdefault(place_of(inputs, take), []).append(take)
    return {x_m: line_of(takes) for x_m, takes in sorted(stops.items())}
