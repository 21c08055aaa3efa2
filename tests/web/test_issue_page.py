"""Issuing from the page: drafts, holders, the code's page, withdrawal; nothing on hold."""

from __future__ import annotations

import io
import zipfile
from datetime import date

import pytest
from django.test import Client
from PIL import Image
from practice import person
from pypdf import PdfReader

from provand.workspace import desk as desks
from provand.workspace import people
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Issue, Note
from provand.workspace.notes import noted

DAY = date(2026, 11, 25)
TO = {"person": ["Imke Loam", ""], "role": ["athlete", ""], "piece": ["plan", "strip", "calendar", "safety"]}


@pytest.fixture
def demo(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> dict[str, Desk]:
    """Return the demo's race files by the athlete's first name; today is the demo's day."""
    monkeypatch.setenv("PROVAND_TODAY", DAY.isoformat())
    made = demo_loaded(ledger, by=person("Alba"), today=DAY)
    return {desk.title.split()[0]: Desk.objects.get(pk=desk.pk) for desk in made}


@pytest.fixture
def imke(demo: dict[str, Desk]) -> Desk:
    return demo["Imke"]


def page(desk: Desk) -> str:
    return f"/files/{desk.pk}/issue"


def issued(alba: Client, desk: Desk) -> str:
    """Issue the plan from the page, and return its code."""
    answer = alba.post(page(desk), TO)
    assert answer.status_code == 302, answer.content.decode()
    return str(answer.headers["Location"].rsplit("/", 1)[1])


def test_a_cleared_plan_is_previewed_as_a_draft_and_issued_to_named_people(alba: Client, imke: Desk) -> None:
    shown = alba.get(page(imke)).content.decode()
    assert "Issue number 1" in shown
    draft = alba.get(f"/files/{imke.pk}/draft/plan.pdf")
    assert "Draft, not issued" in PdfReader(io.BytesIO(draft.content)).pages[0].extract_text()
    code = issued(alba, imke)
    kept = Issue.objects.get()
    assert (kept.plan.code, kept.n, kept.audit.by) == (code, 1, "Alba Inventada")
    there = alba.get(f"/issues/{code}").content.decode()
    assert "This copy counts" in there
    assert "Imke Loam (athlete)" in there
    paper = alba.get(f"/issues/{code}/plan.pdf").content
    text = PdfReader(io.BytesIO(paper)).pages[0].extract_text()
    assert code in text
    assert "Draft" not in text
    packed = zipfile.ZipFile(io.BytesIO(alba.get(f"/issues/{code}/all.zip").content))
    assert packed.read("plan.pdf") == paper
    assert "plan.json" not in packed.namelist()


def test_the_same_plan_given_to_one_more_person_keeps_its_number(alba: Client, imke: Desk) -> None:
    code = issued(alba, imke)
    assert "Give it to these too" in alba.get(page(imke)).content.decode()
    alba.post(page(imke), TO | {"person": ["Ola (invented)"], "role": ["guide"]})
    assert Issue.objects.count() == 1
    assert "Ola (invented) (guide)" in alba.get(f"/issues/{code}").content.decode()


def test_a_code_is_found_by_typing_it_in_any_case(alba: Client, imke: Desk) -> None:
    code = issued(alba, imke)
    assert alba.get("/find", {"q": code.lower()}).headers["Location"] == f"/issues/{code}"
    assert code in alba.get("/find", {"q": code[:3]}).content.decode()
    assert "Imke Loam" in alba.get("/find", {"q": "imke"}).content.decode()
    assert "Nothing here has" in alba.get("/find", {"q": "zzz"}).content.decode()


def test_a_withdrawn_plan_says_whom_to_tell_and_cancels_the_calendar(alba: Client, imke: Desk) -> None:
    code = issued(alba, imke)
    assert alba.post(f"/issues/{code}/withdraw", {"why": ""}).status_code == 302
    assert "This copy counts" in alba.get(f"/issues/{code}").content.decode()
    alba.post(f"/issues/{code}/withdraw", {"why": "the race is off"})
    there = alba.get(f"/issues/{code}").content.decode()
    assert "Tell everybody who held it" in there
    assert b"METHOD:CANCEL" in alba.get(f"/issues/{code}/race-cancelled.ics").content


def test_on_hold_nothing_but_the_safety_page_is_there(alba: Client, demo: dict[str, Desk]) -> None:
    held = next(desk for name, desk in demo.items() if "On hold" in alba.get(page(desk)).content.decode())
    shown = alba.get(page(held)).content.decode()
    assert "Hand out the safety page" in shown
    assert "Issue number" not in shown
    assert alba.get(f"/files/{held.pk}/draft/plan.pdf").status_code == 404
    assert alba.get(f"/files/{held.pk}/draft/safety.pdf").status_code == 200
    name = held.title.split(",")[0]
    refused = alba.post(page(held), {"person": [name], "role": ["athlete"], "piece": ["plan"]})
    assert refused.status_code == 422
    assert not Issue.objects.exists()
    given = {"person": [name], "role": ["athlete"], "piece": ["safety"], "as": "safety"}
    assert alba.post(page(held), given).status_code == 302


def test_an_incident_stops_the_issue_until_somebody_answers_it(
    ledger: Ledger, alba: Client, imke: Desk
) -> None:
    noted(
        ledger, athlete=imke.athlete, race=imke.race, kind="incident", on=DAY, text="Collapsed (invented)",
        by=person("Alba"), today=DAY,
    )  # fmt: skip
    assert "stands in the way" in alba.get(page(imke)).content.decode()
    assert alba.post(page(imke), TO).status_code == 422
    incident = Note.objects.get()
    answer = {"text": "Seen by her doctor; slower, and no heat.", "kind": "answer", "answers": incident.pk}
    assert alba.post(f"/athletes/{imke.athlete_id}/notes/add", answer).status_code == 302
    issued(alba, imke)


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        ({"person": [""], "role": [""]}, "who and in which role"),
        ({"person": ["Imke Loam"], "role": [""]}, "who and in which role"),
        ({"person": ["Somebody else"], "role": ["athlete"]}, "this plan is of Imke Loam"),
        ({"piece": []}, "nothing is ticked"),
        ({"piece": ["record"]}, "nothing is ticked"),
    ],
)
def test_a_form_that_cannot_be_says_why(
    alba: Client, imke: Desk, spoilt: dict[str, object], said: str
) -> None:
    answer = alba.post(page(imke), TO | spoilt)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Issue.objects.exists()


