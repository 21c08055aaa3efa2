"""`pack` and `pieces`: what people hold, piece by piece."""

from __future__ import annotations

import difflib
import sys
from datetime import date
from pathlib import Path
from typing import get_args

from provand.case.door import in_folder
from provand.case.files import read_toml
from provand.cli import say
from provand.cli.food import Made, cleared_or_safety
from provand.cli.many import Wanted, packs
from provand.finding import BadInput, Finding, find
from provand.pack.ahead import ahead
from provand.pack.pieces import DEFAULT, HELD, PIECES, Piece
from provand.pack.typeset import Paper
from provand.pack.write import pack_files, write_files
from provand.plan.standing import Standing

ALL = "all"


def pieces_of(text: str | None) -> tuple[Piece, ...]:
    """Return the pieces of a list such as `plan,strip`, of `all`, or the default ones."""
    if text is None:
        return DEFAULT
    names = [name.strip().lower() for name in text.split(",")]
    if names == [ALL]:
        return HELD
    wrong = [_unknown(name, "piece", HELD) for name in names if name not in HELD]
    if wrong:
        raise BadInput(*wrong)
    return tuple(piece for piece in HELD if piece in names)


def paper_of(text: str | None) -> Paper | None:
    """Return the paper of a name; BadInput for another."""
    if text is None or text in get_args(Paper):
        return text  # type: ignore[return-value]  # one of the names
    raise BadInput(_unknown(text, "paper", get_args(Paper)))


def _unknown(name: str, kind: str, known: tuple[str, ...]) -> Finding:
    close = difflib.get_close_matches(name, known, n=1)
    near = f"Did you mean {close[0]}?" if close else f"There are {', '.join(known)}."
    return find("cli.unknown_name", name, kind=kind, near=near)


def pack(
    path: Path,
    out: Path,
    as_of: date,
    *,
    pieces: str | None,
    paper: str | None,
    draft: bool,
    first_label: int,
    as_json: bool,
) -> None:
    """Write pieces of the plan of a case, or of each case in a folder; on hold the safety page alone."""
    wanted, on = pieces_of(pieces), paper_of(paper)
    if path.is_dir():
        packs(path, out, Wanted(wanted, on, draft, as_of), as_json=as_json)
        return
    made = cleared_or_safety(path, out, as_of, as_json=as_json)
    if not draft and {"phone", "otherwise"} & {*wanted}:
        print("Planning what may yet happen: this takes a while.", file=sys.stderr)
    found = ahead(lambda: _standing(path, as_of, made), wanted, draft=draft)
    files = pack_files(
        made.cleared, pieces=wanted, paper=on, draft=draft, first_label=first_label, **found._asdict()
    )
    written = write_files(files, out)
    without = [
        kind.id for kind in PIECES if kind.id in wanted and kind.id not in {one.piece for one in files}
    ]
    if as_json:
        told = [{"piece": file.piece, "file": str(at)} for file, at in zip(files, written, strict=True)]
        say.data({"code": made.cleared.plan.code, "draft": draft, "files": told, "without": without})
        return
    print(f"Plan {made.cleared.plan.code}{', as a draft' if draft else ''}:")
    for file, at in zip(files, written, strict=True):
        print(f"  {file.piece:9} {at}")
    for piece in without:
        print(f"  {piece:9} nothing of it in this pack")


def _standing(path: Path, as_of: date, made: Made) -> Standing:
    """Return a plan with all that it was made of."""
    read, beside = made.read, in_folder(path.parent)
    return Standing(made.cleared, read_toml(path), read.case, read.screening, read.protocols, beside, as_of)


def pieces(*, as_json: bool) -> None:
    """List the pieces with what each is for."""
    rows = [
        {
            "piece": kind.id,
            "name": kind.name,
            "says": kind.says,
            "in_every_pack": kind.by_default,
            "files": [s.name for s in kind.sheets],
        }
        for kind in PIECES
    ]
    if as_json:
        say.data({"pieces": rows})
        return
    for kind in sorted(PIECES, key=lambda one: not one.by_default):
        print(f"{'*' if kind.by_default else ' '} {kind.id:9} {kind.name}: {kind.says}")
    print("* by default; the others by --pieces")
