"""Versions of a case: which stands before which, and how far back an undo may go."""

from __future__ import annotations

import hashlib

from provand.case.case import Case
from provand.workspace import access
from provand.workspace.models import Athlete, Audit, CaseVersion, Race
from provand.workspace.records import Snapshot

FOUND = "The case as found in its file."


def athlete_of(audit: Audit, case: Case) -> Athlete:
    """Return the row of a case's athlete, made where it is not there."""
    person = case.athlete
    known = access.athlete(person.name, person.born)
    return known or Athlete.objects.create(
        audit=audit, name=person.name, name_key=access.key_of(person.name), born=person.born
    )


def race_of(audit: Audit, case: Case) -> Race:
    """Return the row of a case's race, made where it is not there."""
    known = access.race_of(case)
    return known or Race.objects.create(
        audit=audit,
        athlete=athlete_of(audit, case),
        name=case.race.name,
        name_key=access.key_of(case.race.name),
        year=case.race.gun.year,
    )


def digest(data: bytes) -> str:
    """Return the SHA-256 of bytes, as hexadecimal text."""
    return hashlib.sha256(data).hexdigest()


def digest_of_typed(typed: str) -> str:
    """Return what tells a text as typed from others; the kind of its line ends does not count."""
    return digest(typed.replace("\r\n", "\n").encode("utf-8"))


def found(snapshot: Snapshot) -> CaseVersion | None:
    """Return the last kept version that is this case as typed, or None."""
    same = access.case_versions().filter(
        typed_digest=digest_of_typed(snapshot.typed), code=snapshot.case.code
    )
    race = access.race_of(snapshot.case)
    return same.filter(race=race).last() if race else None


def kept(
    audit: Audit,
    snapshot: Snapshot,
    *,
    sentence: str,
    after: CaseVersion | None = None,
) -> CaseVersion:
    """Keep a case as a new version of its race."""
    race, case = race_of(audit, snapshot.case), snapshot.case
    return CaseVersion.objects.create(
        audit=audit,
        race=race,
        n=_next_n(race),
        format=case.format,
        text=case.as_bytes.decode("utf-8"),
        typed=snapshot.typed,
        typed_digest=digest_of_typed(snapshot.typed),
        code=case.code,
        race_day=case.race.gun.date(),
        sentence=sentence,
        after=after,
    )


def _next_n(race: Race) -> int:
    return access.case_versions().filter(race=race).count() + 1


def put_back(audit: Audit, former: CaseVersion) -> CaseVersion:
    """Keep that a version stands again, to the letter."""
    return CaseVersion.objects.create(
        audit=audit,
        race=former.race,
        n=_next_n(former.race),
        format=former.format,
        text=former.text,
        typed=former.typed,
        typed_digest=former.typed_digest,
        code=former.code,
        race_day=former.race_day,
        sentence=former.sentence,
        restores=origin(former),
    )


def standing(audit: Audit, snapshot: Snapshot) -> CaseVersion:
    """Return the version of a case as it stands in its file, kept now where a hand wrote it meanwhile."""
    known = found(snapshot)
    if known is not None:
        return known
    race = access.race_of(snapshot.case)
    last = access.case_versions().filter(race=race).last() if race else None
    return kept(audit, snapshot, sentence=FOUND, after=origin(last) if last else None)


def origin(version: CaseVersion) -> CaseVersion:
    """Return the version that was first of its text: an undo's copy leads to what it put back."""
    return version.restores or version
