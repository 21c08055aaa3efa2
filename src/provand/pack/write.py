"""Make what people hold, in memory; write it into a folder, all of it or nothing."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path
from typing import Literal, NamedTuple

from provand.case.case import Case
from provand.pack.book import menu_book
from provand.pack.dates import race_calendar
from provand.pack.home import home_sheet
from provand.pack.hotel import hotel_card
from provand.pack.place import placed
from provand.pack.safety import race_facts, safety_page
from provand.pack.sheet import plan_sheet, strip_alone
from provand.pack.svg import written
from provand.pack.typeset import Paper
from provand.pack.voice import no_weights
from provand.pack.wrist import strip_sheet
from provand.plan.document import Cleared, Plan

Piece = Literal["record", "plan", "strip", "home", "calendar", "safety"]
HELD: tuple[Piece, ...] = ("plan", "strip", "home", "calendar", "safety")
"""The pieces that people are given; the record is the practitioner's own."""


class File(NamedTuple):
    """A file of a pack: its piece, its kind and its bytes."""

    name: str
    piece: Piece
    media_type: str
    data: bytes


_KINDS: dict[str, tuple[Piece, str]] = {
    "plan.json": ("record", "application/json"),
    "plan.pdf": ("plan", "application/pdf"),
    "plan-letter.pdf": ("plan", "application/pdf"),
    "strip.pdf": ("strip", "application/pdf"),
    "home.pdf": ("home", "application/pdf"),
    "home-letter.pdf": ("home", "application/pdf"),
    "hotel.pdf": ("home", "application/pdf"),
    "menu.xlsx": ("home", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    "race.ics": ("calendar", "text/calendar"),
    "safety.pdf": ("safety", "application/pdf"),
    "course-strip.svg": ("plan", "image/svg+xml"),
    "race-cancelled.ics": ("calendar", "text/calendar"),
}
NAMES = tuple(_KINDS)
"""Every file that we write; a folder with any other file is not ours to replace."""


def file_of(name: str, data: bytes) -> File:
    """Return the file of a name that we write."""
    piece, media_type = _KINDS[name]
    return File(name, piece, media_type, data)


def pack_files(
    cleared: Cleared,
    *,
    pieces: Collection[Piece] = ("record", *HELD),
    paper: Paper | None = None,
    sequence: int = 0,
    earlier: Iterable[bytes] = (),
    draft: bool = False,
) -> tuple[File, ...]:
    """Return the files of the pieces of a cleared plan.

    `paper` chooses one paper; without it the plan comes on both, the rest on A4 (the strip's sheet fits
    either). The sheets of a `draft` say so and carry no code. `sequence` and `earlier` are for the calendar:
    see `race_calendar`. `plan.json` is the practitioner's record and holds every figure; with weights
    withheld no other file tells one. Menu and shopping are there where a menu is laid,
    the card for a kitchen where the athlete leaves something out.
    """
    if not isinstance(cleared, Cleared):
        raise TypeError("only a cleared plan is handed out")
    plan = cleared.plan
    made: dict[str, bytes] = {}
    if "record" in pieces:
        made["plan.json"] = plan.as_bytes
    if "plan" in pieces:
        made |= _sheets(plan, paper, draft)
    if "strip" in pieces:
        made["strip.pdf"] = strip_sheet(plan, paper or "a4", draft=draft)
    if "home" in pieces and plan.menu is not None:
        made |= _home(plan, paper, draft)
    if "home" in pieces and plan.case.athlete.leaves_out:
        made["hotel.pdf"] = hotel_card(plan, paper or "a4", draft=draft)
    if "calendar" in pieces:
        made["race.ics"] = race_calendar(plan, sequence=sequence, earlier=earlier)
    if "safety" in pieces:
        made["safety.pdf"] = safety_file(plan.case, paper=paper or "a4").data
    if "plan" in pieces:
        strip = written(strip_alone(plan, draft=draft), "alone")
        made["course-strip.svg"] = strip.encode("utf-8")
    if "grams" in plan.withheld:
        for name in {"race.ics", "course-strip.svg"} & set(made):
            no_weights([made[name].decode("utf-8")], name)
    return tuple(file_of(name, data) for name, data in made.items())


def is_made(cleared: Cleared, name: str) -> bool:
    """Return whether a cleared plan gives a file of that name: menu and card are not in every pack."""
    if name == "hotel.pdf":
        return cleared.plan.case.athlete.leaves_out
    return cleared.plan.menu is not None or _KINDS[name][0] != "home"


def _sheets(plan: Plan, paper: Paper | None, draft: bool) -> dict[str, bytes]:
    papers: tuple[Paper, ...] = (paper,) if paper else ("a4", "letter")
    names = {"a4": "plan.pdf", "letter": "plan-letter.pdf"}
    return {names[each]: plan_sheet(plan, each, draft=draft) for each in papers}


def _home(plan: Plan, paper: Paper | None, draft: bool) -> dict[str, bytes]:
    """Return menu and shopping on paper, and as a spreadsheet for whoever may read weights."""
    papers: tuple[Paper, ...] = (paper,) if paper else ("a4", "letter")
    names = {"a4": "home.pdf", "letter": "home-letter.pdf"}
    made = {names[each]: home_sheet(plan, each, draft=draft) for each in papers}
    if "grams" not in plan.withheld and not draft:
        made["menu.xlsx"] = menu_book(plan)
    return made


def safety_file(case: Case, *, paper: Paper = "a4") -> File:
    """Return the safety page, which may always be handed out and cannot see a plan."""
    return file_of("safety.pdf", safety_page(case.practitioner, race_facts(case), paper))


def write_files(files: Iterable[File], out: Path) -> tuple[Path, ...]:
    """Write files into `out`, in place of those of an earlier run, and return the paths.

    Raises BadInput for a folder that holds anything else, CannotWork when writing fails; then nothing has
    changed.
    """
    return placed({file.name: file.data for file in files}, out, ours=NAMES)


def write_pack(cleared: Cleared, out: Path, *, paper: Paper | None = None) -> tuple[Path, ...]:
    """Write everything that people hold of a cleared plan into `out`, and return the paths."""
    return write_files(pack_files(cleared, paper=paper), out)


def write_safety(case: Case, out: Path, *, paper: Paper = "a4") -> tuple[Path, ...]:
    """Write the safety page alone; the same refusals as `write_files`."""
    return write_files((safety_file(case, paper=paper),), out)
