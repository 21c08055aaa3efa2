"""What stands of a case: its schedule, its plan, and what keeps that from being handed out.

A schedule that passes a limit can be looked at, so that whoever laid it sees which limit, and by how much.
Only a cleared plan is ever handed out, and such a one never is.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.case.intake import Intake
from provand.finding import BadInput, Finding, Level, NoPlanFits, OnHold, ProvandError, find
from provand.plan.document import Cleared, Plan
from provand.plan.draw_up import draw_up
from provand.plan.review import clear
from provand.plan.withheld import speaks_of
from provand.protocol.own import Protocols
from provand.safety.screening import Screening


class Looked(NamedTuple):
    """The schedule of a case; its plan, cleared or not; else why there is none.

    `plan` is None on hold and where nothing can be computed. `error` is None for a cleared plan alone.
    """

    schedule: tuple[Intake, ...] = ()
    plan: Plan | None = None
    cleared: Cleared | None = None
    error: ProvandError | None = None

    @property
    def breaches(self) -> tuple[Finding, ...]:
        """Every finding of a limit that the schedule passes."""
        found = () if self.error is None else self.error.findings
        return tuple(one for one in found if one.level is Level.BREACH)


def look(case: Case, screening: Screening, *, protocols: Protocols, as_of: date) -> Looked:
    """Return what stands of a case under a screening; it raises nothing that a person could mend."""
    return looked(drawn(case, screening, protocols=protocols, as_of=as_of), case, screening)


def drawn(case: Case, screening: Screening, *, protocols: Protocols, as_of: date) -> Plan | ProvandError:
    """Return the plan of a case, or why there is none: all that takes long, and nothing that is cleared."""
    try:
        return draw_up(case, screening, protocols=protocols, as_of=as_of)
    except (BadInput, OnHold, NoPlanFits) as error:
        return error


def looked(plan: Plan | ProvandError, case: Case, screening: Screening) -> Looked:
    """Return what stands of a plan that was drawn up of this case: here it is cleared, or not."""
    if isinstance(plan, ProvandError):
        return Looked(error=plan)
    try:
        return Looked(plan.race.intakes, plan, clear(plan, case, screening))
    except OnHold as error:
        held = Looked(plan.race.intakes, None, None, error)
        only_limits = screening.may_issue and len(held.breaches) == len(error.findings)
        return held._replace(plan=plan) if only_limits else held


# A limit passed, in a few words.

_SAME = {
    "planner.fluid": ("gate.fluid",),
    "planner.caffeine_single": ("gate.caffeine",),
    "planner.caffeine_day": ("gate.caffeine",),
    "planner.glucose": ("gate.one_sugar",),
    "planner.too_late": ("gate.too_late",),
    "planner.forbidden": ("gate.in_window",),
    "planner.never": ("gate.refused_item", "gate.withheld_part", "gate.not_known"),
}
"""What the planner's check and the gate both count: the gate's word, which names the intake, is told."""

_SHORT = {
    "gate.fluid": "over the fluid ceiling",
    "gate.one_sugar": "over one sugar",
    "gate.caffeine": "over the caffeine ceiling",
    "gate.too_late": "too late to help",
    "gate.in_window": "nothing is taken then",
    "gate.refused_item": "may not be given",
    "gate.withheld_part": "may not be given",
    "gate.not_known": "not known enough",
    "planner.not_at_hand": "not at hand",
    "planner.no_crew": "no crew there",
}


def limits_passed(breaches: Collection[Finding], withheld: Collection[str]) -> tuple[Finding, ...]:
    """Return each limit passed once; of a part that is withheld, that there is one and no more."""
    codes = {one.code for one in breaches}
    told: dict[str, Finding] = {}
    for one in breaches:
        if codes & {*_SAME.get(one.code, ())}:
            continue
        finding = find("plan.unseen_limit", one.about) if _is_unseen(one, withheld) else one
        told.setdefault(finding.line(), finding)
    return tuple(told.values())


def _is_unseen(finding: Finding, withheld: Collection[str]) -> bool:
    return speaks_of(finding.line(), withheld) or ("grams" in withheld and "amount_g" in finding.facts)


def in_short(finding: Finding) -> str:
    """Return which limit is passed and by how much: `over the fluid ceiling by 34 ml`."""
    words = _SHORT.get(finding.code, "passes a limit")
    over = _over(finding)
    return f"{words} by {over}" if over else words


def _over(finding: Finding) -> str:
    for unit in ("ml", "mg", "g"):
        amount, limit = (finding.facts.get(f"{end}_{unit}") for end in ("amount", "limit"))
        if isinstance(amount, float | int) and isinstance(limit, float | int):
            return f"{math.ceil(amount - limit - 1e-6)} {unit}"
    return ""
