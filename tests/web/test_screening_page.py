"""Screening: each answer kept at once, what it comes to, what is withdrawn for it; assistants see none."""

from __future__ import annotations

import json
import uuid
from datetime import date
from pathlib import Path

import pytest
from django.test import Client
from practice import person, signed_in
from race_pages import HTMX, body, now, opened, post

from provand.protocol.own import shipped
from provand.safety.flags import flags
from provand.workspace import actions, people
from provand.workspace.healths import health_of
from provand.workspace.ledger import Ledger
from provand.workspace.models import Audit, Desk, HealthEntry, Issue, Withdrawal
from provand.workspace.noted import case_of
from provand.workspace.records import Recipient, Snapshot

WHO = {"by": "Alex Sample", "on": "2026-11-25"}


@pytest.fixture
def desk(alba: Client, ledger: Ledger) -> Desk:
    """Return Alba's race file, gone on from, so that its athlete is here."""
    desk = opened(ledger)
    post(alba, desk, go="on")
    return now(desk)


def at(desk: Desk) -> str:
    return f"/files/{desk.pk}/screening"


def answer(client: Client, desk: Desk, question: str, reply: str, **more: str) -> str:
    return body(client.post(at(desk), WHO | {"answer": f"{question}={reply}"} | more, headers=HTMX))


def kept(kind: str) -> list[dict[str, object]]:
    return [json.loads(one.text) for one in HealthEntry.objects.filter(kind=kind).order_by("id")]


def test_what_an_earlier_answer_settles_is_not_asked(alba: Client, desk: Desk) -> None:
    page = answer(alba, desk, "medicines", "no")
    settled = [flag for flag in flags() if flag.asked_after == "medicines"]
    assert settled
    assert page.count("an earlier answer settles it") == len(settled) + 1  # and the age, by the birth date
    assert f'value="{settled[0].id}=no"' not in page
    assert all(f"#g-{flag.id}" in page for flag in settled)


