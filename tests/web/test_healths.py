"""Health entries put together again, and the day that pages judge by."""

from __future__ import annotations

from datetime import date
from importlib.resources import files

import pytest

from provand.case.door import case_of, health_of, in_folder
from provand.case.files import toml_in
from provand.workspace import access, healths
from provand.workspace.actions import health_noted
from provand.workspace.ledger import Ledger
from provand.workspace.noted import digests
from provand.workspace.views import clock

FOLDER = files("provand.case")
AS_OF = date(2026, 11, 25)


def test_what_was_noted_comes_back_entry_for_entry(ledger: Ledger) -> None:
    data = toml_in(FOLDER.joinpath("starter.toml").read_bytes(), "starter")
    case = case_of(data, beside=in_folder(FOLDER), as_of=AS_OF)  # type: ignore[arg-type]  # on disk
    typed = toml_in(FOLDER.joinpath("starter.health.toml").read_bytes(), "health")
    health = health_of(typed, name="health")
    health_noted(ledger, case=case, health=health, by="Alba", as_of=AS_OF)
    athlete = access.athlete(case.athlete.name, case.athlete.born)
    kept = healths.health_of(athlete)
    assert kept is not None
    assert digests(kept) == digests(health)
    assert (kept.athlete, kept.born) == (case.athlete.name, case.athlete.born)


def test_of_whom_nothing_was_noted_nothing_is_known(ledger: Ledger) -> None:
    assert healths.health_of(None) is None


def test_pages_judge_by_today_or_by_the_day_that_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    assert clock.today() == date.today()
    monkeypatch.setenv("PROVAND_TODAY", "2026-12-01")
    assert clock.today() == date(2026, 12, 1)
