"""Changes of a case and their undo: the file as it was, and past nothing that others rely on."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import pytest
from answered import answer
from django.db import OperationalError, connection
from ledgers import BY, a_snapshot, answers, contents, issued, pinned, rows
from plans import a_case

from provand.case.health import Letter
from provand.finding import BadInput, CannotWork
from provand.record import canonical, code
from provand.workspace import access
from provand.workspace.actions import case_changed, case_undone, health_noted
from provand.workspace.ledger import Ledger
from provand.workspace.records import Snapshot

AS_OF = a_case().athlete.body_mass_on


@pytest.fixture
def case_file(tmp_path: Path) -> Path:
    return tmp_path / "cases" / "tove.toml"


def changed(ledger: Ledger, path: Path, *steps: Snapshot) -> None:
    """Let a file go through several cases, each change kept."""
    path.parent.mkdir(exist_ok=True)
    for before, after in pairwise(steps):
        path.write_text(after.typed, "utf-8")
        case_changed(ledger, path=path, before=before, after=after, sentence=f"Now {after.typed}", by=BY)


A, B, C = a_snapshot("a\n"), pinned(50, "b\n"), pinned(60, "c\n")


def test_a_change_keeps_what_stood_before_and_what_stands_now(ledger: Ledger, case_file: Path) -> None:
    changed(ledger, case_file, A, B)
    with ledger.reading():
        first, second = access.case_versions()
    assert (first.n, first.typed, second.n, second.typed) == (1, "a\n", 2, "b\n")
    assert (second.after_id, second.sentence, second.audit.by) == (first.pk, "Now b\n", BY)
    assert second.code == code(canonical(B.case)) == code(second.text.encode("utf-8"))
    assert json.loads(second.text)["format"] == second.format


def test_a_case_written_by_hand_between_two_changes_is_kept_too(ledger: Ledger, case_file: Path) -> None:
    changed(ledger, case_file, A, B)
    changed(ledger, case_file, a_snapshot("by hand\n"), C)
    with ledger.reading():
        assert [one.typed for one in access.case_versions()] == ["a\n", "b\n", "by hand\n", "c\n"]
    case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "by hand\n"
    case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "b\n"


def test_undo_goes_back_one_change_at_a_time_to_the_first(ledger: Ledger, case_file: Path) -> None:
    changed(ledger, case_file, A, B, C)
    undone = case_undone(ledger, path=case_file, by=BY)
    assert (undone.sentence, case_file.read_text("utf-8")) == ("Now c\n", "b\n")
    case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "a\n"
    with pytest.raises(BadInput, match="nothing to undo"):
        case_undone(ledger, path=case_file, by=BY)
    with ledger.reading():
        assert [one.typed for one in access.case_versions()] == ["a\n", "b\n", "c\n", "b\n", "a\n"]


def test_a_change_after_an_undo_is_undone_to_what_the_undo_put_back(ledger: Ledger, case_file: Path) -> None:
    changed(ledger, case_file, A, B, C)
    case_undone(ledger, path=case_file, by=BY)
    changed(ledger, case_file, B, pinned(70, "d\n"))
    case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "b\n"
    case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "a\n"


def test_a_file_written_by_hand_since_is_left_alone(ledger: Ledger, case_file: Path) -> None:
    changed(ledger, case_file, A, B)
    case_file.write_text("mine\n", "utf-8")
    with pytest.raises(BadInput, match="not as the last kept change left it"):
        case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "mine\n"


def test_line_ends_and_the_byte_order_mark_of_the_file_stay(ledger: Ledger, case_file: Path) -> None:
    changed(ledger, case_file, a_snapshot("a\nb\n"), pinned(50, "c\nd\n"))
    case_file.write_bytes(b"\xef\xbb\xbfc\r\nd\r\n")
    case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_bytes() == b"\xef\xbb\xbfa\r\nb\r\n"


def test_an_undo_does_not_pass_an_issue(ledger: Ledger, case_file: Path, tmp_path: Path) -> None:
    changed(ledger, case_file, A, B)
    done = issued(ledger, tmp_path / "out", snapshot=B)
    with pytest.raises(BadInput, match=f"does not pass number 1, {done.code}"):
        case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "b\n"
    changed(ledger, case_file, B, C)
    case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "b\n"
    with pytest.raises(BadInput, match="does not pass number 1"):
        case_undone(ledger, path=case_file, by=BY)


def test_an_undo_does_not_pass_a_health_entry_and_names_its_kind_alone(
    ledger: Ledger, case_file: Path
) -> None:
    changed(ledger, case_file, A, B)
    health_noted(ledger, case=B.case, health=answers(answer("heart", "yes")), by=BY, as_of=AS_OF)
    with pytest.raises(BadInput, match="does not pass a health answer") as refused:
        case_undone(ledger, path=case_file, by=BY)
    assert "heart" not in str(refused.value)
    changed(ledger, case_file, B, C)
    case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "b\n"


def test_the_same_entries_noted_again_and_a_letter_stop_no_undo(ledger: Ledger, case_file: Path) -> None:
    health_noted(ledger, case=A.case, health=answers(), by=BY, as_of=AS_OF)
    changed(ledger, case_file, A, B)
    letter = Letter(about=("heart",), to="Dr Invented", by=BY, on=AS_OF)
    health_noted(ledger, case=B.case, health=answers(letters=(letter,)), by=BY, as_of=AS_OF)
    case_undone(ledger, path=case_file, by=BY)
    assert case_file.read_text("utf-8") == "a\n"


def test_an_undo_that_the_ledger_cannot_keep_leaves_the_file(
    ledger: Ledger, case_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    changed(ledger, case_file, A, B)
    before = rows(ledger), contents(case_file.parent)

    def full() -> None:
        raise OperationalError("database or disk is full")

    with monkeypatch.context() as patch, pytest.raises(CannotWork, match="full"):
        patch.setattr(connection, "_commit", full)
        case_undone(ledger, path=case_file, by=BY)
    assert (rows(ledger), contents(case_file.parent)) == before
