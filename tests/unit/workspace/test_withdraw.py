"""Withdrawing: at once, with a reason that stays in the ledger; a calendar that takes back what it gave."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
import vobject
from icalendar import Calendar
from ledgers import BY, CREW, TOVE, contents, drawn_by_hand, issued, pinned, rows, without_breakfast
from pypdf import PdfReader

from provand.finding import BadInput, CannotWork
from provand.pack import made as making
from provand.workspace import asked
from provand.workspace.actions import taken_back, withdraw
from provand.workspace.ledger import Ledger

WHY = "the vermilion race is off"


def events(data: bytes) -> dict[str, Any]:
    return {str(event["uid"]): event for event in Calendar.from_ical(data).walk("VEVENT")}


def test_a_withdrawn_issue_counts_no_more_and_its_holders_are_named(ledger: Ledger, tmp_path: Path) -> None:
    first = issued(ledger, tmp_path / "out", to=(TOVE, CREW))
    gone = withdraw(ledger, code=first.code, why=WHY, by=BY)
    assert {(one.person, one.n) for one in gone.tell} == {("Odd Rask", 1), ("Tove Askerby", 1)}
    (standing,) = asked.whose(ledger, first.code).issues
    assert not standing.is_current
    assert standing.withdrawn is not None
    assert (standing.why, standing.withdrawn.by) == (WHY, BY)


def test_the_cancelled_calendar_takes_back_every_event_by_its_own_name(
    ledger: Ledger, tmp_path: Path
) -> None:
    first = issued(ledger, tmp_path / "out")
    withdraw(ledger, code=first.code, why=WHY, by=BY)
    files = taken_back(ledger, code=first.code, out=tmp_path / "gone", by=BY)
    assert {path.name for path in files} == {"race-cancelled.ics", "safety.pdf"}
    given = events((tmp_path / "out" / "race.ics").read_bytes())
    data = (tmp_path / "gone" / "race-cancelled.ics").read_bytes()
    taken = events(data)
    assert str(Calendar.from_ical(data)["method"]) == "CANCEL"
    assert set(taken) == set(given)
    for uid, event in taken.items():
        assert str(event["status"]) == "CANCELLED"
        assert event["sequence"] > given[uid]["sequence"]
        assert event["dtstart"].dt == given[uid]["dtstart"].dt
        assert not event.walk("VALARM")
    second_reader = vobject.readOne(data.decode("utf-8"))
    assert second_reader.method.value == "CANCEL"
    assert {event.uid.value for event in second_reader.vevent_list} == set(given)
    assert {event.status.value for event in second_reader.vevent_list} == {"CANCELLED"}


def test_events_of_every_earlier_issue_are_taken_back_too(
    ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    issued(ledger, tmp_path / "out")
    given = events((tmp_path / "out" / "race.ics").read_bytes())
    monkeypatch.setattr(making, "draw_up", lambda *a, **k: without_breakfast(drawn_by_hand(*a, **k)))
    second = issued(ledger, tmp_path / "out", snapshot=pinned(60), pieces=("strip",))
    withdraw(ledger, code=second.code, why=WHY, by=BY)
    taken_back(ledger, code=second.code, out=tmp_path / "gone", by=BY)
    assert set(events((tmp_path / "gone" / "race-cancelled.ics").read_bytes())) == set(given)


def test_where_no_calendar_was_given_there_is_none_to_cancel(ledger: Ledger, tmp_path: Path) -> None:
    first = issued(ledger, tmp_path / "out", pieces=("strip",))
    withdraw(ledger, code=first.code, why=WHY, by=BY)
    taken_back(ledger, code=first.code, out=tmp_path / "gone", by=BY)
    assert list(contents(tmp_path / "gone")) == ["safety.pdf"]


def test_asked_again_the_very_files_come_again(ledger: Ledger, tmp_path: Path) -> None:
    first = issued(ledger, tmp_path / "out")
    withdraw(ledger, code=first.code, why=WHY, by=BY)
    for name in ("gone", "again"):
        taken_back(ledger, code=first.code, out=tmp_path / name, by=BY)
    assert contents(tmp_path / "gone") == contents(tmp_path / "again")
    assert rows(ledger)["workspace_handout"] == 3


def test_the_reason_stands_on_nothing_that_is_handed_out(ledger: Ledger, tmp_path: Path) -> None:
    first = issued(ledger, tmp_path / "out")
    withdraw(ledger, code=first.code, why=WHY, by=BY)
    taken_back(ledger, code=first.code, out=tmp_path / "gone", by=BY)
    gone = contents(tmp_path / "gone")
    told = [data.decode("utf-8") for name, data in gone.items() if name.endswith(".ics")]
    pages = PdfReader(io.BytesIO(gone["safety.pdf"])).pages
    assert "vermilion" not in " ".join([*told, *(page.extract_text() for page in pages)])


def test_a_plan_issued_after_a_withdrawal_has_the_next_number_and_a_higher_sequence(
    ledger: Ledger, tmp_path: Path
) -> None:
    first = issued(ledger, tmp_path / "out")
    withdraw(ledger, code=first.code, why=WHY, by=BY)
    taken_back(ledger, code=first.code, out=tmp_path / "gone", by=BY)
    again = issued(ledger, tmp_path / "out")
    assert (again.n, again.code, again.unchanged) == (2, first.code, False)
    cancelled = events((tmp_path / "gone" / "race-cancelled.ics").read_bytes())
    for uid, event in events((tmp_path / "out" / "race.ics").read_bytes()).items():
        assert event["sequence"] > cancelled[uid]["sequence"]
    assert [one.is_current for one in asked.whose(ledger, first.code).issues] == [True, False]
    with pytest.raises(BadInput, match="not withdrawn"):
        taken_back(ledger, code=first.code, out=tmp_path / "gone", by=BY)


def test_only_what_counts_can_be_withdrawn_and_only_once(ledger: Ledger, tmp_path: Path) -> None:
    first = issued(ledger, tmp_path / "out")
    with pytest.raises(BadInput, match="not withdrawn"):
        taken_back(ledger, code=first.code, out=tmp_path / "gone", by=BY)
    second = issued(ledger, tmp_path / "out", snapshot=pinned(60))
    with pytest.raises(BadInput, match=f"number 2, {second.code}, came after it"):
        withdraw(ledger, code=first.code, why=WHY, by=BY)
    withdraw(ledger, code=second.code, why=WHY, by=BY)
    with pytest.raises(BadInput, match="withdrawn already"):
        withdraw(ledger, code=second.code, why=WHY, by=BY)
    with pytest.raises(BadInput, match="no plan with this code"):
        withdraw(ledger, code="BBBB-BBBB", why=WHY, by=BY)


def test_a_withdrawal_stands_though_its_files_cannot_be_written(ledger: Ledger, tmp_path: Path) -> None:
    first = issued(ledger, tmp_path / "out")
    withdraw(ledger, code=first.code, why=WHY, by=BY)
    (tmp_path / "file").write_text("x")
    with pytest.raises((BadInput, CannotWork)):
        taken_back(ledger, code=first.code, out=tmp_path / "file", by=BY)
    assert not asked.whose(ledger, first.code).issues[0].is_current
    assert rows(ledger)["workspace_handout"] == 1
