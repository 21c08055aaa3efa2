"""Health entries as the ledger keeps them: apart from everything else, each once, none ever rewritten."""

from __future__ import annotations

import json

from provand.case.case import Case
from provand.case.health import Health
from provand.case.upgrade import upgrade
from provand.record import Record, canonical
from provand.workspace import access
from provand.workspace.models import Athlete, Audit, CaseVersion, HealthEntry
from provand.workspace.snapshots import digest

CASE = "provand.case"


def entries(health: Health) -> list[tuple[str, Record]]:
    """Return every entry of a health file with the list it stands in."""
    return [
        (kind, entry)
        for kind in Health.model_fields
        if isinstance(getattr(health, kind), tuple)
        for entry in getattr(health, kind)
    ]


def _digest_of(kind: str, entry: Record) -> str:
    """Return the same for an entry read by any program: what was not said does not count."""
    return digest(f"{kind}\n".encode() + canonical(entry.model_dump(mode="json", exclude_defaults=True)))


def digests(health: Health) -> set[str]:
    """Return what tells each entry of a health file from every other."""
    return {_digest_of(kind, entry) for kind, entry in entries(health)}


def keep_entries(audit: Audit, athlete: Athlete, health: Health) -> int:
    """Keep the entries of a health file that are not kept yet, and return how many there were."""
    known = set(access.health_of(athlete).values_list("digest", flat=True))
    new = 0
    for kind, entry in entries(health):
        mark = _digest_of(kind, entry)
        if mark in known:
            continue
        known.add(mark)
        new += 1
        HealthEntry.objects.create(
            audit=audit,
            athlete=athlete,
            kind=kind,
            format=health.format,
            text=canonical(entry).decode("utf-8"),
            digest=mark,
            by=getattr(entry, "by", ""),
            on=getattr(entry, "on", None),
        )
    return new


def case_of(version: CaseVersion) -> Case:
    """Return the case of a version, brought up to date as it is read; the kept text stays."""
    return Case.model_validate_json(canonical(upgrade(json.loads(version.text), CASE, "the ledger")))
