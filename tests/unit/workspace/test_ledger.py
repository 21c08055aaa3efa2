"""A ledger is made once, whole and private; what is none is refused in words."""

from __future__ import annotations

import sqlite3
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from ledgers import BY, CASE_FILE, a_snapshot

from provand.finding import BadInput, CannotWork
from provand.workspace import guards, ledger
from provand.workspace.actions import case_changed
from provand.workspace.ledger import open_ledger
from provand.workspace.where import ledger_path


def filled(path: Path) -> Path:
    """Write one change of a case into a ledger."""
    with open_ledger(path) as opened:
        case_changed(
            opened, path=CASE_FILE, before=a_snapshot("a"), after=a_snapshot("b"), sentence="Warmer.", by=BY
        )
    return path


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_ledger_is_made_on_first_use_private_and_alone_in_its_folder(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "ledger.sqlite3"
    with open_ledger(path):
        pass
    assert names(path.parent) == ["ledger.sqlite3"]
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_what_is_kept_is_there_at_the_next_opening(tmp_path: Path) -> None:
    path = filled(tmp_path / "a")
    with open_ledger(path), connection.cursor() as cursor:
        cursor.execute("SELECT sentence FROM workspace_caseversion ORDER BY n")
        assert cursor.fetchall() == [("The case as found in its file.",), ("Warmer.",)]


def test_two_ledgers_do_not_mix(tmp_path: Path) -> None:
    filled(tmp_path / "a")
    with open_ledger(tmp_path / "b") as second, second.reading(), connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM workspace_audit")
        assert cursor.fetchone() == (0,)


def test_a_ledger_that_others_could_read_is_closed_to_them(tmp_path: Path) -> None:
    path = filled(tmp_path / "a")
    path.chmod(0o644)
    with open_ledger(path):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_the_place_is_as_named_else_as_the_environment_says_else_the_users_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PROVAND_LEDGER", str(tmp_path / "told"))
    assert ledger_path(tmp_path / "named") == tmp_path / "named"
    assert ledger_path() == tmp_path / "told"
    monkeypatch.delenv("PROVAND_LEDGER")
    assert ledger_path().name == "ledger.sqlite3"
    assert ledger_path().parent.name == "provand"


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "no database"), (b"[athlete]\n", "no database"), (b"SQLite format 3\0", "another program")],
)
def test_a_file_that_is_no_ledger_is_refused_and_left_alone(
    tmp_path: Path, content: bytes, words: str
) -> None:
    path = tmp_path / "x"
    path.write_bytes(content)
    with pytest.raises(BadInput, match=words):
        open_ledger(path)
    assert path.read_bytes() == content


def test_another_programs_database_and_a_folder_are_no_ledger(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / "other") as other:
        other.execute("CREATE TABLE gels (grams)")
    other.close()
    with pytest.raises(BadInput, match="another program's database"):
        open_ledger(tmp_path / "other")
    with pytest.raises(BadInput, match="it is no file"):
        open_ledger(tmp_path)


def test_a_ledger_from_a_newer_program_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = filled(tmp_path / "a")
    with sqlite3.connect(path) as newer:
        newer.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('workspace', '9999_x', 0)")
    newer.close()
    before = path.read_bytes()
    with pytest.raises(BadInput, match=r"newer program .*9999_x"):
        open_ledger(path)
    assert path.read_bytes() == before


def test_a_folder_that_cannot_be_made_or_written_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(CannotWork, match="File exists"):
        open_ledger(tmp_path / "file" / "ledger")

    def refused(*_: object) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(ledger.os, "open", refused)
    with pytest.raises(CannotWork, match="Permission denied"):
        open_ledger(tmp_path / "ledger")
    assert names(tmp_path) == ["file"]


def test_a_ledger_that_failed_in_the_making_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise DatabaseError("database or disk is full")

    monkeypatch.setattr(ledger, "set_guards", broken)
    with pytest.raises(CannotWork, match="disk is full"):
        open_ledger(tmp_path / "ledger")
    assert names(tmp_path) == []


def test_a_disk_without_links_gets_its_ledger_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(ledger.os, "link", no_links)
    filled(tmp_path / "ledger")
    assert names(tmp_path) == ["ledger"]


def test_a_ledger_that_is_being_written_is_waited_for_and_then_named_busy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = filled(tmp_path / "a")
    monkeypatch.setitem(connection.settings_dict["OPTIONS"], "timeout", 0.05)
    with sqlite3.connect(path, isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(CannotWork, match="another program is writing"), open_ledger(path) as mine:
            case_changed(
                mine, path=CASE_FILE, before=a_snapshot("a"), after=a_snapshot("c"), sentence="x", by=BY
            )
        other.execute("ROLLBACK")
    other.close()


def test_programs_that_make_a_ledger_at_the_same_moment_share_it(tmp_path: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from provand.workspace.ledger import open_ledger\n"
        "sys.stdin.readline(); open_ledger(Path(sys.argv[1])).close()"
    )
    started = [
        subprocess.Popen(
            [sys.executable, "-c", script, str(tmp_path / "ledger")],
            stdin=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(3)
    ]
    for one in started:
        assert one.stdin
        one.stdin.write("\n")
        one.stdin.flush()
    said = [one.communicate() for one in started]
    assert [one.returncode for one in started] == [0, 0, 0], said
    assert names(tmp_path) == ["ledger"]


TABLES = (
    "approval", "audit", "athlete", "race", "caseversion", "healthentry", "plantext", "issue", "handout",
    "holder",
    "holder_pieces", "withdrawal", "practice", "share", "deskfile", "note", "label", "job",
    "jobpiece", "jobmark", "jobend",
)  # fmt: skip


def test_every_table_is_guarded_against_change(tmp_path: Path) -> None:
    assert set(guards.tables()) == {f"workspace_{name}" for name in TABLES}
    with open_ledger(tmp_path / "a"):
        assert guards.standing(connection) == set(guards.guards())


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE workspace_caseversion SET text = '{}'",
        "DELETE FROM workspace_caseversion",
        "INSERT OR REPLACE INTO workspace_audit (id, key, at, by, what, says, before, after, program) "
        "VALUES (1, 'k', '2026-01-01', 'x', 'x', 'x', '', '', 'x')",
        "INSERT INTO workspace_athlete (id, name, name_key, audit_id) VALUES (1, 'x', 'x', 1) "
        "ON CONFLICT (id) DO UPDATE SET name = 'x'",
    ],
)
def test_no_statement_changes_a_row(tmp_path: Path, statement: str) -> None:
    path = filled(tmp_path / "a")
    with (
        open_ledger(path),
        pytest.raises(DatabaseError, match="added, never changed"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)


def test_models_and_migrations_agree(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    with open_ledger(tmp_path / "a"):
        call_command("makemigrations", "--check", "--dry-run", verbosity=1)
    assert "No changes detected" in capsys.readouterr().out


def test_the_files_that_the_database_keeps_beside_it_are_private_too(tmp_path: Path) -> None:
    path = filled(tmp_path / "a")
    with open_ledger(path) as opened, opened.writing():
        assert {stat.S_IMODE(one.stat().st_mode) for one in tmp_path.iterdir()} == {0o600}
        assert len(names(tmp_path)) > 1
