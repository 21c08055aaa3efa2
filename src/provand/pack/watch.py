"""The one alert that a watch can repeat: a first ring, then one every so many minutes, for eating alone.

It rings for what is eaten and holds no caffeine; nothing that is drunk has a ring or a word. Where no such
alert comes within five minutes of every place, and where times are struck, there is none: the strip leads.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

from provand.pack.eaten import eaten_at, eaten_words
from provand.pack.letters import printable
from provand.pack.rulers import ELAPSED
from provand.pack.scale import between
from provand.pack.sheet import DRAFT_WORDS, INVENTED, foot
from provand.pack.tongue import say
from provand.pack.voice import no_weights, short_day
from provand.plan.document import Plan, Stop
from provand.units import clock

MAX_ERROR_S = 300.0
"""How far a ring may be from its place at the planned pace: our choice."""
LEAST_STOPS = 2


class Alert(NamedTuple):
    """A repeated alert: when it rings first, then how often, and how far off it is at worst.

    `early_s` and `late_s` are at the planned pace; `off_s` is from the early to the slow end.
    """

    first_min: int
    every_min: int
    stops: tuple[Stop, ...]
    early_s: float
    late_s: float
    off_s: float

    @property
    def rings_s(self) -> tuple[float, ...]:
        """When it rings, counted from the own start."""
        return tuple(60.0 * (self.first_min + number * self.every_min) for number in range(len(self.stops)))


def alert_of(plan: Plan) -> Alert | None:
    """Return the nearest alert for eating, or None where none is near enough, or too late."""
    stops = tuple(stop for stop in plan.race.stops if _rings_for(stop))
    if plan.time_struck or len(stops) < LEAST_STOPS:
        return None
    best = min(_near(stops), key=lambda alert: (max(alert.early_s, alert.late_s), alert.late_s, alert[:2]))
    if max(best.early_s, best.late_s) > MAX_ERROR_S or best.rings_s[-1] > _closes_s(plan):
        return None
    return best


def _rings_for(stop: Stop) -> bool:
    eaten = eaten_at(stop)
    return bool(eaten) and not any(take.with_caffeine for take in eaten)


def _near(stops: tuple[Stop, ...]) -> Iterator[Alert]:
    """Yield alerts of whole minutes near the first stop and the mean gap between stops."""
    first, gap = stops[0].goal_s / 60, (stops[-1].goal_s - stops[0].goal_s) / 60 / (len(stops) - 1)
    firsts, gaps = range(int(first) - 5, int(first) + 7), range(int(gap) - 2, int(gap) + 4)
    for first_min, every_min in product(firsts, gaps):
        if first_min > 0 and every_min > 0:
            yield _measured(Alert(first_min, every_min, stops, 0.0, 0.0, 0.0))


def _measured(alert: Alert) -> Alert:
    pairs = tuple(zip(alert.stops, alert.rings_s, strict=True))
    return alert._replace(
        early_s=max(0.0, *(stop.goal_s - ring_s for stop, ring_s in pairs)),
        late_s=max(0.0, *(ring_s - stop.goal_s for stop, ring_s in pairs)),
        off_s=max(max(stop.slow_s - ring_s, ring_s - stop.early_s) for stop, ring_s in pairs),
    )


def _closes_s(plan: Plan) -> float:
    """Return when the early case comes to the place from which nothing is eaten."""
    series = plan.series_of(ELAPSED)
    return between(plan.race.closed_from_m, series.x_m, series.low) if series is not None else 0.0


def has_alert(plan: Plan) -> bool:
    """Return whether an alert comes near enough."""
    return alert_of(plan) is not None


def in_a_line(alert: Alert) -> str:
    """Return an alert as one line of a message."""
    return say(
        "Watch: eat at {first} min, then every {every} min, {count} rings; {error} min off at worst.",
        first=alert.first_min,
        every=alert.every_min,
        count=len(alert.stops),
        error=_minutes(max(alert.early_s, alert.late_s)),
    )


def watch_card(plan: Plan, *, draft: bool = False) -> bytes:
    """Return the card for setting a watch as text (UTF-8); only for a plan that has an alert."""
    alert = alert_of(plan)
    assert alert is not None
    in_race = list(_card(alert, plan))
    no_weights(in_race, "watch.txt")
    case = plan.case
    told = [
        say(
            "Watch alert for {athlete}, {race}, {day}",
            athlete=printable(case.athlete.name, "athlete.name"),
            race=printable(case.race.name, "race.name"),
            day=short_day(case.race.gun.date()),
        ),
        "",
        *in_race,
        "",
        foot(plan),
        say(DRAFT_WORDS) if draft else say("Only the copy with the code {code} counts.", code=plan.code),
        *([say(INVENTED)] if case.invented else []),
    ]
    return ("\n".join(told) + "\n").encode("utf-8")


def _card(alert: Alert, plan: Plan) -> Iterator[str]:
    count, last_s = len(alert.stops), alert.rings_s[-1]
    yield say("First ring: {n} min after your own start.", n=alert.first_min)
    yield say("Then every {n} min.", n=alert.every_min)
    yield say("Rings in all: {n}. Switch it off after the last one, at {last}.", n=count, last=clock(last_s))
    if alert.first_min != alert.every_min:
        yield say("Your watch knows no first ring? Start the alert when you eat the first one.")
    yield ""
    for number, (stop, ring_s) in enumerate(zip(alert.stops, alert.rings_s, strict=True), 1):
        eaten = eaten_words(eaten_at(stop), plan.case)
        yield say("Ring {n}, {time}: {take}", n=number, time=clock(ring_s), take=eaten)
    yield ""
    yield _error(alert)
    yield say(
        "As fast or as slow as the plan allows for, it is {n} min off at worst.", n=_minutes(alert.off_s)
    )
    yield say("The place on your strip counts. The ring says: look at the strip.")
    if any(take.with_caffeine for stop in plan.race.stops for take in stop.takes):
        yield say("What holds caffeine has no ring. It is on the strip.")


def _error(alert: Alert) -> str:
    early, late = _minutes(alert.early_s), _minutes(alert.late_s)
    if not early and not late:
        return say("At the planned pace it rings on the minute.")
    if not late:
        return say("At the planned pace it rings {n} min early at worst.", n=early)
    if not early:
        return say("At the planned pace it rings {n} min late at worst.", n=late)
    return say(
        "At the planned pace it rings {early} min early or {late} min late at worst.", early=early, late=late
    )


def _minutes(seconds: float) -> int:
    """Return whole minutes, rounded up: an error is never told smaller than it is."""
    return math.ceil(round(seconds / 60, 6))
