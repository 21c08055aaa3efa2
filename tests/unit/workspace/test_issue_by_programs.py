"""Programs of their own: killed in the middle, or issuing at the same moment."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from ledgers import contents, issued, pinned, rows

from provand.workspace import access
from provand.workspace.ledger import Ledger, open_ledger

HERE = Path(__file__).parent


def issuer(ledger: Path, out: Path, *words: str) -> subprocess.Popen[str]:
    """Start a program that issues plans made by hand."""
    path = os.pathsep.join([str(HERE), str(HERE.parent), *sys.path])
    return subprocess.Popen(
        [sys.executable, str(HERE / "issuer.py"), str(ledger), str(out), *words],
        env={**os.environ, "PYTHONPATH": path},
        stderr=subprocess.PIPE,
        text=True,
    )


UNKEPT = (
    "note half written", "files being written aside", "files written aside",
    "old folder moved away", "new folder in place",
    "rows about to be kept",
)  # fmt: skip


@pytest.mark.parametrize("step", UNKEPT)
def test_a_program_killed_before_the_rows_are_kept_leaves_neither_rows_nor_files(
    ledger: Ledger, tmp_path: Path, step: str
) -> None:
    out = tmp_path / "packs" / "out"
    out.parent.mkdir()
    issued(ledger, out)
    before = contents(out), rows(ledger)["workspace_issue"], rows(ledger)["workspace_handout"]
    ledger.close()
    program = issuer(ledger.path, out, "1", "60", step)
    said = program.communicate()
    assert program.returncode == 9, said
    with open_ledger(ledger.path):
        after = contents(out), rows(ledger)["workspace_issue"], rows(ledger)["workspace_handout"]
    assert after == before
    assert not [path.name for path in ledger.path.parent.iterdir() if ".placing-" in path.name]
    assert [path.name for path in out.parent.iterdir()] == ["out"]
    with open_ledger(ledger.path) as opened:
        assert issued(opened, out, snapshot=pinned(60)).n == 2


def test_a_program_killed_after_the_rows_are_kept_leaves_both(ledger: Ledger, tmp_path: Path) -> None:
    out = tmp_path / "packs" / "out"
    out.parent.mkdir()
    issued(ledger, out)
    before = contents(out)
    ledger.close()
    program = issuer(ledger.path, out, "1", "60", "rows kept")
    said = program.communicate()
    assert program.returncode == 9, said
    with open_ledger(ledger.path) as opened:
        assert rows(ledger)["workspace_issue"] == 2
        with opened.reading():
            kept = {one.name: bytes(one.data) for one in access.handouts().filter(issue__n=2)}
    assert contents(out) == kept != before
    assert [path.name for path in out.parent.iterdir()] == ["out"]


def test_two_programs_at_once_number_their_issues_in_one_order(ledger: Ledger, tmp_path: Path) -> None:
    ledger.close()
    started = [issuer(ledger.path, tmp_path / f"out-{first}", "4", str(first)) for first in (40, 60)]
    said = [program.communicate() for program in started]
    assert [program.returncode for program in started] == [0, 0], said
    with open_ledger(ledger.path) as opened, opened.reading():
        found = list(access.issues().order_by("audit_id"))
        assert [one.n for one in found] == list(range(1, 9))
        assert [one.supersedes_id for one in found] == [None, *(one.pk for one in found[:-1])]
        assert len({one.plan.code for one in found}) == 8
