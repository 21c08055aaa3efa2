"""Two versions of a plan: on one strip, in words, line by line, in figures; who may see them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.test import Client
from files import AS_OF, case_at, race_file
from practice import person

from provand.case.change import change_of
from provand.protocol.own import shipped
from provand.workspace import healths
from provand.workspace.actions import issue
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk
from provand.workspace.plan_edit import edited
from provand.workspace.records import Recipient, Snapshot


@pytest.fixture(autouse=True)
def _day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROVAND_TODAY", AS_OF.isoformat())


@pytest.fixture
def desk(ledger: Ledger, tmp_path: Path) -> Desk:
    """Return a race file whose plan was issued, and then moved, swapped and thinned by hand."""
    desk = race_file(ledger)
    issue(
        ledger,
        snapshot=Snapshot(typed=desk.typed, case=case_at(desk)),
        health=healths.health_of(desk.athlete),
        protocols=shipped("position-stands"),
        to=[Recipient(person="Alex Sample", role="athlete")],
        out=tmp_path / "out",
        by="Alba",
        as_of=AS_OF,
    )
    for change in (
        {"kind": "move", "item": "gel-25", "at": "5000 m", "to": "5600 m"},
        {"kind": "swap", "item": "gel-25", "at": "10 km", "other": "house-gel"},
        {"kind": "pin", "item": "gel-isotonic", "at": "12 km"},
    ):
        now = Desk.objects.select_related("athlete", "standing", "race").get(pk=desk.pk)
        edited(
            ledger,
            desk=now,
            revision=now.revision,
            change=change_of(change),
            by=person("Alba"),
            as_of=AS_OF,
        )
    return desk


def page(client: Client, desk: Desk, n: int = 1, m: int = 2) -> str:
    answer = client.get(f"/files/{desk.pk}/between/{n}/{m}")
    assert answer.status_code == 200
    return answer.content.decode()


def test_an_issue_and_the_draft_after_it_stand_on_one_strip(alba: Client, desk: Desk) -> None:
    shown = page(alba, desk)
    assert "What version 2 changes" in shown
    assert "version 1, issued" in shown
    assert "version 2, draft" in shown
    for kind in ("kept", "moved", "swapped", "new"):
        assert f"<b>{kind}</b>" in shown or f">{kind}</span>" in shown
    level, turned = shown.split('class="strip-turned strip-two"')
    assert level.count('class="strip"') == turned.count('class="strip"') == 1
    assert " style=" not in shown


def test_each_lozenge_of_the_strip_leads_to_its_sentence(alba: Client, desk: Desk) -> None:
    shown = page(alba, desk)
    strip = shown.split('class="strip"')[1].split("</svg>")[0]
    on_strip = re.findall(r'class="lozenge-figure"[^>]*>(\d+)<', strip)
    words = shown.split('id="words"')[1].split("</ol>")[0]
    assert on_strip == re.findall(r'aria-label="caution (\d+)"', words)
    for number, says in (("1", "moved from"), ("2", "instead of"), ("3", "is added at")):
        sentence = words.split(f'aria-label="caution {number}"')[1].split("</li>")[0]
        assert says in sentence


def test_figures_of_both_stand_beside_their_difference(alba: Client, desk: Desk) -> None:
    table = page(alba, desk).split("In figures</caption>")[1].split("</table>")[0]
    row = next(
        part for part in table.split("<tr>") if "Carbohydrate, planned" in part and "whole race" in part
    )
    was, now, differs = re.findall(r"<td[^>]*>([^<]*)</td>", row)
    assert was != now
    assert differs.startswith("+ ")
    assert "same" in table


def test_numbers_turned_round_are_put_in_order(alba: Client, desk: Desk) -> None:
    answer = alba.get(f"/files/{desk.pk}/between/2/1")
    assert answer.headers["Location"] == f"/files/{desk.pk}/between/1/2"


def test_a_version_does_not_differ_from_itself(alba: Client, desk: Desk) -> None:
    answer = alba.get(f"/files/{desk.pk}/between/1/1")
    assert answer.status_code == 422
    assert "does not differ from itself" in answer.content.decode()


def test_the_plan_leads_to_what_changed_since_the_last_issue(alba: Client, desk: Desk) -> None:
    shown = alba.get(f"/files/{desk.pk}/plan").content.decode()
    assert f'href="/files/{desk.pk}/between/1/2"' in shown
    assert "Version 2, draft" in shown


def test_who_may_see_the_athlete_sees_both_versions(
    bo: Client, dana: Client, cai: Client, desk: Desk
) -> None:
    for client in (bo, dana):
        assert "What version 2 changes" in page(client, desk)
    assert cai.get(f"/files/{desk.pk}/between/1/2").status_code == 404


def test_a_version_that_is_not_there_is_404(alba: Client, desk: Desk) -> None:
    for path in ("1/3", "0/1", "1/999"):
        assert alba.get(f"/files/{desk.pk}/between/{path}").status_code == 404
    assert alba.get(f"/files/{desk.pk}/between/x/y").status_code == 404


def test_the_page_is_only_read(alba: Client, desk: Desk) -> None:
    assert alba.post(f"/files/{desk.pk}/between/1/2").status_code == 405
