"""The day's list: who races when, what is due and on hold; nothing of health for an assistant."""

from __future__ import annotations

from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from practice import person

from provand.case.typed import put
from provand.workspace import access, daylist, people
from provand.workspace import desk as desks
from provand.workspace.access import Seen
from provand.workspace.daylist import Line, day_of, line_of
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Note

DAY = date(2026, 11, 25)


@pytest.fixture
def demo(ledger: Ledger) -> dict[str, Desk]:
    made = demo_loaded(ledger, by=person("Alba"), today=DAY)
    return {desk.title.split()[0]: Desk.objects.get(pk=desk.pk) for desk in made}


def test_an_empty_practice_says_what_is_missing_and_offers_the_demo(alba: Client) -> None:
    shown_page = alba.get("/").content.decode()
    assert "What is missing" in shown_page
    assert alba.post("/demo").headers["Location"] == "/"
    filled = alba.get("/").content.decode()
    assert "Imke Loam" in filled
    assert "What is missing" not in filled


def test_the_first_steps_stay_until_a_race_stands(alba: Client, ledger: Ledger) -> None:
    assert 'action="/athletes/new"' in alba.get("/").content.decode()
    address = alba.post("/athletes/new").headers["Location"]
    begun = alba.get("/").content.decode()
    assert "Go on where you were" in begun
    assert f'href="{address}"' in begun
    desk = Desk.objects.get()
    step = [put("athlete.name", "Ines Inventada")]
    desks.typed_in(ledger, desk=desk, revision=desk.revision, steps=step, says="name", by=person("Alba"))
    named = alba.get("/").content.decode()
    assert "Begun: Ines Inventada" in named
    assert "To the race file" in named
    demo_loaded(ledger, by=person("Alba"), today=DAY)
    assert "What is missing" not in alba.get("/").content.decode()


def test_an_assistant_is_offered_nothing_to_begin(dana: Client) -> None:
    page = dana.get("/").content.decode()
    assert "A practitioner begins it" in page
    assert "<form method" not in page


def test_the_day_tells_who_races_what_is_due_and_who_is_on_hold(alba: Client, demo: dict[str, Desk]) -> None:
    page = alba.get("/").content.decode()
    assert "Sunday 6 December 2026" in page
    assert "in 11 days" in page
    assert "nobody holds a plan yet" in page
    assert "Screening" not in page or "On hold" in page
    assert page.count('class="hold"') == 1


@pytest.mark.parametrize(
    ("day", "said"),
    [("2026-11-29", "7 d"), ("2026-12-03", "3 d"), ("2026-12-05", "1 d")],
)
def test_the_forecast_is_due_seven_three_and_one_days_before(
    alba: Client, demo: dict[str, Desk], monkeypatch: pytest.MonkeyPatch, day: str, said: str
) -> None:
    monkeypatch.setenv("PROVAND_TODAY", day)
    assert f"check the forecast, {said}" in alba.get("/").content.decode()


def test_an_assistant_is_told_of_a_hold_and_no_reason(
    ledger: Ledger, alba: Client, dana: Client, demo: dict[str, Desk]
) -> None:
    for desk in demo.values():
        people.shared(ledger, athlete=desk.athlete, user=person("Dana"), by=person("Alba"))
    reasons = alba.get("/").content.decode()
    hidden = dana.get("/").content.decode()
    assert "lowers blood sugar" in reasons
    assert "lowers blood sugar" not in hidden
    assert "On hold: ask the practitioner." in hidden


def test_a_stranger_sees_nobody(cai: Client, demo: dict[str, Desk]) -> None:
    page = cai.get("/").content.decode()
    assert "Imke" not in page
    assert "What is missing" in page
    assert "Imke" not in cai.get("/find", {"q": "imke"}).content.decode().replace("“imke”", "")


def test_a_line_is_the_copy_of_what_it_rests_on(ledger: Ledger, demo: dict[str, Desk]) -> None:
    listed = day_of(Seen(person("Alba")), today=DAY)
    assert listed.in_all == 5
    for one in listed.lines:
        desk = Desk.objects.get(pk=one.desk.pk)
        assert Line.model_validate_json(desk.line) == line_of(desk, today=DAY)[0]


def test_what_is_due_and_held_is_told_from_every_page_of_the_list(
    alba: Client, demo: dict[str, Desk], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(daylist, "PAGE", 1)
    for page in ("1", "3"):
        shown = alba.get(f"/?page={page}").content.decode()
        assert "Per Quillon" in shown
        assert "Imke Loam" in shown
        assert shown.count("nobody holds a plan yet") >= 3


def test_an_incident_is_due_until_it_is_answered(ledger: Ledger, alba: Client, demo: dict[str, Desk]) -> None:
    alba.get("/")
    athlete = demo["Imke"].athlete
    add = f"/athletes/{athlete.pk}/notes/add"
    alba.post(add, {"text": "Collapsed (invented)", "kind": "incident", "on": "2026-11-24"})
    assert "an incident waits for an answer" in alba.get("/").content.decode()
    alba.post(add, {"text": "Seen to.", "kind": "answer", "answers": Note.objects.get().pk})
    assert "an incident waits" not in alba.get("/").content.decode()


def test_the_day_asks_the_database_as_often_for_many_as_for_few(alba: Client, demo: dict[str, Desk]) -> None:
    alba.get("/")
    with CaptureQueriesContext(connection) as five:
        alba.get("/")
    Desk.objects.exclude(pk=demo["Imke"].pk).update(put_away=True)
    with CaptureQueriesContext(connection) as one:
        alba.get("/")
    assert len(five) == len(one)


@pytest.mark.parametrize("asked", ["", "\0", "x" * 5000, "<script>", "مرحبا", "' OR 1=1 --", "%", "_"])
def test_finding_takes_any_letters(alba: Client, demo: dict[str, Desk], asked: str) -> None:
    answer = alba.get("/find", {"q": asked})
    assert answer.status_code == 200
    assert "<script>" not in answer.content.decode()


def test_the_day_and_finding_only_read(alba: Client, ledger: Ledger) -> None:
    assert alba.post("/").status_code == 405
    assert alba.post("/find").status_code == 405
    assert alba.get("/?page=nonsense").status_code == 200
    assert access.has_people()
