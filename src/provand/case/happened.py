"""Changes that come from outside: another forecast, goal or wave; what a station serves now."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any, Literal, NamedTuple

from pydantic import Field

from provand.case.case import Race
from provand.case.course import Served
from provand.case.fields import text
from provand.case.scene import Changing, Made, Scene, refuse, sentence
from provand.case.typed import put
from provand.case.words import in_words, listed, minutes, read_as
from provand.figure import Range
from provand.larder.item import WATER
from provand.record import Record


class Entry(NamedTuple):
    """A typed number that a change replaces: its path, the new text, how it is called and what it was."""

    path: str
    text: str
    called: str
    was: float | Range | None
    now: float | Range
    field: str

    @property
    def words(self) -> str:
        was, now = in_words(self.was, self.field), in_words(self.now, self.field)
        if self.was is None:
            return f"{self.called} is now {now}"
        return f"{self.called} goes from {was} to {now}"

    @property
    def differs(self) -> bool:
        return self.was is None or in_words(self.was, self.field) != in_words(self.now, self.field)


def _entries(record: Record, place: str, rows: tuple[tuple[str, str, str, str], ...]) -> Iterator[Entry]:
    """Yield what is typed of rows of (key, field, how it is called, text); an empty text changes nothing."""
    for key, field, called, typed in rows:
        if typed.strip():
            path = f"{place}.{key}"
            now = read_as(type(record), field, typed, path)
            yield Entry(path, " ".join(typed.split()), called, getattr(record, field), now, field)


class Forecast(Changing):
    """Another forecast, or the same one looked up again."""

    kind: Literal["forecast"] = "forecast"
    air_temp: str = text("air temperature, as 14 to 23 C", default="")
    humidity: str = text("relative humidity, as 45 to 70 %", default="")
    wind: str = text("wind, as 2 to 5 m/s", default="")
    sun: str = text("sky: clear, part or overcast", default="")
    seen_on: date = Field(description="the day of the forecast")

    def made(self, scene: Scene) -> Made:
        weather = scene.case.weather
        if self.seen_on < weather.seen_on:
            raise refuse(
                "change.older_forecast",
                "weather.seen_on",
                day=self.seen_on.isoformat(),
                stands=weather.seen_on.isoformat(),
            )
        rows = (
            ("air_temp", "air_temp_c", "the forecast", self.air_temp),
            ("humidity", "humidity_frac", "the humidity", self.humidity),
            ("wind", "wind_m_per_s", "the wind", self.wind),
        )
        entries = list(_entries(weather, "weather", rows))
        steps = [put(entry.path, entry.text) for entry in entries]
        parts = [entry.words for entry in entries if entry.differs]
        if sky := self.sun.strip().lower():
            steps.append(put("weather.sun", sky))
            parts += [f"the sky from {weather.sun} to {sky}"] if sky != weather.sun else []
        steps.append(put("weather.seen_on", self.seen_on))
        parts = parts or [f"the forecast of {self.seen_on.isoformat()} says what the last one said"]
        return Made(tuple(steps), sentence(parts))


class Goal(Changing):
    """Another goal time, another range round it, or both."""

    kind: Literal["goal"] = "goal"
    goal: str = text("goal time, as 1:52", default="")
    finish: str = text("early to slow finish, as 1:47 to 2:04", default="")

    def made(self, scene: Scene) -> Made:
        rows = (
            ("goal", "goal_s", "the goal", self.goal),
            ("finish", "finish_s", "early to slow", self.finish),
        )
        entries = list(_entries(scene.case.race, "race", rows))
        if not entries:
            raise refuse("change.says_nothing", "race.goal", what="a goal time or a range of finish times")
        return Made(tuple(put(e.path, e.text) for e in entries), sentence(e.words for e in entries))


class Wave(Changing):
    """Another wave or pen: the own start, after the gun."""

    kind: Literal["wave"] = "wave"
    own_offset: str = text("own start after the gun, as 18 to 22 min")

    def made(self, scene: Scene) -> Made:
        now = read_as(Race, "own_offset_s", self.own_offset, "race.own_offset")
        was, then = minutes(scene.case.race.own_offset_s), minutes(now)
        return Made(
            (put("race.own_offset", " ".join(self.own_offset.split())),),
            f"The own start goes from {was} to {then} after the gun.",
        )


class StationServes(Changing):
    """What a station serves now; nothing where it is empty."""

    kind: Literal["station serves"] = "station serves"
    station: str = text("name of the station", longest=40)
    serves: tuple[str, ...] = Field(description="ids of the items served; none where it is empty")

    def made(self, scene: Scene) -> Made:
        number, station = scene.station(self.station, "course.stations")
        path = f"course.stations[{number}].serves"
        items = [scene.item(item_id, path) for item_id in dict.fromkeys(self.serves)]
        had = {served.item: served for served in station.serves}
        usual = next(iter(station.serves), Served())
        rows: list[Any] = [_as_typed(had.get(item.id, usual), item.id) for item in items]
        before = [_name(scene, served.item) for served in station.serves]
        return Made(
            (put(path, rows),),
            f"{station.name} serves {listed([item.name for item in items])} instead of {listed(before)}.",
            "near",
        )


def _as_typed(served: Served, item_id: str) -> dict[str, Any]:
    """Return a cup as it is typed; one that is as usual needs no size."""
    row: dict[str, Any] = {"item": item_id}
    usual = Served(item=WATER)
    if served.cup_ml != usual.cup_ml:
        row["cup"] = f"{served.cup_ml:.4f}".rstrip("0").rstrip(".") + " ml"
    if served.fill_frac != usual.fill_frac:
        low, high = (f"{100 * end:.6f}" for end in (served.fill_frac.low, served.fill_frac.high))
        row["fill"] = f"{low} to {high} %"
    return row


def _name(scene: Scene, item_id: str) -> str:
    item = scene.case.item(item_id)
    return item.name if item else item_id
