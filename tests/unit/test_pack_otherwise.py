"""The sheet and the command for when things go otherwise: a card of short lines, the list behind it."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
from paper import is_tagged, pages, said
from stands import standing
from starter_case import SRC

from provand.pack.otherwise import otherwise_data, otherwise_sheet, schedule_words
from provand.plan.scenarios import Scenarios, scenarios
from provand.plan.standing import Standing
from provand.planner.if_then import EMERGENCY

HILLS = SRC / "demo" / "warm-hills" / "case.toml"
CLUB = SRC / "demo" / "club-runner" / "case.toml"


@cache
def of(path: Path) -> tuple[Standing, Scenarios]:
    made = standing(path)
    return made, scenarios(made)


def test_card_and_list_stand_on_one_page_with_code_and_emergency() -> None:
    made, found = of(HILLS)
    data = otherwise_sheet(made.plan, found, "a4")
    assert pages(data) == 1
    assert is_tagged(data)
    text = said(data)
    assert made.plan.code in text
    assert EMERGENCY in text
    for line in otherwise_data(made.plan, found, "a4")["card"]:
        assert text.count(line["asked"]) == 2
        assert len(f"{line['asked']} {line['then']}") <= 130


def test_a_draft_carries_no_code() -> None:
    made, found = of(HILLS)
    assert made.plan.code not in said(otherwise_sheet(made.plan, found, "letter", draft=True))


def test_the_list_tells_what_differs_and_after_a_rest_no_times() -> None:
    made, found = of(HILLS)
    lines = {one.id: list(schedule_words(made.plan, one)) for one in found.scenarios}
    assert lines["empty"] == ["1:35, Packing shed, km 18.1: caffeine gel + cup of water"]
    assert lines["hotter"] == ["In the race: all as on your strip."]
    assert lines["sick"] == ["km 14.6, Tollgate: ½ caffeine gel + mouthful of water"]
    assert any("While you wait" in line for line in lines["late"])


def test_a_race_without_anything_carried_leaves_the_loss_out_without_a_word_to_the_athlete() -> None:
    made, found = of(CLUB)
    data = otherwise_data(made.plan, found, "a4")
    assert data["without"] == []
    assert not any("Lost" in line["asked"] for line in data["card"])


def test_scenarios_of_another_plan_are_refused() -> None:
    with pytest.raises(ValueError, match="another plan"):
        otherwise_data(of(HILLS)[0].plan, of(CLUB)[1], "a4")


def test_who_reads_no_weights_reads_none() -> None:
    made = standing(HILLS, withheld=("grams",))
    text = said(otherwise_sheet(made.plan, scenarios(made), "a4"))
    assert not re.search(r"\d\s*(?:g|kg|mg|kcal)\b", text)
