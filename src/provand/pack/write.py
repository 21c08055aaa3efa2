"""Make what people hold, in memory; write it into a folder, all of it or nothing."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path
from typing import NamedTuple

from provand.case.case import Case
from provand.pack.pieces import HELD, RECORD, Making, Piece, owners, sheets_of
from provand.pack.place import placed
from provand.pack.safety import race_facts, safety_page
from provand.pack.typeset import Paper
from provand.pack.voice import no_weights
from provand.plan.delays import Delays
from provand.plan.document import Cleared
from provand.plan.scenarios import Scenarios

NAMES = tuple(owners())
"""Every file that we write; a folder with any other file is not ours to replace."""

SAFETY = "safety.pdf"
"""The one file that is handed out on hold too."""


class File(NamedTuple):
    """A file of a pack: its piece, its kind and its bytes."""

    name: str
    piece: Piece
    media_type: str
    data: bytes


def file_of(name: str, data: bytes) -> File:
    """Return the file of a name that we write."""
    piece, media_type = owners()[name]
    return File(name, piece, media_type, data)


def pack_files(
    cleared: Cleared,
    *,
    pieces: Collection[Piece] = (RECORD.id, *HELD),
    paper: Paper | None = None,
    sequence: int = 0,
    earlier: Iterable[bytes] = (),
    draft: bool = False,
    later: Delays | None = None,
    first_label: int = 1,
    scenarios: Scenarios | None = None,
) -> tuple[File, ...]:
    """Return the files of the pieces of a cleared plan; see `Making` for the rest.

    `plan.json` is the practitioner's record and holds every figure; with weights withheld no other file
    tells one. The sheet for the kitchen is there where a menu is laid or a drink is mixed, the card for a
    kitchen where the athlete leaves something out.
    """
    if not isinstance(cleared, Cleared):
        raise TypeError("only a cleared plan is handed out")
    making = Making(
        cleared.plan,
        paper,
        draft,
        sequence,
        tuple(earlier),
        first_label=first_label,
        later=later,
        scenarios=scenarios,
    )
    files = tuple(file_of(sheet.name, sheet.made(making)) for sheet in sheets_of(making, pieces))
    if "grams" in cleared.plan.withheld:
        for file in files:
            if file.piece != RECORD.id and _is_text(file):
                no_weights([file.data.decode("utf-8")], file.name)
    return files


def _is_text(file: File) -> bool:
    return file.media_type.startswith("text/") or file.media_type.endswith("xml")


def is_made(cleared: Cleared, name: str) -> bool:
    """Return whether a cleared plan gives a draft of that name: menu and card are not in every pack."""
    making = Making(cleared.plan, draft=True)
    return name in {sheet.name for sheet in sheets_of(making, HELD)}


def safety_file(case: Case, *, paper: Paper = "a4") -> File:
    """Return the safety page, which may always be handed out and cannot see a plan."""
    return file_of(SAFETY, safety_page(case.practitioner, race_facts(case), paper))


def write_files(files: Iterable[File], out: Path) -> tuple[Path, ...]:
    """Write files into `out`, in place of those of an earlier run, and return the paths.

    Raises BadInput for a folder that holds anything else, CannotWork when writing fails; then nothing has
    changed.
    """
    return placed({file.name: file.data for file in files}, out, ours=NAMES)


def write_pack(
    cleared: Cleared,
    out: Path,
    *,
    pieces: Collection[Piece] = (RECORD.id, *HELD),
    paper: Paper | None = None,
) -> tuple[Path, ...]:
    """Write pieces of a cleared plan into `out`, all of them by default, and return the paths."""
    return write_files(pack_files(cleared, pieces=pieces, paper=paper), out)


def write_safety(case: Case, out: Path, *, paper: Paper = "a4") -> tuple[Path, ...]:
    """Write the safety page alone; the same refusals as `write_files`."""
    return write_files((safety_file(case, paper=paper),), out)
