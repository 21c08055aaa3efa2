"""The one place of reading: the whole ledger at the terminal; on a page what a person may see (`Seen`)."""

from __future__ import annotations

import unicodedata
from collections.abc import Collection
from datetime import date
from functools import cached_property
from typing import Any
from uuid import UUID

from django.db.models import Exists, Max, OuterRef, Q, QuerySet, Subquery

from provand.case.case import Case
from provand.workspace.models import (
    Approval,
    Athlete,
    Audit,
    CaseVersion,
    Desk,
    Handout,
    HealthEntry,
    Holder,
    Issue,
    Job,
    JobEnd,
    JobPiece,
    Label,
    Note,
    PlanText,
    Practice,
    Race,
    Share,
    User,
    Withdrawal,
)


def key_of(name: str) -> str:
    """Return a name as it is looked for: case, spaces and forms of letters do not count."""
    return unicodedata.normalize("NFKC", " ".join(name.split())).casefold()


def is_kept(act: str) -> bool:
    """True when the act of that key stands in the ledger."""
    return Audit.objects.filter(key=act).exists()


def athletes() -> QuerySet[Athlete]:
    return Athlete.objects.all()


def athlete(name: str, born: date | None) -> Athlete | None:
    """Return the athlete of that name and birth date, or None."""
    return athletes().filter(name_key=key_of(name), born=born).first()


def races() -> QuerySet[Race]:
    return Race.objects.select_related("athlete")


def race_of(case: Case) -> Race | None:
    """Return the race of a case, or None: one of its athlete, name and year."""
    person = case.athlete
    return (
        races()
        .filter(
            athlete__name_key=key_of(person.name),
            athlete__born=person.born,
            name_key=key_of(case.race.name),
            year=case.race.gun.year,
        )
        .first()
    )


def case_versions() -> QuerySet[CaseVersion]:
    """Return every version of every case, in the order in which they were kept."""
    return CaseVersion.objects.select_related("audit", "after", "restores", "race__athlete").order_by("id")


def set_by_hand(race: Race) -> QuerySet[CaseVersion]:
    """Return every version in which a target of a race was set by hand or given back, taken back or not."""
    said = Q(sentence__contains=" is set by hand to ") | Q(sentence__contains=" is not set by hand any more")
    return case_versions().filter(said, race=race, restores=None)


def issues_since(act: int, races: Collection[Race]) -> QuerySet[Issue]:
    """Return the issues of races that an act kept, or a later one."""
    return issues().filter(race__in=races, audit_id__gte=act).order_by("id")


def health_since(act: int, races: Collection[Race]) -> QuerySet[HealthEntry]:
    """Return what was noted of the health of races' athletes after an act, letters left out."""
    noted = HealthEntry.objects.select_related("audit").filter(athlete__races__in=races, audit_id__gte=act)
    return noted.exclude(kind="letters").distinct().order_by("id")


def incidents_since(act: int, races: Collection[Race]) -> QuerySet[Note]:
    """Return the incidents noted of races' athletes since an act."""
    noted = Note.objects.select_related("audit").filter(athlete__races__in=races, audit_id__gte=act)
    return noted.filter(kind="incident").distinct().order_by("id")


def health_of(athlete: Athlete) -> QuerySet[HealthEntry]:
    """Return the health entries of one athlete, in the order in which they were kept."""
    return HealthEntry.objects.filter(athlete=athlete).order_by("id")


def plan_texts() -> QuerySet[PlanText]:
    return PlanText.objects.all()


def issues() -> QuerySet[Issue]:
    return Issue.objects.select_related(
        "audit", "plan", "case", "race__athlete", "withdrawal__audit", "superseded_by__plan"
    )


def last_issue(race: Race) -> Issue | None:
    """Return the issue that no other supersedes, withdrawn or not."""
    return issues().filter(race=race, superseded_by=None).first()


def current_issues(athlete: Athlete) -> QuerySet[Issue]:
    """Return the issues of an athlete that count: neither superseded nor withdrawn."""
    return issues().filter(race__athlete=athlete, superseded_by=None, withdrawal=None)


def handouts() -> QuerySet[Handout]:
    return Handout.objects.all()


def holders() -> QuerySet[Holder]:
    return Holder.objects.select_related("audit", "race__athlete", "issue__plan").prefetch_related("pieces")


def has_people() -> bool:
    """True when somebody can sign in."""
    return people_here().exists()


def people_here() -> QuerySet[User]:
    """Return everybody who may sign in, by name."""
    return User.objects.filter(is_active=True).order_by("name")


def practice() -> Practice | None:
    """Return what the practice is called now, or None before the first start."""
    return Practice.objects.order_by("id").last()


def approval(tag: str) -> Approval | None:
    """Return the last word on a language, or None where there is none."""
    return Approval.objects.select_related("audit").filter(tag=tag).order_by("id").last()


def notes_of(athlete: Athlete) -> QuerySet[Note]:
    """Return the notes about one athlete."""
    return Note.objects.select_related("audit", "race", "corrects", "answers").filter(athlete=athlete)


def desks(keys: Collection[UUID]) -> QuerySet[Desk]:
    """Return race files by their keys; who may see them was asked before (`Seen`)."""
    return Desk.objects.select_related("athlete", "race", "standing").filter(pk__in=keys)


