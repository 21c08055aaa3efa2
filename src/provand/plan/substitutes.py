"""What may stand in for an item when a bag is lost, or a station has not got it: in words for the athlete.

Only what the athlete may have is named. A stand-in is of the same texture, holds about as much carbohydrate
and no more caffeine, and the gate passes the whole schedule with it in the other's place. An item of the
starter shelf stands for a kind of pack and for no pack: to somebody who leaves an ingredient out it is as
unknown as any other, so that often nothing is known to be safe.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from provand.case.case import Case
from provand.case.course import Station
from provand.case.intake import Intake
from provand.estimate.pace import PaceTable
from provand.larder.item import Item
from provand.larder.shelf import shelf
from provand.phrase import Number, Phrase, phrase, rounded_number, to_say, trimmed_number
from provand.plan.document import StandIn
from provand.plan.withheld import WEIGHTS, speaks_of
from provand.protocol.rules import value
from provand.safety.counting import is_poured
from provand.safety.cups import known_waters
from provand.safety.gate import gate
from provand.safety.limits import Limits, Permission
from provand.safety.refusals import refused_items, withheld_parts

MOST_NAMED = 2
SPARE = phrase("Nothing is known that may stand in for it: carry a spare.")
LEAVE_IT = phrase("Leave it, and take the next one as planned.")


class Laid(NamedTuple):
    """A schedule with everything that it is held to."""

    case: Case
    items: Mapping[str, Item]
    pace: PaceTable
    limits: Limits
    intakes: Sequence[Intake]
    line: Permission

    def passes(self, intakes: Sequence[Intake], items: Mapping[str, Item]) -> bool:
        """Return whether the gate finds nothing in a schedule of these items."""
        found = gate(
            intakes, case=self.case, items=items, pace=self.pace, limits=self.limits, permission=self.line
        )
        return not found


def stand_ins(laid: Laid) -> tuple[StandIn, ...]:
    """Return for each kind of item planned what may stand in for it, then the stations with water only."""
    kinds = dict.fromkeys(take.item for take in laid.intakes)
    found = [_for_kind(laid, laid.items[kind]) for kind in kinds if laid.items[kind].texture != "water"]
    return (*found, *_stations(laid))


def _for_kind(laid: Laid, item: Item) -> StandIn:
    carried = [take for take in laid.intakes if take.item == item.id and take.got_from != "station"]
    if not carried:
        return StandIn.of(item.name, phrase("No {item} there?", item=item.name), LEAVE_IT, item=item.id)
    named = sorted(_candidates(laid, item), key=lambda one: _order(laid, item, one))[:MOST_NAMED]
    return StandIn.of(
        item.name,
        phrase("Bag lost, no {item}?", item=item.name),
        _instead([_in_words(laid, one) for one in named]),
        item=item.id,
        instead=tuple(one.id for one in named),
    )


def _instead(named: Sequence[Phrase]) -> Phrase:
    """Return the sentence that names what to take instead: one thing, one of two, or none."""
    if not named:
        return SPARE
    one, *others = named
    if not others:
        return phrase("Take {one}.", one=one)
    return phrase("Take {one} or {other}.", one=one, other=others[0])


def _candidates(laid: Laid, item: Item) -> Iterator[Item]:
    """Yield what may stand in for an item that is carried."""
    at_hand = {one.id: one for one in (*shelf(), *laid.case.items)}
    for one in at_hand.values():
        is_itself = one.id == item.id and one not in shelf()
        if not is_itself and _is_alike(item, one) and _may_have(laid, one) and _fits(laid, item, one):
            yield one


def _is_alike(item: Item, other: Item) -> bool:
    """Return whether an item is of the same kind: texture, about the carbohydrate, water, caffeine."""
    carb, others = item.holds.carb_g, other.holds.carb_g
    caffeine, more = item.holds.caffeine_mg, other.holds.caffeine_mg
    if carb is None or others is None or caffeine is None or more is None:
        return False
    band = value("stand_in.carb")
    return (
        other.texture == item.texture
        and band.low * carb.mid <= others.mid <= band.high * carb.mid
        and more.high <= caffeine.low
        and (item.with_water or not other.with_water)
    )


def _may_have(laid: Laid, item: Item) -> bool:
    """Return whether the athlete may have an item, as a pack that nobody has read yet where it is generic."""
    case, withheld = laid.case, laid.limits.withheld
    leaves_out = bool(case.athlete.allergens or case.athlete.excluded) or "fructose" in withheld
    return not (
        (leaves_out and item in shelf())
        or item.id in refused_items(case, {item.id: item}, withheld)
        or withheld_parts(Intake(item=item.id, at_m=0.0), item, withheld)
        or speaks_of(item.name, withheld)
        or ("grams" in withheld and WEIGHTS.search(item.name))
    )


def _fits(laid: Laid, item: Item, other: Item) -> bool:
    """Return whether the schedule passes every limit, and the pockets hold it, with another in its place."""
    swapped = [
        take.model_copy(update={"item": other.id}) if take.item == item.id else take for take in laid.intakes
    ]
    items = {**laid.items, other.id: other}
    pieces = [take.portion_frac * other.divides_into for take in swapped if take.item == other.id]
    divides = all(abs(count - round(count)) < 1e-6 for count in pieces)
    return divides and _pocket_ml(swapped, items) <= _room_ml(laid.case) and laid.passes(swapped, items)


def _pocket_ml(intakes: Iterable[Intake], items: Mapping[str, Item]) -> float:
    """Return the room that carried packs take; without end where nobody says how large one is."""
    taken = [take for take in intakes if take.got_from == "pocket" and not is_poured(take)]
    sizes = [(take.portion_frac, items[take.item].pocket_ml) for take in taken]
    return sum(float("inf") if size_ml is None else count * size_ml for count, size_ml in sizes)


def _room_ml(case: Case) -> float:
    return sum(pocket.room_ml for pocket in case.athlete.pockets)


def _order(laid: Laid, item: Item, other: Item) -> tuple[bool, float, str]:
    """Return what is named first: what was rehearsed, then what is nearest in carbohydrate."""
    carb, others = item.holds.carb_g, other.holds.carb_g
    apart_g = abs(others.mid - carb.mid) if carb and others else 0.0
    return not _is_rehearsed(laid, other), apart_g, other.id


def _is_rehearsed(laid: Laid, item: Item) -> bool:
    """Return whether the athlete knows an item: a pack of the case, kept down in training."""
    return item not in shelf() and item.id in {one.item for one in laid.case.athlete.rehearsed}


def _in_words(laid: Laid, item: Item) -> Phrase:
    """Return how a stand-in is called; one of the shelf with its carbohydrate, where weights may be told."""
    carb, is_known = item.holds.carb_g, _is_rehearsed(laid, item)
    if item not in shelf():
        return phrase("{name}" if is_known else "{name} (not rehearsed)", name=item.name)
    name = phrase(item.name)
    if carb is None or "grams" in laid.limits.withheld:
        return phrase("{name} (not rehearsed)", name=name)
    return phrase(
        "{name} with about {carb} g of carbohydrate (not rehearsed)",
        name=name,
        carb=_as_shown(carb_g=carb.mid),
    )


def _stations(laid: Laid) -> Iterator[StandIn]:
    """Yield the stations that serve something, and nothing but water that the athlete may have."""
    if "fluid" in laid.limits.withheld:
        return
    bare = [station for station in laid.case.course.stations if _is_bare(laid, station)]
    for water, stations in groupby(
        sorted(bare, key=lambda one: _has_water(laid, one)), lambda one: _has_water(laid, one)
    ):
        names = ", ".join(station.name for station in stations)
        template = (
            to_say("{stations}: water there, and nothing else.")
            if water
            else to_say("{stations}: nothing there is known to be safe for you.")
        )
        yield StandIn.of(names, phrase(template, stations=names))


def _is_bare(laid: Laid, station: Station) -> bool:
    refused, withheld = laid.limits.refused, laid.limits.withheld
    served = [
        laid.items.get(cup.item) for cup in station.serves if cup.item in refused or cup.item in laid.items
    ]
    foods = [one for one in served if one is None or one.texture != "water"]
    return bool(foods) and all(
        one is None or one.id in refused or withheld_parts(Intake(item=one.id, at_m=0.0), one, withheld)
        for one in foods
    )


def _has_water(laid: Laid, station: Station) -> bool:
    return bool(known_waters(station, laid.items, laid.limits.refused))


def _as_shown(*, carb_g: float) -> Number:
    """Return grams with three significant digits, as `units.shown` has them."""
    if carb_g >= 100:
        return rounded_number(carb_g)
    return trimmed_number(carb_g, 1) if carb_g >= 10 else trimmed_number(carb_g, 2)
