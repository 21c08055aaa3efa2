"""What no schedule may pass, as the gate takes it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from datetime import datetime
from typing import Literal, NamedTuple
from zoneinfo import ZoneInfo

from provand.case.case import Race
from provand.figure import Series


class Permission(NamedTuple):
    """The drinking line: one amount, at every station from a place on. It is counted as drunk."""

    amount: Literal["cup", "half", "mouthful", "none"]
    from_m: float = 0.0


class Window(NamedTuple):
    """Elapsed time in which nothing is taken, but a rinse where that is allowed."""

    start_s: float
    end_s: float
    rinse_allowed: bool = False


class Dose(NamedTuple):
    """Caffeine taken at a time; before the own start the time is below zero."""

    elapsed_s: float
    caffeine_mg: float


class Limits(NamedTuple):
    """What no schedule may pass: ml so far by place, mg, g/h, the last moment, and what is left out.

    `refused` maps the ids of items that may not be given to the reasons; `glucose_waiting_g` is what waits in
    the gut at the start.
    """

    fluid_ceiling: Series
    caffeine_once_mg: float
    caffeine_day_mg: float
    one_sugar_g_per_h: float
    last_intake_s: float
    refused: Mapping[str, str]
    withheld: tuple[str, ...] = ()
    windows: tuple[Window, ...] = ()
    earlier_caffeine: tuple[Dose, ...] = ()
    glucose_waiting_g: float = 0.0


def ceiling_at_ml(ceiling: Series, at_m: float) -> float:
    """Return the ceiling at a place: between nodes the lower end, before the first node nothing."""
    first, after = bisect_left(ceiling.x_m, at_m), bisect_right(ceiling.x_m, at_m)
    if first < after:
        return min(ceiling.low[first:after])
    return min(ceiling.low[first - 1 : first + 1]) if first else 0.0


def windows_of(race: Race) -> tuple[Window, ...]:
    """Return the forbidden windows of a race as elapsed time, as wide as the own start is uncertain."""
    gun = aware(race.gun, race)
    return tuple(
        Window(
            start_s=(aware(window.start, race) - gun).total_seconds() - race.own_offset_s.high,
            end_s=(aware(window.end, race) - gun).total_seconds() - race.own_offset_s.low,
            rinse_allowed=window.rinse_allowed,
        )
        for window in race.forbidden
    )


def aware(moment: datetime, race: Race) -> datetime:
    """Return a moment of a race with its zone."""
    return moment if moment.tzinfo else moment.replace(tzinfo=ZoneInfo(race.zone))
