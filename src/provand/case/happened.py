"""Changes that come from outside: another forecast, goal or wave; what a station serves now."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta, timezone
from typing import Any, Literal, NamedTuple
from zoneinfo import ZoneInfo

from pydantic import Field

from provand.case.case import Race
from provand.case.course import NEAR_M, Served
from provand.case.fields import text
from provand.case.scene import Changing, Made, Scene, called, refuse, sentence
from provand.case.typed import Step, add, drop, put
from provand.case.words import in_words, listed, minutes, read_as
from provand.figure import Range
from provand.larder.item import WATER, Item
from provand.record import Record
from provand.units import read_number


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
    for key, field, name, typed in rows:
        if typed.strip():
            path = f"{place}.{key}"
            now = read_as(type(record), field, typed, path)
            yield Entry(path, " ".join(typed.split()), name, getattr(record, field), now, field)


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


class Missing(Changing):
    """Packs of a carried item that are lost, such as a dropped bottle."""

    kind: Literal["missing"] = "missing"
    item: str = text("id of the item", longest=40)
    packs: str = text("how many packs", default="1")

    def made(self, scene: Scene) -> Made:
        item = scene.item(self.item, "athlete.stock")
        lost = read_number(self.packs, "count", "athlete.stock", 0.05, 200)
        have = at_hand(scene, item.id)
        if have == 0:
            carried = listed(list(packs_carried(scene)))
            raise refuse("change.not_carried", "athlete.stock", item=called(item), carried=carried)
        if lost > have:
            raise refuse("change.fewer", "athlete.stock", item=called(item), have=f"{have:g}")
        says = f"{lost:g} of {called(item)} {'is' if lost == 1 else 'are'} lost, {have - lost:g} left."
        return Made((stock_step(scene, item.id, have - lost),), says, "near")


class Delay(Changing):
    """A start put off. It asks what was eaten, and which caffeine was taken: neither is planned again."""

    kind: Literal["delay"] = "delay"
    delay: str = text("how much later, as 40 min")
    eaten: tuple[str, ...] | None = Field(
        default=None, description="items eaten since breakfast, as gel-25 or 2 gel-25; none at all: nothing"
    )
    caffeine: str | None = Field(
        default=None, description="caffeine taken this morning, the usual coffee too, as 80 mg, or none"
    )
    at: str = text("clock time at which it was taken; without one it counts at the start", default="")
    spare: bool = Field(default=False, description="true when nothing came out of what is carried")

    def made(self, scene: Scene) -> Made:
        if self.eaten is None or self.caffeine is None:
            raise refuse("change.asks", "race.taken")
        race = scene.case.race
        later_s = read_number(self.delay, "s", "race.delay", 60, 43_200)
        gun = (race.gun + timedelta(seconds=later_s)).astimezone(ZoneInfo(race.zone))
        when = _clock_time(self.at, gun)
        eaten = [_eaten(scene, one) for one in self.eaten if one.strip().lower() != "nothing"]
        drunk_mg = _caffeine_mg(self.caffeine)
        rows = [{"item": one.id, **({"portion": n} if n != 1 else {}), **when} for n, one in eaten]
        rows += [{"caffeine": f"{drunk_mg:g} mg", **when}] if drunk_mg else []
        steps = [put("race.gun", _as_typed_moment(gun)), put("race.delay", _minutes_typed(race, later_s))]
        steps += [add("race.taken", row) for row in rows]
        usual_mg = scene.case.athlete.breakfast_caffeine_mg
        if drunk_mg and usual_mg:
            steps.append(put("athlete.breakfast_caffeine", f"{max(0.0, usual_mg - drunk_mg):g} mg"))
        if not self.spare:
            steps += _used(scene, eaten)
        taken = [f"{n:g} {called(one)}" for n, one in eaten]
        taken += [f"{drunk_mg:g} mg of caffeine"] if drunk_mg else []
        said = f"The start is {minutes(Range.exact(later_s))} later: the gun is at {gun:%H:%M}."
        return Made(tuple(steps), f"{said} Taken before it: {listed(taken)}.")


def _clock_time(typed: str, gun: datetime) -> dict[str, Any]:
    """Return the time at which something was taken, on the day of the race where no day is typed."""
    text = typed.strip()
    if not text:
        return {}
    try:
        if "T" in text or "-" in text:
            return {"at": datetime.fromisoformat(text)}
        return {"at": datetime.combine(gun.date(), time.fromisoformat(text))}
    except ValueError:
        raise refuse(
            "entry.wrong_kind",
            "race.taken",
            problem=f"'{text}' is no clock time",
            allowed="06:10, or 2026-12-06T06:10",
        ) from None


def _as_typed_moment(moment: datetime) -> datetime:
    """Return a moment as it is typed: local, and with its offset only in the hour that happens twice."""
    local = moment.replace(tzinfo=None, fold=0)
    twice = {moment.replace(fold=fold).utcoffset() for fold in (0, 1)}
    return local if len(twice) == 1 else moment.astimezone(timezone(moment.utcoffset() or timedelta()))


def _minutes_typed(race: Race, later_s: float) -> str:
    whole_s = (race.delay_s or 0.0) + later_s
    return f"{whole_s / 60:.0f} min" if whole_s % 60 == 0 else f"{whole_s:.0f} s"


def _eaten(scene: Scene, typed: str) -> tuple[float, Item]:
    """Return how much of which item is meant by `gel-25` or `2 gel-25`."""
    count, _, item_id = typed.strip().rpartition(" ")
    eaten = read_number(count, "count", "race.taken", 0.05, 20) if count.strip() else 1.0
    return eaten, scene.item(item_id, "race.taken")


def _caffeine_mg(typed: str) -> float:
    if typed.strip().lower() in ("none", "nothing"):
        return 0.0
    return read_number(typed, "mg", "race.taken.caffeine", 0, 1000)


def _used(scene: Scene, eaten: list[tuple[float, Item]]) -> Iterator[Step]:
    """Yield how much is left of each carried item that was eaten."""
    for item_id in dict.fromkeys(item.id for _, item in eaten):
        have = at_hand(scene, item_id)
        if have:
            used = sum(n for n, item in eaten if item.id == item_id)
            yield stock_step(scene, item_id, max(0.0, have - used))


def packs_carried(scene: Scene) -> dict[str, int]:
    """Return how many whole packs the schedule carries, by item."""
    carried: dict[str, float] = {}
    for intake in scene.schedule:
        if intake.got_from == "pocket" and intake.amount == "whole":
            carried[intake.item] = carried.get(intake.item, 0.0) + intake.portion_frac
    return {item_id: math.ceil(packs - 1e-6) for item_id, packs in carried.items()}


def at_hand(scene: Scene, item_id: str) -> float:
    """Return how many packs of an item can be carried: as is said, else as many as the plan carries."""
    said = {stock.item: stock.packs_count for stock in scene.case.athlete.stock}
    return said.get(item_id, float(packs_carried(scene).get(item_id, 0)))


def stock_step(scene: Scene, item_id: str, packs_count: float) -> Step:
    """Return the edit that says how many packs of an item are at hand."""
    packs = int(packs_count) if packs_count == int(packs_count) else round(packs_count, 6)
    rows = [stock.item for stock in scene.case.athlete.stock]
    if item_id in rows:
        return put(f"athlete.stock[{1 + rows.index(item_id)}].packs", packs)
    return add("athlete.stock", {"item": item_id, "packs": packs})


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


class CrewCannotReach(Changing):
    """A place that the crew cannot reach after all: what it would hand over comes from elsewhere, or not."""

    kind: Literal["crew cannot reach"] = "crew cannot reach"
    point: str = text("name of the crew's place", longest=40)

    def made(self, scene: Scene) -> Made:
        number, point = scene.crew_point(self.point, "crew.points")
        if point.out_of_reach:
            raise refuse("change.already", "crew.points", what=f"the crew cannot reach {point.name}")
        place_m = scene.case.crew_place_m(point)
        pins = [
            at
            for at, pin in enumerate(scene.case.wishes.pinned, 1)
            if pin.got_from == "crew" and pin.at_m is not None and abs(pin.at_m - place_m) < NEAR_M
        ]
        said = f"The crew cannot reach {point.name}: nothing is handed over there."
        if pins:
            said += " What was pinned from the crew there is pinned no more."
        unpinned = [drop(f"wishes.pinned[{at}]") for at in reversed(pins)]
        return Made((put(f"crew.points[{number}].out_of_reach", True), *unpinned), said, "near")
