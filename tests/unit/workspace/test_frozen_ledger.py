"""A ledger that the first program made opens, and all that it kept is read as it was."""

from __future__ import annotations

import gzip
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from answered import answer
from django.db import connection
from ledgers import AS_OF, BY, answers, by_hand, issued, pinned

from provand.plan.document import read_plan
from provand.record import code
from provand.workspace import access, guards
from provand.workspace.actions import health_noted
from provand.workspace.asked import held, whose
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.noted import case_of

FROZEN = Path(__file__).resolve().parents[2] / "formats" / "ledger-0001.sqlite3.gz"


@pytest.fixture
def old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Ledger]:
    by_hand(monkeypatch)
    path = tmp_path / "ledger.sqlite3"
    path.write_bytes(gzip.decompress(FROZEN.read_bytes()))
    with open_ledger(path) as opened:
        yield opened


def test_it_is_brought_up_to_date_with_every_guard(old: Ledger) -> None:
    assert set(guards.guards()) <= guards.standing(connection)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA foreign_key_check")
        assert cursor.fetchall() == []


def test_its_plans_keep_their_codes_and_its_cases_are_read(old: Ledger) -> None:
    with old.reading():
        for issue in access.issues():
            assert code(issue.plan.text.encode("utf-8")) == issue.plan.code
            assert case_of(issue.case).athlete.name == "Tove Askerby"
            assert read_plan(issue.plan.text.encode("utf-8"), "kept").case.race.name == issue.race.name


def test_it_answers_what_is_asked(old: Ledger) -> None:
    newest, first = held(old, "Tove Askerby", on=date(2030, 1, 1)).own
    assert first.standing is not None
    assert newest.standing is not None
    assert (first.standing.superseded_by_n, newest.standing.why) == (2, "the race is off")
    assert not whose(old, newest.standing.code).issues[0].is_current
    assert [one.role for one in held(old, "Odd Rask", on=date(2030, 1, 1)).own] == ["crew"]


def test_it_goes_on_with_the_next_number_and_looks_at_new_answers(old: Ledger, tmp_path: Path) -> None:
    done = issued(old, tmp_path / "out", snapshot=pinned(70))
    assert (done.n, done.former_n) == (3, 2)
    case = pinned(70).case
    flagged = health_noted(old, case=case, health=answers(answer("heart", "yes")), by=BY, as_of=AS_OF)
    assert (flagged.new, [one.n for one in flagged.withdrawn]) == (1, [3])
