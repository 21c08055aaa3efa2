"""Issuing from the page: drafts, holders, the code's page, withdrawal; nothing on hold."""

from __future__ import annotations

import io
import threading
import zipfile
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from datetime import date
from typing import Any

import pytest
from django.test import Client
from PIL import Image
from practice import person
from pypdf import PdfReader

from provand.case.typed import put
from provand.workspace import at_work, people, pictures, plans, workers
from provand.workspace import desk as desks
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.languages import approve
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Handout, Issue, Job, Note
from provand.workspace.notes import noted
from provand.workspace.views import draft as drafts
from provand.workspace.views import issue as view

DAY = date(2026, 11, 25)
HTMX = {"HX-Request": "true"}
SLOW_S = 300
TO = {"person": ["Imke Loam", ""], "role": ["athlete", ""], "piece": ["plan", "strip", "calendar", "safety"]}


@pytest.fixture
def demo(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, Desk]]:
    """Return the demo's race files by the athlete's first name; today is the demo's day.

    What a process would compute is computed at once, in the thread of its job.
    """
    monkeypatch.setenv("PROVAND_TODAY", DAY.isoformat())
    monkeypatch.setattr(workers, "begin", at_once)
    monkeypatch.setattr(view, "PATIENCE_S", 60.0)
    made = demo_loaded(ledger, by=person("Alba"), today=DAY)
    yield {desk.title.split()[0]: Desk.objects.get(pk=desk.pk) for desk in made}
    assert at_work.waited(most_s=SLOW_S)


def at_once(function: Callable[..., Any], *args: Any, **more: Any) -> Future[Any]:
    future: Future[Any] = Future()
    try:
        future.set_result(function(*args, **more))
    except Exception as error:
        future.set_exception(error)
    return future


class ByHand:
    """A process that computes when the test lets it."""

    def __init__(self) -> None:
        self.begun, self.let = threading.Semaphore(0), threading.Event()
        self.calls = 0

    def begin(self, function: Callable[..., Any], *args: Any, **more: Any) -> Future[Any]:
        self.calls += 1
        self.begun.release()
        assert self.let.wait(SLOW_S)
        return at_once(function, *args, **more)


@pytest.fixture
def by_hand(demo: dict[str, Desk], monkeypatch: pytest.MonkeyPatch) -> Iterator[ByHand]:
    held = ByHand()
    monkeypatch.setattr(workers, "begin", held.begin)
    yield held
    held.let.set()


@pytest.fixture
def imke(demo: dict[str, Desk]) -> Desk:
    return demo["Imke"]


def page(desk: Desk) -> str:
    return f"/files/{desk.pk}/issue"


def issued(alba: Client, desk: Desk) -> str:
    """Issue the plan from the page, wait for its copy, and return the code."""
    answer = alba.post(page(desk), TO)
    assert answer.headers["Location"] == under_way(desk), answer.content.decode()
    assert at_work.waited(most_s=SLOW_S)
    copy = alba.get(under_way(desk)).headers["Location"]
    assert copy.startswith("/issues/"), alba.get(copy).content.decode()
    return copy.rsplit("/", 1)[1]


def under_way(desk: Desk) -> str:
    return f"{page(desk)}/under-way"


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
    assert '">Plan, A4</a> <span class="note">plan.pdf</span>' in there
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
    assert at_work.waited(most_s=SLOW_S)
    assert "is given to more people" in alba.get(under_way(imke), follow=True).content.decode()
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
        assert f'hx-get="/files/{imke.pk}/draft/{name}/look"' in shown
        assert f'<noscript><a href="/files/{imke.pk}/draft/{name}"' in shown
        answer = alba.get(f"/files/{imke.pk}/draft/{name}/picture")
        picture = Image.open(io.BytesIO(answer.content))
        assert picture.format == "PNG"
        assert picture.width == 360 or picture.height == 510, "as large as its room"
        colours = picture.convert("L").getcolors(1 << 16)
        assert colours is not None
        assert sum(n for n, grey in colours if grey < 128) > 500, "there is print on it"
    assert alba.get(f"/files/{imke.pk}/draft/course-strip.svg/picture").status_code == 404
    assert alba.post(f"/files/{imke.pk}/draft/strip.pdf/picture").status_code == 405