def test_race_week_asks_again(alba: Client, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    answered_all(alba, desk)
    monkeypatch.setenv("PROVAND_TODAY", "2026-12-02")
    page = body(alba.get(at(desk)))
    assert "asked again now" in page
    assert "On hold: nothing personal is issued" in page


def answered_all(client: Client, desk: Desk, **but: str) -> None:
    for flag in flags():
        answer(client, desk, flag.id, but.get(flag.id, "no"))


def test_every_question_is_asked_and_nothing_is_clear_before(alba: Client, desk: Desk) -> None:
    page = body(alba.get(at(desk)))
    assert all(flag.asks in page for flag in flags())
    assert "On hold: nothing personal is issued" in page
    assert f"{len(flags()) - 1} questions have no answer yet" in page  # the birth date tells the age


def test_an_answer_is_kept_at_once_with_name_and_day(alba: Client, desk: Desk) -> None:
    page = answer(alba, desk, "heart", "no")
    (one,) = kept("answers")
    assert (one["question"], one["reply"], one["by"], one["on"]) == (
        "heart",
        "no",
        "Alex Sample",
        "2026-11-25",
    )
    assert "<strong>no</strong>" in page
    audit = Audit.objects.order_by("id").last()
    assert audit is not None
    assert "heart" not in audit.says + audit.before + audit.after


def test_nothing_is_kept_before_it_is_said_who_answers(alba: Client, desk: Desk) -> None:
    page = alba.post(at(desk), {"answer": "heart=no", "by": " ", "on": "2026-11-25"})
    assert page.status_code == 422
    assert "Who answers, and on what day, is not typed yet" in body(page)
    assert not HealthEntry.objects.exists()


def test_who_answers_is_asked_once(alba: Client, desk: Desk) -> None:
    answer(alba, desk, "heart", "no")
    assert 'value="Alex Sample"' in body(alba.get(at(desk)))


def test_a_yes_asks_on_and_withholds(alba: Client, desk: Desk) -> None:
    assert "Does a clinician treat your blood pressure?" not in body(alba.get(at(desk)))
    page = answer(alba, desk, "blood_pressure", "yes", **{"detail-blood_pressure": "since 2019"})
    assert "Does a clinician treat your blood pressure?" in page
    assert "Withheld: caffeine, sodium." in page
    assert kept("answers")[0]["detail"] == "since 2019"


def test_all_answered_no_is_clear(alba: Client, desk: Desk) -> None:
    answered_all(alba, desk)
    page = body(alba.get(at(desk)))
    assert "Clear: a plan can be made." in page
    assert "no answer yet" not in page


def test_a_later_answer_stands_beside_the_earlier_one(alba: Client, desk: Desk) -> None:
    answer(alba, desk, "heart", "yes")
    answer(alba, desk, "heart", "no")
    assert [one["reply"] for one in kept("answers")] == ["yes", "no"]


def test_a_medicine_is_kept_by_its_name(alba: Client, desk: Desk) -> None:
    typed = WHO | {"kind": "medicines", "name": "sertraline", "since": "1 May 2020"}
    page = body(alba.post(at(desk), typed, headers=HTMX))
    assert "sertraline" in page
    assert kept("medicines")[0]["since"] == "2020-05-01"


def test_a_misspelt_medicine_is_asked_about_before_it_is_kept(alba: Client, desk: Desk) -> None:
    typed = WHO | {"kind": "medicines", "name": "sertralin", "since": "2020-05-01"}
    page = alba.post(at(desk), typed, headers=HTMX)
    assert page.status_code == 422
    assert 'name="near" value="sertraline"' in body(page)
    assert not kept("medicines")
    alba.post(at(desk), typed | {"near": "sertraline"}, headers=HTMX)
    assert kept("medicines")[0]["name"] == "sertraline"
    alba.post(at(desk), typed | {"as_typed": "yes"}, headers=HTMX)
    assert kept("medicines")[1]["name"] == "sertralin"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"kind": "letters", "about": "heart", "to": "Dr Invented", "on": "20 Nov 2026"}, "sent by Alba"),
        (
            {"kind": "replies", "about": "heart", "says": "cleared", "by": "Dr Invented", "on": "2026-11-24"},
            "recorded by Alba",
        ),
        ({"kind": "releases", "about": "heart", "why": "an invented reason"}, "released by Alba Inventada"),
        (
            {"kind": "assents", "who": "athlete", "by": "Alex Sample", "on": "2026-11-24"},
            "(athlete) consents",
        ),
        (
            {
                "kind": "scores",
                "questionnaire": "Invented",
                "value": "3",
                "cut_off": "20",
                "on": "2026-11-24",
            },
            "cut-off 20",
        ),
        (
            {"kind": "sodium_tests", "serum_sodium": "139 mmol/l", "by": "Lab", "on": "2026-11-24"},
            "139 mmol/l",
        ),
        (
            {"kind": "portions", "portions_only": "yes", "by": "Alex Sample", "on": "2026-11-24"},
            "portions only",
        ),
    ],
)
def test_each_record_is_kept_and_shown(alba: Client, desk: Desk, typed: dict[str, str], said: str) -> None:
    answer(alba, desk, "heart", "yes")
    page = alba.post(at(desk), typed, headers=HTMX)
    assert page.status_code == 200
    assert said in body(page)
    assert len(kept(typed["kind"])) == 1


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"kind": "letters", "to": "Dr Invented", "on": "2026-11-20"}, "'about' is missing"),
        ({"kind": "letters", "about": "heart", "to": "Dr", "on": "3/4/2026"}, "3/4/2026"),
        (
            {
                "kind": "replies",
                "about": "heart",
                "says": "cleared with limits",
                "by": "Dr",
                "on": "2026-11-24",
            },
            "names none",
        ),
        (
            {"kind": "replies", "about": "heart", "says": "maybe", "by": "Dr", "on": "2026-11-24"},
            "not a choice",
        ),
        ({"kind": "sodium_tests", "serum_sodium": "9 mmol/l", "by": "Lab", "on": "2026-11-24"}, "outside"),
        (
            {"kind": "assents", "who": "guardian", "by": "Alex Sample", "on": "2026-11-24"},
            "athlete's own name",
        ),
        (
            {"kind": "scores", "questionnaire": "x", "value": "many", "cut_off": "1", "on": "2026-11-24"},
            "many",
        ),
        (WHO | {"kind": "medicines", "name": "", "since": "2020-01-01"}, "'name' is missing"),
        (WHO | {"answer": "heart=no", "on": "soon"}, "soon"),
    ],
)
def test_a_record_that_cannot_be_says_why_and_keeps_nothing(
    alba: Client, desk: Desk, typed: dict[str, str], said: str
) -> None:
    page = alba.post(at(desk), typed, headers=HTMX)
    assert page.status_code == 422
    assert said in body(page)
    assert not HealthEntry.objects.exists()


