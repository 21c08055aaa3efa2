"""Race morning in a case: clock times that others fixed, tablets without a name, bytes of older cases."""

from __future__ import annotations

from datetime import UTC, datetime, time
from pathlib import Path

import pytest
from changing import change
from starter_case import STARTER_TEXT, opened, refused

from provand.case.morning import clock_after, clock_before, happens_once
from provand.case.when import zone_named
from provand.record import canonical

MORNING = """
[morning]
wake_from = "5.30"
breakfast = "rice with honey"
breakfast_from = 06:30:00
kitchen = "kettle"
travel = "35 min"
bag_drop_closes = "8:20"
pen_opens = "8:30"
pen_closes = "8:50"

[[morning.tablets]]
at = "5:00"
no_food_before = "3 h"
no_food_after = "45 min"
fixed_by = "pharmacist"

[after]
next_session = "20 h"
"""
DUBLIN, BERLIN = zone_named("Europe/Dublin", "race.zone"), zone_named("Europe/Berlin", "race.zone")


def test_race_morning_is_read_as_moments_before_the_own_start(tmp_path: Path) -> None:
    case = opened(tmp_path, STARTER_TEXT + MORNING)
    morning = case.dated_morning
    assert morning is not None
    assert morning.wake_from == datetime(2026, 12, 6, 5, 30, tzinfo=UTC)
    assert morning.pen_closes == datetime(2026, 12, 6, 8, 50, tzinfo=UTC)
    assert morning.travel_min == 35
    (tablet,) = morning.tablets
    assert (tablet.start.hour, tablet.at.hour, tablet.end) == (
        2,
        5,
        datetime(2026, 12, 6, 5, 45, tzinfo=UTC),
    )
    assert case.next_session_h == 20


@pytest.mark.parametrize("empty", ["", "\n[morning]\n[after]\n"])
def test_a_case_without_a_morning_has_no_word_of_one_in_its_bytes(tmp_path: Path, empty: str) -> None:
    """So the codes of cases that were made before still hold; a table emptied on the page counts as none."""
    case = opened(tmp_path, STARTER_TEXT + empty)
    assert case.morning is None
    assert b'"morning"' not in canonical(case)
    assert b'"after"' not in canonical(case)


def test_a_tablet_is_told_without_its_name(tmp_path: Path) -> None:
    named = MORNING.replace('at = "5:00"', 'at = "5:00"\nname = "a tablet"')
    assert "morning.tablets[1].name" in str(refused(tmp_path, STARTER_TEXT + named))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('fixed_by = "pharmacist"', "", "morning.tablets[1].fixed_by"),
        ('fixed_by = "pharmacist"', 'fixed_by = "myself"', "clinician"),
        ('no_food_before = "3 h"', "", "morning.tablets[1].no_food_before"),
        ('no_food_after = "45 min"', 'no_food_after = "45"', "more than one reading"),
        ('no_food_after = "45 min"', 'no_food_after = "13 h"', "outside what is allowed"),
        ('pen_closes = "8:50"', 'pen_closes = "9:50"', "not in the 6 h before the own start at 09:04"),
        ('pen_closes = "8:50"', 'pen_closes = "8:25"', "closes at 08:25, and opens at 08:30"),
        ('wake_from = "5.30"', 'wake_from = "10:00"', "not in the 18 h before"),
        ('wake_from = "5.30"', 'wake_from = "half past five"', "a clock time, as 7:30"),
        ('wake_from = "5.30"', 'wake_from = "25:00"', "a clock time, as 7:30"),
        ('wake_from = "5.30"', 'wake_from = "05:30+02:00"', "without an offset"),
        ('travel = "35 min"', 'travel = "0:35"', "more than one reading"),
        ('travel = "35 min"', 'travel = "-5 min"', "outside what is allowed"),
        ('travel = "35 min"', 'travel = "NaN min"', "cannot be read"),
        ('kitchen = "kettle"', 'kitchen = "ketle"', "did you mean 'kettle'?"),
    ],
    ids=str,
)
def test_what_cannot_be_meant_is_told_where_it_stands(tmp_path: Path, old: str, new: str, says: str) -> None:
    assert MORNING.count(old) == 1
    assert says in str(refused(tmp_path, STARTER_TEXT + MORNING.replace(old, new)))


def test_an_edit_reaches_race_morning_like_everything_else() -> None:
    case, _, text = change("edit", text=STARTER_TEXT + MORNING, path="morning.wake_from", typed="6:00")
    assert case.morning is not None
    assert case.morning.wake_from == time(6)
    assert 'wake_from = "6:00"' in text


class TestClocks:
    """A clock time is the last one before the start, over midnight and over a change of clocks."""

    def test_an_afternoon_time_is_of_the_same_day_for_an_evening_start(self) -> None:
        evening, morning = (datetime(2026, 12, 6, hour, tzinfo=DUBLIN) for hour in (19, 9))
        assert clock_before(time(14), evening).day == 6
        assert clock_before(time(14), morning).day == 5
        assert clock_after(time(14), morning).day == 6

    def test_a_skipped_time_is_later_and_does_not_happen_once(self) -> None:
        start = datetime(2026, 3, 29, 8, tzinfo=BERLIN)
        assert clock_before(time(2, 30), start).time() == time(3, 30)

    def test_a_repeated_time_is_the_first_of_two(self) -> None:
        start = datetime(2026, 10, 25, 8, tzinfo=BERLIN)
        at = clock_before(time(2, 30), start)
        assert not happens_once(at)
        assert at.astimezone(UTC).hour == 0

    @pytest.mark.parametrize(("on", "at"), [("2027-10-31", "2:30"), ("2027-03-28", "2:30")])
    def test_a_tablet_in_the_hour_of_change_is_asked_about(self, tmp_path: Path, on: str, at: str) -> None:
        night = STARTER_TEXT.replace("2026-12-06T09:00:00", f"{on}T09:00:00").replace(
            "Europe/Dublin", "Europe/Berlin"
        )
        text = night + MORNING.replace('at = "5:00"', f'at = "{at}"')
        assert "skip 02:30 or show it twice" in str(refused(tmp_path, text))
