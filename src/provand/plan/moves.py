"""What an athlete does differently on the course: the takes of two schedules paired, item by item."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from typing import NamedTuple

from provand.plan.document import Plan, Stop, Take
from provand.plan.withheld import WEIGHTS, speaks_of
from provand.units import clock

_TEXTURES = {"chew": "chews", "solid": "solid food", "powder": "bottle"}
_AMOUNTS = {"cup": "a cup", "half": "half a cup", "mouthful": "a mouthful", "rinse": "a rinse"}
_SOURCES = {"pocket": "the pocket", "bag": "the bag", "crew": "the crew", "table": "the table"}


class Eaten(NamedTuple):
    """One thing taken at a stop, and the water that goes with it."""

    stop: Stop
    take: Take
    water: Take | None
    number: int
    of: int


class Move(NamedTuple):
    """One line of the schedule that differs: what to say, which items and stations it names."""

    says: str
    kind: str
    items: tuple[str, ...]
    stations: tuple[str, ...]
    with_caffeine: bool
    with_fluid: bool


class Reader(NamedTuple):
    """How to speak of a take: what is withheld in either plan, whether times stand, names without weights."""

    parts: Collection[str]
    timed: bool

    def name(self, eaten: Eaten) -> str:
        """Return what is taken, numbered where there are more of it; neutral where a part is withheld."""
        take = eaten.take
        called = "water" if take.texture == "water" else take.name
        hushed = take.with_caffeine and "caffeine" in self.parts
        if hushed or speaks_of(take.name, self.parts) or ("grams" in self.parts and WEIGHTS.search(called)):
            return "the " + _TEXTURES.get(take.texture, take.texture)
        return f"{called} {eaten.number}" if eaten.of > 1 else called

    def place(self, stop: Stop) -> str:
        """Return where it is taken: station, km, and goal time where that stands."""
        where = f"km {stop.at_m / 1000:.1f}" + (f" ({clock(stop.goal_s)})" if self.timed else "")
        return f"{stop.station}, {where}" if stop.station else where


def eaten_in(plan: Plan) -> list[Eaten]:
    """Return what a plan has taken, stop by stop; water that goes with a bite is part of the bite."""
    rows: list[tuple[Stop, Take, Take | None]] = []
    for stop in plan.race.stops:
        water = next((take for take in stop.takes if take.texture == "water"), None)
        bites = [take for take in stop.takes if take.texture != "water"]
        if not bites:
            rows += [(stop, take, None) for take in stop.takes]
        rows += [(stop, take, None if n else water) for n, take in enumerate(bites)]
    counts: dict[str, int] = {}
    numbered = []
    for stop, take, water in rows:
        counts[take.item] = counts.get(take.item, 0) + 1
        numbered.append((stop, take, water, counts[take.item]))
    return [Eaten(stop, take, water, n, counts[take.item]) for stop, take, water, n in numbered]


class Pair(NamedTuple):
    """One line of two schedules, item by item: as it was, as it is; either may be missing.

    `move` says how they differ, and is None where the line is kept as it was.
    """

    was: Eaten | None
    now: Eaten | None
    move: Move | None

    @property
    def at_m(self) -> float:
        """Where the line stands: where it is now, else where it was."""
        eaten = self.now or self.was
        assert eaten is not None
        return eaten.stop.at_m


def moves_between(old: Plan, new: Plan, parts: Collection[str]) -> list[Move]:
    """Return every line of the schedule that differs, in the order of the course."""
    return [pair.move for pair in pairs_between(old, new, parts) if pair.move is not None]


def pairs_between(old: Plan, new: Plan, parts: Collection[str]) -> list[Pair]:
    """Return every line of both schedules, paired item by item, in the order of the course."""
    reader = Reader(parts, timed=not (old.time_struck or new.time_struck))
    pairs, gone, came = _paired(eaten_in(old), eaten_in(new))
    told: list[Pair] = []
    for was in list(gone):
        instead = next((now for now in came if now.stop.at_m == was.stop.at_m), None)
        if instead is not None:
            gone.remove(was)
            came.remove(instead)
            says = f"At {reader.place(instead.stop)}: {reader.name(instead)} instead of {reader.name(was)}"
            told.append(Pair(was, instead, _move(says, "swapped", was, instead)))
    for was in gone:
        says = f"{_begun(reader.name(was))} at {reader.place(was.stop)} is taken out"
        told.append(Pair(was, None, _move(says, "taken out", was)))
    for now in came:
        says = f"{_begun(reader.name(now))}{_of(now.take, reader)} is added at {reader.place(now.stop)}"
        told.append(Pair(None, now, _move(says, "added", now)))
    for was, now in pairs:
        kind = "changed" if _same_place(was, now) else "moved"
        says = _changed(was, now, reader)
        told.append(Pair(was, now, _move(says, kind, was, now) if says else None))
    return sorted(told, key=lambda pair: pair.at_m)


def other_times(old: Plan, new: Plan) -> list[str]:
    """Return the places that stay and whose goal time, as printed, does not: `km 4.8 0:25 -> 0:24`."""
    if old.time_struck or new.time_struck:
        return []
    before = {stop.at_m: clock(stop.goal_s) for stop in old.race.stops}
    return [
        f"km {stop.at_m / 1000:.1f} {before[stop.at_m]} -> {clock(stop.goal_s)}"
        for stop in new.race.stops
        if before.get(stop.at_m, clock(stop.goal_s)) != clock(stop.goal_s)
    ]


Pairs = tuple[list[tuple[Eaten, Eaten]], list[Eaten], list[Eaten]]


def _paired(before: Sequence[Eaten], after: Sequence[Eaten]) -> Pairs:
    """Return pairs of one item, the nearest places first; what is gone; what came."""
    near: Callable[[tuple[Eaten, Eaten]], tuple[float, float, float]] = lambda pair: (  # noqa: E731
        abs(pair[0].stop.at_m - pair[1].stop.at_m),
        pair[0].stop.at_m,
        pair[1].stop.at_m,
    )
    gone, came, pairs = list(before), list(after), list[tuple[Eaten, Eaten]]()
    for was, now in sorted(_alike(before, after), key=near):
        if was in gone and now in came:
            gone.remove(was)
            came.remove(now)
            pairs.append((was, now))
    return pairs, gone, came


def _alike(before: Sequence[Eaten], after: Sequence[Eaten]) -> Iterator[tuple[Eaten, Eaten]]:
    for was in before:
        yield from ((was, now) for now in after if now.take.item == was.take.item)


def _same_place(was: Eaten, now: Eaten) -> bool:
    return f"{was.stop.at_m / 1000:.1f}" == f"{now.stop.at_m / 1000:.1f}"


def _changed(was: Eaten, now: Eaten, reader: Reader) -> str:
    """Return how one take differs from what it was, or an empty string."""
    parts = [*_amount(was, now, reader), *_source(was, now), *_with(was, now, reader)]
    if _same_place(was, now):
        if not parts:
            return ""
        return f"{_begun(reader.name(now))} at {reader.place(now.stop)}: {', '.join(parts)}"
    moved = f"{_begun(reader.name(was))} moved from {reader.place(was.stop)} to {reader.place(now.stop)}"
    return ", ".join([moved, *parts])


def _amount(was: Eaten, now: Eaten, reader: Reader) -> Iterator[str]:
    texts = [_portion(one.take, reader) for one in (was, now)]
    if texts[0] != texts[1]:
        yield f"{texts[1]} instead of {texts[0]}"


def _portion(take: Take, reader: Reader) -> str:
    if take.amount in _AMOUNTS:
        hushed = "fluid" in reader.parts and take.amount != "rinse"
        cups = "" if take.portion_frac == 1 else f"{take.portion_frac:g} times "
        return "" if hushed else cups + _AMOUNTS[take.amount]
    return {0.25: "a quarter", 0.5: "half", 1.0: "a whole one"}.get(
        take.portion_frac, f"{take.portion_frac:g} packs"
    )


def _of(take: Take, reader: Reader) -> str:
    portion = _portion(take, reader)
    return f", {portion}," if portion and portion != "a whole one" else ""


def _source(was: Eaten, now: Eaten) -> Iterator[str]:
    places = [_SOURCES.get(one.take.got_from, one.stop.station or "the station") for one in (was, now)]
    if was.take.got_from != now.take.got_from:
        yield f"from {places[1]} instead of {places[0]}"


def _with(was: Eaten, now: Eaten, reader: Reader) -> Iterator[str]:
    if "fluid" in reader.parts:
        return
    texts = ["no water" if w is None else _portion(w, reader) for w in (was.water, now.water)]
    if texts[0] != texts[1]:
        yield f"water with it: {texts[1]} instead of {texts[0]}"


def _move(says: str, kind: str, *eaten: Eaten) -> Move:
    takes = [take for one in eaten for take in (one.take, one.water) if take is not None]
    return Move(
        says=f"{says}.",
        kind=kind,
        items=tuple(dict.fromkeys(take.item for take in takes)),
        stations=tuple(dict.fromkeys(one.stop.station for one in eaten if one.stop.station)),
        with_caffeine=any(take.with_caffeine for take in takes),
        with_fluid=any(take.texture in ("water", "drink") for take in takes),
    )


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]