def test_a_letter_is_written_with_its_form_and_opens_as_a_pdf(alba: Client, desk: Desk, dana: Client) -> None:
    page = answer(alba, desk, "heart", "yes")
    assert 'name="about" value="heart" checked' in page
    letter = {"kind": "letters", "about": "heart", "to": "Dr Invented", "on": "2026-11-25"}
    page = body(alba.post(at(desk), letter, headers=HTMX))
    address = f"/files/{desk.pk}/letters/1"
    assert f'href="{address}"' in page
    pdf = alba.get(address)
    assert pdf.content.startswith(b"%PDF")
    for client, bad in ((alba, "2"), (alba, "0"), (dana, "1"), (signed_in("Cai"), "1")):
        assert client.get(f"/files/{desk.pk}/letters/{bad}").status_code == 404


def test_a_record_that_contradicts_an_earlier_one_is_refused(alba: Client, desk: Desk) -> None:
    letter = {"kind": "letters", "about": "heart", "to": "Dr Invented", "on": "2026-11-20"}
    reply = {"kind": "replies", "about": "heart", "says": "cleared", "by": "Dr Invented", "on": "2026-11-01"}
    alba.post(at(desk), letter)
    page = alba.post(at(desk), reply)
    assert page.status_code == 422
    assert "the letter about heart was sent on 2026-11-20" in body(page)
    assert not kept("replies")


@pytest.mark.parametrize(
    "typed", [{"answer": "nothing=no"}, {"answer": "heart=maybe"}, {"kind": "answers"}, {"kind": "x"}, {}]
)
def test_what_no_page_sends_is_not_found(alba: Client, desk: Desk, typed: dict[str, str]) -> None:
    assert alba.post(at(desk), WHO | typed).status_code == 404


def test_a_colleague_answers_with_the_shared_athlete(bo: Client, desk: Desk, ledger: Ledger) -> None:
    assert bo.get(at(desk)).status_code == 404
    assert desk.athlete
    people.shared(ledger, athlete=desk.athlete, user=person("Bo"), by=person("Alba"))
    assert "<strong>no</strong>" in answer(bo, desk, "heart", "no")


def test_assistants_and_strangers_find_no_such_page(desk: Desk, ledger: Ledger, alba: Client) -> None:
    assert desk.athlete
    people.shared(ledger, athlete=desk.athlete, user=person("Dana"), by=person("Alba"))
    answer(alba, desk, "heart", "yes")
    for name in ("Dana", "Cai"):
        client = signed_in(name)
        assert client.get(at(desk)).status_code == 404
        assert client.post(at(desk), WHO | {"answer": "heart=no"}).status_code == 404
    assert len(kept("answers")) == 1
    page = signed_in("Dana").get(f"/athletes/{desk.athlete.pk}").content.decode()
    assert "on hold: ask the practitioner" in page
    assert "heart" not in page


def test_a_bad_id_and_a_wrong_method(alba: Client, desk: Desk) -> None:
    assert alba.get(f"/files/{uuid.uuid4()}/screening").status_code == 404
    assert alba.delete(at(desk)).status_code == 405


def test_before_the_race_file_stands_it_says_what_comes_first(alba: Client, ledger: Ledger) -> None:
    assert "Finish the race file first" in body(alba.get(at(opened(ledger))))


def test_whatever_is_typed_is_escaped(alba: Client, desk: Desk) -> None:
    nasty = "<script>x</script>\x00\u202e"
    raw = alba.post(at(desk), WHO | {"kind": "medicines", "name": nasty}).content.decode()
    assert "<script>x" not in raw
    raw = alba.post(at(desk), {"by": nasty, "on": nasty, "answer": "heart=no"}).content.decode()
    assert "<script>x" not in raw


def test_a_late_answer_that_withdraws_a_plan_says_so_at_once_and_who_must_be_told(
    alba: Client, desk: Desk, ledger: Ledger, tmp_path: Path
) -> None:
    answered_all(alba, desk)
    standing = now(desk).standing
    assert standing is not None
    actions.issue(
        ledger,
        snapshot=Snapshot(typed=standing.typed, case=case_of(standing)),
        health=health_of(desk.athlete),
        protocols=shipped("position-stands"),
        to=[Recipient(person="Alex Sample", role="athlete")],
        out=tmp_path / "out",
        by="Alba Inventada",
        as_of=date(2026, 11, 25),
        pieces=["strip"],
    )
    page = answer(alba, desk, "chest_or_fainting", "yes")
    assert Withdrawal.objects.count() == 1
    code = Issue.objects.get().plan.code
    assert f"Number 1, {code}, for Sample Half was withdrawn at once." in page
    assert "<strong>Alex Sample</strong> (athlete) holds strip" in page
