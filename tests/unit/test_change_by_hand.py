"""Pin, unpin, move, swap and solve again: the schedule as given, and what the person pinned, apart."""

from __future__ import annotations

from typing import Any

import pytest
from changing import SCHEDULE, change, refused

from provand.case.intake import Intake

GEL, CUP, LATE_GEL, DRINK = SCHEDULE


def places(schedule: tuple[Intake, ...]) -> list[tuple[str, float | None]]:
    return [(one.item, one.at_m) for one in schedule]


def test_a_pin_keeps_what_is_planned_there_and_takes_the_schedule_as_given() -> None:
    case, sentence, _ = change("pin", item="gel-25", at="12,3 km")
    assert sentence == "gel (gel-25) stays at km 12.3."
    assert case.wishes.pinned == (LATE_GEL,)
    assert case.wishes.schedule == "as given"
    assert set(case.wishes.given) == set(SCHEDULE)
    assert case.wishes.anchor == ()


def test_a_pin_of_something_new_is_added_with_water_where_the_station_pours_it() -> None:
    case, sentence, _ = change("pin", item="gel-40", at="gate")
    assert sentence == "big gel (gel-40) is taken at Gate, and stays there."
    added = [one for one in case.wishes.given if one.at_m == 15_000]
    assert [(one.item, one.amount, one.station) for one in added] == [
        ("gel-40", "whole", ""),
        ("water", "half", "Gate"),
    ]
    assert [one.item for one in case.wishes.pinned] == ["gel-40"]


def test_a_drink_is_pinned_by_the_cup_where_it_is_served() -> None:
    case, _, _ = change("pin", item="sports-drink", at="Bridge", amount="half")
    assert [(one.amount, one.station) for one in case.wishes.pinned] == [("half", "Bridge")]
    assert len(case.wishes.given) == len(SCHEDULE)


def test_an_unpinned_intake_stays_where_it_was_until_it_is_solved_again() -> None:
    _, _, pinned = change("pin", item="gel-25", at="12.3 km")
    case, sentence, text = change("unpin", item="gel-25", text=pinned)
    assert sentence == "gel (gel-25) at km 12.3 need not stay any more."
    assert (case.wishes.pinned, case.wishes.schedule) == ((), "as given")
    case, sentence, _ = change("solve", text=text)
    assert sentence == "The schedule is solved again, near the one that stands."
    assert (case.wishes.schedule, case.wishes.given, case.wishes.anchor) == ("solve", (), SCHEDULE)
    assert change("solve", text=text, afresh=True)[0].wishes.anchor == ()


def test_a_move_takes_the_cup_of_water_along_from_station_to_station() -> None:
    case, sentence, _ = change("move", item="gel-25", at="Mill", to="Gate")
    assert sentence == "gel (gel-25) moves from Mill to Gate."
    assert places(case.wishes.given) == [
        ("sports-drink", 10_000.0),
        ("gel-25", 12_300.0),
        ("gel-25", 15_000.0),
        ("water", 15_000.0),
    ]
    case, _, _ = change("move", item="gel-25", at="Mill", to="6 km")
    assert ("water", 5000.0) not in places(case.wishes.given)


def test_a_pinned_intake_that_is_moved_is_pinned_where_it_went() -> None:
    _, _, pinned = change("pin", item="gel-25", at="12.3 km")
    case, _, _ = change("move", item="gel-25", at="12.3 km", to="13 km", text=pinned)
    assert places(case.wishes.pinned) == [("gel-25", 13_000.0)]
    assert ("gel-25", 12_300.0) not in places(case.wishes.given)


def test_a_swap_puts_another_item_in_the_same_place() -> None:
    case, sentence, _ = change("swap", item="gel-25", at="12.3 km", other="chews")
    assert sentence.endswith("takes the place of gel (gel-25) at km 12.3.")
    assert ("chews", 12_300.0) in places(case.wishes.given)
    assert ("gel-25", 12_300.0) not in places(case.wishes.given)


def test_what_takes_a_source_away_solves_again_where_the_schedule_was_given() -> None:
    _, _, pinned = change("pin", item="gel-25", at="12.3 km")
    case, sentence, _ = change("station serves", station="Mill", serves=[], text=pinned)
    assert sentence == "Mill serves nothing instead of water. The schedule is solved again."
    assert (case.wishes.schedule, case.wishes.given) == ("solve", ())
    case, sentence, _ = change("wave", own_offset="9 min", text=pinned)
    assert case.wishes.schedule == "as given"
    assert "solved" not in sentence


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"kind": "pin", "item": "gel-52", "at": "9 km"}, "Did you mean 'gel-25'?"),
        ({"kind": "pin", "item": "gel-25", "at": "30 km"}, "outside what is allowed"),
        ({"kind": "pin", "item": "gel-25", "at": "NaN km"}, "no station is named 'NaN km'"),
        ({"kind": "pin", "item": "gel-25", "at": "9"}, "more than one reading"),
        ({"kind": "pin", "item": "gel-25", "at": "Bridg"}, "Did you mean 'Bridge'?"),
        ({"kind": "pin", "item": "gel-25", "at": "9 km", "portion": "-1"}, "wishes.pinned.portion"),
        ({"kind": "pin", "item": "sports-drink", "at": "9 km"}, "Stations that serve it: Bridge."),
        ({"kind": "pin", "item": "gel-25", "at": "9 km", "amount": "cup"}, "neither carried nor served"),
        ({"kind": "pin", "item": "gel-25", "at": "9 km", "amount": "bucket"}, "amount"),
        ({"kind": "unpin", "item": "gel-25"}, "Pinned: nothing."),
        ({"kind": "move", "item": "gel-25", "at": "9 km", "to": "10 km"}, "at: km 5.0 and km 12.3."),
        ({"kind": "move", "item": "gel-25", "at": "Mill", "to": "12.3 km"}, "is taken at km 12.3 already"),
        ({"kind": "move", "item": "sports-drink", "at": "Bridge", "to": "Gate"}, "serve it: Bridge."),
        ({"kind": "swap", "item": "gel-25", "at": "Mill", "other": "water"}, "is taken at Mill already"),
        ({"kind": "swap", "item": "gel-25", "at": "Mill", "other": "gel-26"}, "Did you mean 'gel-25'?"),
    ],
    ids=str,
)
def test_a_hand_that_cannot_lay_it_so_is_told(fields: dict[str, Any], says: str) -> None:
    assert says in refused(**fields)
