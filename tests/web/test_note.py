"""Notes: dated, attributed, added to and never rewritten."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client
from practice import person

from provand.workspace import people
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Note

DAY = date(2026, 11, 25)


@pytest.fixture
def imke(ledger: Ledger) -> Desk:
    made = demo_loaded(ledger, by=person("Alba"), today=DAY)
    return Desk.objects.get(pk=next(desk.pk for desk in made if desk.title.startswith("Imke")))


def add(client: Client, desk: Desk, **typed: object) -> int:
    data = {"text": "Slept badly (invented).", "kind": "call", "on": "2026-11-24"} | typed
    return client.post(f"/athletes/{desk.athlete_id}/notes/add", data).status_code


def test_a_note_is_kept_with_its_day_and_who_kept_it(alba: Client, imke: Desk) -> None:
    assert add(alba, imke) == 302
    page = alba.get(f"/athletes/{imke.athlete_id}/notes").content.decode()
    assert "Slept badly (invented)." in page
    assert "24 Nov 2026" in page
    assert "Alba Inventada" in page


def test_a_correction_is_added_and_the_first_text_stays(alba: Client, imke: Desk) -> None:
    add(alba, imke)
    first = Note.objects.get()
    assert add(alba, imke, text="Slept well.", corrects=first.pk) == 302
    page = alba.get(f"/athletes/{imke.athlete_id}/notes").content.decode()
    assert "Slept badly (invented)." in page
    assert "Slept well." in page
    assert "this one stays" in page


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        ({"text": " "}, "without a word"),
        ({"text": "x" * 8001}, "at most 8000"),
        ({"text": "a\0b"}, "no text has"),
        ({"on": "2026-11-26"}, "after 2026-11-25"),
        ({"on": "tomorrow"}, "cannot be read"),
    ],
)
def test_a_note_that_cannot_be_says_why_and_loses_nothing(
    alba: Client, imke: Desk, spoilt: dict[str, str], said: str
) -> None:
    typed = {"text": "Kept words.", "kind": "call", "on": "2026-11-24"} | spoilt
    answer = alba.post(f"/athletes/{imke.athlete_id}/notes/add", typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert typed["text"].strip().replace("\0", "")[:10] in answer.content.decode().replace("\0", "")
    assert not Note.objects.exists()


def test_html_in_a_note_stays_text(alba: Client, imke: Desk) -> None:
    add(alba, imke, text="<script>alert(1)</script>")
    assert "<script>alert" not in alba.get(f"/athletes/{imke.athlete_id}/notes").content.decode()


def test_colleague_stranger_and_assistant(
    ledger: Ledger, bo: Client, cai: Client, dana: Client, imke: Desk
) -> None:
    assert add(cai, imke) == 404
    assert cai.get(f"/athletes/{imke.athlete_id}/notes").status_code == 404
    assert cai.get(f"/files/{imke.pk}/call").status_code == 404
    for name in ("Bo", "Dana"):
        people.shared(ledger, athlete=imke.athlete, user=person(name), by=person("Alba"))
    assert add(bo, imke) == 302
    assert add(dana, imke, kind="incident") == 302
    incident = Note.objects.get(kind="incident")
    assert add(dana, imke, kind="answer", answers=incident.pk) == 422
    assert add(bo, imke, kind="answer", answers=incident.pk) == 302


def test_a_note_of_another_athlete_is_not_answered(alba: Client, imke: Desk) -> None:
    assert add(alba, imke, corrects=999) == 404
    add(alba, imke)
    assert add(alba, imke, answers=Note.objects.get().pk) == 422


def test_leading_on_stays_on_this_host(alba: Client, imke: Desk) -> None:
    address = f"/athletes/{imke.athlete_id}/notes/add"
    answer = alba.post(address, {"text": "x", "next": "https://elsewhere.example/"})
    assert answer.headers["Location"] == f"/athletes/{imke.athlete_id}/notes"


def test_wrong_methods_and_bad_ids(alba: Client, imke: Desk) -> None:
    assert alba.get(f"/athletes/{imke.athlete_id}/notes/add").status_code == 405
    assert alba.get("/athletes/99999/notes").status_code == 404
    assert alba.get(f"/files/{imke.pk}/call").status_code == 200
