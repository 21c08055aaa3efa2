"""The meals before a start: at their times, in their 24 hours, none in a window or on top of the race's."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from starter_case import STARTER, TODAY

from provand.case.case import Case, Race
from provand.case.door import read_case
from provand.case.menu import MealTime, MenuWishes
from provand.figure import Figure, Range
from provand.planner.menu.slots import Slot, slots
from provand.protocol.loading import first_start, load_blocks
from provand.protocol.morning import Meal


@pytest.fixture(scope="module")
def case() -> Case:
    return read_case(STARTER, as_of=TODAY)


def race_at(case: Case, clock: str, **more: Any) -> Race:
    zone = ZoneInfo(case.race.zone)
    gun = datetime.fromisoformat(f"{case.race.gun.date()}T{clock}").replace(tzinfo=zone)
    return case.race.model_copy(update={"gun": gun, "own_offset_s": Range.exact(0.0), **more})


def laid(race: Race, *before_h: float, blocks: int = 2, **menu: Any) -> tuple[Slot, ...]:
    start = first_start(race)
    before = Figure.model_construct(id="x_h", value=Range.exact(3.0))
    meals = [
        Meal.model_construct(at=start - timedelta(hours=h), what="meal", before=before) for h in before_h
    ]
    return slots(MenuWishes(**menu), race, load_blocks(start, before_h=24.0 * blocks), meals)


def told(found: tuple[Slot, ...]) -> list[str]:
    return [f"{slot.at:%a %H:%M} {slot.meal}" for slot in found]


def test_a_start_at_seven_has_two_full_days_and_a_breakfast(case: Case) -> None:
    found = laid(race_at(case, "07:00:00"), 3.0)
    assert len(found) == 11
    assert told(found)[-1].endswith("04:00 race meal")
    assert [slot.block for slot in found] == [0] * 5 + [1] * 6


def test_a_start_at_one_keeps_no_breakfast_on_top_of_the_meal_of_the_race(case: Case) -> None:
    """Blocks begin at 13:00: a lunch at that hour is the first meal of its block."""
    found = laid(race_at(case, "13:00:00"), 4.0, 1.0)
    on_race_day = [line for slot, line in zip(found, told(found), strict=True) if slot.on == found[-1].on]
    assert [line[4:] for line in on_race_day] == ["09:00 race meal", "12:00 top-up"]
    assert told(found)[0][4:] == "13:00 lunch"
    assert {slot.block for slot in found} == {0, 1}


def test_an_evening_race_keeps_breakfast_and_lunch_of_its_day(case: Case) -> None:
    found = laid(race_at(case, "19:00:00"), 4.0, 1.0)
    on_race_day = [line[4:] for slot, line in zip(found, told(found), strict=True) if slot.on == found[-1].on]
    assert on_race_day == [
        "08:00 breakfast", "10:30 morning snack", "13:00 lunch", "15:00 race meal", "18:00 top-up",
    ]  # fmt: skip
    assert next(slot.kind for slot in found if slot.meal == "race meal") == "lunch"


def test_a_fast_with_typed_ends_leaves_out_what_lies_in_it(case: Case) -> None:
    race = race_at(case, "07:00:00")
    day = race.gun - timedelta(days=1)
    window = {"start": day.replace(hour=6), "end": day.replace(hour=18), "why": "a fast"}
    fasting = race.model_copy(update={"forbidden": (case.race.forbidden or ())})
    fasting = Race(**(fasting.model_dump() | {"forbidden": [window]}))
    found = laid(fasting, 3.0)
    assert [line[4:] for slot, line in zip(found, told(found), strict=True) if slot.on == day.date()] == [
        "19:00 dinner"
    ]


def test_a_day_that_is_named_has_only_its_own_meals(case: Case) -> None:
    race = race_at(case, "07:00:00")
    day = (race.gun - timedelta(days=1)).date()
    own = MealTime(meal="lunch", at=datetime(2026, 1, 1, 11, 15).time(), on=day, kitchen="petrol station")
    found = [slot for slot in laid(race, 3.0, meals=(own,)) if slot.on == day]
    assert [(slot.meal, f"{slot.at:%H:%M}", slot.kitchen) for slot in found] == [
        ("lunch", "11:15", "petrol station")
    ]


def test_meals_are_counted_in_true_hours_over_a_change_of_the_clocks(case: Case) -> None:
    """In Dublin the clocks go back at 02:00 on 25 October 2026: the day before the race has 25 hours."""
    gun = datetime(2026, 10, 25, 7, tzinfo=ZoneInfo("Europe/Dublin"))
    race = case.race.model_copy(
        update={"gun": gun, "zone": "Europe/Dublin", "own_offset_s": Range.exact(0.0), "forbidden": ()}
    )
    found = laid(race, 3.0, blocks=1)
    assert found[-1].at == gun - timedelta(hours=3)
    assert all(a.at < b.at for a, b in pairwise(found))
    assert found[0].at >= gun - timedelta(hours=24)


@pytest.mark.parametrize("blocks", [1, 2, 3])
def test_every_meal_lies_in_its_block(case: Case, blocks: int) -> None:
    race = race_at(case, "10:20:00")
    edges = load_blocks(first_start(race), before_h=24.0 * blocks)
    for slot in laid(race, 3.0, blocks=blocks):
        assert edges[slot.block].start <= slot.at <= edges[slot.block].end
