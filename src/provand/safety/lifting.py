"""What lifts a hold: a clinician's dated reply, a release by a named hand, consent. Each is judged afresh.

A reply or a release counts only for what it names, not before the newest fact about it, and for a time. What
a clinician did not clear stays held until a later reply. Limits outlive the hold that they came with.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import NamedTuple, TypeVar

from provand.case.health import Assent, ClinicianReply, HandRelease, Health, Letter, Part, Says
from provand.case.records import same_name
from provand.finding import Finding, find
from provand.protocol.rules import value
from provand.safety.answers import most_days, once
from provand.safety.flags import LiftedBy
from provand.safety.medicines import words_of

Record = TypeVar("Record", Letter, ClinicianReply, HandRelease)
GRAVITY: tuple[Says, ...] = ("cleared", "cleared with limits", "none", "not cleared")
CLEARS = ("cleared", "cleared with limits")
RACE_WEEK_DAYS = 7


class Hold(NamedTuple):
    """One thing that holds: what a reply or release may call it, since when, and what can lift it."""

    about: tuple[str, ...]
    title: str
    reason: Finding
    since: date
    lifted_by: frozenset[LiftedBy]
    never_by_hand: str = ""
    not_by_hand_in_race_week: bool = False
    needs_letter: bool = False


class Judged(NamedTuple):
    """Whether a hold is lifted, and what the practitioner is told of the replies and releases about it."""

    is_lifted: bool
    told: tuple[Finding, ...]


def key_of(about: str) -> tuple[str, ...]:
    """Return a name as it is compared: without case, accents and doses."""
    return tuple(words_of(about)) or (about.casefold(),)


class Lifting:
    """The letters, replies, releases and consents of one athlete, judged on one day before one race."""

    def __init__(self, health: Health, *, as_of: date, race_day: date) -> None:
        self.health = health
        self.as_of = as_of
        self.days_left = (race_day - as_of).days
        self.counts_days = timedelta(days=7 * round(value("reply.age").low))

    def judge(self, hold: Hold) -> Judged:
        """Return whether anything lifts a hold on this day."""
        if "assent" in hold.lifted_by:
            return self._by_assent(hold)
        reply = self._latest_reply(hold.about)
        told: list[Finding] = []
        if reply is not None and reply.says in CLEARS:
            why = self._void(reply, hold)
            facts = {"title": hold.title, "by": reply.by, "on": reply.on.isoformat()}
            if not why:
                until = self._until(reply).isoformat()
                return Judged(True, (find("screening.cleared", hold.about[0], **facts, until=until),))
            told.append(find("screening.reply_void", hold.about[0], **facts, why=why))
        elif reply is not None and reply.says == "none":
            told.append(find("screening.no_reply", hold.about[0], title=hold.title, on=reply.on.isoformat()))
        for release in self._named(self.health.releases, hold.about):
            judged = self._by_hand(release, hold, reply)
            told += judged.told
            if judged.is_lifted:
                return Judged(True, judged.told)
        return Judged(False, once(told))

    def sent(self, about: Iterable[str]) -> tuple[Letter, ...]:
        """Return the letters about something that were sent by this day."""
        return tuple(self._named(self.health.letters, about))

    def not_cleared(self) -> Iterator[Finding]:
        """Yield a hold for each thing whose latest reply says that it is not cleared."""
        for about in dict.fromkeys(name for reply in self.health.replies for name in reply.about):
            latest = self._latest_reply((about,))
            if latest is not None and latest.says == "not cleared":
                yield find("screening.not_cleared", about, by=latest.by, on=latest.on.isoformat())

    def limits(self) -> Iterator[tuple[Part, Finding]]:
        """Yield the limits that stand, each until a later reply about the same thing clears it."""
        for reply in self.health.replies:
            for part in reply.limits:
                if not all(self._cleared_later(reply, about) for about in reply.about):
                    facts = {"by": reply.by, "on": reply.on.isoformat(), "part": part}
                    yield part, find("screening.limit", reply.about[0], **facts)

    def ahead(self) -> Iterator[Finding]:
        """Yield a warning for each record of a day to come: it counts for nothing yet."""
        for kind in ("letters", "replies", "releases", "assents", "scores", "sodium_tests", "portions"):
            for at, record in enumerate(getattr(self.health, kind), 1):
                if record.on > self.as_of:
                    yield find("screening.not_yet", f"{kind}[{at}]", on=record.on.isoformat())

    def _named(self, records: Iterable[Record], about: Iterable[str]) -> Iterator[Record]:
        """Yield the records of this day or before that name one of these, the newest first."""
        keys = {key_of(name) for name in about}
        for record in sorted(records, key=lambda one: one.on, reverse=True):
            names = (record.about,) if isinstance(record.about, str) else record.about
            if record.on <= self.as_of and keys & {key_of(name) for name in names}:
                yield record

    def _latest_reply(self, about: Iterable[str]) -> ClinicianReply | None:
        """Return the newest reply, the gravest of one day; "not cleared" counts though it is dated ahead."""
        keys = {key_of(name) for name in about}
        about_it = [
            reply
            for reply in self.health.replies
            if keys & {key_of(name) for name in reply.about}
            and (reply.on <= self.as_of or reply.says == "not cleared")
        ]
        return max(about_it, key=lambda one: (one.on, GRAVITY.index(one.says)), default=None)

    def _until(self, reply: ClinicianReply) -> date:
        return reply.until or reply.on + self.counts_days

    def _void(self, reply: ClinicianReply, hold: Hold) -> str:
        """Return why a reply that clears does not count for a hold, or nothing."""
        letters = [letter.on for letter in self.sent(hold.about)]
        if hold.needs_letter and not [on for on in letters if on <= reply.on]:
            return "no letter about it was sent by that day"
        if letters and reply.on < min(letters):
            return f"the letter about it was sent on {min(letters).isoformat()}"
        if reply.on < hold.since:
            return f"there is something new since, of {hold.since.isoformat()}"
        if self._until(reply) < self.as_of:
            return f"it counted until {self._until(reply).isoformat()}"
        return ""

    def _cleared_later(self, reply: ClinicianReply, about: str) -> bool:
        later = self._latest_reply((about,))
        return later is not None and later.says in CLEARS and later.on > reply.on

    def _by_hand(self, release: HandRelease, hold: Hold, reply: ClinicianReply | None) -> Judged:
        facts = {"title": hold.title, "by": release.by, "on": release.on.isoformat()}
        if release.role == "assistant":
            return Judged(False, (find("screening.assistant", hold.about[0], **facts),))
        why = self._stays(release, hold, reply)
        if why:
            return Judged(False, (find("screening.release_void", hold.about[0], **facts, why=why),))
        return Judged(True, (find("screening.released", hold.about[0], **facts, why=release.why),))

    def _stays(self, release: HandRelease, hold: Hold, reply: ClinicianReply | None) -> str:
        """Return why a practitioner's release does not lift a hold, or nothing."""
        until = release.on + self.counts_days
        asked = bool(self.sent(hold.about)) or reply is not None
        whys = {
            hold.never_by_hand: "hand" not in hold.lifted_by,
            "a clinician did not clear it": reply is not None and reply.says == "not cleared",
            "it is race week: do not start": (
                hold.not_by_hand_in_race_week and self.days_left <= RACE_WEEK_DAYS
            ),
            f"the race is in {self.days_left} days and no reply clears it: the safety page alone": (
                asked and self.days_left <= value("reply.none").low
            ),
            f"there is something new since, of {hold.since.isoformat()}": release.on < hold.since,
            f"it counted until {until.isoformat()}": until < self.as_of,
        }
        return next((why for why, is_so in whys.items() if is_so), "")

    def _by_assent(self, hold: Hold) -> Judged:
        """Return whether a guardian and the athlete have both consented, lately enough."""
        counted = [one for one in self.health.assents if self._sound(one)]
        missing = [who for who in ("guardian", "athlete") if who not in {one.who for one in counted}]
        told = [find("screening.consent_missing", hold.about[0], who=who) for who in missing]
        if missing:
            return Judged(False, tuple(told))
        facts = {one.who: one.by for one in counted}
        return Judged(True, (find("screening.consented", hold.about[0], guardian=facts["guardian"]),))

    def _sound(self, assent: Assent) -> bool:
        own = same_name(assent.by, self.health.athlete)
        days = (self.as_of - assent.on).days
        return own == (assent.who == "athlete") and 0 <= days <= most_days()
