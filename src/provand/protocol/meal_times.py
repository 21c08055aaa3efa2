"""When one eats before the start: each meal at its own time, or as near to it as what is fixed lets it be.

What is fixed: windows in which nothing is eaten, the time without food round a tablet, waking, a hotel's
breakfast, leaving. A meal moves in steps of five minutes, and each reason for which it moved is kept. All
moments are reckoned in true time, over any change of clocks.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from math import ceil
from typing import NamedTuple

from provand.protocol.asks import AskedCase
from provand.protocol.loading import first_start, neat
from provand.protocol.rules import value
from provand.protocol.way import way_of

STEP = timedelta(minutes=5)
DAY_MEALS = ("lunch", "afternoon meal", "early dinner")


class MealTime(NamedTuple):
    """A meal: when, why not at its own time, and how it must be had."""

    what: str
    at: datetime
    moved: tuple[str, ...] = ()
    small: bool = False
    own_food: bool = False
    carried: bool = False


class MealTimes(NamedTuple):
    """The meals before the start. `wanted` is when the main one would be, were nothing fixed."""

    wanted: datetime
    late: bool
    day: tuple[MealTime, ...]
    main: MealTime | None
    stands_in_the_way: tuple[str, ...]
    top_up: MealTime | None
    top_up_left_out: bool


class _Window(NamedTuple):
    start: datetime
    end: datetime
    why: str


class _Fixed(NamedTuple):
    """What is fixed, in UTC: windows without food; nobody awake, breakfast not served, one has left."""

    windows: tuple[_Window, ...]
    awake: _Window | None
    served: _Window | None
    away: _Window | None

    def against(self, at: datetime, *, served: bool = True, away: bool = True) -> tuple[str, ...]:
        """Return everything that stands against eating from a moment on."""
        until = at + timedelta(minutes=value("breakfast.lasts").mid)
        others = [self.awake, self.served if served else None, self.away if away else None]
        windows = [*self.windows, *(one for one in others if one is not None)]
        return tuple(dict.fromkeys(one.why for one in windows if at < one.end and until > one.start))

    def is_away(self, at: datetime) -> bool:
        """Return whether who eats from a moment on has left before it is eaten."""
        return (
            self.away is not None and at + timedelta(minutes=value("breakfast.lasts").mid) > self.away.start
        )


def is_late(start: datetime) -> bool:
    """Return whether a start has a day before it: at the late hour or after, or in the night that follows."""
    hour = start.hour + start.minute / 60
    return hour >= value("breakfast.late_start").mid or hour < value("breakfast.earliest_wake").mid


def meal_times(case: AskedCase) -> MealTimes:
    """Return when one eats before the own start as it was first given."""
    start = first_start(case.race)
    late, zone = is_late(start), start.tzinfo
    s = start.astimezone(UTC)
    wanted = s - _hours("breakfast.late_meal" if late else "breakfast.before")
    fixed = _fixed(case, wanted.astimezone(zone), late=late)
    name = "meal" if late else "breakfast"
    main = _main(name, s, wanted, fixed)
    top_up, left_out = None, False
    if main is not None and not main.small and (late or s - main.at > _hours("breakfast.again")):
        top_up = _top_up(s, main, fixed)
        left_out = top_up is None
    day = tuple(_day(case, main or MealTime(name, wanted), fixed)) if late else ()

    def at_home(meal: MealTime | None) -> MealTime | None:
        return meal and meal._replace(at=meal.at.astimezone(zone))

    return MealTimes(
        wanted=wanted.astimezone(zone),
        late=late,
        day=tuple(meal._replace(at=meal.at.astimezone(zone)) for meal in day),
        main=at_home(main),
        stands_in_the_way=fixed.against(wanted),
        top_up=at_home(top_up),
        top_up_left_out=left_out,
    )


def free_from(case: AskedCase, at: datetime, *, until: datetime) -> datetime | None:
    """Return the first moment, from one on and before another, from which one may eat; None without one."""
    free = _Fixed(_windows(case), None, None, None)
    for moment in [
        at,
        *(one.astimezone(at.tzinfo) for one in _grid(at.astimezone(UTC), until.astimezone(UTC))),
    ]:
        if moment < until and not free.against(moment.astimezone(UTC)):
            return moment
    return None


def _hours(rule_id: str) -> timedelta:
    return timedelta(hours=value(rule_id).mid)


LONG = timedelta(days=2)


def _fixed(case: AskedCase, wanted: datetime, *, late: bool) -> _Fixed:
    morning, way = case.dated_morning, way_of(case)
    awake = served = away = None
    up = morning.wake_from if morning is not None else None
    if up is None and not late:
        up = _at_hour(way.start, value("breakfast.earliest_wake").mid)
    if up is not None:
        first = up.astimezone(UTC) + timedelta(minutes=value("breakfast.wake").mid)
        awake = _Window(first - LONG, first, f"nobody is woken before {up:%H:%M}")
    if morning is not None and morning.breakfast_from is not None:
        opens = datetime.combine(wanted.date(), morning.breakfast_from, wanted.tzinfo).astimezone(UTC)
        served = _Window(opens - LONG, opens, f"breakfast is served from {morning.breakfast_from:%H:%M}")
    if way.leave is not None:
        leave = way.leave.astimezone(UTC)
        away = _Window(leave, leave + LONG, f"one leaves at {way.leave:%H:%M}")
    return _Fixed(_windows(case), awake, served, away)


def _windows(case: AskedCase) -> tuple[_Window, ...]:
    windows = [_window(w.start, w.end, "a window in which nothing is taken") for w in case.race.forbidden]
    if case.dated_morning is not None:
        tablets = case.dated_morning.tablets
        windows += [_window(t.start, t.end, "the time without food round a tablet") for t in tablets]
    return tuple(windows)


def _window(start: datetime, end: datetime, why: str) -> _Window:
    return _Window(start.astimezone(UTC), end.astimezone(UTC), why)


def _at_hour(day: datetime, hour: float) -> datetime:
    """Return the moment at which the clock shows an hour on the day of another moment."""
    whole, rest = divmod(round(60 * hour), 60)
    return day.replace(hour=whole, minute=rest, second=0, microsecond=0, fold=0)


def _main(name: str, start: datetime, wanted: datetime, fixed: _Fixed) -> MealTime | None:
    """Return the meal as near to its time as it can be, a small one nearer to the start, or None."""
    if not fixed.against(wanted) and not fixed.against(neat(wanted)):
        return MealTime(name, wanted)
    why = fixed.against(wanted) or fixed.against(neat(wanted))
    whole = list(_grid(start - _hours("breakfast.earliest"), start - _hours("breakfast.closest")))
    whole.sort(key=lambda at: (abs(at - wanted), at))
    late = list(_grid(start - _hours("breakfast.closest"), start - _hours("breakfast.small")))
    for grid, small in ((whole, False), (late, True)):
        for served, away in ((True, True), (False, True), (False, False)):
            at = next((at for at in grid if not fixed.against(at, served=served, away=away)), None)
            if at is not None:
                moved = why if at != neat(wanted) else ()
                own = fixed.served is not None and at < fixed.served.end
                return MealTime(name, at, moved, small, own, carried=fixed.is_away(at))
    return None


def _grid(first: datetime, last: datetime) -> Iterator[datetime]:
    """Yield every full five minutes from a moment to another, both counted."""
    at = neat(first)
    while at <= last:
        if at >= first:
            yield at
        at += STEP


def _top_up(start: datetime, main: MealTime, fixed: _Fixed) -> MealTime | None:
    """Return the top-up as near to its time as it can be, an hour after the meal and before the start."""
    wanted = start - _hours("breakfast.top_up")
    hour = _hours("breakfast.small")
    if main.at + hour <= wanted and not _hindered(wanted, fixed) and not _hindered(neat(wanted), fixed):
        return MealTime("top-up", wanted, carried=fixed.is_away(wanted))
    grid = [at for at in _grid(main.at + hour, start - hour) if not _hindered(at, fixed)]
    if not grid:
        return None
    at = min(grid, key=lambda at: (abs(at - wanted), at))
    return MealTime("top-up", at, _hindered(wanted, fixed), carried=fixed.is_away(at))


def _hindered(at: datetime, fixed: _Fixed) -> tuple[str, ...]:
    return fixed.against(at, served=False, away=False)


def _day(case: AskedCase, main: MealTime, fixed: _Fixed) -> Iterator[MealTime]:
    """Yield the usual breakfast of the day of a late start, and meals so that no gap is too long."""
    start = first_start(case.race)
    least, most = (
        timedelta(hours=end) for end in (value("breakfast.apart").low, value("breakfast.apart").high)
    )
    day = main.at.astimezone(start.tzinfo)
    first = _at_hour(day, value("breakfast.usual").mid).astimezone(UTC)
    if fixed.awake is not None:
        first = max(first, neat(fixed.awake.end + STEP - timedelta(microseconds=1)))
    free = [at for at in _grid(first, main.at - least) if not fixed.against(at, away=False)]
    if not free:
        return
    breakfast = free[0]
    yield MealTime("usual breakfast", breakfast)
    gaps = ceil((main.at - breakfast) / most)
    for number in range(1, gaps):
        at = neat(breakfast + (main.at - breakfast) * number / gaps)
        near = [one for one in _grid(at - least / 2, at + least / 2) if not fixed.against(one, away=False)]
        if near:
            name = DAY_MEALS[min(number, len(DAY_MEALS)) - 1]
            yield MealTime(name, min(near, key=lambda one: (abs(one - at), one)))
