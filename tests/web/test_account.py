"""The first start, signing in and out, who works here."""

from __future__ import annotations

import re
import tomllib

import pytest
from django.test import Client
from practice import PASSPHRASE

from provand.workspace import access
from provand.workspace.ledger import open_ledger
from provand.workspace.models import Audit, Desk, User
from provand.workspace.web import application, secret_beside

START = {
    "practice": "Invented practice",
    "contact": "",
    "name": "Alba Inventada",
    "passphrase": PASSPHRASE,
    "again": PASSPHRASE,
}


@pytest.fixture
def empty() -> Client:
    """Return a browser before the first start."""
    application(open_ledger())
    return Client(HTTP_HOST="localhost")


def test_an_empty_practice_leads_to_the_first_start_from_anywhere(empty: Client) -> None:
    for page in ("/", "/find", "/practice", "/enter"):
        assert empty.get(page).headers["Location"] == "/start"


def test_the_first_start_signs_in_whoever_made_it_and_is_over_then(empty: Client) -> None:
    assert empty.post("/start", START).headers["Location"] == "/"
    assert empty.get("/").status_code == 200
    practice = access.practice()
    assert practice is not None
    assert practice.name == "Invented practice"
    assert Client(HTTP_HOST="localhost").post("/start", START | {"name": "Other"}).headers["Location"] == "/"
    assert User.objects.count() == 1


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        ({"again": "another one entirely"}, "The two differ"),
        ({"passphrase": "short", "again": "short"}, "too short"),
        ({"passphrase": "password1234", "again": "password1234"}, "too common"),
        ({"name": " "}, "required"),
        ({"practice": "x" * 121}, "120"),
    ],
)
def test_a_first_start_that_cannot_be_says_why_and_keeps_what_was_typed(
    empty: Client, spoilt: dict[str, str], said: str
) -> None:
    answer = empty.post("/start", START | spoilt)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert 'value="Alba Inventada"' in answer.content.decode() or "name" in spoilt
    assert not access.has_people()


def test_a_passphrase_signs_in_and_leads_on(nobody: Client) -> None:
    typed = {"name": "  alba  INVENTADA ", "passphrase": PASSPHRASE, "next": "/practice"}
    assert nobody.post("/enter", typed).headers["Location"] == "/practice"


@pytest.mark.parametrize(
    "onward", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)"]
)
def test_signing_in_leads_to_no_other_host(nobody: Client, onward: str) -> None:
    typed = {"name": "Alba Inventada", "passphrase": PASSPHRASE, "next": onward}
    assert nobody.post("/enter", typed).headers["Location"] == "/"


def test_a_wrong_passphrase_tells_nothing_and_five_lock_the_name(nobody: Client) -> None:
    wrong = {"name": "Alba Inventada", "passphrase": "wrong words all along"}
    first = nobody.post("/enter", wrong)
    assert first.status_code == 422
    assert "do not go together" in first.content.decode()
    unknown = nobody.post("/enter", wrong | {"name": "Zoe"})
    assert re.sub(r'value="[^"]*"', "", unknown.content.decode()) == re.sub(
        r'value="[^"]*"', "", first.content.decode()
    )
    for _ in range(4):
        last = nobody.post("/enter", wrong)
    assert last.status_code == 429
    assert nobody.post("/enter", wrong | {"passphrase": PASSPHRASE}).status_code == 429
    assert nobody.post("/enter", {"name": "Bo", "passphrase": PASSPHRASE}).status_code == 302


def test_the_passphrase_is_kept_as_an_argon2_hash(empty: Client) -> None:
    empty.post("/start", START)
    kept = User.objects.get().password
    assert kept.startswith("argon2")
    assert PASSPHRASE not in kept


def test_nobody_sees_a_page_unsigned(nobody: Client) -> None:
    assert nobody.get("/practice").headers["Location"] == "/enter?next=/practice"
    assert nobody.get("/practice", headers={"HX-Request": "true"}).status_code == 401


def test_leaving_asks_first(alba: Client) -> None:
    assert alba.get("/leave").status_code == 200
    assert alba.get("/").status_code == 200
    assert alba.post("/leave").headers["Location"] == "/enter"
    assert alba.get("/").headers["Location"].startswith("/enter")


def test_a_practitioner_adds_an_assistant_with_a_trail(alba: Client) -> None:
    typed = {"name": "Eve", "role": "assistant", "passphrase": PASSPHRASE}
    assert alba.post("/practice", typed).status_code == 302
    assert User.objects.get(name="Eve").role == "assistant"
    assert Audit.objects.filter(what="person added", by="Alba Inventada", says="Eve, assistant").exists()
    again = alba.post("/practice", typed)
    assert again.status_code == 422
    assert "can sign in already" in again.content.decode()


def test_what_stands_on_the_paper_of_a_practice_goes_into_the_next_race_file(alba: Client) -> None:
    typed = {
        "practice": "Invented practice",
        "contact": "ring 000",
        "letterhead": "Quern Lane 4\r\n\r\nRegister 000",
        "colour": "#1d4f66",
        "says": "Trust the small steps.",
    }
    assert alba.post("/practice/name", typed).status_code == 302
    alba.post("/athletes/new")
    practitioner = tomllib.loads(Desk.objects.latest("pk").typed)["practitioner"]
    assert practitioner["letterhead"] == ["Quern Lane 4", "Register 000"]
    assert practitioner["colour"] == "#1d4f66"
    assert practitioner["says"] == "Trust the small steps."


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"colour": "#ffee00"}, "too pale on white"),
        ({"says": "Drink 2 cups at each table."}, "hold an amount"),
        ({"letterhead": "a\nb\nc\nd"}, "4 lines are too many"),
    ],
)
def test_paper_that_cannot_be_printed_is_refused_beside_its_field(
    alba: Client, typed: dict[str, str], says: str
) -> None:
    answer = alba.post("/practice/name", {"practice": "Invented practice", **typed})
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert (
        f'id="id_named_{next(iter(typed))}_error"' in answer.content.decode()
        or says in answer.content.decode()
    )


def test_an_assistant_adds_nobody(dana: Client) -> None:
    answer = dana.post("/practice", {"name": "Eve", "role": "practitioner", "passphrase": PASSPHRASE})
    assert answer.status_code == 422
    assert not User.objects.filter(name="Eve").exists()
    assert "Add somebody" not in dana.get("/practice").content.decode()


def test_every_answer_keeps_to_itself(alba: Client) -> None:
    answer = alba.get("/")
    policy = answer.headers["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert policy.startswith("default-src 'none'")
    assert answer.headers["Cache-Control"] == "no-store"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert " style=" not in answer.content.decode()
    assert "http://" not in answer.content.decode()
    assert "https://" not in answer.content.decode()


def test_another_host_name_is_refused(ledger: object) -> None:
    assert Client(HTTP_HOST="elsewhere.example").get("/").status_code == 400


def test_the_secret_of_the_sessions_is_private_and_stays(ledger: object) -> None:
    place = open_ledger().path
    secret = secret_beside(place)
    assert len(secret) >= 48
    assert secret_beside(place) == secret
    assert place.with_name(f"{place.name}.secret").stat().st_mode & 0o077 == 0


def test_the_colours_come_from_the_one_list(alba: Client) -> None:
    css = alba.get("/tokens.css").content.decode()
    assert "--act:light-dark(#97164e,#f7a3c4);" in css
    assert ".strip .pole{" in css
