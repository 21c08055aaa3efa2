"""Issuing: a number, a code, who holds what; all of it is kept with its files, or none of it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from answered import answer
from django.db import IntegrityError, OperationalError, connection
from icalendar import Calendar
from ledgers import (
    BY,
    CREW,
    TOVE,
    a_snapshot,
    answers,
    contents,
    drawn_by_hand,
    issued,
    later,
    pinned,
    rows,
    unchanged,
    without_breakfast,
)
from plans import a_case

from provand.finding import BadInput, CannotWork, OnHold
from provand.pack import made as making
from provand.pack import place
from provand.pack.pieces import DEFAULT, KINDS
from provand.workspace import access, actions, placing
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.models import Issue
from provand.workspace.records import Noted


def test_the_first_issue_is_number_one_and_its_files_are_kept_to_the_byte(
    ledger: Ledger, tmp_path: Path
) -> None:
    done = issued(ledger, tmp_path / "out", pieces=DEFAULT)
    assert (done.n, done.former_n, done.unchanged) == (1, None, False)
    by_default = {sheet.name for piece in DEFAULT for sheet in KINDS[piece].sheets}
    assert set(contents(tmp_path / "out")) == by_default - {
        *("home.pdf", "home-letter.pdf", "menu.xlsx", "hotel.pdf"),
    }
    with ledger.reading():
        kept = {one.name: bytes(one.data) for one in access.handouts()}
        issue = access.issues().get()
    assert kept == contents(tmp_path / "out")
    assert json.loads(issue.plan.text)["format"] == "provand.plan/1"
    assert (issue.audit.by, issue.case.typed, issue.plan.code) == (BY, a_snapshot().typed, done.code)


def test_only_the_pieces_that_are_wished_for_are_made_and_kept(ledger: Ledger, tmp_path: Path) -> None:
    assert issued(ledger, tmp_path / "out", pieces=("strip",)).pieces == ("strip",)
    assert list(contents(tmp_path / "out")) == ["strip.pdf"]
    assert rows(ledger)["workspace_handout"] == 1


def test_a_changed_plan_supersedes_and_names_who_still_holds_the_former(
    ledger: Ledger, tmp_path: Path
) -> None:
    first = issued(ledger, tmp_path / "out", to=(TOVE, CREW), pieces=("strip", "calendar", "safety"))
    second = issued(ledger, tmp_path / "out", snapshot=pinned(60), pieces=("strip",))
    assert (second.n, second.former_n, second.former_code) == (2, 1, first.code)
    assert any("60" in line for line in second.difference)
    told = {(one.person, one.n, one.pieces) for one in second.tell}
    assert told == {("Odd Rask", 1, ("strip", "calendar")), ("Tove Askerby", 1, ("calendar",))}


def test_the_same_plan_to_another_person_adds_a_holder_and_keeps_number_and_bytes(
    ledger: Ledger, tmp_path: Path
) -> None:
    first = issued(ledger, tmp_path / "a", pieces=("strip", "calendar"))
    again = issued(ledger, tmp_path / "b", to=(CREW, TOVE), pieces=("strip", "calendar"))
    assert again.unchanged
    assert (again.n, again.code, again.tell) == (first.n, first.code, ())
    assert (again.given, again.held_already) == ((CREW,), (TOVE,))
    assert contents(tmp_path / "a") == contents(tmp_path / "b")
    assert (rows(ledger)["workspace_issue"], rows(ledger)["workspace_handout"]) == (1, 2)


def test_a_piece_that_was_not_made_at_first_comes_with_the_same_number(
    ledger: Ledger, tmp_path: Path
) -> None:
    issued(ledger, tmp_path / "a", pieces=("strip",))
    again = issued(ledger, tmp_path / "b", pieces=("calendar",))
    assert (again.n, again.given) == (1, (TOVE,))
    assert list(contents(tmp_path / "b")) == ["race.ics"]


def test_an_earlier_plan_comes_back_under_its_code_and_a_new_number(ledger: Ledger, tmp_path: Path) -> None:
    codes = [issued(ledger, tmp_path / "out", snapshot=pinned(km)).code for km in (40, 60, 40)]
    assert codes[0] == codes[2] != codes[1]
    with ledger.reading():
        assert [one.n for one in access.issues().filter(plan__code=codes[0]).order_by("n")] == [1, 3]


def test_the_calendar_has_a_higher_sequence_and_takes_back_what_the_new_plan_lacks(
    ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def read() -> dict[str, Any]:
        calendar = Calendar.from_ical((tmp_path / "out" / "race.ics").read_bytes())
        return {str(event["uid"]): event for event in calendar.walk("VEVENT")}

    issued(ledger, tmp_path / "out")
    before = read()
    monkeypatch.setattr(making, "draw_up", lambda *a, **k: without_breakfast(drawn_by_hand(*a, **k)))
    issued(ledger, tmp_path / "out", snapshot=pinned(60))
    after = read()
    assert set(after) == set(before)
    gone = [event for event in after.values() if event.get("status") == "CANCELLED"]
    assert [str(event["summary"]) for event in gone] == ["Cancelled: Breakfast"]
    assert not gone[0].walk("VALARM")
    assert {event["sequence"] for event in before.values()} == {2}
    assert {event["sequence"] for event in after.values()} == {4}


def test_a_race_moved_to_another_day_stays_the_same_race_and_is_told(ledger: Ledger, tmp_path: Path) -> None:
    issued(ledger, tmp_path / "out")
    moved = issued(
        ledger, tmp_path / "out", snapshot=a_snapshot("later").model_copy(update={"case": later(a_case(), 7)})
    )
    assert moved.n == 2
    assert "ledger.other_day" in {finding.code for finding in moved.findings}


def test_pieces_are_not_given_to_an_athlete_whom_the_plan_is_not_of(ledger: Ledger, tmp_path: Path) -> None:
    other = TOVE.model_copy(update={"person": "Tore Askerby"})
    with unchanged(ledger, tmp_path / "out"), pytest.raises(BadInput, match="plan is of Tove Askerby"):
        issued(ledger, tmp_path / "out", to=(CREW, other))


def test_a_code_that_stands_for_other_bytes_is_refused(
    ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("provand.record.code", lambda _: "BBBB-BBBB")
    issued(ledger, tmp_path / "out")
    with unchanged(ledger, tmp_path / "out", but=("audit",)), pytest.raises(BadInput, match="stands already"):
        issued(ledger, tmp_path / "out", snapshot=pinned(60))


def test_on_hold_nothing_is_issued_and_the_safety_page_is_given_and_kept(
    ledger: Ledger, tmp_path: Path
) -> None:
    flagged = answers(answer("heart", "yes"))
    with unchanged(ledger, tmp_path / "out", but=("audit", "athlete", "healthentry")), pytest.raises(OnHold):
        issued(ledger, tmp_path / "out", health=flagged)
    actions.safety_page_given(ledger, case=a_case(), to=(TOVE,), out=tmp_path / "out", by=BY)
    assert list(contents(tmp_path / "out")) == ["safety.pdf"]
    assert rows(ledger)["workspace_issue"] == 0
    assert rows(ledger)["workspace_holder"] == 1


def test_answers_that_come_while_a_plan_is_drawn_up_stop_it(
    ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def meanwhile(*args: Any, **words: Any) -> Any:
        flagged = answers(answer("heart", "yes"))
        actions.health_noted(ledger, case=a_case(), health=flagged, by=BY, as_of=words["as_of"])
        return drawn_by_hand(*args, **words)

    monkeypatch.setattr(making, "draw_up", meanwhile)
    with pytest.raises(BadInput, match="while this plan was drawn up"):
        issued(ledger, tmp_path / "out")
    assert rows(ledger)["workspace_issue"] == 0
    assert not (tmp_path / "out").exists()


def test_a_race_has_one_chain_of_issues_whoever_writes(ledger: Ledger, tmp_path: Path) -> None:
    issued(ledger, tmp_path / "out")
    with ledger.reading():
        first = access.issues().get()
    same = {
        "audit": first.audit, "race": first.race, "plan": first.plan, "case": first.case, "screening": "",
        "as_of": first.as_of, "difference": "", "for_holders": "",
    }  # fmt: skip
    for n, before in ((1, None), (2, None), (3, first)):
        with pytest.raises(IntegrityError), ledger.writing():
            Issue.objects.create(n=n, supersedes=before, **same)
    with ledger.writing():
        Issue.objects.create(n=2, supersedes=first, **same)
    with pytest.raises(IntegrityError), ledger.writing():
        Issue.objects.create(n=2, supersedes=first, **same)


Break = Callable[[pytest.MonkeyPatch], None]


def _no_room(*_: object, **__: object) -> None:
    raise OSError(28, "No space left on device")


def _rename_of(name: str) -> Break:
    def broken(patch: pytest.MonkeyPatch) -> None:
        rename = Path.rename

        def once(self: Path, target: Path) -> Path:
            if self.name == name and not target.exists():
                patch.setattr(Path, "rename", rename)
                _no_room()
            return rename(self, target)

        patch.setattr(Path, "rename", once)

    return broken


def _commit(patch: pytest.MonkeyPatch) -> None:
    def full() -> None:
        raise OperationalError("database or disk is full")

    patch.setattr(connection, "_commit", full)


STEPS: dict[str, Break] = {
    "making the folder aside": lambda patch: patch.setattr(Path, "mkdir", _no_room),
    "writing a file": lambda patch: patch.setattr(place.os, "fsync", _no_room),
    "writing the note": lambda patch: patch.setattr(placing.json, "dumps", _no_room),
    "moving the old folder away": _rename_of("out"),
    "moving the new folder in": _rename_of("new"),
    "keeping the rows": _commit,
}


OVER, INTO_NONE = "over an older folder", "into no folder"
BREAKS = [(step, OVER) for step in STEPS] + [(s, INTO_NONE) for s in STEPS if "old folder" not in s]


@pytest.mark.parametrize(("step", "where"), BREAKS)
def test_a_disk_that_fails_leaves_neither_rows_nor_files(
    ledger: Ledger, tmp_path: Path, step: str, where: str
) -> None:
    out = tmp_path / "packs" / "out"
    out.parent.mkdir()
    if where == OVER:
        issued(ledger, out)
    with (
        unchanged(ledger, out, but=("audit", "athlete", "healthentry")),
        pytest.raises((CannotWork, OSError), match=r"full|No space"),
        pytest.MonkeyPatch.context() as patch,
    ):
        if step == "keeping the rows":
            patch.setattr(actions, "health_noted", lambda *_, **__: Noted(new=0, not_in_file=0))
        STEPS[step](patch)
        issued(ledger, out, snapshot=pinned(60))
    assert issued(ledger, out, snapshot=pinned(60)).n == 1 + (where == OVER)


def test_a_ledger_whose_file_is_full_leaves_neither_rows_nor_files(ledger: Ledger, tmp_path: Path) -> None:
    out = tmp_path / "packs" / "out"
    issued(ledger, out, pieces=("calendar",))
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA page_count")
        pages = cursor.fetchone()[0]
        cursor.execute(f"PRAGMA max_page_count = {pages + 4}")
    with unchanged(ledger, out, but=("audit",)), pytest.raises(CannotWork, match="full"):
        issued(ledger, out, snapshot=pinned(60), pieces=("strip",))
    ledger.close()
    with open_ledger(ledger.path) as opened:
        assert issued(opened, out, snapshot=pinned(60), pieces=("strip",)).n == 2
