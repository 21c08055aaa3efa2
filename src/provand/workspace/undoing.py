"""How far back an undo goes: to the case before, and past nothing that others rely on."""

from __future__ import annotations

from pathlib import Path

from provand.finding import BadInput, Finding, find
from provand.workspace import access
from provand.workspace.models import CaseVersion
from provand.workspace.snapshots import digest_of_typed, origin
from provand.workspace.times import moment

KINDS = {
    "answers": "a health answer",
    "medicines": "an answer about a medicine",
    "replies": "a clinician's reply",
    "releases": "a release",
    "assents": "a consent",
}
OTHER = "a health entry"


def version_to_undo(path: Path, typed: str) -> CaseVersion:
    """Return the version that stands in a file, as it was first made; its `after` is what an undo puts back.

    BadInput where nothing is kept to go back to, where a hand wrote the file since, or where an issue, a
    health answer, a reply, a release or an incident came since.
    """
    standing = access.case_versions().filter(typed_digest=digest_of_typed(typed)).last()
    if standing is None:
        raise BadInput(find("ledger.edited_by_hand", path.name))
    version = origin(standing)
    if version.after is None:
        raise BadInput(find("ledger.first_case", path.name))
    since = passed(version)
    if since:
        raise BadInput(*since)
    return version


def passed(version: CaseVersion) -> list[Finding]:
    """Return what came since a version was made and is not passed."""
    races = [version.race] + ([version.after.race] if version.after else [])
    found = [
        find(
            "ledger.undo_issue",
            one.race.name,
            n=one.n,
            plan=one.plan.code,
            at=moment(one.audit.at),
            by=one.audit.by,
        )
        for one in access.issues_since(version.audit_id, races)
    ]
    noted = {
        (KINDS.get(one.kind, OTHER), one.audit.at, one.audit.by): None
        for one in access.health_since(version.audit_id, races)
    }
    noted |= {
        ("an incident", one.audit.at, one.audit.by): None
        for one in access.incidents_since(version.audit_id, races)
    }
    about = version.race.athlete.name
    return found + [
        find("ledger.undo_health", about, what=what, at=moment(at), by=by) for what, at, by in noted
    ]
