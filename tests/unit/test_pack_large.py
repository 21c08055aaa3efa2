"""Large print: the words of strip and night-before card, nothing under 18 points."""

from __future__ import annotations

from typing import Any

import pytest
from menued import plan_with
from paper import is_tagged, said, words
from plans import a_case, a_plan, a_stop, a_take

from provand.finding import CannotWork
from provand.pack.large import LEAST_PT, large_print
from provand.pack.night import morning
from provand.pack.wrist import entries, rules


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("made", [a_plan, plan_with], ids=["usual", "menu"])
def test_no_word_is_smaller_than_eighteen_points_and_none_leaves_the_page(made: Any, paper: Any) -> None:
    data = large_print(made(), paper)
    found = words(data)
    assert min(word.size_pt for word in found) >= LEAST_PT - 0.01
    assert max(word.left_mm + word.width_mm for word in found) <= (210 if paper == "a4" else 215.9) - 14
    assert is_tagged(data)
    assert data == large_print(made(), paper)


def test_it_says_what_the_strip_and_the_night_before_card_say() -> None:
    plan = a_plan()
    told = said(large_print(plan, "a4"))
    for one in entries(plan):
        assert one.when in told
        assert one.words in told
    for rule in rules(plan):
        assert rule in told
    for rung in morning(plan):
        assert rung.title in told
    assert "Lay out tonight" in told
    assert "with caffeine" in told


def test_maker_basis_and_code_stand_on_it_and_a_draft_says_so() -> None:
    told = said(large_print(a_plan(), "a4"))
    for part in (
        "Made for Tove Askerby by Ines Halloway",
        "no medical advice",
        "Invented example",
        a_plan().code,
    ):
        assert part in told
    draft = said(large_print(a_plan(), "a4", draft=True))
    assert a_plan().code not in draft
    assert "Draft, not issued" in draft


def test_what_is_read_while_racing_tells_no_weight() -> None:
    case = a_case()
    gel = a_take("gel", case).model_copy(update={"name": "gel of 25 g"})
    with pytest.raises(CannotWork, match="25 g"):
        large_print(a_plan(case, stops=(a_stop(4000.0, gel, case=case),)), "a4")


def test_a_race_with_nothing_to_take_says_so() -> None:
    assert "Nothing to take in this race." in said(large_print(a_plan(stops=()), "a4"))
