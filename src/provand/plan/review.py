"""The last look before anything is handed out: a plan's schedule against ceilings worked out afresh."""

from __future__ import annotations

from provand.case.case import Case
from provand.finding import BadInput, Finding, OnHold, find
from provand.plan.body_work import limits_of, work_out
from provand.plan.document import Cleared, Plan, cleared_after
from provand.safety.foods import menu_faults
from provand.safety.gate import gate
from provand.safety.limits import Permission
from provand.safety.screening import Screening


def review(plan: Plan, case: Case, screening: Screening) -> tuple[Finding, ...]:
    """Return every limit that the plan's schedule and menu pass; they are worked out anew from the case."""
    work = work_out(case, screening)
    drinking = plan.race.drinking
    station = next((s for s in case.course.stations if s.name == drinking.first_station), None)
    permission = Permission(drinking.amount, station.at_m if station else 0.0)
    race = gate(
        plan.race.intakes,
        case=case,
        items={item.id: item for item in case.items},
        pace=work.pace,
        limits=limits_of(case, work, screening),
        permission=permission,
    )
    return (*race, *menu_faults(case, screening.withheld))


def clear(plan: Plan, case: Case, screening: Screening) -> Cleared:
    """Return the plan as cleared for handing out.

    Raises OnHold when screening holds, when the plan carries a hold or a breach, or when its schedule passes
    a limit; BadInput when the plan was not made from this case.
    """
    if plan.case_code != case.code:
        raise BadInput(find("plan.not_this_case", case.athlete.name))
    if not screening.may_issue:
        raise OnHold(*screening.findings)
    return cleared_after(plan, review(plan, case, screening))
