"""What people ask: what somebody held on a day, and whose a code is; nothing is guessed."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from ledgers import BY, CREW, TOVE, a_snapshot, answers, contents, issued, pinned
from plans import a_case

from provand.finding import BadInput
from provand.pack.write import write_files
from provand.workspace import trail
from provand.workspace.actions import safety_page_given, withdraw
from provand.workspace.asked import copies, held, read_code, whose
from provand.workspace.ledger import Ledger
from provand.workspace.records import Recipient, Snapshot


@pytest.fixture(autouse=True)
def _far_from_greenwich(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Let the practitioner's clock be ten and a half hours ahead."""
    with monkeypatch.context() as patch:
        patch.setenv("TZ", "Australia/Adelaide")
        time.tzset()
        yield
    time.tzset()


def at(monkeypatch: pytest.MonkeyPatch, *moment: int) -> None:
    """Let the next acts happen at a moment of world time."""

    class Clock(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            return datetime(*moment, tzinfo=UTC)  # type: ignore[arg-type]

    monkeypatch.setattr(trail, "datetime", Clock)


def test_what_was_held_on_a_day_is_told_with_what_counted_then_and_what_became_of_it(
    ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at(monkeypatch, 2026, 4, 1, 2, 0)
    first = issued(ledger, tmp_path / "out", pieces=("strip", "safety"))
    at(monkeypatch, 2026, 4, 4, 2, 0)
    second = issued(ledger, tmp_path / "out", snapshot=pinned(60), pieces=("strip",))
    on_third = held(ledger, "tove  ASKERBY", on=date(2026, 4, 3))
    (one,) = on_third.own
    assert one.standing is not None
    assert (one.standing.n, one.standing.code, one.pieces) == (1, first.code, ("strip", "safety"))
    assert one.counted_then
    assert one.standing.superseded_by_code == second.code
    on_fourth = held(ledger, "Tove Askerby", on=date(2026, 4, 4))
    assert [(h.standing.n, h.counted_then) for h in on_fourth.own if h.standing] == [(2, True), (1, False)]
    at(monkeypatch, 2026, 4, 6, 2, 0)
    withdraw(ledger, code=second.code, why="off", by=BY)
    on_sixth = held(ledger, "Tove Askerby", on=date(2026, 4, 6)).own
    assert [one.counted_then for one in on_sixth] == [False, False]
    assert held(ledger, "Tove Askerby", on=date(2026, 4, 5)).own[0].counted_then


def test_a_day_ends_at_the_practitioners_own_midnight(
    ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at(monkeypatch, 2026, 4, 3, 13, 29)  # 23:59 there
    issued(ledger, tmp_path / "out")
    at(monkeypatch, 2026, 4, 3, 13, 30)  # midnight there
    issued(ledger, tmp_path / "out", snapshot=pinned(60))
    assert len(held(ledger, "Tove Askerby", on=date(2026, 4, 2)).own) == 0
    assert len(held(ledger, "Tove Askerby", on=date(2026, 4, 3)).own) == 1
    assert len(held(ledger, "Tove Askerby", on=date(2026, 4, 4)).own) == 2
    assert len(held(ledger, "Tove Askerby", on=date(9999, 12, 31)).own) == 2


def test_a_holder_is_found_by_name_and_an_athlete_is_told_who_else_holds(
    ledger: Ledger, tmp_path: Path
) -> None:
    issued(ledger, tmp_path / "out", to=(CREW,))
    today = datetime.now().date()
    assert [one.role for one in held(ledger, "odd rask", on=today).own] == ["crew"]
    athlete = held(ledger, "Tove Askerby", on=today)
    assert (athlete.own, [one.person for one in athlete.others]) == ((), ["Odd Rask"])


def test_a_safety_page_without_a_plan_is_held_too(ledger: Ledger, tmp_path: Path) -> None:
    safety_page_given(ledger, case=a_case(), to=(TOVE,), out=tmp_path / "out", by=BY)
    (one,) = held(ledger, "Tove Askerby", on=datetime.now().date()).own
    assert (one.standing, one.pieces) == (None, ("safety",))


def test_a_name_that_nobody_has_is_not_guessed(ledger: Ledger, tmp_path: Path) -> None:
    issued(ledger, tmp_path / "out", to=(TOVE, CREW))
    for typed, meant in (("Tove Askerbi", "Tove Askerby"), ("Od Rask", "Odd Rask")):
        with pytest.raises(BadInput, match=f"Was {meant} meant"):
            held(ledger, typed, on=date(2030, 1, 1))
    with pytest.raises(BadInput, match="Look at the spelling"):
        held(ledger, "Quentin Zyx", on=date(2030, 1, 1))


def test_two_athletes_of_one_name_are_told_apart_by_birth_date(ledger: Ledger, tmp_path: Path) -> None:
    case = a_case()
    younger = case.model_copy(update={"athlete": case.athlete.model_copy(update={"born": date(1999, 9, 9)})})
    issued(ledger, tmp_path / "a")
    issued(ledger, tmp_path / "b", snapshot=Snapshot(typed="y", case=younger), health=answers(case=younger))
    today = datetime.now().date()
    with pytest.raises(BadInput, match="2 athletes have this name, born 1991-04-02, 1999-09-09"):
        held(ledger, "Tove Askerby", on=today)
    (own,) = held(ledger, "Tove Askerby", on=today, born=date(1999, 9, 9)).own
    assert own.standing is not None
    assert own.standing.born == date(1999, 9, 9)
    with pytest.raises(BadInput, match="Athletes of this name were born 1991-04-02, 1999-09-09"):
        held(ledger, "Tove Askerby", on=today, born=date(1950, 1, 1))


def test_the_very_bytes_are_written_again_one_folder_for_each_issue(ledger: Ledger, tmp_path: Path) -> None:
    first = issued(ledger, tmp_path / "a", pieces=("strip",))
    second = issued(ledger, tmp_path / "b", snapshot=pinned(60), pieces=("strip", "calendar"))
    found = copies(ledger, held(ledger, "Tove Askerby", on=datetime.now().date()).own)
    assert set(found) == {f"1-{first.code}", f"2-{second.code}"}
    write_files(found[f"2-{second.code}"], tmp_path / "again")
    assert contents(tmp_path / "again") == contents(tmp_path / "b")


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("p36z-syw4", "P36Z-SYW4"),
        (" P36ZSYW4 ", "P36Z-SYW4"),
        ("p36z syw4", "P36Z-SYW4"),
        ("O1IL-BBBB", "0111-BBBB"),
        ("P36Z\u2013SYW4", "P36Z-SYW4"),
    ],
)
def test_a_code_is_read_whatever_its_case_hyphens_and_look_alikes(typed: str, read: str) -> None:
    assert read_code(typed) == read


def test_a_code_is_told_with_whose_it_is_and_whether_it_counts(ledger: Ledger, tmp_path: Path) -> None:
    first = issued(ledger, tmp_path / "out", to=(TOVE, CREW))
    (standing,) = whose(ledger, first.code.lower().replace("-", "")).issues
    assert standing.is_current
    assert (standing.athlete, standing.race, standing.holders) == (
        "Tove Askerby", "Quernbeck Half Marathon", ("Tove Askerby (athlete)", "Odd Rask (crew)"),
    )  # fmt: skip
    second = issued(ledger, tmp_path / "out", snapshot=pinned(60))
    (gone,) = whose(ledger, first.code).issues
    assert not gone.is_current
    assert (gone.superseded_by_n, gone.superseded_by_code) == (2, second.code)


def test_a_code_with_a_slip_is_answered_by_those_near_it_and_never_taken_for_one(
    ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("provand.record.code", lambda _: "P36Z-SYW4")
    issued(ledger, tmp_path / "out")
    for slip in ("P36Z-SYW5", "P36Z-YSW4", "P36Z-SY4", "P36S-SYW4", "P36Z-SYUU"):
        with pytest.raises(BadInput, match="Was P36Z-SYW4 meant"):
            whose(ledger, slip)
    with pytest.raises(BadInput, match=r"here are 3\.") as short:
        whose(ledger, "P36")
    assert "P36Z" not in str(short.value)
    with pytest.raises(BadInput, match="No code has A, E"):
        whose(ledger, "AEAE-BBBB")
    with pytest.raises(BadInput, match="Look at the page again"):
        whose(ledger, "BBBB-BBBB")


def test_a_guide_and_an_athlete_of_one_name_are_not_mixed_by_birth_date(
    ledger: Ledger, tmp_path: Path
) -> None:
    guide = Recipient(person="Tove Askerby", role="guide")
    case = a_case()
    other = case.model_copy(
        update={"athlete": case.athlete.model_copy(update={"name": "Ola Berg", "born": date(1970, 1, 1)})}
    )
    issued(ledger, tmp_path / "a", snapshot=a_snapshot())
    issued(
        ledger, tmp_path / "b", snapshot=Snapshot(typed="o", case=other), to=(guide,),
        health=answers(case=other),
    )  # fmt: skip
    own = held(ledger, "Tove Askerby", on=datetime.now().date(), born=date(1991, 4, 2)).own
    assert {(one.role, one.athlete) for one in own} == {("guide", "Ola Berg"), ("athlete", "Tove Askerby")}
