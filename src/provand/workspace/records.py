"""What actions and questions take and give back: plain frozen records, never rows of the database."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

from provand.case.case import Case
from provand.finding import Finding
from provand.record import Record


class Snapshot(Record):
    """A case as it stands in its file: the text as typed, and the case that the door read from it."""

    typed: str
    case: Case


class Undone(Record):
    """An undo: the change that was taken back, and the text that stands in the file again."""

    sentence: str
    kept_at: datetime
    typed: str


class Recipient(Record):
    """Somebody who is given pieces, in a role as typed."""

    person: str
    role: str


class Act(Record):
    """Who did something, and when."""

    by: str
    at: datetime


class StillHolds(Record):
    """Somebody who holds pieces that no longer count, of one issue."""

    person: str
    role: str
    n: int
    code: str
    pieces: tuple[str, ...]


class Withdrawn(Record):
    """An issue that was withdrawn, and who must be told."""

    n: int
    code: str
    athlete: str
    race: str
    why: str
    act: Act
    tell: tuple[StillHolds, ...]


class Noted(Record):
    """What came of noting health entries: how many are new, how many stand in no file read now."""

    new: int
    not_in_file: int
    withdrawn: tuple[Withdrawn, ...] = ()


class Issued(Record):
    """A plan as issued; `unchanged` where the same plan stood already and others were given it."""

    n: int
    code: str
    athlete: str
    race: str
    unchanged: bool
    given: tuple[Recipient, ...]
    held_already: tuple[Recipient, ...]
    pieces: tuple[str, ...]
    files: tuple[Path, ...]
    former_n: int | None = None
    former_code: str = ""
    difference: tuple[str, ...] = ()
    for_holders: tuple[str, ...] = ()
    tell: tuple[StillHolds, ...] = ()
    noted: Noted
    findings: tuple[Finding, ...] = ()


class Standing(Record):
    """One issue of a code: whose it is, and whether it counts today."""

    n: int
    code: str
    athlete: str
    born: date | None
    race: str
    race_day: date
    issued: Act
    superseded_by_n: int | None = None
    superseded_by_code: str = ""
    superseded: Act | None = None
    withdrawn: Act | None = None
    why: str = ""
    holders: tuple[str, ...] = ()

    @property
    def is_current(self) -> bool:
        """Whether a copy of it counts."""
        return self.superseded is None and self.withdrawn is None


class Whose(Record):
    """What is known of a code: every issue that has it, the last one first; `read_as` is the code as read."""

    read_as: str
    issues: tuple[Standing, ...]


class Holding(Record):
    """What one person was given at one time; `standing` is None for a safety page without a plan."""

    key: int
    person: str
    role: str
    given: Act
    race: str
    athlete: str
    pieces: tuple[str, ...]
    files: tuple[str, ...]
    standing: Standing | None = None
    counted_then: bool = False


class Held(Record):
    """What one person held at the end of a day, the newest first; and what others held of their plans."""

    person: str
    on: date
    until: datetime
    own: tuple[Holding, ...]
    others: tuple[Holding, ...]
