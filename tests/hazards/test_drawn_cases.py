"""Three thousand whole cases by chance, without solver or Typst: what must hold of each, holds."""

from __future__ import annotations

import pytest
from many import Tally, whole
from through import through, told_not_set

CASES = 3_000


@pytest.fixture(scope="module")
def tally() -> Tally:
    return whole("cases", CASES)


def test_what_must_hold_of_every_drawn_case_holds(tally: Tally) -> None:
    assert tally.count == CASES
    assert not tally.wrong, "\n".join(tally.wrong[:20])


@pytest.mark.parametrize(
    ("kind", "share"),
    [
        ("issued, with intakes", 0.1),
        ("issued, from a crew", 0.005),
        ("issued, with a menu", 0.015),
        ("issued, with a menu, grams withheld", 0.001),
        ("issued, note", 0.05),
        ("issued, withheld", 0.02),
        ("issued, grams withheld", 0.02),
        ("issued, caffeine withheld", 0.03),
        ("issued, sodium withheld", 0.02),
        ("issued, fluid withheld", 0.005),
        ("issued, fructose withheld", 0.005),
        ("issued, fluid care half", 0.01),
        ("issued, times struck", 0.01),
        ("screened, hold", 0.1),
        ("screened, refer", 0.03),
        ("late flag", 0.2),
        ("held by gate.fluid", 0.02),
        ("held by gate.caffeine", 0.02),
        ("held by gate.one_sugar", 0.02),
        ("held by gate.withheld_part", 0.02),
        ("held by gate.refused_item", 0.02),
    ],
)
def test_the_drawn_cases_reach_what_the_checks_are_about(tally: Tally, kind: str, share: float) -> None:
    assert tally.were[kind] >= share * CASES


@pytest.mark.parametrize(
    "way",
    ["unsigned", "old", "not said", "left out", "another", "ahead", "unknown medicine", "born", "no file"],
)
def test_answers_are_spoilt_in_every_way(tally: Tally, way: str) -> None:
    assert tally.were[f"answers spoilt: {way}"] > 0


def test_the_same_seed_gives_the_same_outcome() -> None:

    with told_not_set():
        first, second = through(7), through(7)
    assert (first.end, first.files) == (second.end, second.files)
