"""The athletes: the list, one of them, a new one, another race."""

from __future__ import annotations

from importlib.resources import files

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from practice import person

from provand.workspace import desk as desks
from provand.workspace import people
from provand.workspace.ledger import Ledger
from provand.workspace.listed import AT_ONCE
from provand.workspace.models import Athlete, Desk, Share
from provand.workspace.trail import trail
from provand.workspace.views.clock import today

STARTER = files("provand.case").joinpath("starter.toml").read_text("utf-8")


@pytest.fixture
def alex(ledger: Ledger) -> Athlete:
    """Return Alba's athlete with a settled race file."""
    desk = desks.opened(ledger, by=person("Alba"), typed=STARTER)
    read = desks.read(desk, as_of=today())
    assert read.case
    version = desks.settled(ledger, desk=desk, case=read.case, sentence=desks.TYPED, by=person("Alba"))
    return version.race.athlete


def test_an_empty_practice_says_how_an_athlete_begins(alba: Client) -> None:
    assert "A new athlete begins with a race file" in alba.get("/athletes").content.decode()


def test_the_list_shows_name_next_race_and_state(alba: Client, alex: Athlete) -> None:
    page = alba.get("/athletes").content.decode()
    for word in ("Alex Sample", "Sample Half", "6 Dec 2026", "no plan issued"):
        assert word in page


def test_an_athlete_shows_the_race_files(alba: Client, alex: Athlete) -> None:
    page = alba.get(f"/athletes/{alex.pk}").content.decode()
    assert f"/files/{Desk.objects.get().pk}" in page
    assert "your own" in page


def test_a_colleague_sees_an_athlete_that_is_shared(bo: Client, alex: Athlete, ledger: Ledger) -> None:
    assert bo.get(f"/athletes/{alex.pk}").status_code == 404
    people.shared(ledger, athlete=alex, user=person("Bo"), by=person("Alba"))
    assert "shared with you" in bo.get(f"/athletes/{alex.pk}").content.decode()
    assert "Alex Sample" in bo.get("/athletes").content.decode()


def test_a_stranger_finds_nobody(cai: Client, alex: Athlete) -> None:
    assert cai.get(f"/athletes/{alex.pk}").status_code == 404
    assert cai.post(f"/athletes/{alex.pk}/race").status_code == 404
    assert "Alex Sample" not in cai.get("/athletes").content.decode()


def test_an_assistant_sees_no_way_to_the_health_answers(dana: Client, alex: Athlete, ledger: Ledger) -> None:
    people.shared(ledger, athlete=alex, user=person("Dana"), by=person("Alba"))
    page = dana.get(f"/athletes/{alex.pk}").content.decode()
    assert "Alex Sample" in page
    assert "/screening" not in page
    assert "on hold: ask the practitioner" in page


@pytest.mark.parametrize("bad", ["/athletes/0", "/athletes/999999", "/athletes/x", "/athletes/-1"])
def test_an_athlete_that_is_not_there_is_not_found(alba: Client, bad: str) -> None:
    assert alba.get(bad).status_code == 404


@pytest.mark.parametrize("page", ["0", "-1", "x", "99999999999", "2"])
def test_a_page_of_the_list_that_is_not_there_is_the_nearest(alba: Client, page: str) -> None:
    assert alba.get(f"/athletes?page={page}").status_code == 200


def test_reading_does_not_write_and_writing_is_posted(alba: Client, alex: Athlete) -> None:
    assert alba.post("/athletes").status_code == 405
    assert alba.get("/athletes/new").status_code == 405
    assert alba.get(f"/athletes/{alex.pk}/race").status_code == 405


def test_a_new_athlete_opens_an_empty_race_file(alba: Client) -> None:
    onward = alba.post("/athletes/new").headers["Location"]
    assert onward == f"/files/{Desk.objects.get().pk}"
    assert alba.get(onward).status_code == 200
    assert "a new athlete" in alba.get("/athletes").content.decode()


def test_another_race_begins_with_what_is_known(alba: Client, alex: Athlete) -> None:
    page = alba.get(alba.post(f"/athletes/{alex.pk}/race").headers["Location"]).content.decode()
    assert 'value="Alex Sample"' in page
    assert 'value="Sample Half"' not in page


def test_the_list_asks_the_same_few_questions_however_many_there_are(alba: Client, alex: Athlete) -> None:
    counted = []
    for turn in range(2):
        with CaptureQueriesContext(connection) as queries:
            alba.get("/athletes")
        counted.append(len(queries))
        audit = trail("x", "x", by="x")
        many = [
            Athlete(audit=audit, name=f"Invented {turn}-{n}", name_key=f"invented {turn}-{n}", born=None)
            for n in range(AT_ONCE + 5)
        ]
        for one in Athlete.objects.bulk_create(many):
            Share.objects.create(audit=audit, athlete=one, user=person("Alba"), kind="own")
    assert counted[0] == counted[1]
    assert "page 1 of 3" in alba.get("/athletes").content.decode()
