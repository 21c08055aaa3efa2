"""Notes at each contact: dated, attributed, added to and never rewritten."""

from __future__ import annotations

from datetime import date

from provand.finding import BadInput, find
from provand.workspace import access
from provand.workspace.ledger import Ledger
from provand.workspace.models import Athlete, Note, Race, User
from provand.workspace.trail import trail

LONGEST = 8000


def noted(
    ledger: Ledger,
    *,
    athlete: Athlete,
    race: Race | None,
    kind: str,
    on: date,
    text: str,
    by: User,
    today: date,
    corrects: Note | None = None,
    answers: Note | None = None,
) -> Note:
    """Keep a note; BadInput for one that is empty, too long or dated ahead, or answers no incident."""
    words = text.strip()
    faults = []
    if not words:
        faults.append(find("note.empty", "note"))
    if len(words) > LONGEST or "\0" in words:
        faults.append(find("note.too_long", "note", letters=len(words), most=LONGEST))
    if on > today:
        faults.append(find("entry.future", "note", day=on.isoformat(), as_of=today.isoformat()))
    if answers is not None and (answers.kind != "incident" or answers.athlete_id != athlete.pk):
        faults.append(find("note.no_incident", "note"))
    if answers is not None and not by.is_practitioner:
        faults.append(find("workspace.not_yours", "note", what="only a practitioner answers an incident"))
    if faults:
        raise BadInput(*faults)
    with ledger.writing():
        audit = trail("noted", f"{athlete.name}: {kind} of {on.isoformat()}", by=by.name)
        return Note.objects.create(
            audit=audit,
            athlete=athlete,
            race=race,
            kind=kind,
            on=on,
            text=words,
            corrects=corrects,
            answers=answers,
        )


def open_incidents(athlete: Athlete) -> list[Note]:
    """Return the incidents of an athlete that no note has answered: they stand in the way of an issue."""
    found = access.notes_of(athlete).filter(kind="incident", answered_by=None, corrected_by=None)
    return list(found.order_by("on", "id"))


def refuse_incidents(athlete: Athlete | None) -> None:
    """Raise BadInput where an incident of the athlete waits for an answer: nothing is issued before."""
    for one in open_incidents(athlete) if athlete else []:
        raise BadInput(find("note.unanswered", "notes", on=one.on.isoformat(), by=one.audit.by))
