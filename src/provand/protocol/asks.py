"""What the targets ask of a case, by shape alone: protocols and cases know nothing of each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from typing import Protocol

from provand.figure import Range


class AskedRehearsed(Protocol):
    """An item kept down in training, and the highest hourly rate at which it was."""

    @property
    def item(self) -> str: ...
    @property
    def rate_g_per_h(self) -> float | None: ...


class AskedAthlete(Protocol):
    """Who eats."""

    @property
    def sex(self) -> str | None: ...
    @property
    def diet(self) -> str: ...
    @property
    def walks(self) -> bool: ...
    @property
    def usual_carb_g_per_day(self) -> float | None: ...
    @property
    def rehearsed(self) -> Sequence[AskedRehearsed]: ...
    @property
    def refused(self) -> Sequence[str]: ...


class AskedWindow(Protocol):
    """A stretch of time in which nothing is eaten."""

    @property
    def start(self) -> datetime: ...
    @property
    def end(self) -> datetime: ...


class AskedMorning(Protocol):
    """What is fixed of race morning, as moments before the own start as it was first given."""

    @property
    def wake_from(self) -> datetime | None: ...
    @property
    def breakfast_from(self) -> time | None: ...
    @property
    def bag_drop_closes(self) -> datetime | None: ...
    @property
    def pen_opens(self) -> datetime | None: ...
    @property
    def pen_closes(self) -> datetime | None: ...
    @property
    def travel_min(self) -> float | None: ...
    @property
    def warm_up_min(self) -> float | None: ...
    @property
    def tablets(self) -> Sequence[AskedWindow]: ...


class AskedRace(Protocol):
    """Where and when."""

    @property
    def gun(self) -> datetime: ...
    @property
    def zone(self) -> str: ...
    @property
    def own_offset_s(self) -> Range: ...
    @property
    def distance_m(self) -> float: ...
    @property
    def delay_s(self) -> float | None: ...
    @property
    def last_toilet_min(self) -> float: ...
    @property
    def forbidden(self) -> Sequence[AskedWindow]: ...


class AskedWeather(Protocol):
    """The forecast."""

    @property
    def air_temp_c(self) -> Range: ...


class AskedOverride(Protocol):
    """A target set by hand."""

    @property
    def what(self) -> str: ...
    @property
    def value(self) -> str: ...
    @property
    def by(self) -> str: ...
    @property
    def on(self) -> date: ...
    @property
    def why(self) -> str: ...


class AskedWishes(Protocol):
    """Whose rules lead, and what was set by hand."""

    @property
    def protocol(self) -> str: ...
    @property
    def banned(self) -> Sequence[str]: ...
    @property
    def overrides(self) -> Sequence[AskedOverride]: ...


class AskedOrigin(Protocol):
    """How a number was given."""

    @property
    def kind(self) -> str: ...
    @property
    def text(self) -> str: ...


class AskedCase(Protocol):
    """The parts of a case that turn rules into targets."""

    @property
    def athlete(self) -> AskedAthlete: ...
    @property
    def race(self) -> AskedRace: ...
    @property
    def weather(self) -> AskedWeather: ...
    @property
    def wishes(self) -> AskedWishes: ...
    @property
    def origins(self) -> Mapping[str, AskedOrigin]: ...
    @property
    def dated_morning(self) -> AskedMorning | None: ...
    @property
    def next_session_h(self) -> float | None: ...


def typed(case: AskedCase, path: str) -> str:
    """Return how a number of the case was given: the text as typed, or only that it was given."""
    origin = case.origins.get(path)
    return "given" if origin is None else f'{origin.kind} "{origin.text}"'
