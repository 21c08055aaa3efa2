"""Delays computed beforehand: the plan that `change delay` makes, for every answer, with no limit passed."""

from __future__ import annotations

from functools import cache, partial
from pathlib import Path

import pytest
from stands import standing
from starter_case import SRC, STARTER_TEXT, TODAY

from provand.case.change import change_of
from provand.case.door import read_health
from provand.plan.changing import next_of
from provand.plan.delays import DELAYS_MIN, Delays, delays
from provand.plan.standing import Standing
from provand.safety.screening import screen

HILLS = SRC / "demo" / "warm-hills" / "case.toml"
"""An athlete with a usual coffee and a gel with caffeine."""


@cache
def hills() -> Standing:
    return standing(HILLS)


@cache
def on_hills() -> Delays:
    return delays(hills(), later_min=(40,))


def by_command(path: Path, made: Standing, minutes: int, eaten: str, caffeine: str):  # type: ignore[no-untyped-def]
    change = change_of({"kind": "delay", "delay": f"{minutes} min", "eaten": [eaten], "caffeine": caffeine})
    screened = partial(screen, health=read_health(path), as_of=TODAY)
    after = next_of(change, made.typed, screened, beside=made.beside, as_of=TODAY).after
    assert after is not None
    return after


@pytest.mark.parametrize(
    ("eaten", "caffeine", "typed"),
    [("", "none", "none"), ("", "usual", "80 mg"), ("hill-gel", "none", "none")],
)
def test_a_delay_is_what_the_command_makes_of_it(eaten: str, caffeine: str, typed: str) -> None:
    start = on_hills().start(40, eaten=eaten, caffeine=caffeine)  # type: ignore[arg-type]
    after = by_command(HILLS, hills(), 40, eaten or "nothing", typed)
    assert start is not None
    assert start.gun == after.case.race.gun
    assert start.stops == after.race.stops
    assert start.drinking == after.race.drinking
    assert all(line in after.morning for line in start.before)


def test_every_delay_has_every_answer_or_says_that_there_is_no_plan() -> None:
    some = (DELAYS_MIN[0], DELAYS_MIN[-1])
    assert tuple(range(10, 121, 10)) == DELAYS_MIN
    made = delays(standing(), later_min=some)
    assert [one.item for one in made.carried] == ["gel-25"]
    asked = {(m, e, c) for m in some for e in ("", "gel-25") for c in made.caffeine}
    found = [(one.later_min, one.eaten, one.caffeine) for one in (*made.starts, *made.without)]
    assert set(found) == asked
    assert len(found) == len(asked)


def test_what_was_eaten_is_not_eaten_again_and_caffeine_unknown_leaves_none_in_the_race() -> None:
    made, plan = on_hills(), hills().plan

    def packs(stops, item):  # type: ignore[no-untyped-def]
        return sum(take.item == item for stop in stops for take in stop.takes)

    eaten = made.start(40, eaten="hill-gel")
    assert eaten is not None
    assert packs(eaten.stops, "hill-gel") < packs(plan.race.stops, "hill-gel")
    more = made.start(40, caffeine="more")
    assert more is not None
    assert any(take.with_caffeine for stop in plan.race.stops for take in stop.takes)
    assert not any(take.with_caffeine for stop in more.stops for take in stop.takes)


def test_a_schedule_that_passes_stays_in_the_hand_and_only_clocks_move() -> None:
    start = on_hills().start(40)
    plan = hills().plan
    assert start is not None
    assert start.as_in_hand
    assert [(s.at_m, s.takes) for s in start.stops] == [(s.at_m, s.takes) for s in plan.race.stops]
    assert (start.own_start - plan.case.race.own_start).total_seconds() == 2400
    assert start.before
    assert not any(line in plan.morning for line in start.before)
    assert not on_hills().start(40, eaten="hill-gel").as_in_hand  # type: ignore[union-attr]


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert delays(hills(), later_min=(40,)).as_bytes == on_hills().as_bytes


def test_caffeine_that_is_withheld_is_not_asked_about() -> None:
    made = delays(standing(HILLS, withheld=("caffeine",)), later_min=(30,))
    assert made.caffeine == ("none",)
    assert "caffeine" not in made.as_bytes.decode().replace('"caffeine":["none"]', "").replace(
        '"caffeine":"none"', ""
    ).replace('"with_caffeine":false', "")


def test_a_pin_tied_to_the_clock_that_falls_before_the_start_has_no_plan_and_says_why() -> None:
    pinned = STARTER_TEXT + (
        '\n[[wishes.pinned]]\nitem = "gel-25"\nat_clock = 2026-12-06T09:40:00\ngot_from = "pocket"\n'
    )
    made = delays(standing(text=pinned), later_min=(10, 60))
    assert made.start(10) is not None
    assert made.start(60) is None
    (why, *_) = (one.why for one in made.without if one.later_min == 60)
    assert [one.code for one in why] == ["plan.pin_outside"]
