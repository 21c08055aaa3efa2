"""The medicines of a health file, entry after entry of each: what is taken, since when, what has changed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from provand.case.health import Medicine
from provand.finding import Finding, find
from provand.protocol.rules import value
from provand.safety.answers import once, too_old, unsound
from provand.safety.medicines import Match, match, words_of


class Listed(NamedTuple):
    """One medicine as its latest sound entry has it.

    `new_on` is the day of the newest fact about it: first listed, taken again, started or changed.
    """

    name: str
    match: Match
    since: date | None
    stopped: date | None
    new_on: date
    faults: tuple[Finding, ...]

    @property
    def is_taken(self) -> bool:
        """True while it is not known to be stopped."""
        return self.stopped is None

    def still_counts(self, as_of: date) -> bool:
        """True while it is taken, and for a time after it was stopped."""
        return self.stopped is None or (as_of - self.stopped).days < value("medicine.gone").low

    @property
    def raises(self) -> frozenset[str]:
        """The ids of the flags that it raises."""
        return frozenset(flag_id for group in self.match.classes for flag_id in group.flags)


def listed(medicines: Sequence[Medicine], *, athlete: str, as_of: date) -> tuple[Listed, ...]:
    """Return each medicine once, by the words of its name."""
    names: dict[tuple[str, ...], list[Medicine]] = {}
    for medicine in medicines:
        key = tuple(words_of(medicine.name)) or (medicine.name,)
        names.setdefault(key, []).append(medicine)
    return tuple(_one(entries, athlete, as_of) for entries in names.values())


def _one(entries: Sequence[Medicine], athlete: str, as_of: date) -> Listed:
    faults = [unsound(one.by, one.on, one.name, athlete=athlete, as_of=as_of) for one in entries]
    sound = [at for at, fault in enumerate(faults) if fault is None]
    now = entries[max(sound, key=lambda at: (entries[at].on or date.min, at))] if sound else entries[-1]
    kept = [fault for fault in faults[sound[-1] + 1 if sound else 0 :] if fault is not None]
    stopped = now.stopped
    if stopped is not None and (stopped > as_of or kept):
        ahead = stopped > as_of
        kept += [find("screening.dated_ahead", now.name, on=stopped.isoformat())] if ahead else []
        stopped = None
    if stopped is None and now.on is not None and not kept:
        kept += too_old(now.on, now.name, as_of)
    return Listed(
        name=now.name,
        match=match(now.name),
        since=now.since,
        stopped=stopped,
        new_on=_new_on(entries, now, as_of),
        faults=once(kept),
    )


def _new_on(entries: Sequence[Medicine], now: Medicine, as_of: date) -> date:
    run: list[Medicine] = []
    for one in entries:
        run = [one] if run and run[-1].stopped else [*run, one]
    first = min((one.on for one in run if one.on), default=as_of)
    return max(first, now.since or first)
