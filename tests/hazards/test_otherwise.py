"""What is planned beforehand, over drawn cases: every scenario and every delay keeps every ceiling.

The counts are those of the proof by chance, which asks neither gate nor planner. Two lines about thirst are
tried: the one planned anew and the one that is said to hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import pytest
from drawn_case import AS_OF
from held_to import no_ceiling_is_broken, nothing_excluded_is_planned
from through import Outcome, drawn, screened

import provand.plan.standing as standings
from provand.case.case import Case
from provand.case.door import case_of
from provand.finding import BadInput, NoPlanFits, OnHold
from provand.plan.delays import delays
from provand.plan.document import Plan
from provand.plan.look import Looked, look
from provand.plan.protocols import protocols_of
from provand.plan.scenarios import scenarios
from provand.plan.standing import Standing

PLANS = 14
SEEDS = range(400, 800)


class Kept(NamedTuple):
    """A plan that may be told, and the case that it is of."""

    case: Case
    plan: Plan


@pytest.fixture
def kept(monkeypatch: pytest.MonkeyPatch) -> list[Kept]:
    """Keep every plan that was cleared after something happened."""
    found: list[Kept] = []

    def looked(case: Case, *args: Any, **named: Any) -> Looked:
        made = look(case, *args, **named)
        if made.cleared is not None:
            found.append(Kept(case, made.cleared.plan))
        return made

    monkeypatch.setattr(standings, "look", looked)
    return found


def standing_of(outcome: Outcome) -> Standing | None:
    """Return what stands of a drawn case, or None where nothing may be handed out."""
    beside, typed = outcome.drawn.beside, outcome.drawn.typed
    try:
        case = outcome.case = case_of(typed, beside=beside, as_of=AS_OF)
        screening = outcome.screening = screened(outcome, outcome.health.typed)
        if not screening.may_issue:
            return None
        protocols = protocols_of(case, beside, as_of=AS_OF)
    except (BadInput, NoPlanFits, OnHold):
        return None
    looked = look(case, screening, protocols=protocols, as_of=AS_OF)
    if looked.cleared is None:
        return None
    return Standing(looked.cleared, typed, case, screening, protocols, beside, AS_OF)


def standing_plans() -> Iterator[tuple[Outcome, Standing]]:
    count = 0
    for seed in SEEDS:
        outcome = drawn(seed)
        standing = standing_of(outcome)
        if standing is not None and standing.plan.race.intakes:
            count += 1
            yield outcome, standing
        if count == PLANS:
            return


def wrong(outcome: Outcome, one: Kept, drinking: Any) -> list[str]:
    """Return what is wrong with a plan under a line about thirst."""
    race = one.plan.race.model_copy(update={"drinking": drinking})
    outcome.case, outcome.plan = one.case, one.plan.model_copy(update={"race": race})
    checks = (no_ceiling_is_broken, nothing_excluded_is_planned)
    return [f"seed {outcome.seed}: {text}" for check in checks for text in check(outcome)]


def test_every_scenario_and_delay_of_drawn_cases_keeps_every_ceiling(kept: list[Kept]) -> None:
    faults: list[str] = []
    told = plans = 0
    for outcome, standing in standing_plans():
        plans += 1
        kept.clear()
        made = scenarios(standing)
        late = delays(standing, later_min=(10, 120))
        lines = [(one.stops, one.drinking) for one in (*made.scenarios, *late.starts)]
        for one in kept:
            faults += wrong(outcome, one, one.plan.race.drinking)
            for stops, drinking in lines:
                if one.plan.race.stops == stops:
                    told += 1
                    faults += wrong(outcome, one, drinking)
    assert plans == PLANS
    assert told > 5 * PLANS
    assert not faults, "\n".join(faults[:20])


def test_the_counts_find_what_is_eaten_twice() -> None:
    outcome, standing = next(standing_plans())
    race = standing.plan.race
    more = race.model_copy(update={"intakes": race.intakes * 9})
    doubled = standing.plan.model_copy(update={"race": more})
    assert wrong(outcome, Kept(standing.case, doubled), race.drinking)
