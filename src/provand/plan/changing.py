"""A change carried through: the case after it, and the plan made again near the one before."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import NamedTuple, TypeAlias

from provand.case.case import Case
from provand.case.change import Change, apply
from provand.case.door import Beside, case_of
from provand.case.typed import Document, plain
from provand.finding import BadInput, Finding, OnHold, ProvandError
from provand.plan.document import Plan
from provand.plan.look import Looked, look
from provand.plan.protocols import protocols_of
from provand.safety.screening import Screening

Screened: TypeAlias = Callable[[Case], tuple[Screening, tuple[Finding, ...]]]
"""From a case to what screening allows of it, and the reasons; the answers stay with whoever gives it."""

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


class Changed(NamedTuple):
    """A case after a change: its document, the change in words, the case that the door reads of it."""

    typed: Document
    sentence: str
    case: Case


def changed(
    change: Change, typed: Document, case: Case, looked: Looked, *, beside: Beside, as_of: date
) -> Changed:
    """Return a case after a change, nothing drawn up; `looked` is what stands of `case`, read of `typed`.

    BadInput where the change cannot be, and where the door refuses what comes of it. OnHold where nothing
    may be seen of the plan and the change lays its schedule by hand. A schedule laid so that it breaks a
    limit is for `look` to tell, and never cleared.
    """
    if change.kind in BY_HAND and looked.plan is None and isinstance(looked.error, OnHold):
        raise looked.error
    made = apply(change, typed, case, anchor=looked.schedule or case.wishes.anchor)
    return Changed(made.typed, made.sentence, case_of(plain(made.typed), beside=beside, as_of=as_of))


def next_of(change: Change, typed: Document, screened: Screened, *, beside: Beside, as_of: date) -> Next:
    """Return the case after a change, with both plans; nothing is written.

    BadInput where the change cannot be, where the door refuses what comes of it, where no plan can be
    computed of it, and where a schedule laid by hand breaks a limit.
    """
    case = case_of(plain(typed), beside=beside, as_of=as_of)
    before = _looked(case, screened, beside, as_of)
    made = changed(change, typed, case, before, beside=beside, as_of=as_of)
    after = _looked(made.case, screened, beside, as_of)
    if isinstance(after.error, BadInput):
        raise after.error
    if change.kind in BY_HAND:
        _refuse_broken(before, after)
    was, now = (looked.cleared.plan if looked.cleared else None for looked in (before, after))
    return Next(made.typed, made.sentence, made.case, was, now, after.error)


def _looked(case: Case, screened: Screened, beside: Beside, as_of: date) -> Looked:
    """Return what stands of a case; on hold with the reasons, which are for the practitioner alone."""
    screening, reasons = screened(case)
    try:
        protocols = protocols_of(case, beside, as_of=as_of)
    except BadInput as error:
        return Looked(error=error)
    looked = look(case, screening, protocols=protocols, as_of=as_of)
    held = not screening.may_issue and isinstance(looked.error, OnHold)
    return looked._replace(error=OnHold(*reasons)) if held else looked


def _refuse_broken(before: Looked, after: Looked) -> None:
    """Raise where a schedule laid by hand breaks limits, unless it broke as many before."""
    if len(after.breaches) > len(before.breaches):
        raise BadInput(*after.breaches)
