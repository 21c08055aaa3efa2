"""One ledger: a file that is made on first use, brought up to date, and opened for reading and writing.

A write is one transaction that holds the file alone, so two programs never number the same issue.
"""

from __future__ import annotations

import contextlib
import os
import stat
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Self

from django.db import DatabaseError, IntegrityError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from provand.finding import BadInput, CannotWork, find
from provand.workspace.guards import set_guards
from provand.workspace.placing import is_unfinished, recover
from provand.workspace.where import ledger_path

HEADER = b"SQLite format 3\0"
MARK = 0x50564C47
"""The application id in the file's header: PVLG."""


class Ledger:
    """An open ledger; `writing` and `reading` turn what the database says into words."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; the journal that SQLite keeps beside it goes with the last program that closes."""
        if connection.settings_dict["NAME"] == str(self.path):
            connection.close()

    @contextlib.contextmanager
    def reading(self) -> Iterator[None]:
        """Read; CannotWork where the file cannot be read."""
        with _in_words(self.path):
            _point_at(self.path)
            yield

    @contextlib.contextmanager
    def writing(self) -> Iterator[None]:
        """Write all or nothing, alone; CannotWork where the file cannot be written."""
        with self.reading(), transaction.atomic():
            recover(self.path)
            yield


def open_ledger(named: Path | None = None) -> Ledger:
    """Open the ledger of that path, else the one that the environment names, else the user's own.

    It is made on first use, private to the user. BadInput for a file that is no ledger or one of a newer
    program; CannotWork where its folder cannot be written.
    """
    path = ledger_path(named).absolute()
    if not path.exists():
        _make(path)
    _refuse_what_is_none(path)
    with _in_words(path):
        _keep_private(path)
        _point_at(path)
        _bring_up_to_date(path)
    ledger = Ledger(path)
    if is_unfinished(path):
        with ledger.writing():
            pass
    return ledger


def _make(path: Path) -> None:
    """Make a ledger beside its place and link it there: none ever stands half-made, and none is replaced."""
    aside = path.with_name(f".{path.name}-{uuid.uuid4().hex}")
    with _in_words(path):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        try:
            os.close(os.open(aside, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
            _point_at(aside)
            _bring_up_to_date(aside)
            with connection.cursor() as cursor:
                cursor.execute(f"PRAGMA application_id = {MARK}")
            connection.close()
            _link(aside, path)
        finally:
            connection.close()
            aside.unlink(missing_ok=True)


def _link(aside: Path, path: Path) -> None:
    """Give a finished file its place; another program may have been quicker, and then its file stays."""
    try:
        os.link(aside, path)
    except FileExistsError:
        return
    except OSError:  # a disk that knows no links
        if not path.exists():
            aside.rename(path)


def _refuse_what_is_none(path: Path) -> None:
    if not path.is_file():
        raise BadInput(find("ledger.no_ledger", str(path), why="it is no file"))
    with _in_words(path), path.open("rb") as file:
        head = file.read(72)
    if not head.startswith(HEADER):
        raise BadInput(find("ledger.no_ledger", str(path), why="it is no database"))
    if int.from_bytes(head[68:72], "big") != MARK:
        raise BadInput(find("ledger.no_ledger", str(path), why="it is another program's database"))


def _keep_private(path: Path) -> None:
    mode = stat.S_IMODE(path.stat().st_mode)
    if os.name == "posix" and mode & 0o077:
        path.chmod(mode & 0o700)


def _point_at(path: Path) -> None:
    """Let the one connection be to this file."""
    if connection.settings_dict["NAME"] != str(path):
        connection.close()
        connection.settings_dict["NAME"] = str(path)


def _bring_up_to_date(path: Path) -> None:
    """Take every step of storage that this program knows and the file lacks, all in one transaction."""
    waiting = _steps_waiting(path)
    if not waiting:
        return
    connection.disable_constraint_checking()
    try:
        with transaction.atomic():
            if _steps_waiting(path):  # another program may have been quicker
                executor = MigrationExecutor(connection)
                executor.migrate(executor.loader.graph.leaf_nodes())
                set_guards(connection)
    finally:
        connection.enable_constraint_checking()


def _steps_waiting(path: Path) -> bool:
    loader = MigrationExecutor(connection).loader
    taken, known = set(loader.applied_migrations), set(loader.disk_migrations)
    newer = sorted(taken - known)
    if newer:
        raise BadInput(find("ledger.newer", str(path), step=" ".join(newer[-1])))
    return bool(known - taken)


@contextlib.contextmanager
def _in_words(path: Path) -> Iterator[None]:
    """Turn what disk and database say into words; a broken promise of the ledger stays what it is."""
    try:
        yield
    except IntegrityError:
        raise
    except DatabaseError as error:
        busy = "locked" in str(error)
        code = "ledger.busy" if busy else "ledger.cannot_work"
        raise CannotWork(find(code, str(path), **({} if busy else {"why": str(error)}))) from error
    except OSError as error:
        raise CannotWork(find("ledger.cannot_work", str(path), why=error.strerror or str(error))) from error
