"""A change carried through: the case after it, and the plan made again near the one before."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.case.change import Change, apply
from provand.case.door import Beside, case_of
from provand.case.health import Health
from provand.case.intake import Intake
from provand.case.typed import Document, plain
from provand.finding import BadInput, Finding, Level, NoPlanFits, OnHold, ProvandError
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.plan.protocols import protocols_of
from provand.plan.review import clear
from provand.safety.screening import screen

BY_HAND = ("pin", "unpin", "move", "swap")
"""Changes that lay the schedule by hand: one that breaks a limit is refused, with the reason."""


class Next(NamedTuple):
    """A case after a change: its document, the change in words, the cleared plans before and after.

    Without a plan `error` says why there is none: it is on hold, or nothing fits. The change holds even so.
    """

    typed: Document
    sentence: str
    case: Case
    before: Plan | None
    after: Plan | None
    error: ProvandError | None


class _Drawn(NamedTuple):
    """The schedule of a case; its plan where that is cleared, else what stands in the way."""

    schedule: tuple[Intake, ...]
    plan: Plan | None
    error: ProvandError | None


def next_of(change: Change, typed: Document, health: Health | None, *, beside: Beside, as_of: date) -> Next:
    """Return the case after a change, with both plans; nothing is written.

    BadInput where the change cannot be, where the door refuses what comes of it, where no plan can be
    computed of it, and where a schedule laid by hand breaks a limit.
    """
    case = case_of(plain(typed), beside=beside, as_of=as_of)
    before = _drawn(case, health, beside, as_of)
    if change.kind in BY_HAND and before.plan is None and isinstance(before.error, OnHold):
        _refuse_unseen(before.error)
    changed = apply(change, typed, case, anchor=before.schedule or case.wishes.anchor)
    case = case_of(plain(changed.typed), beside=beside, as_of=as_of)
    after = _drawn(case, health, beside, as_of)
    if isinstance(after.error, BadInput):
        raise after.error
    if change.kind in BY_HAND:
        _refuse_broken(before.error, after.error)
    return Next(changed.typed, changed.sentence, case, before.plan, after.plan, after.error)


def _drawn(case: Case, health: Health | None, beside: Beside, as_of: date) -> _Drawn:
    """Return the schedule of a case and its cleared plan, or the error in its place."""
    screening, reasons = screen(case, health, as_of=as_of)
    schedule: tuple[Intake, ...] = ()
    try:
        protocols = protocols_of(case, beside, as_of=as_of)
        plan = draw_up(case, screening, protocols=protocols, as_of=as_of)
        schedule = plan.race.intakes
        if not screening.may_issue:
            raise OnHold(*reasons)
        return _Drawn(schedule, clear(plan, case, screening).plan, None)
    except (BadInput, OnHold, NoPlanFits) as error:
        return _Drawn(schedule, None, error)


def _breaches(error: ProvandError | None) -> list[Finding]:
    return [] if error is None else [one for one in error.findings if one.level is Level.BREACH]


def _refuse_unseen(error: OnHold) -> None:
    """Raise where nothing may be seen of the plan, so that nobody can lay its schedule by hand."""
    if len(_breaches(error)) < len(error.findings):
        raise error


def _refuse_broken(before: ProvandError | None, after: ProvandError | None) -> None:
    """Raise where a schedule laid by hand breaks limits, unless it broke as many before."""
    broken = _breaches(after)
    if len(broken) > len(_breaches(before)):
        raise BadInput(*broken)