def test_a_picture_comes_beside_the_page_with_a_word_meanwhile_and_is_drawn_once(
    alba: Client, cai: Client, imke: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    let, draw, calls = threading.Event(), pictures.picture, list[str]()

    def waits(data: bytes, media_type: str) -> bytes:
        calls.append(media_type)
        assert let.wait(SLOW_S)
        return draw(data, media_type)

    monkeypatch.setattr(pictures, "picture", waits)
    look = f"/files/{imke.pk}/draft/crew.pdf/look"
    part = alba.get(look).content.decode()
    assert "Being drawn." in part
    assert f'hx-get="{look}" hx-trigger="load delay:700ms"' in part
    let.set()
    alba.get(look.replace("/look", "/picture"))
    assert '<img src="' in alba.get(look).content.decode()
    assert len(calls) == 1
    monkeypatch.setattr(drafts, "drawn", lambda *_: at_once(lambda: 1 / 0))
    assert "No picture could be drawn." in alba.get(look).content.decode()
    assert cai.get(look).status_code == 404
    assert alba.get(f"/files/{imke.pk}/draft/plan.json/look").status_code == 404
    assert alba.post(look).status_code == 405
    monkeypatch.setattr(plans, "looked_at", lambda *_, **__: None)
    assert "Being drawn." in alba.get(look).content.decode()


def test_on_hold_no_picture_but_of_the_safety_page(alba: Client, demo: dict[str, Desk]) -> None:
    held = next(desk for name, desk in demo.items() if "On hold" in alba.get(page(desk)).content.decode())
    for part in ("picture", "look"):
        assert alba.get(f"/files/{held.pk}/draft/strip.pdf/{part}").status_code == 404
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
    desk = Desk.objects.get(pk=imke.pk)
    desks.typed_in(
        ledger, desk=desk, revision=desk.revision, steps=[put("race.goal", "1:55")], says="goal",
        by=person("Alba"),
    )  # fmt: skip
    second = issued(alba, imke)
    there = alba.get(f"/issues/{first}").content.decode()
    assert "No longer counts" in there
    assert second in there
    changed = alba.get(f"/issues/{second}").content.decode().split("What it changed")[1]
    assert "goal time: 1:52 → 1:55" in changed
    assert "race.schedule" not in changed, "no word of a program"


def typed_in(ledger: Ledger, desk: Desk, key: str, text: str) -> None:
    now = Desk.objects.get(pk=desk.pk)
    desks.typed_in(
        ledger, desk=now, revision=now.revision, steps=[put(key, text)], says=key, by=person("Alba")
    )


def test_while_it_is_being_made_the_page_says_so_and_is_not_sent_twice(
    alba: Client, dana: Client, imke: Desk, by_hand: ByHand
) -> None:
    assert alba.post(page(imke), TO).status_code == 302
    assert by_hand.begun.acquire(timeout=SLOW_S)
    shown = alba.get(page(imke)).content.decode()
    assert "to Imke Loam (athlete)" in shown
    assert "waits until other work" not in shown
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(at_work, "doing", lambda _: set())
        assert "waits until other work is through" in alba.get(page(imke)).content.decode()
    assert f'hx-get="{under_way(imke)}"' in shown
    assert f'content="5;url={under_way(imke)}"' in shown, "without scripts it comes back too"
    assert "Issue number" not in shown, "there is nothing to send a second time"
    assert alba.get(under_way(imke)).headers["Location"] == page(imke)
    part = alba.get(under_way(imke), headers=HTMX).content.decode()
    assert part.lstrip().startswith('<div id="issuing"')
    assert alba.post(page(imke), TO).headers["Location"] == under_way(imke)
    other = alba.post(page(imke), TO | {"person": ["Ola (invented)"], "role": ["guide"]})
    assert other.status_code == 422
    assert "to Imke Loam (athlete) is being made" in other.content.decode()
    by_hand.let.set()
    assert at_work.waited(most_s=SLOW_S)
    assert (by_hand.calls, Job.objects.count(), Issue.objects.count()) == (1, 1, 1)
    code = Issue.objects.get().plan.code
    assert alba.get(under_way(imke), headers=HTMX).headers["HX-Redirect"] == f"/issues/{code}"
    assert f"Number 1, {code}, is issued." in alba.get(f"/issues/{code}").content.decode()
    assert "Packs issued" not in alba.get("/packs").content.decode(), "it is no work on many"
    assert alba.get(f"/jobs/{Job.objects.get().key}").headers["Location"] == page(imke)


def test_stopped_nothing_is_issued_and_it_can_be_asked_for_again(
    alba: Client, imke: Desk, by_hand: ByHand
) -> None:
    alba.post(page(imke), TO)
    assert by_hand.begun.acquire(timeout=SLOW_S)
    alba.post(f"/jobs/{Job.objects.get().key}/stop")
    by_hand.let.set()
    assert at_work.waited(most_s=SLOW_S)
    assert not Issue.objects.exists()
    shown = alba.get(page(imke)).content.decode()
    assert "Stopped. Nothing was issued." in shown
    assert "Issue number 1" in shown
    issued(alba, imke)


def test_what_was_looked_at_is_what_is_issued(
    ledger: Ledger, alba: Client, imke: Desk, by_hand: ByHand
) -> None:
    sent = TO | {"revision": Desk.objects.get(pk=imke.pk).revision}
    assert f'name="revision" value="{sent["revision"]}"' in alba.get(page(imke)).content.decode()
    assert alba.post(page(imke), sent).status_code == 302
    assert by_hand.begun.acquire(timeout=SLOW_S)
    typed_in(ledger, imke, "race.goal", "1:55")
    by_hand.let.set()
    assert at_work.waited(most_s=SLOW_S)
    assert not Issue.objects.exists()
    late = alba.post(page(imke), sent)
    assert late.status_code == 422
    assert "changed this race file" in late.content.decode()


def test_what_failed_says_why_and_keeps_whom_it_was_for(
    alba: Client, imke: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> Future[Any]:
        raise RuntimeError

    monkeypatch.setattr(workers, "begin", broken)
    alba.post(page(imke), TO | {"person": ["Ola (invented)"], "role": ["guide"], "piece": ["strip"]})
    assert at_work.waited(most_s=SLOW_S)
    assert alba.get(under_way(imke), headers=HTMX).headers["HX-Redirect"] == page(imke)
    shown = alba.get(page(imke)).content.decode()
    assert "Nothing was issued to Ola (invented) (guide)." in shown
    assert 'value="Ola (invented)"' in shown
    assert shown.count(" checked") == 1


def test_an_issue_that_a_closed_program_left_says_so(
    alba: Client, imke: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(at_work, "let_work", lambda *_, **__: None)
    alba.post(page(imke), TO)
    shown = alba.get(page(imke)).content.decode()
    assert "The program was closed while this was being issued to Imke Loam (athlete)" in shown
    assert "Issue number 1" in shown


def test_a_schedule_that_is_still_solved_leaves_the_page_quick_and_offers_nothing(
    alba: Client, imke: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plans, "looked_at", lambda *args, **named: None)
    shown = alba.get(page(imke)).content.decode()
    assert "being solved" in shown
    assert 'hx-select="#issue"' in shown
    assert "<form method=" not in shown
    assert "/draft/" not in shown


def test_in_a_language_that_nobody_approved_the_page_says_what_can_be_done_and_issues_nothing(
    ledger: Ledger, alba: Client, imke: Desk
) -> None:
    typed_in(ledger, imke, "athlete.language", "es")
    shown = alba.get(page(imke)).content.decode()
    assert "no native speaker has approved the words in Spanish" in shown
    for way in (
        'href="/practice?language=es#approve"',
        "/practice/languages/es/texts",
        "#f-athlete-language",
    ):
        assert way in shown
    assert f'/files/{imke.pk}/draft/strip.pdf"' in shown
    assert "Issue number" not in shown
    assert 'name="as" value="safety"' in shown
    refused = alba.post(page(imke), TO)
    assert refused.status_code == 422
    assert "nothing in it is handed out" in refused.content.decode()
    assert not Job.objects.exists()
    given = {"person": ["Imke Loam"], "role": ["athlete"], "piece": ["safety"], "as": "safety"}
    assert alba.post(page(imke), given).status_code == 302
    assert not Issue.objects.exists()
    approve(ledger, tag="es", speaker="Ana Native", on=DAY, as_of=DAY)
    words = PdfReader(io.BytesIO(alba.get(f"/files/{imke.pk}/draft/strip.pdf").content)).pages[0]
    assert "no native speaker" not in words.extract_text()
    issued(alba, imke)
    assert Handout.objects.filter(issue=Issue.objects.get(), name="strip.pdf").exists()


def test_an_assistant_is_told_who_records_an_approval(ledger: Ledger, dana: Client, imke: Desk) -> None:
    typed_in(ledger, imke, "athlete.language", "es")
    people.shared(ledger, athlete=imke.athlete, user=person("Dana"), by=person("Alba"))
    shown = dana.get(page(imke)).content.decode()
    assert "a practitioner records the approval" in shown
    assert "#approve" not in shown
    assert "<form method=" not in shown.split("<main")[1]
