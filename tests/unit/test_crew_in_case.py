"""A crew in a case, and the number of the event's medics: read as typed, refused in words, printed."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from paper import said
from plans import a_case, a_plan
from starter_case import TODAY, Changes, changed

from provand.case.case import Case
from provand.case.checks import is_phone_number
from provand.case.door import case_of, in_folder
from provand.finding import BadInput, Finding
from provand.pack.after import finish_card
from provand.pack.crew import crew_sheet
from provand.pack.large import large_print
from provand.pack.phone import phone_page
from provand.pack.relay import relay_sheet
from provand.pack.safety import race_facts, safety_page
from provand.plan.document import Plan
from provand.record import canonical

PHONE = "+00 00 (000) 0-00"
FORD = """
[[crew.points]]
name = "Ford"
at = "12 km"
way = "by the mill road"
hands = ["gel-25"]
allowed = true
"""


def opened(changes: Changes) -> Case:
    return case_of(tomllib.loads(changed(changes)), beside=in_folder(Path()), as_of=TODAY)


def refused(changes: Changes) -> tuple[Finding, ...]:
    with pytest.raises(BadInput) as caught:
        opened(changes)
    return caught.value.findings


def with_crew(*more: str) -> dict[str, str]:
    return {"[weather] ": "\n".join([FORD, *more, "\n[weather] "])}


def test_where_a_crew_stands_is_read_and_help_counts_only_where_it_is_known_to_be_allowed() -> None:
    bare = '[[crew.points]]\nname = "Weir"\nat = "3 km"\nhands = ["chews"]'
    case = opened(with_crew(bare))
    assert [(one.name, one.at_m, one.serves) for one in case.crew_points] == [
        ("Weir", 3000.0, ()),
        ("Ford", 12_000.0, ("gel-25",)),
    ]
    assert case.item("chews") is not None, "an item of the shelf that a crew may hand over is in the case"
    assert case.handed_at(12_000.0) == ("gel-25",)
    assert case.handed_at(3000.0) == case.handed_at(12_050.0) == ()


def test_a_crew_beside_a_station_hands_over_at_the_station() -> None:
    case = opened({"[weather] ": FORD.replace("12 km", "10.04 km") + "\n[weather] "})
    assert case.handed_at(10_000.0) == ("gel-25",)


def test_a_case_without_a_crew_keeps_its_bytes() -> None:
    bare, empty = opened({}), opened({"[weather] ": "[crew]\n\n[weather] "})
    assert empty.code == bare.code
    assert b"crew" not in canonical(bare)
    assert b"medics" not in canonical(bare)


@pytest.mark.parametrize(
    ("row", "code", "about"),
    [
        ('name = "B"\nat = "22 km"', "course.station_past", "crew.points[2].at"),
        ('name = "ford"\nat = "3 km"', "crew.same_name", "crew.points[2].name"),
        ('name = "B"\nat = "12.03 km"', "crew.same_place", "crew.points[2].at"),
        ('name = "B"\nat = "3 km"\nhands = ["water"]', "crew.water", "crew.points[2].hands[1]"),
        ('name = "B"\nat = "3 km"\nhands = ["gel25"]', "entry.unknown_item", "crew.points[2].hands[1]"),
        ('name = "B"\nat = "3"', "entry.ambiguous", "crew.points[2].at"),
        ('name = "B"\nat = "3 km"\nhand = []', "entry.unknown_key", "crew.points[2].hand"),
    ],
)
def test_what_cannot_be_is_told_with_its_place(row: str, code: str, about: str) -> None:
    found = refused(with_crew(f"[[crew.points]]\n{row}"))
    assert (code, about) in [(one.code, one.about) for one in found]


@pytest.mark.parametrize("text", ["112", "15", "+00 (000) 00-00.0", "000/0000"])
def test_a_number_that_can_be_dialled_is_taken_as_typed(text: str) -> None:
    assert is_phone_number(text)
    assert opened({"[race]\n": f'[race]\nmedics_phone = "{text}"\n'}).race.medics_phone == text


@pytest.mark.parametrize(
    "text", ["1", "call 112", "112 or 113", "00+00", "0" * 16, "١١٢", "112;911", "+", "--"]
)
def test_words_and_what_nobody_can_dial_are_refused(text: str) -> None:
    (found,) = refused({"[race]\n": f'[race]\nmedics_phone = "{text}"\n'})
    assert (found.code, found.about) == ("race.phone", "race.medics_phone")


def with_phone() -> Plan:
    case = a_case()
    return a_plan(a_case(race=case.race.model_copy(update={"medics_phone": PHONE})))


@pytest.mark.parametrize("made", [finish_card, crew_sheet, large_print, relay_sheet])
def test_the_medics_number_stands_beside_its_name_and_else_there_is_room_to_write(made: Any) -> None:
    told, blank = said(made(with_phone(), "a4")), said(made(a_plan(), "a4"))
    assert f"Medics of the race: {PHONE}" in told
    assert "Medics of the race" in blank
    assert PHONE not in blank
    assert not re.search(r"Medics of the race:? *\d", blank), "no number is made up"
    assert "Emergency number here" in told


def test_the_safety_page_carries_the_event_s_number_alone() -> None:
    case = with_phone().case
    told = said(safety_page(case.practitioner, race_facts(case)))
    assert f"Medics of the race: {PHONE}" in told
    assert case.athlete.name not in told
    assert "Medics of the race" not in said(safety_page(case.practitioner, race_facts(a_case())))


def test_the_page_for_the_phone_dials_the_medics_and_leads_nowhere_else() -> None:
    page = phone_page(with_phone()).decode("utf-8")
    assert re.findall(r'href="([^"]*)"', page) == ["tel:+0000000000"]
    assert f">{PHONE}</a>" in page
    assert "href" not in phone_page(a_plan()).decode("utf-8")
