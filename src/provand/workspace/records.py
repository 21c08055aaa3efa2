"""What actions and questions give back: plain frozen records, never rows of the database."""

from __future__ import annotations

from provand.case.case import Case
from provand.record import Record


class Snapshot(Record):
    """A case as it stands in its file: the text as typed, and the case that the door read from it."""

    typed: str
    case: Case


class Undone(Record):
    """An undo: what was taken back, and the sentence of the case that stands again."""

    taken_back: str
    stands_again: str
    code: str
