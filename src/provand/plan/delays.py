"""What a later start comes to, computed beforehand: the way to the start and the race, by what was taken.

A page that computes nothing may hold all of it. Each delay is the change that `provand change CASE delay`
makes, with one answer to what was eaten since breakfast and one to the caffeine of the morning. The schedule
stays as it is in people's hands wherever it keeps every limit; else it is solved again near that one. So does
the line about thirst.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import product
from typing import Literal, NamedTuple

from provand.case.happened import Delay, packs_carried
from provand.case.intake import Intake
from provand.case.scene import Scene
from provand.finding import Finding
from provand.plan.document import DrinkingLine, Line, Plan, Stop
from provand.plan.standing import Standing, Tried
from provand.protocol.rules import value
from provand.record import Coded, Record

DELAYS_MIN = tuple(range(10, 121, 10))
"""The delays that are computed, in minutes."""

Caffeine = Literal["none", "usual", "more"]
"""The caffeine of the morning: none; the usual coffee and no more; more than that, or not known."""


class Carried(Record):
    """A kind of item that the plan carries, so that one may have been eaten before the start."""

    item: str
    name: str


class LaterStart(Record):
    """A start put off, for one pair of answers; the gate has found nothing in it.

    `eaten` is the item of which one was eaten since breakfast, or empty. `before` are the lines of the
    morning that are new or have moved. `as_in_hand` says that what is eaten and drunk where is what was
    handed out; elapsed times may differ by seconds. With `time_struck` no time of the race is told.
    """

    later_min: int
    eaten: str = ""
    caffeine: Caffeine = "none"
    gun: datetime
    own_start: datetime
    before: tuple[Line, ...]
    stops: tuple[Stop, ...]
    drinking: DrinkingLine
    rinses_m: tuple[float, ...] = ()
    as_in_hand: bool
    time_struck: bool = False


class NoLaterStart(Record):
    """A delay for which there is no plan, with the reasons: then whoever made the plan is to be asked."""

    later_min: int
    eaten: str = ""
    caffeine: Caffeine = "none"
    why: tuple[Finding, ...]


class Delays(Coded):
    """Every delay of a plan by its answers, and those that have no plan.

    `carried` and `caffeine` are the answers that are asked for beside "nothing"; caffeine with one answer
    alone is not asked.
    """

    plan: str
    carried: tuple[Carried, ...] = ()
    caffeine: tuple[Caffeine, ...] = ("none",)
    starts: tuple[LaterStart, ...]
    without: tuple[NoLaterStart, ...] = ()

    def start(self, later_min: int, *, eaten: str = "", caffeine: Caffeine = "none") -> LaterStart | None:
        """Return what a delay comes to with these answers, or None where it has no plan."""
        asked = (later_min, eaten, caffeine)
        return next((one for one in self.starts if (one.later_min, one.eaten, one.caffeine) == asked), None)


class _Answers(NamedTuple):
    """What was taken before the start."""

    eaten: str
    caffeine: Caffeine


def delays(standing: Standing, *, later_min: Sequence[int] = DELAYS_MIN) -> Delays:
    """Return what becomes of a cleared plan when the start is put off by so many minutes.

    The same plan gives the same bytes. Nothing is solved where the schedule in people's hands keeps every
    limit.
    """
    carried, caffeine = _carried(standing), _caffeine_asked(standing)
    starts: list[LaterStart] = []
    without: list[NoLaterStart] = []
    for eaten, drunk in product(("", *(one.item for one in carried)), caffeine):
        for found in _of_answers(standing, _Answers(eaten, drunk), later_min):
            (starts if isinstance(found, LaterStart) else without).append(found)  # type: ignore[arg-type]
    return Delays(
        plan=standing.plan.code,
        carried=carried,
        caffeine=caffeine,
        starts=tuple(starts),
        without=tuple(without),
    )


def _carried(standing: Standing) -> tuple[Carried, ...]:
    packs = packs_carried(Scene(standing.case, standing.plan.race.intakes))
    items = {item.id: item for item in standing.case.items}
    return tuple(Carried(item=item_id, name=items[item_id].name) for item_id in packs)


def _caffeine_asked(standing: Standing) -> tuple[Caffeine, ...]:
    """Return the answers about caffeine; it is not asked where none is planned, wished for or usual."""
    plan, case = standing.plan, standing.case
    usual = case.athlete.breakfast_caffeine_mg > 0
    planned = any(take.with_caffeine for stop in plan.race.stops for take in stop.takes)
    if "caffeine" in plan.withheld or not (planned or usual or case.wishes.caffeine_mg):
        return ("none",)
    return ("none", "usual", "more") if usual else ("none", "more")


def _of_answers(
    standing: Standing, answers: _Answers, later_min: Sequence[int]
) -> Iterator[LaterStart | NoLaterStart]:
    """Yield every delay with one pair of answers; a schedule that was solved is tried for the next one."""
    schedule, refused = standing.plan.race.intakes, tuple[Finding, ...]()
    for minutes in later_min:
        change = _change(standing, answers, minutes)
        tried = _tried(standing, change, schedule, solving=not refused)
        if tried.cleared is None:
            refused = refused or tried.why
            yield NoLaterStart(later_min=minutes, eaten=answers.eaten, caffeine=answers.caffeine, why=refused)
        else:
            schedule = tried.schedule
            yield _later_start(standing.plan, tried, answers, minutes)


def _change(standing: Standing, answers: _Answers, minutes: int) -> Delay:
    drunk_mg = {
        "none": 0.0,
        "usual": standing.case.athlete.breakfast_caffeine_mg,
        "more": value("caffeine.day").high,
    }[answers.caffeine]
    return Delay(
        delay=f"{minutes} min",
        eaten=(answers.eaten or "nothing",),
        caffeine=f"{drunk_mg:g} mg" if drunk_mg else "none",
    )


def _tried(standing: Standing, change: Delay, schedule: Sequence[Intake], *, solving: bool) -> Tried:
    """Return what stands after a delay: the schedule as it is where it passes, else one solved near it."""
    tried = standing.as_given(schedule, change) if standing.is_tied_to_places else None
    if tried is not None and (tried.cleared is not None or not solving):
        return tried
    return standing.solved(change)


def _later_start(plan: Plan, tried: Tried, answers: _Answers, minutes: int) -> LaterStart:
    assert tried.cleared is not None and tried.drinking is not None
    later = tried.cleared.plan
    return LaterStart(
        later_min=minutes,
        eaten=answers.eaten,
        caffeine=answers.caffeine,
        gun=later.case.race.gun,
        own_start=later.case.race.own_start,
        before=tuple(line for line in later.morning if line not in plan.morning),
        stops=later.race.stops,
        drinking=tried.drinking,
        rinses_m=later.race.rinses_m,
        as_in_hand=is_in_hand(plan, later, tried.drinking),
        time_struck=later.time_struck or plan.time_struck,
    )


def is_in_hand(plan: Plan, later: Plan, drinking: DrinkingLine) -> bool:
    """Return whether the same is taken at the same places, and the line about thirst holds as it is."""
    ways = [
        ([(stop.at_m, stop.station, stop.takes) for stop in one.race.stops], one.race.rinses_m)
        for one in (plan, later)
    ]
    return ways[0] == ways[1] and drinking == plan.race.drinking
