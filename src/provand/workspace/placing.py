"""Rows and files together: a folder is put in place inside the transaction that keeps its rows.

A note beside the ledger says which folder is being put in place for which act. It is written while the
ledger is held for writing alone, so whoever holds the ledger and finds a note knows that its writer died:
where the act is not kept, the folder is taken back.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from provand.pack.place import Placing, beside
from provand.pack.write import NAMES, File
from provand.workspace import access

NOTE = ".placing-"


def _notes(ledger: Path) -> list[Path]:
    return sorted(ledger.parent.glob(f"{ledger.name}{NOTE}*"))


def is_unfinished(ledger: Path) -> bool:
    """True where a program died, or works at this moment, on putting a folder in place."""
    return bool(_notes(ledger))


def recover(ledger: Path) -> None:
    """Take back the folder of each act that was never kept; call it while holding the ledger for writing."""
    for note in _notes(ledger):
        text = note.read_text("utf-8")
        if text.endswith("\n"):  # else it was being written, and nothing was put in place yet
            told = json.loads(text)
            placing = Placing(Path(told["out"]), Path(told["aside"]))
            if access.is_kept(told["act"]):
                placing.clear()
            else:
                placing.take_back()
        note.unlink(missing_ok=True)


@contextlib.contextmanager
def in_place(ledger: Path, act: str) -> Iterator[Placement]:
    """Yield what puts one folder in place for an act; the folder is taken back where the act is not kept.

    Wrap it round the transaction, and call `put` as the last step inside.
    """
    placement = Placement(ledger, act)
    try:
        yield placement
    except BaseException:
        placement.take_back()
        raise
    placement.settle()


class Placement:
    """The folder of one act on its way: nothing, waiting aside, or in place."""

    def __init__(self, ledger: Path, act: str) -> None:
        self._note = ledger.with_name(f"{ledger.name}{NOTE}{act}")
        self._act = act
        self._placing: Placing | None = None

    def put(self, files: Iterable[File], out: Path) -> None:
        """Put files in place of what stood in `out`; raises as `write_files` does."""
        self._placing = beside(out.absolute(), ours=NAMES)
        told = {"act": self._act, "out": str(self._placing.out), "aside": str(self._placing.aside)}
        with self._note.open("w", encoding="utf-8") as file:
            file.write(json.dumps(told) + "\n")
            file.flush()
            os.fsync(file.fileno())
        self._placing.fill({file.name: file.data for file in files})
        self._placing.put()

    def take_back(self) -> None:
        """Let the folder be as it was."""
        if self._placing is not None:
            self._placing.take_back()
            self._note.unlink(missing_ok=True)

    def settle(self) -> None:
        """Take away what waited aside: the act is kept."""
        if self._placing is not None:
            self._placing.clear()
            self._note.unlink(missing_ok=True)
