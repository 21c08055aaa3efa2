"""A race file as it is typed: each entry kept at once, sound or not; read by the door; undo and redo.

A write carries the revision that it saw. Where somebody else has written since, it is refused with who and
when (`Stale`), and nothing of either is lost.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import NamedTuple

import tomlkit

from provand.case.case import FORMAT, Case
from provand.case.door import case_of
from provand.case.files import toml_in
from provand.case.typed import Step, document_of, edited, put, text_of
from provand.finding import BadInput, Finding, find
from provand.workspace import access, snapshots
from provand.workspace.access import Seen
from provand.workspace.ledger import Ledger
from provand.workspace.models import Athlete, Audit, CaseVersion, Desk, DeskFile, Share, User
from provand.workspace.records import Snapshot
from provand.workspace.trail import trail
from provand.workspace.undoing import passed

TYPED = "The race file as typed."


class Stale(BadInput):
    """Somebody else changed the race file since it was shown; `desk` is what stands now."""

    def __init__(self, desk: Desk, finding: Finding) -> None:
        self.desk = desk
        super().__init__(finding)


class Read(NamedTuple):
    """What the door makes of a race file: the case, or every fault."""

    case: Case | None
    faults: tuple[Finding, ...] = ()


def opened(ledger: Ledger, *, by: User, athlete: Athlete | None = None, typed: str = "") -> Desk:
    """Open a new race file: empty, with what is known of the athlete, or with a text that is given."""
    with ledger.writing():
        text = typed or _begun(by, athlete)
        audit = trail("race file opened", athlete.name if athlete else "a new athlete", by=by.name)
        return _saved(Desk(owner=by, athlete=athlete, typed=text, revision=0), audit, by)


def _begun(by: User, athlete: Athlete | None) -> str:
    """Return the text of a new race file: who makes the plan, and the athlete of the last one."""
    document = tomlkit.document()
    document["format"] = FORMAT
    practice = access.practice()
    document["practitioner"] = {"name": by.name, **(practice.head if practice else {"contact": ""})}
    last = _last_typed(athlete) if athlete else None
    for table in ("athlete", "items"):
        if last is not None and table in last:
            document[table] = last[table]
    return text_of(document)


def _last_typed(athlete: Athlete) -> tomlkit.TOMLDocument | None:
    version = access.case_versions().filter(race__athlete=athlete).last()
    desk = Desk.objects.filter(athlete=athlete).order_by("pk").last()
    text = version.typed if version else desk.typed if desk else None
    return tomlkit.parse(text) if text else None


def read(desk: Desk, *, as_of: date, past: bool = True) -> Read:
    """Return what the door makes of a race file; a race that is over can still be looked at."""
    try:
        data = toml_in(desk.typed.encode("utf-8"), desk.title or "race file")
        return Read(case_of(data, beside=lambda name: file_of(desk, name), as_of=as_of, past=past))
    except BadInput as error:
        return Read(None, error.findings)


def file_of(desk: Desk, name: str) -> bytes:
    """Return the bytes of the last file of that name; BadInput where there is none."""
    last = DeskFile.objects.filter(desk=desk, name=name).order_by("id").last()
    if last is None:
        raise BadInput(find("file.missing", name))
    return bytes(last.data)


def files_beside(desk: Desk) -> dict[str, bytes]:
    """Return the bytes of every file beside a race file by its name, the last of each."""
    return {one.name: bytes(one.data) for one in DeskFile.objects.filter(desk=desk).order_by("id")}


def typed_in(
    ledger: Ledger, *, desk: Desk, revision: int, steps: Sequence[Step], says: str, by: User
) -> Desk:
    """Keep edits of a race file as they are typed; BadInput where a place is not there, Stale as above."""
    with ledger.writing():
        standing = current(desk, revision)
        document = document_of(standing.typed, "race file")
        return _kept(standing, text_of(edited(document, steps)), says=says, by=by)


COMES = {"course.gpx": "the course comes", "menu.own_foods": "own foods come"}
"""What a file beside a race file brings, by the key that names it."""


def attached(
    ledger: Ledger, *, desk: Desk, revision: int, key: str, name: str, data: bytes, by: User
) -> Desk:
    """Keep a file beside the race file, and name it there under `key`, one of `COMES`."""
    with ledger.writing():
        standing = current(desk, revision)
        audit = trail("file kept", f"{standing.title}: {name}", by=by.name, after=f"{len(data)} bytes")
        DeskFile.objects.create(audit=audit, desk=standing, name=name, data=data)
        document = edited(document_of(standing.typed, "race file"), [put(key, name)])
        return _kept(standing, text_of(document), says=f"{COMES[key]} from {name}", by=by)


def settled(ledger: Ledger, *, desk: Desk, case: Case, sentence: str, by: User) -> CaseVersion:
    """Keep the race file as a version of its case, unless it stands so; BadInput for a stranger's athlete.

    The athlete and the race are made where they are not there yet; a new athlete is the owner's own.
    """
    with ledger.writing():
        standing = Desk.objects.select_related("standing").get(pk=desk.pk)
        snapshot = Snapshot(typed=standing.typed, case=case)
        before = standing.standing
        if before is not None and before.typed == standing.typed:
            return before
        known = access.athlete(case.athlete.name, case.athlete.born)
        if known is not None and not Seen(by).athletes().filter(pk=known.pk).exists():
            raise BadInput(find("workspace.known_athlete", case.athlete.name))
        if known is None and not by.is_practitioner:
            what = "only a practitioner takes on an athlete who is not here yet"
            raise BadInput(find("workspace.not_yours", case.athlete.name, what=what))
        audit = trail("case kept", f"{standing.title}: {sentence}", by=by.name)
        version = snapshots.kept(audit, snapshot, sentence=sentence, after=before)
        if known is None:
            Share.objects.create(audit=audit, athlete=version.race.athlete, user=by, kind="own")
        standing.race, standing.athlete, standing.standing = version.race, version.race.athlete, version
        standing.save()
        return version


def changed(
    ledger: Ledger, *, desk: Desk, revision: int, typed: str, case: Case, sentence: str, by: User
) -> Desk:
    """Keep a change of the case: its new text, and a version that follows the one before."""
    with ledger.writing():
        standing = current(desk, revision)
        before = standing.standing
        audit = trail("case changed", f"{standing.title}: {sentence}", by=by.name)
        snapshot = Snapshot(typed=typed, case=case)
        version = snapshots.kept(audit, snapshot, sentence=sentence, after=before)
        return _stands(standing, version, audit, by)


def undone(ledger: Ledger, *, desk: Desk, revision: int, by: User) -> Desk:
    """Put the version before back; BadInput where there is none, or where undo may not go."""
    with ledger.writing():
        standing = current(desk, revision)
        version = standing.standing
        if version is None or version.after is None:
            raise BadInput(find("workspace.nothing_to_undo", standing.title))
        _may_pass(version)
        audit = trail("undone", f"{standing.title}: taken back: {version.sentence}", by=by.name)
        return _stands(standing, version.after, audit, by)


def redone(ledger: Ledger, *, desk: Desk, revision: int, by: User) -> Desk:
    """Put back what the last undo took away; BadInput where nothing was."""
    with ledger.writing():
        standing = current(desk, revision)
        version = standing.standing
        later = access.case_versions().filter(after=version).last() if version else None
        if later is None:
            raise BadInput(find("workspace.nothing_to_redo", standing.title))
        audit = trail("redone", f"{standing.title}: {later.sentence}", by=by.name)
        return _stands(standing, later, audit, by)


def _may_pass(version: CaseVersion) -> None:
    """Refuse to take back what an issue or a health entry came after."""
    since = passed(version)
    if since:
        raise BadInput(*since)


def current(desk: Desk, revision: int) -> Desk:
    """Return the race file as it stands, for writing; Stale where its revision is another."""
    standing = Desk.objects.select_related("standing__after", "owner", "athlete", "race").get(pk=desk.pk)
    if standing.revision != revision:
        by = (standing.changed_by or standing.owner).name
        at = (standing.changed_at or datetime.now(UTC)).astimezone().strftime("%H:%M")
        raise Stale(standing, find("workspace.changed_meanwhile", standing.title, by=by, at=at))
    return standing


def _stands(desk: Desk, version: CaseVersion, audit: Audit, by: User) -> Desk:
    desk.standing, desk.race, desk.typed = version, version.race, version.typed
    return _saved(desk, audit, by)


def _saved(desk: Desk, audit: Audit, by: User) -> Desk:
    desk.revision += 1
    desk.changed_by, desk.changed_at = by, audit.at
    _titled(desk)
    desk.save()
    return desk


def _kept(desk: Desk, typed: str, *, says: str, by: User) -> Desk:
    before, after = _difference(desk.typed, typed)
    audit = trail("typed", f"{desk.title}: {says}", by=by.name, before=before, after=after)
    desk.typed = typed
    return _saved(desk, audit, by)


def _difference(was: str, now: str) -> tuple[str, str]:
    """Return the lines that differ, as they stood before and stand after."""
    before, after = was.splitlines(), now.splitlines()
    gone = [line for line in before if line not in set(after)]
    came = [line for line in after if line not in set(before)]
    return "\n".join(gone), "\n".join(came)


def _titled(desk: Desk) -> None:
    """Copy what the race file is found by: names and the day, as far as they are typed."""
    data = tomllib.loads(desk.typed)
    person, race = data.get("athlete", {}), data.get("race", {})
    names = [str(person.get("name", "")), str(race.get("name", ""))]
    desk.title = ", ".join(name for name in names if name)[:200]
    desk.title_key = access.key_of(desk.title)[:200]
    gun = str(race.get("gun", ""))[:10]
    try:
        desk.race_day = date.fromisoformat(gun)
    except ValueError:
        desk.race_day = None