MARKS = ("last_health", "last_issue", "last_withdrawal", "last_note")
"""The last row of each kind that a line of the day rests on."""


def with_marks(desks: QuerySet[Desk]) -> QuerySet[Desk]:
    """Return race files with those last rows, in one question."""
    rows: dict[str, Any] = {
        "last_health": HealthEntry.objects.filter(athlete=OuterRef("athlete")),
        "last_issue": Issue.objects.filter(race=OuterRef("race")),
        "last_withdrawal": Withdrawal.objects.filter(issue__race=OuterRef("race")),
        "last_note": Note.objects.filter(athlete=OuterRef("athlete"), kind__in=("incident", "answer")),
    }
    return desks.annotate(
        **{name: Subquery(found.order_by("-id").values("id")[:1]) for name, found in rows.items()}
    )


def jobs_of(desk: Desk) -> QuerySet[Job]:
    """Return the jobs that have a race file among their pieces, in the order in which they were begun."""
    return Job.objects.select_related("owner").filter(pieces__desk=desk).order_by("id")


def job_ends(job: Job) -> QuerySet[JobEnd]:
    """Return what came of each try at a piece of a job, in the order in which it came."""
    return JobEnd.objects.select_related("audit", "issue__plan").filter(piece__job=job).order_by("id")


class Seen:
    """What one person may see: the athletes that are theirs or shared with them, and all that hangs on them.

    An assistant sees those shared with them, and no health entry. Every page reads through this class alone.
    """

    def __init__(self, user: User) -> None:
        self.user = user

    def athletes(self) -> QuerySet[Athlete]:
        return self._in("own", "shared")

    def desks_between(self, first: date, last: date) -> list[Any]:
        """Return the race files seen whose races lie between two days, in order, with their marks alone."""
        found = with_marks(Desk.objects.filter(race_day__range=(first, last), put_away=False))
        names = ("pk", "athlete_id", "owner_id", "revision", "standing_id", "line_key", "line_calls", *MARKS)
        rows = found.order_by("race_day", "title").values_list(*names, named=True)
        seen = set(self._keys)
        return [
            one
            for one in rows
            if one.athlete_id in seen or (one.athlete_id is None and one.owner_id == self.user.pk)
        ]

    @cached_property
    def _keys(self) -> list[int]:
        """The keys of the athletes seen, asked once: long lists are then found by their indexes."""
        return list(self.athletes().values_list("pk", flat=True))

    def _in(self, *kinds: str) -> QuerySet[Athlete]:
        last = Share.objects.filter(user=self.user).values("athlete").annotate(last=Max("id")).values("last")
        found = Q(pk__in=Share.objects.filter(pk__in=last, kind__in=kinds).values("athlete"))
        if "own" in kinds and self.user.is_practitioner:
            # kept at the terminal, where nobody signs in
            found |= Q(~Exists(Share.objects.filter(athlete=OuterRef("pk"))))
        return athletes().filter(found)

    def owns(self, athlete: Athlete) -> bool:
        """True when the athlete is this person's own."""
        return self._in("own").filter(pk=athlete.pk).exists()

    def sharers(self, athlete: Athlete) -> list[tuple[User, bool]]:
        """Return who works here beside this person, each with whether they may see the athlete."""
        last = Share.objects.filter(athlete=athlete).values("user").annotate(last=Max("id")).values("last")
        seeing = set(
            Share.objects.filter(pk__in=last, kind__in=("own", "shared")).values_list("user", flat=True)
        )
        return [(one, one.pk in seeing) for one in people_here().exclude(pk=self.user.pk)]

    def races(self) -> QuerySet[Race]:
        return races().filter(athlete__in=self.athletes())

    def desks(self) -> QuerySet[Desk]:
        """Return the race files being typed: their own that are nobody's yet, and those of athletes seen."""
        mine = Q(athlete=None, owner=self.user) | Q(athlete__in=self._keys)
        return Desk.objects.select_related("owner", "athlete", "race", "standing").filter(mine)

    def issues(self) -> QuerySet[Issue]:
        return issues().filter(race__athlete__in=self._keys)

    def notes(self) -> QuerySet[Note]:
        return Note.objects.select_related("audit", "race").filter(athlete__in=self.athletes())

    def jobs(self) -> QuerySet[Job]:
        """Return the jobs that this person began; and those on race files all of which they see."""
        others = JobPiece.objects.filter(job=OuterRef("pk")).exclude(desk__in=self.desks())
        found = Job.objects.select_related("owner", "audit")
        return found.filter(Q(owner=self.user) | Q(~Exists(others)))

    def health(self, athlete: Athlete) -> QuerySet[HealthEntry]:
        """Return the health entries of an athlete; none for an assistant."""
        may = self.user.is_practitioner and self.athletes().filter(pk=athlete.pk).exists()
        return health_of(athlete) if may else HealthEntry.objects.none()

    def labels(self) -> QuerySet[Label]:
        """Return the items of the practice's own shelf, as they were last typed."""
        newest = Label.objects.filter(item=OuterRef("item")).order_by("-id").values("pk")[:1]
        return Label.objects.filter(pk=Subquery(newest), ended=False).order_by("item")
