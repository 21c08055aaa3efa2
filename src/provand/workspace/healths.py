"""Health entries put together again, as screening reads them."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from provand.case.health import Health
from provand.case.upgrade import upgrade
from provand.workspace import access
from provand.workspace.models import Athlete, HealthEntry
from provand.workspace.noted import entries

FORMAT = "provand.health"


def all_kept(athlete: Athlete, health: Health) -> Health:
    """Return a health file with every entry that was ever kept of its athlete, from whichever file."""
    bare = health.model_dump(mode="json") | {kind: [] for kind, _ in entries(health)}
    return Health.model_validate_json(json.dumps(bare | _lists(access.health_of(athlete))))


def health_of(athlete: Athlete | None) -> Health | None:
    """Return the health entries of an athlete put together again; None where nothing was ever noted.

    For screening, which hands no answer on: what a person may see of the entries, `access.Seen` says.
    """
    rows = list(access.health_of(athlete).values_list("kind", "format", "text")) if athlete else []
    if athlete is None or not rows:
        return None
    return _together(athlete.name, athlete.born.isoformat() if athlete.born else None, tuple(rows))


@lru_cache(maxsize=16)
def _together(name: str, born: str | None, rows: tuple[tuple[str, str, str], ...]) -> Health:
    """Return a health file of entries as they were kept: kind, format and text of each."""
    kept = (HealthEntry(kind=kind, format=one, text=text) for kind, one, text in rows)
    return Health.model_validate_json(json.dumps({"athlete": name, "born": born} | _lists(kept)))


def _lists(rows: Iterable[HealthEntry]) -> dict[str, list[Any]]:
    """Return the entries of rows by the list they stand in, brought up to date as they are read."""
    lists: dict[str, list[Any]] = defaultdict(list)
    for row in rows:
        told = upgrade({"format": row.format, row.kind: [json.loads(row.text)]}, FORMAT, "the ledger")
        for kind, found in told.items():
            if isinstance(found, list):
                lists[kind] += found
    return lists
