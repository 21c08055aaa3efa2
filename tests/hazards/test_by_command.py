"""Sixty drawn cases by the command line, solved, set on paper and read back."""

from __future__ import annotations

from pathlib import Path

import pytest
from by_command import by_command
from held_to import code_on_each_page
from many import Tally, whole

PLANS = 60


@pytest.fixture(scope="module")
def tally() -> Tally:
    return whole("plans", PLANS)


def test_what_must_hold_of_every_paper_holds(tally: Tally) -> None:
    assert tally.count == PLANS
    assert not tally.wrong, "\n".join(tally.wrong[:20])


def test_papers_of_every_kind_were_read(tally: Tally) -> None:
    assert tally.ended["issued"] > PLANS / 4
    assert tally.ended["held"] > PLANS / 8
    assert tally.were["issued, withheld"] > 2


def test_words_titles_and_metadata_of_a_paper_are_read_back(tmp_path: Path) -> None:
    outcome = next(one for seed in range(20) if (one := by_command(seed, tmp_path)).end == "issued")
    name = outcome.drawn.typed["athlete"]["name"]
    paper = outcome.files["plan.pdf"].decode("utf-8")
    assert paper.count(f"Race plan: {name}") >= 2
    assert "Race plan" in paper
    assert outcome.plan is not None
    assert outcome.plan.code in paper
    assert not list(code_on_each_page(outcome))
    outcome.files["strip.pdf"] = b"a strip without its code"
    assert list(code_on_each_page(outcome))