def test_what_was_typed_is_still_there_after_a_fault(alba: Client, imke: Desk) -> None:
    typed = {"person": ["Imke Loam", "Ola (invented)"], "role": ["athlete", ""], "piece": ["strip"]}
    page_again = alba.post(page(imke), typed).content.decode()
    assert 'value="Ola (invented)"' in page_again
    assert page_again.count(" checked") == 1


def test_a_race_that_is_over_is_looked_at_and_not_issued(
    alba: Client, imke: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PROVAND_TODAY", "2026-12-07")
    assert alba.get(page(imke)).status_code == 200
    answer = alba.post(page(imke), TO)
    assert answer.status_code == 422
    assert "2026-12-06" in answer.content.decode()
    assert not Issue.objects.exists()


def test_files_carry_a_policy_without_exceptions(alba: Client, imke: Desk) -> None:
    for name in ("plan.pdf", "course-strip.svg"):
        answer = alba.get(f"/files/{imke.pk}/draft/{name}")
        assert answer.headers["Content-Security-Policy"] == "default-src 'none'; frame-ancestors 'self'"
        assert answer.headers["Content-Disposition"].startswith(
            "inline" if name.endswith("pdf") else "attach"
        )


def test_each_piece_is_shown_by_a_picture_of_its_draft(alba: Client, imke: Desk) -> None:
    shown = alba.get(page(imke)).content.decode()
    for name in ("strip.pdf", "safety.pdf", "plan.pdf"):
        assert f"/draft/{name}/picture" in shown
        answer = alba.get(f"/files/{imke.pk}/draft/{name}/picture")
        picture = Image.open(io.BytesIO(answer.content))
        assert picture.format == "PNG"
        assert picture.width == 360 or picture.height == 510, "as large as its room"
        colours = picture.convert("L").getcolors(1 << 16)
        assert colours is not None
        assert sum(n for n, grey in colours if grey < 128) > 500, "there is print on it"
    assert alba.get(f"/files/{imke.pk}/draft/course-strip.svg/picture").status_code == 404
    assert alba.post(f"/files/{imke.pk}/draft/strip.pdf/picture").status_code == 405


def test_on_hold_no_picture_but_of_the_safety_page(alba: Client, demo: dict[str, Desk]) -> None:
    held = next(desk for name, desk in demo.items() if "On hold" in alba.get(page(desk)).content.decode())
    assert alba.get(f"/files/{held.pk}/draft/strip.pdf/picture").status_code == 404
    assert alba.get(f"/files/{held.pk}/draft/safety.pdf/picture").status_code == 200


def test_a_colleague_issues_what_is_shared_and_a_stranger_gets_404(
    ledger: Ledger, alba: Client, bo: Client, cai: Client, imke: Desk
) -> None:
    code = issued(alba, imke)
    for client in (bo, cai):
        for address in (page(imke), f"/issues/{code}", f"/issues/{code}/plan.pdf", f"/issues/{code}/all.zip"):
            assert client.get(address).status_code == 404
        assert client.post(f"/issues/{code}/withdraw", {"why": "x"}).status_code == 404
        assert client.post(page(imke), TO).status_code == 404
    people.shared(ledger, athlete=imke.athlete, user=person("Bo"), by=person("Alba"))
    assert bo.get(page(imke)).status_code == 200
    assert bo.get(f"/issues/{code}").status_code == 200


def test_an_assistant_looks_and_issues_and_withdraws_nothing(
    ledger: Ledger, alba: Client, dana: Client, imke: Desk
) -> None:
    code = issued(alba, imke)
    people.shared(ledger, athlete=imke.athlete, user=person("Dana"), by=person("Alba"))
    assert "issues nothing" in dana.get(page(imke)).content.decode()
    assert dana.post(page(imke), TO).status_code == 422
    dana.post(f"/issues/{code}/withdraw", {"why": "x"})
    assert "This copy counts" in dana.get(f"/issues/{code}").content.decode()


def test_bad_addresses_and_wrong_methods(alba: Client, imke: Desk) -> None:
    assert alba.get("/files/00000000-0000-0000-0000-000000000000/issue").status_code == 404
    assert alba.get("/issues/XXXX-XXXX").status_code == 404
    assert alba.get(f"/files/{imke.pk}/draft/plan.json").status_code == 404
    assert alba.get(f"/issues/{issued(alba, imke)}/withdraw").status_code == 405
    assert alba.delete(page(imke)).status_code == 405


def test_a_change_after_an_issue_makes_the_next_number_with_the_difference(
    ledger: Ledger, alba: Client, imke: Desk
) -> None:
    first = issued(alba, imke)
    from provand.case.typed import put  # noqa: PLC0415

    desk = Desk.objects.get(pk=imke.pk)
    desks.typed_in(
        ledger, desk=desk, revision=desk.revision, steps=[put("race.goal", "1:55")], says="goal",
        by=person("Alba"),
    )  # fmt: skip
    second = issued(alba, imke)
    there = alba.get(f"/issues/{first}").content.decode()
    assert "No longer counts" in there
    assert second in there
    assert "What it changed" in alba.get(f"/issues/{second}").content.decode()
