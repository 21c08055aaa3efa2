"""Nobody is told to stop a usual coffee, salt or medicine, and none of it drops out of a count."""

from __future__ import annotations

import pytest
from answered import case_of, said_yes, screened

from provand.plan.body_work import limits_of, work_out
from provand.plan.withheld import case_as_shown
from provand.safety.flags import Flag, flags
from provand.safety.screening import Screening

PARTS = {"caffeine", "sodium"}
WITHHOLDING = [flag for flag in flags() if PARTS & set(flag.withheld) and flag.outcome == "withheld"]


@pytest.mark.parametrize("flag", WITHHOLDING, ids=lambda flag: flag.id)
def test_who_has_caffeine_or_sodium_withheld_is_told_to_keep_the_usual(flag: Flag) -> None:
    health, case = said_yes(flag)
    screening, _ = screened(health, case)
    assert "safety.keep_usual" in {finding.code for finding in screening.findings}


def test_breakfasts_coffee_still_counts_where_caffeine_is_withheld() -> None:
    case = case_of(breakfast_caffeine_mg=80.0)
    case = case.model_copy(update={"race": case.race.model_copy(update={"goal_s": 7200.0})})
    screening = Screening(outcome="withheld", withheld=("caffeine",), sodium_line_mmol_per_l=140.0)
    limits = limits_of(case, work_out(case, screening), screening)
    assert [dose.caffeine_mg for dose in limits.earlier_caffeine] == [80.0]
    assert case_as_shown(case, screening.withheld).athlete.breakfast_caffeine_mg == 0
