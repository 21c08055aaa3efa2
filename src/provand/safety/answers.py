"""What the answers to one question come to: the latest counts, a grave one is not taken back, asking mends.

An entry is sound when it has a name and a day, the name is the athlete's, and the day is not ahead. An entry
that is not sound holds until a sound one to the same question stands after it in the file: nothing is ever
rewritten. Until then, and where it said the graver thing, it still counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Literal, NamedTuple

from provand.case.health import Answer, Reply
from provand.case.records import same_name
from provand.finding import Finding, find
from provand.protocol.rules import value

KEPT_DAYS = 7
"""A "yes" of these last days is not taken back by a later "no", whatever the question."""
FOR_GOOD = 1_000_000
"""Days without end."""


class Said(NamedTuple):
    """What a question's answers come to.

    `reply` is None where nothing counts. `since` is the day on which that reply was first given, in the last
    unbroken run of it. `asked_on` is the day of the latest sound answer; `faults` are holds, which asking
    mends.
    """

    reply: Reply | None
    since: date
    asked_on: date | None
    faults: tuple[Finding, ...]


class _Dated(NamedTuple):
    reply: Reply
    day: date


def once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings in order, each once."""
    kept: list[Finding] = []
    for finding in findings:
        if finding not in kept:
            kept.append(finding)
    return tuple(kept)


def most_days() -> int:
    """Return for how many days an answer counts."""
    return 7 * round(value("answers.age").low)


def unsound(by: str, on: date | None, about: str, *, athlete: str, as_of: date) -> Finding | None:
    """Return why an entry is not sound, or None."""
    if not by.strip() or on is None:
        return find("screening.unsigned", about)
    if not same_name(by, athlete):
        return find("screening.by_another", by)
    if on > as_of:
        return find("screening.dated_ahead", about, on=on.isoformat())
    return None


def too_old(on: date, about: str, as_of: date) -> tuple[Finding, ...]:
    """Return the hold for an answer that no longer counts, or nothing."""
    days = (as_of - on).days
    if days <= most_days():
        return ()
    return (find("screening.stale", about, on=on.isoformat(), days=days, most_days=most_days()),)


def said(
    question: str,
    answers: Sequence[Answer],
    *,
    athlete: str,
    as_of: date,
    kept_days: int,
    graver: Literal["yes", "no"] = "yes",
    new_fact: bool = False,
) -> Said:
    """Return what the answers to a question come to.

    The latest counts, but a `graver` one of the last `kept_days` is not taken back by a later one. With
    `new_fact`, `since` is the day of the latest such reply instead of the first.
    """
    given = [answer for answer in answers if answer.question == question]
    if not given:
        return Said(None, as_of, None, (find("screening.unanswered", question),))
    faults = [unsound(one.by, one.on, question, athlete=athlete, as_of=as_of) for one in given]
    sound = [at for at, fault in enumerate(faults) if fault is None]
    open_faults = [fault for fault in faults[sound[-1] + 1 if sound else 0 :] if fault is not None]
    dated = [_Dated(one.reply, _day(at, given, sound, as_of)) for at, one in enumerate(given)]
    if open_faults:
        grave = any(one.reply == graver for one in given)
        since = _since(dated, graver, new_fact=new_fact) if grave else as_of
        return Said(graver if grave else None, since, None, once(open_faults))
    latest = max(dated[at].day for at in sound)
    old = too_old(latest, question, as_of)
    replies = {dated[at].reply for at in sound if dated[at].day == latest}
    replies |= {graver for one in dated if one.reply == graver and (as_of - one.day).days <= kept_days}
    reply: Reply = "prefer not to say" if "prefer not to say" in replies else next(iter(replies))
    reply = graver if graver in replies else reply
    counts = reply == graver or not old
    return Said(reply if counts else None, _since(dated, reply, new_fact=new_fact), latest, old)


def _day(at: int, given: Sequence[Answer], sound: Sequence[int], as_of: date) -> date:
    """Return the day an entry counts for: its own, or where that cannot be, of the sound one after it."""
    on = given[at].on
    if on is not None and on <= as_of:
        return on
    return next((day for later in sound if later > at and (day := given[later].on)), as_of)


def _since(dated: Sequence[_Dated], reply: Reply, *, new_fact: bool) -> date:
    """Return when a reply was first given in its last unbroken run; or, for a new fact, given last."""
    days = [one.day for one in dated if one.reply == reply]
    if new_fact:
        return max(days)
    since, before = max(days), ""
    for one in sorted(dated, key=lambda one: one.day):
        if one.reply == reply and before != reply:
            since = one.day
        before = one.reply
    return since
