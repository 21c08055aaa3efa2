"""A practitioner's own head and words on paper: what is printed, what is refused, what is left out."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from paper import page_words
from plans import a_case, a_plan
from pypdf import PdfReader
from starter_case import STARTER_TEXT, TODAY

from provand.case.case import Practitioner
from provand.case.door import read_case
from provand.case.letterhead import check_practitioner, contrast_on_white
from provand.finding import BadInput
from provand.pack.letterhead import own_words
from provand.pack.safety import race_facts, safety_page
from provand.pack.sheet import cautions, plan_sheet
from provand.plan.document import Plan
from provand.record import canonical

OWN = {
    "letterhead": ("Millrace Sports Nutrition (invented)", "4 Quern Lane, Orchard"),
    "colour": "#1d4f66",
    "says": "You have done the work. Trust the small steps.",
}


def headed() -> Plan:
    return a_plan(a_case(practitioner=Practitioner.model_validate({"name": "Ines Halloway", **OWN})))


def first_page(data: bytes) -> str:
    return " ".join(page_words(data)[0].split())


def codes(**typed: object) -> list[str]:
    return [one.code for one in check_practitioner(Practitioner.model_validate({"name": "Ines", **typed}))]


def test_the_head_stands_on_the_first_page_alone_and_own_words_under_their_own_head() -> None:
    data = plan_sheet(headed(), "a4")
    told = first_page(data)
    assert told.startswith("Ines Halloway Millrace Sports Nutrition (invented) · 4 Quern Lane, Orchard")
    assert "In the words of Ines Halloway; nothing here is computed. You have done the work." in told
    assert "Quern Lane" not in PdfReader(io.BytesIO(data)).pages[1].extract_text()


def test_the_safety_page_has_the_head_and_none_of_the_own_words() -> None:
    case = headed().case
    told = first_page(safety_page(case.practitioner, race_facts(case)))
    assert "4 Quern Lane" in told
    assert "small steps" not in told


def test_a_practice_that_types_nothing_gets_the_sheet_and_the_bytes_of_before() -> None:
    assert b"letterhead" not in canonical(Practitioner(name="Ines"))
    assert own_words(a_plan()) is None


@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        ("#97164e", []),
        ("#777777", ["letterhead.pale"]),
        ("#ffff00", ["letterhead.pale"]),
        ("red", ["letterhead.colour"]),
    ],
)
def test_a_colour_that_cannot_be_read_on_white_is_refused(colour: str, expected: list[str]) -> None:
    assert codes(colour=colour) == expected


def test_a_pale_colour_is_told_the_nearest_that_can_be_read() -> None:
    (told,) = check_practitioner(Practitioner(name="Ines", colour="#ff9900"))
    darker = str(told.facts["darker"])
    assert 4.5 <= contrast_on_white(darker) < 4.7


def test_contrast_is_that_of_the_published_examples() -> None:
    """WCAG 2.2's own terms: black on white is 21:1; #767676 is the lightest grey at 4.5:1 (computed)."""
    assert contrast_on_white("#000000") == pytest.approx(21)
    assert contrast_on_white("#ffffff") == pytest.approx(1)
    assert contrast_on_white("#767676") >= 4.5 > contrast_on_white("#777777")


@pytest.mark.parametrize(
    "says",
    [
        "Drink 500 ml an hour.",
        "Take 2 cups at each table",
        "60 g is fine",
        "1,5 litres",
        "5 % sugar",
        "80mg before",
    ],
)
def test_own_words_hold_no_amounts(says: str) -> None:
    assert codes(says=says) == ["letterhead.dose"]


@pytest.mark.parametrize(
    "says", ["Drink at every station!", "Never skip the water.", "Trink immer.", "اشرب دائما"]
)
def test_own_words_neither_order_nor_forbid_a_drink(says: str) -> None:
    assert codes(says=says) == ["letterhead.drinking"]


@pytest.mark.parametrize("says", ["See you at km 5, 10:30!", "My 3rd race with you.", "Ring 2 days before."])
def test_own_words_may_hold_other_numbers(says: str) -> None:
    assert codes(says=says) == []


def test_too_many_lines_and_a_line_that_is_too_long_are_refused() -> None:
    assert codes(letterhead=("a",) * 4) == ["letterhead.lines"]
    assert codes(letterhead=("a" * 91,)) == ["letterhead.long"]


def test_own_words_of_a_withheld_part_are_left_off_and_it_is_said() -> None:
    practitioner = Practitioner(name="Ines Halloway", says="Enjoy your coffee.")
    plan = a_plan(a_case(practitioner=practitioner), withheld=("caffeine",))
    assert own_words(plan) is None
    assert "letterhead.left_out" in {one.code for one in cautions(plan)}


def test_a_dose_in_own_words_is_refused_at_the_door(tmp_path: Path) -> None:
    says = 'says = "Drink 2 cups at each table."\n'
    path = tmp_path / "case.toml"
    path.write_text(STARTER_TEXT.replace("[practitioner]\n", f"[practitioner]\n{says}"), "utf-8")
    with pytest.raises(BadInput, match=r"practitioner\.says: your own words hold an amount, '2 cups'"):
        read_case(path, as_of=TODAY)
