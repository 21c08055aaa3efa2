"""The page for when things go otherwise: for a cleared plan alone, planned when it is asked for."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from files import race_file

from provand.workspace import plans
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk
from provand.workspace.views import otherwise as view


@pytest.fixture(autouse=True)
def _day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROVAND_TODAY", "2026-11-25")


@pytest.fixture
def desk(ledger: Ledger) -> Desk:
    return race_file(ledger)


def address(desk: Desk) -> str:
    return f"/files/{desk.pk}/plan/otherwise"


def test_each_scenario_stands_with_its_line_and_the_plan_leads_there(
    alba: Client, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(view, "PATIENCE_S", 60.0)
    shown = alba.get(address(desk)).content.decode()
    assert "<b>Lost your gel?</b> Leave it. Go on as planned. Never two at once." in shown
    assert "<b>Much hotter?</b> Start slower. Let thirst lead." in shown
    assert shown.count("<h2") == 5
    assert address(desk) in alba.get(f"/files/{desk.pk}/plan").content.decode()


def test_a_page_that_is_still_planned_says_so_and_asks_again(
    alba: Client, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plans, "otherwise_at", lambda *args, **named: None)
    shown = alba.get(address(desk)).content.decode()
    assert "being planned" in shown
    assert 'http-equiv="refresh"' in shown, "without scripts it asks again too"
    assert re.search(rf'hx-get="{address(desk)}"', shown)


def test_nothing_is_planned_twice(alba: Client, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(view, "PATIENCE_S", 60.0)
    first = alba.get(address(desk)).content
    monkeypatch.setattr(plans, "scenarios", lambda standing: pytest.fail("planned again"))
    assert alba.get(address(desk)).content == first


def test_on_hold_there_is_no_such_page(alba: Client, ledger: Ledger) -> None:
    held = race_file(ledger, health="")
    assert alba.get(address(held)).status_code == 404
