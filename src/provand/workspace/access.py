"""The one place of reading: whoever asks, asks here. Today one person owns a ledger and sees all of it."""

from __future__ import annotations

import unicodedata
from datetime import date

from django.db.models import QuerySet

from provand.case.case import Case
from provand.workspace.models import (
    Athlete,
    Audit,
    CaseVersion,
    Handout,
    HealthEntry,
    Holder,
    Issue,
    PlanText,
    Race,
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


def handouts() -> QuerySet[Handout]:
    return Handout.objects.all()


def holders() -> QuerySet[Holder]:
    return Holder.objects.select_related("audit", "race__athlete", "issue__plan").prefetch_related("pieces")


def withdrawals() -> QuerySet[Withdrawal]:
    return Withdrawal.objects.select_related("audit")
