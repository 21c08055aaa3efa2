"""If things go otherwise: a few scenarios planned beforehand, each cleared by the gate, each in one line.

A bottle lost, a station empty, a start an hour late, a hotter day, feeling sick. What was eaten before it
happens stays; what is ahead is planned near the schedule in people's hands. Missing goes to the next source
and is never doubled. What cannot be planned is left out, and that is said.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Sequence
from typing import Literal, NamedTuple

from provand.case.course import Station
from provand.case.happened import Delay, Forecast, Missing, StationServes, at_hand
from provand.case.intake import Amount, Intake
from provand.case.laid import Solve
from provand.case.scene import Scene
from provand.figure import Range
from provand.finding import Finding, find
from provand.larder.item import Item
from provand.phrase import Phrase
from provand.plan import scenario_words as words
from provand.plan.delays import is_in_hand
from provand.plan.document import DrinkingLine, Line, Plan, Stop, Take
from provand.plan.standing import Standing, Tried
from provand.protocol.rules import value
from provand.record import Coded, Record
from provand.safety.cups import AT_STATION_M

ScenarioId = Literal["lost", "empty", "late", "hotter", "sick"]
EVERY: tuple[ScenarioId, ...] = ("lost", "empty", "late", "hotter", "sick")
POURED = ("drink", "water")


class Scenario(Record):
    """Something that may happen, what is done then, and the schedule that this stands for.

    `says` is the one line for a card, in its sentences: no weight, no volume, no time for fluid. `also` are
    the sentences that a list has room for. `before` are the lines of the morning that are new or have moved.
    `from_m` is where it happens, 0 before the start; up to there the stops are as handed out. `check` is
    what the gate finds: nothing, else it would not stand here.
    """

    id: ScenarioId
    title: Phrase
    says: tuple[Phrase, ...]
    also: tuple[Phrase, ...] = ()
    from_m: float = 0.0
    before: tuple[Line, ...] = ()
    stops: tuple[Stop, ...]
    drinking: DrinkingLine
    rinses_m: tuple[float, ...] = ()
    as_in_hand: bool
    time_struck: bool = False
    check: tuple[Finding, ...] = ()


class NoScenario(Record):
    """A scenario that is left out, with the reasons; `says` where something is to be said all the same."""

    id: ScenarioId
    title: Phrase
    says: tuple[Phrase, ...] = ()
    why: tuple[Finding, ...]


class Scenarios(Coded):
    """The scenarios of a plan, by its code, and those that are left out."""

    plan: str
    scenarios: tuple[Scenario, ...]
    without: tuple[NoScenario, ...] = ()

    @property
    def each(self) -> tuple[Scenario | NoScenario, ...]:
        """Every scenario, those that are left out last."""
        return (*self.scenarios, *self.without)


def scenarios(standing: Standing, only: Collection[ScenarioId] = EVERY) -> Scenarios:
    """Return what to do if things go otherwise than a plan says; the same plan gives the same bytes.

    `only` leaves out the others.
    """
    each = {"lost": lost, "empty": empty, "late": late, "hotter": hotter, "sick": sick}
    made = [each[one](standing, _Ahead(standing)) for one in EVERY if one in only]
    return Scenarios(
        plan=standing.plan.code,
        scenarios=tuple(one for one in made if isinstance(one, Scenario)),
        without=tuple(one for one in made if isinstance(one, NoScenario)),
    )


class _Ahead:
    """The schedule of a plan, by the place at which the goal case takes each of it."""

    def __init__(self, standing: Standing) -> None:
        self.plan, self.case = standing.plan, standing.case
        self.intakes = self.plan.race.intakes
        self.items: dict[str, Item] = {item.id: item for item in self.case.items}
        self.names = {item.id: item.name for item in self.plan.case.items}
        self.length_m = self.case.course.length_m

    def place_m(self, intake: Intake) -> float:
        """Return where an intake is taken."""
        if intake.at_m is not None:
            return intake.at_m
        at_s = intake.at_elapsed_s
        if intake.at_clock is not None:
            at_s = (intake.at_clock - self.case.race.own_start).total_seconds()
        elapsed = self.plan.series_of("race.elapsed_s")
        assert elapsed is not None and at_s is not None
        after = min(bisect_left(elapsed.mid, at_s), len(elapsed.mid) - 1)
        return elapsed.x_m[after]

    def time_s(self, at_m: float) -> float:
        """Return when the goal case passes a place."""
        elapsed = self.plan.series_of("race.elapsed_s")
        assert elapsed is not None
        return elapsed.mid[min(bisect_left(elapsed.x_m, at_m), len(elapsed.mid) - 1)]

    def done(self, from_m: float) -> list[Intake]:
        """Return what is taken before a place."""
        return [one for one in self.intakes if self.place_m(one) < from_m]

    def left(self, from_m: float) -> list[Intake]:
        """Return what is taken from a place on."""
        return [one for one in self.intakes if self.place_m(one) >= from_m]

    def pins_left(self, from_m: float) -> list[Intake]:
        """Return what a person has pinned from a place on."""
        return [one for one in self.case.wishes.pinned if self.place_m(one) >= from_m]

    def is_fluid(self, intake: Intake) -> bool:
        return self.items[intake.item].texture in POURED

    def near(self, share: float, stations: Sequence[Station]) -> Station:
        return min(stations, key=lambda one: (abs(one.at_m - share * self.length_m), one.at_m))


class _Told(NamedTuple):
    """A scenario in words, and where it happens."""

    id: ScenarioId
    title: Phrase
    says: tuple[Phrase, ...]
    also: tuple[Phrase, ...] = ()
    from_m: float = 0.0


def _scenario(standing: Standing, tried: Tried, told: _Told) -> Scenario | NoScenario:
    """Return a scenario that has a plan; one that has none is left out with its reasons."""
    if tried.cleared is None or tried.drinking is None:
        return NoScenario(id=told.id, title=told.title, why=tried.why)
    plan = tried.cleared.plan
    return Scenario(
        id=told.id,
        title=told.title,
        says=told.says,
        also=told.also,
        from_m=told.from_m,
        before=tuple(line for line in plan.morning if line not in standing.plan.morning),
        stops=plan.race.stops,
        drinking=tried.drinking,
        rinses_m=plan.race.rinses_m,
        as_in_hand=is_in_hand(standing.plan, plan, tried.drinking),
        time_struck=plan.time_struck or standing.plan.time_struck,
    )


# A bottle lost.


def lost(standing: Standing, ahead: _Ahead) -> Scenario | NoScenario:
    """Return what to do without what is carried: a bottle with all that is in it, else the heaviest pack."""
    from_m = _rounded_m(value("otherwise.lost").mid * ahead.length_m)
    carried = [one for one in ahead.left(from_m) if one.got_from == "pocket"]
    if not carried:
        return NoScenario(id="lost", title=words.LOST_ANY, why=(find("otherwise.nothing_carried"),))
    item = max(
        (ahead.items[item_id] for item_id in dict.fromkeys(one.item for one in carried)),
        key=lambda one: (one.texture in POURED, _mass_g(one, carried)),
    )
    name = ahead.names[item.id]
    gone = [one for one in carried if one.item == item.id]
    if item.texture not in POURED:
        gone = gone[:1]
    tried = _without(standing, ahead, item, gone, from_m)
    is_last = not any(ahead.place_m(one) >= from_m for one in tried.schedule)
    says = words.lost_says(name, *_instead(standing.plan, tried, from_m), is_last=is_last)
    title = words.lost_title(name, km=_km(from_m))
    return _scenario(standing, tried, _Told("lost", title, says, (words.MISSED,), from_m))


def _mass_g(item: Item, intakes: Sequence[Intake]) -> float:
    """Return what is still carried of an item, 0 where nobody knows."""
    one_g = 0.0 if item.holds.mass_g is None else item.holds.mass_g.mid
    return one_g * sum(one.portion_frac for one in intakes if one.item == item.id)


def _without(standing: Standing, ahead: _Ahead, item: Item, gone: Sequence[Intake], from_m: float) -> Tried:
    """Return the schedule with the next source in the place of what is lost; else what is left of it.

    A bottle that was begun is no whole number of packs: no more of it is planned than was drunk.
    """
    done = ahead.done(from_m)
    pins = [*done, *(one for one in ahead.pins_left(from_m) if one.item != item.id)]
    left = [one for one in ahead.intakes if not _is_in(one, gone)]
    if item.texture in POURED and any(one.item == item.id for one in done):
        tried = standing.solved(Solve(), pins, without=item.id)
        fits = not any(one.item == item.id for one in _later(tried.schedule, len(done)))
        return tried if fits and _is_next(standing, tried, from_m) else standing.as_given(left)
    packs = at_hand(Scene(standing.case, ahead.intakes), item.id)
    change = Missing(item=item.id, packs=f"{packs if item.texture in POURED else gone[0].portion_frac:g}")
    tried = standing.solved(change, pins)
    return tried if _is_next(standing, tried, from_m) else standing.as_given(left, change)


def _later(schedule: Sequence[Intake], done_count: int) -> Sequence[Intake]:
    """Return a schedule, which stands in the order of the course, without what is done."""
    return schedule[done_count:]


def _is_next(standing: Standing, tried: Tried, from_m: float) -> bool:
    """Return whether there is a plan, in which no place has a second thing because of what is missing."""
    return tried.cleared is not None and not _doubles(standing.plan, tried.cleared.plan, from_m)


def _is_in(intake: Intake, others: Sequence[Intake]) -> bool:
    return any(intake is other for other in others)


def _doubles(plan: Plan, later: Plan, from_m: float) -> bool:
    """Return whether more than one thing is eaten at a place, and more than the plan in hand has there."""
    before = {stop.at_m: _fed(stop) for stop in plan.race.stops}
    return any(
        _fed(stop) > max(1.0, before.get(stop.at_m, 0.0)) for stop in later.race.stops if stop.at_m >= from_m
    )


def _fed(stop: Stop) -> float:
    """Return how many things are eaten at a stop."""
    return sum(max(1.0, take.portion_frac) for take in stop.takes if take.texture != "water")


def _instead(plan: Plan, tried: Tried, from_m: float) -> tuple[list[Stop], list[Take]]:
    """Return the stops ahead at which something is eaten that the plan in the hand has not got there."""
    had = {(stop.at_m, take.item) for stop in plan.race.stops for take in stop.takes}
    found = [
        (stop, take)
        for stop in (tried.cleared.plan.race.stops if tried.cleared else ())
        for take in stop.takes
        if stop.at_m >= from_m and take.texture != "water" and (stop.at_m, take.item) not in had
    ]
    return [stop for stop, _ in found], [take for _, take in found]


# A station empty.


def empty(standing: Standing, ahead: _Ahead) -> Scenario | NoScenario:
    """Return what to do where a station that counts has nothing left: on to the next one, once."""
    stations = [one for one in ahead.case.course.stations if _counts(standing.plan, one)]
    if not stations:
        return NoScenario(id="empty", title=words.EMPTY_ANY, why=(find("otherwise.no_station"),))
    station = ahead.near(value("otherwise.empty").mid, stations)
    following = [one for one in ahead.case.course.stations if one.at_m > station.at_m + AT_STATION_M]
    change = StationServes(station=station.name, serves=())
    from_m = station.at_m - AT_STATION_M
    pins = [one for one in ahead.pins_left(from_m) if one.station != station.name]
    tried = standing.solved(change, [*ahead.done(from_m), *pins])
    if tried.cleared is None or _doubles(standing.plan, tried.cleared.plan, from_m):
        tried = standing.as_given([one for one in ahead.intakes if not _needs(ahead, one, station)], change)
    had = next((stop for stop in standing.plan.race.stops if stop.station == station.name), None)
    says = words.empty_says(
        station.name,
        following[0].name if following else "",
        _gone(had, tried),
        *_instead(standing.plan, tried, from_m),
        thirst="fluid" not in standing.plan.withheld,
    )
    title = words.empty_title(station.name)
    return _scenario(standing, tried, _Told("empty", title, says, (words.MISSED,), station.at_m))


def _gone(had: Stop | None, tried: Tried) -> Stop | None:
    """Return what was planned at a stop and is not any more."""
    if had is None or tried.cleared is None:
        return None
    kept = {
        take.item
        for stop in tried.cleared.plan.race.stops
        if abs(stop.at_m - had.at_m) <= AT_STATION_M
        for take in stop.takes
    }
    return had.model_copy(update={"takes": tuple(take for take in had.takes if take.item not in kept)})


def _counts(plan: Plan, station: Station) -> bool:
    """Return whether a plan has something from a station, or lets thirst lead there."""
    line = plan.race.drinking
    first = next((one for one in plan.case.course.stations if one.name == line.first_station), None)
    led = line.amount != "none" and (first is None or station.at_m >= first.at_m)
    rinsed = any(abs(at_m - station.at_m) <= AT_STATION_M for at_m in plan.race.rinses_m)
    return bool(station.serves) and (
        led or rinsed or any(stop.station == station.name for stop in plan.race.stops)
    )


def _needs(ahead: _Ahead, intake: Intake, station: Station) -> bool:
    """Return whether an intake cannot be had without a station: it comes from it, or needs its water."""
    if intake.got_from == "station":
        return intake.station == station.name
    here = abs(ahead.place_m(intake) - station.at_m) <= AT_STATION_M
    return here and ahead.items[intake.item].with_water


# A late start, and a hotter day.


def late(standing: Standing, ahead: _Ahead) -> Scenario | NoScenario:
    """Return what to do where the start is put off: nothing that is carried is eaten before it."""
    minutes = round(value("otherwise.late").mid)
    change = Delay(delay=f"{minutes} min", eaten=("nothing",), caffeine="none")
    tried = standing.as_given(ahead.intakes, change)
    if tried.cleared is None:
        tried = standing.solved(change)
    plan = standing.plan
    says = words.late_says(
        minutes,
        carries=any(one.got_from == "pocket" for one in ahead.intakes),
        hotter=bool(tried.cleared and tried.cleared.plan.time_struck and not plan.time_struck),
        in_hand=_is_in_hand(standing, tried),
    )
    return _scenario(standing, tried, _Told("late", words.late_title(minutes), says, (words.CLOCKS,)))


def hotter(standing: Standing, ahead: _Ahead) -> Scenario | NoScenario:
    """Return what to do on a hotter day: slower first, thirst leads, every ceiling estimated again.

    Never does a line say to drink more: the one in people's hands stays wherever it passes.
    """
    by_c = value("otherwise.hotter").mid
    weather = ahead.case.weather
    change = Forecast(air_temp=_warmer(weather.air_temp_c, by_c), seen_on=weather.seen_on)
    tried = standing.as_given(ahead.intakes, change)
    if tried.cleared is None and not _too_hot(tried):
        tried = standing.solved(change)
    title = words.hotter_title(by_c)
    if too_hot := _too_hot(tried):
        return NoScenario(id="hotter", title=title, says=words.TOO_HOT, why=too_hot)
    says = words.hotter_says(in_hand=_is_in_hand(standing, tried))
    also = (words.NO_MORE,) if tried.drinking == standing.plan.race.drinking else ()
    return _scenario(standing, tried, _Told("hotter", title, says, also))


def _warmer(air_c: Range, by_c: float) -> str:
    low, mid, high = (f"{end + by_c:g}" for end in (air_c.low, air_c.mid, air_c.high))
    return f"{low} C" if low == high else f"{low} to {high} C, likely {mid} C"


def _too_hot(tried: Tried) -> tuple[Finding, ...]:
    """Return that nobody should run for a time, even where a reason was named for the first forecast."""
    found = (*tried.why, *(tried.cleared.plan.findings if tried.cleared else ()))
    return tuple(one for one in found if one.code.startswith("heat.too_hot"))


def _is_in_hand(standing: Standing, tried: Tried) -> bool:
    cleared, drinking = tried.cleared, tried.drinking
    return cleared is not None and drinking is not None and is_in_hand(standing.plan, cleared.plan, drinking)


# Feeling sick.


def sick(standing: Standing, ahead: _Ahead) -> Scenario | NoScenario:
    """Return what to do when feeling sick, by the fixed rule: a rest without food, then half of each dose."""
    from_m = _rounded_m(value("otherwise.sick").mid * ahead.length_m)
    rest_until_s = ahead.time_s(from_m) + 60 * value("otherwise.rest").high
    later = [one for one in ahead.left(from_m) if ahead.time_s(ahead.place_m(one)) >= rest_until_s]
    tried = standing.as_given([*ahead.done(from_m), *(_less(ahead, one) for one in later)])
    also = () if "fluid" in standing.plan.withheld else (words.SMALL_SIPS,)
    title = words.sick_title(km=_km(from_m))
    return _scenario(standing, tried, _Told("sick", title, words.SICK, also, from_m))


LESS: dict[Amount, Amount] = {"cup": "half", "half": "mouthful"}


def _less(ahead: _Ahead, intake: Intake) -> Intake:
    """Return half of what is taken, in whole pieces where it comes in pieces; a mouthful and a rinse stay."""
    if intake.amount != "whole":
        return intake.model_copy(update={"amount": LESS.get(intake.amount, intake.amount)})
    share, pieces = value("otherwise.less").mid, ahead.items[intake.item].divides_into
    less_frac = share * intake.portion_frac
    if pieces > 1:
        less_frac = max(1, int(less_frac * pieces)) / pieces
    return intake.model_copy(update={"portion_frac": max(0.05, less_frac)})


def _rounded_m(at_m: float) -> float:
    """Return the last whole kilometre before a place, as it is told, in metres."""
    return 1000.0 * int(at_m / 1000)


def _km(at_m: float) -> str:
    return f"{at_m / 1000:.0f}"
