"""A program of its own that issues plans made by hand, and dies where it is told to.

    python issuer.py LEDGER OUT COUNT FIRST_KM [STEP]

`STEP` names the moment at which it is killed.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from ledgers import by_hand, issued, pinned

from provand.pack import made as making
from provand.pack import place
from provand.workspace import placing
from provand.workspace.ledger import open_ledger


def dies(*_: object, **__: object) -> Any:
    os._exit(9)


def after(patch: pytest.MonkeyPatch, owner: object, name: str) -> None:
    """Let the program die once that function has done its work."""
    work: Callable[..., Any] = getattr(owner, name)

    def once(*args: Any, **words: Any) -> None:
        work(*args, **words)
        dies()

    patch.setattr(owner, name, once)


def dies_at(step: str, patch: pytest.MonkeyPatch) -> None:
    match step:
        case "files being written aside":
            patch.setattr(place, "_on_disk", dies)
        case "files written aside":
            after(patch, place.Placing, "fill")
        case "note half written":
            patch.setattr(placing.json, "dumps", dies)
        case "old folder moved away":
            patch.setattr(place.Placing, "_fresh", property(dies))
        case "new folder in place":
            after(patch, place.Placing, "put")
        case "rows about to be kept":
            patch.setattr(connection, "_commit", dies)
        case "rows kept":
            after(patch, connection, "_commit")


def armed(step: str, patch: pytest.MonkeyPatch) -> None:
    """Let the program die at a step of issuing, which begins when its files are made."""
    work = making.pack_files

    def makes(*args: Any, **words: Any) -> Any:
        made = work(*args, **words)
        dies_at(step, patch)
        return made

    patch.setattr(making, "pack_files", makes)


def main(ledger: str, out: str, count: str, first_km: str, step: str = "") -> None:
    patch = pytest.MonkeyPatch()
    by_hand(patch)
    if step:
        armed(step, patch)
    with open_ledger(Path(ledger)) as opened:
        for km in range(int(first_km), int(first_km) + int(count)):
            issued(opened, Path(out), snapshot=pinned(km))


if __name__ == "__main__":
    main(*sys.argv[1:])
