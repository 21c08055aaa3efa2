"""Write a ledger as migration 0001 made it, with a few invented rows; what it wrote once stays as it is.

    python tests/formats/freeze_ledger.py FILE

Kept to show how `ledger-0001.sqlite3.gz` came to be: a ledger of today gives its rows to tables of then.
"""

from __future__ import annotations

import gzip
import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent / "unit"), str(HERE.parent / "unit" / "workspace")]

import pytest  # noqa: E402
from django.db import connection  # noqa: E402
from django.db.migrations.executor import MigrationExecutor  # noqa: E402
from ledgers import BY, CREW, TOVE, answers, by_hand, issued, pinned  # noqa: E402

from provand.workspace.actions import withdraw  # noqa: E402
from provand.workspace.ledger import MARK, open_ledger  # noqa: E402

STEP = [("workspace", "0001_initial")]
CHANGED_BY_0001 = """
CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, 'rows of {table} are added, never changed'); END
"""


def a_ledger_of_today(path: Path, out: Path) -> None:
    """Issue twice, to two people, and withdraw the second."""
    by_hand(pytest.MonkeyPatch())
    with open_ledger(path) as opened:
        issued(opened, out, to=(TOVE, CREW), health=answers())
        second = issued(opened, out, snapshot=pinned(60))
        withdraw(opened, code=second.code, why="the race is off", by=BY)


def tables_of_then(path: Path) -> None:
    """Make an empty ledger that has taken the first step alone."""
    connection.close()
    connection.settings_dict["NAME"] = str(path)
    connection.disable_constraint_checking()
    MigrationExecutor(connection).migrate(STEP)
    connection.close()


def copied(today: Path, then: Path) -> None:
    """Copy every row into the columns that were there then."""
    with closing(sqlite3.connect(then, isolation_level=None)) as file:
        file.execute("PRAGMA journal_mode = DELETE")
        file.execute(f"PRAGMA application_id = {MARK}")
        file.execute("ATTACH ? AS today", (str(today),))
        names = file.execute("SELECT name FROM main.sqlite_master WHERE name LIKE 'workspace_%'").fetchall()
        tables = [name for (name,) in names if file.execute(f"PRAGMA main.table_info({name})").fetchall()]
        for table in tables:
            columns = ", ".join(f'"{row[1]}"' for row in file.execute(f"PRAGMA main.table_info({table})"))
            file.execute(f"INSERT INTO main.{table} ({columns}) SELECT {columns} FROM today.{table}")
        for table in tables:
            for verb in ("update", "delete"):
                file.execute(CHANGED_BY_0001.format(table=table, verb=verb))
        file.execute("DETACH today")
        file.execute("VACUUM")


def main(target: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        today, then = Path(folder) / "today.sqlite3", Path(folder) / "then.sqlite3"
        a_ledger_of_today(today, Path(folder) / "out")
        tables_of_then(then)
        copied(today, then)
        Path(target).write_bytes(gzip.compress(then.read_bytes(), mtime=0))


if __name__ == "__main__":
    main(sys.argv[1])
