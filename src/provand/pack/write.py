"""Make what people hold, in memory; write it into a folder, all of it or nothing."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path
from typing import NamedTuple

from provand.case.case import Case
from provand.finding import Finding, OnHold, find
from provand.pack.pieces import HELD, RECORD, Making, Piece, Sheet, owners, sheets_of
from provand.pack.place import placed
from provand.pack.safety import race_facts, safety_page
from provand.pack.tongue import OURS, Tongue, speaking, tongue_of
from provand.pack.typeset import Paper
from provand.pack.voice import no_weights
from provand.plan.delays import Delays
from provand.plan.document import Cleared, Plan
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
    tongue: Tongue | None = None,
) -> tuple[File, ...]:
    """Return the files of the pieces of a cleared plan; see `Making` for the rest.

    They are in the athlete's language, or in `tongue`. A language whose words nobody has approved gives
    drafts alone; OnHold says so of anything else.

    `plan.json` is the practitioner's record and holds every figure; with weights withheld no other file
    tells one. The sheet for the kitchen is there where a menu is laid or a drink is mixed, the card for a
    kitchen where the athlete leaves something out.
    """
    wanted = tongue or tongue_for(_plan_of(cleared).case)
    if not (wanted.is_approved or draft):
        raise OnHold(not_approved(wanted))
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
    files = tuple(_made(sheet, making, wanted) for sheet in sheets_of(making, pieces))
    if "grams" in cleared.plan.withheld:
        for file in files:
            if file.piece != RECORD.id and _is_text(file):
                no_weights([file.data.decode("utf-8")], file.name)
    return files


def _plan_of(cleared: Cleared) -> Plan:
    if not isinstance(cleared, Cleared):
        raise TypeError("only a cleared plan is handed out")
    return cleared.plan


def tongue_for(case: Case) -> Tongue:
    """Return the language of an athlete, as nobody has approved it yet."""
    return tongue_of(case.athlete.language)


def not_approved(tongue: Tongue) -> Finding:
    """Return why nothing in a language may be handed out."""
    return find("language.not_approved", "athlete.language", language=tongue.language.english, tag=tongue.tag)


def _made(sheet: Sheet, making: Making, tongue: Tongue) -> File:
    with speaking(OURS if sheet.ours else tongue):
        return file_of(sheet.name, sheet.made(making))


def _is_text(file: File) -> bool:
    return file.media_type.startswith("text/") or file.media_type.endswith("xml")


def is_made(cleared: Cleared, name: str) -> bool:
    """Return whether a cleared plan gives a draft of that name: menu and card are not in every pack."""
    making = Making(cleared.plan, draft=True)
    return name in {sheet.name for sheet in sheets_of(making, HELD)}


def safety_file(case: Case, *, paper: Paper = "a4", tongue: Tongue | None = None) -> File:
    """Return the safety page, which may always be handed out and cannot see a plan.

    It is in English unless its language is approved: words nobody has vouched for help nobody.
    """
    spoken_in = tongue if tongue is not None and tongue.is_approved else OURS
    with speaking(spoken_in):
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
    """Write pieces of a cleared plan into `out`, all of them by default, and return the paths.

    In a language that nobody has approved they are drafts, and say so.
    """
    draft = not tongue_for(_plan_of(cleared).case).is_approved
    return write_files(pack_files(cleared, pieces=pieces, paper=paper, draft=draft), out)


def write_safety(case: Case, out: Path, *, paper: Paper = "a4") -> tuple[Path, ...]:
    """Write the safety page alone; the same refusals as `write_files`."""
    return write_files((safety_file(case, paper=paper),), out)
