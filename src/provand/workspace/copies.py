"""The copies that people hold: files kept to the byte, who has which, and which of them no longer count."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime

from provand.pack.dates import cancelled_calendar
from provand.pack.pieces import HELD, Piece
from provand.pack.write import File, file_of, pack_files
from provand.plan.document import Cleared
from provand.workspace import access
from provand.workspace.languages import tongue_for
from provand.workspace.models import Audit, Handout, Holder, Issue, Race
from provand.workspace.records import Recipient, StillHolds
from provand.workspace.snapshots import digest


def sequence(n: int, *, withdrawn: bool = False) -> int:
    """Return the sequence number of a calendar: higher for each issue, and in between for its withdrawal."""
    return 2 * n + withdrawn


def files_of(handouts: Iterable[Handout]) -> tuple[File, ...]:
    """Return kept files as they were made."""
    return tuple(file_of(one.name, bytes(one.data)) for one in handouts)


def keep_files(audit: Audit, files: Iterable[File], race: Race, issue: Issue | None) -> list[Handout]:
    """Keep files to the byte."""
    return [
        Handout.objects.create(
            audit=audit,
            race=race,
            issue=issue,
            piece=file.piece,
            name=file.name,
            media_type=file.media_type,
            data=file.data,
            digest=digest(file.data),
        )
        for file in files
    ]


def calendars(race: Race, *, before_n: int) -> list[bytes]:
    """Return every calendar that was handed out with issues before a number, the oldest first."""
    kept = access.handouts().filter(race=race, name="race.ics", issue__n__lt=before_n)
    return [bytes(one.data) for one in kept.order_by("issue__n")]


def with_calendar(
    made: Iterable[File], cleared: Cleared, pieces: Collection[Piece], race: Race, n: int
) -> list[File]:
    """Return the files made before, and the calendar, which can be made only when the number is known."""
    if "calendar" not in pieces:
        return list(made)
    only: tuple[Piece, ...] = ("calendar",)
    earlier, tongue = calendars(race, before_n=n), tongue_for(cleared.plan.case)
    return [*made, *pack_files(cleared, pieces=only, sequence=sequence(n), earlier=earlier, tongue=tongue)]


def give(audit: Audit, to: Recipient, race: Race, issue: Issue | None, files: Collection[Handout]) -> bool:
    """Keep that somebody was given files; False where they were given all of them before."""
    given = access.holders().filter(race=race, issue=issue, person_key=access.key_of(to.person), role=to.role)
    known = {piece.pk for one in given for piece in one.pieces.all()}
    if issue is not None and all(file.pk in known for file in files):
        return False
    holder = Holder.objects.create(
        audit=audit,
        race=race,
        issue=issue,
        person=to.person,
        person_key=access.key_of(to.person),
        role=to.role,
    )
    holder.pieces.add(*files)
    return True


def still_held(race: Race, *, before_n: int) -> tuple[StillHolds, ...]:
    """Return who holds pieces of issues before a number, and of none since; a safety page always counts."""
    last: dict[tuple[str, str], Holder] = {}
    for holder in access.holders().filter(race=race, issue__isnull=False).order_by("id"):
        for file in holder.pieces.all():
            last[(holder.person_key, file.piece)] = holder
    stale: dict[tuple[str, int], list[str]] = {}
    by_key: dict[tuple[str, int], Holder] = {}
    for (person, piece), holder in last.items():
        assert holder.issue is not None
        if piece != "safety" and holder.issue.n < before_n:
            stale.setdefault((person, holder.issue.n), []).append(piece)
            by_key[(person, holder.issue.n)] = holder
    return tuple(_still_holds(by_key[key], pieces) for key, pieces in sorted(stale.items()))


def _still_holds(holder: Holder, pieces: list[str]) -> StillHolds:
    assert holder.issue is not None
    return StillHolds(
        person=holder.person,
        role=holder.role,
        n=holder.issue.n,
        code=holder.issue.plan.code,
        pieces=tuple(piece for piece in HELD if piece in pieces),
    )


def cancelled(issue: Issue, at: datetime) -> list[File]:
    """Return the calendar that takes back every event handed out for the race; none where none was."""
    earlier = calendars(issue.race, before_n=issue.n + 1)
    if not earlier:
        return []
    data = cancelled_calendar(earlier, sequence=sequence(issue.n, withdrawn=True), at=at)
    return [file_of("race-cancelled.ics", data)]
