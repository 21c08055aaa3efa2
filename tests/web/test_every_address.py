"""Every address of the workspace, tried by nobody, a stranger and an assistant; none may be forgotten."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client
from django.urls import URLPattern, reverse
from practice import person, signed_in

from provand.workspace import actions, jobs, people
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.healths import health_of
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Issue, Job
from provand.workspace.noted import case_of
from provand.workspace.plans import basis_of
from provand.workspace.records import Recipient, Snapshot
from provand.workspace.urls import urlpatterns

DAY = date(2026, 11, 25)
OPEN = {"tokens", "start", "enter"}
"""What is there before anybody has signed in."""
OWN = {
    "day",
    "find",
    "leave",
    "practice",
    "practice_named",
    "language_approved",
    "language_texts",
    "language_withdrawn",
    "demo",
    "athletes",
    "athlete_new",
    "shelf",
    "label_new",
    "label",
    "label_ended",
    "mix",
    "mix_kept",
    "packs",
}
"""What holds nothing of one athlete: a stranger gets the page, without anybody else's athletes on it."""
HEALTH = ("gliclazide", "ramipril", "blood sugar", "blood pressure")
"""Words of the demo's answers that no assistant may read anywhere."""
NAMED = [pattern for pattern in urlpatterns if isinstance(pattern, URLPattern)]


@pytest.fixture
def desks(ledger: Ledger) -> dict[str, Desk]:
    """Return the demo's race files; the first one's plan is issued."""
    made = demo_loaded(ledger, by=person("Alba"), today=DAY)
    found = {desk.title.split()[0]: Desk.objects.get(pk=desk.pk) for desk in made}
    desk = found["Imke"]
    assert desk.standing is not None
    case = case_of(desk.standing)
    actions.issue(
        ledger,
        snapshot=Snapshot(typed=desk.typed, case=case),
        health=health_of(desk.athlete),
        protocols=basis_of(desk, case, as_of=DAY).protocols,
        to=[Recipient(person=case.athlete.name, role="athlete")],
        out=None,
        by="Alba Inventada",
        as_of=DAY,
        pieces=("safety",),
    )
    for one in found.values():
        jobs.begun(
            ledger, kind="drafts", desks=[one], given={"pieces": ["safety"]}, by=person("Alba"), on=DAY
        )
    return found


def address(pattern: URLPattern, desk: Desk) -> str:
    """Return an address of that pattern for one race file."""
    issue = Issue.objects.get()
    job = Job.objects.get(pieces__desk=desk).key
    values = {
        "key": job if str(pattern.name).startswith("job") else desk.pk, "pk": desk.athlete_id,
        "code": issue.plan.code, "name": "safety.pdf", "figure_id": "race.carb_g_per_h", "n": 1, "m": 1,
        "number": 1, "item": "gel-25", "tag": "es",
    }  # fmt: skip
    return reverse(pattern.name, kwargs={key: values[key] for key in pattern.pattern.converters})


def test_nobody_gets_anything_unsigned(nobody: Client, desks: dict[str, Desk]) -> None:
    for pattern in NAMED:
        place = address(pattern, desks["Imke"])
        for answer in () if pattern.name in OPEN else (nobody.get(place), nobody.post(place)):
            assert answer.status_code == 302, place
            assert answer.headers["Location"].startswith("/enter"), place


def test_a_stranger_gets_404_wherever_an_athlete_stands(cai: Client, desks: dict[str, Desk]) -> None:
    for pattern in NAMED:
        if pattern.name in OPEN | {"leave"}:
            continue
        place = address(pattern, desks["Imke"])
        answers = (cai.get(place), cai.post(place))
        statuses = {one.status_code for one in answers}
        if pattern.name in OWN:
            assert all(b"Imke" not in one.content for one in answers), place
        else:
            assert statuses <= {404, 405}, place
            assert 404 in statuses, place


def test_an_assistant_reads_no_answer_about_health(
    ledger: Ledger, dana: Client, desks: dict[str, Desk]
) -> None:
    for desk in desks.values():
        people.shared(ledger, athlete=desk.athlete, user=person("Dana"), by=person("Alba"))
    for pattern in NAMED:
        for desk in desks.values():
            place = address(pattern, desk)
            seen = dana.get(place)
            assert seen.status_code < 500, place
            text = seen.content.decode("utf-8", "replace").casefold()
            assert not [word for word in HEALTH if word in text], place


def test_every_list_of_addresses_here_names_real_ones() -> None:
    names = {pattern.name for pattern in NAMED}
    assert names >= OPEN | OWN
    assert all(names)


def test_a_practitioner_reads_what_an_assistant_may_not(desks: dict[str, Desk]) -> None:
    page = signed_in("Alba").get(reverse("day")).content.decode().casefold()
    assert "blood sugar" in page


def test_what_is_not_there_and_what_fails_have_pages_of_their_own(
    alba: Client, nobody: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    for client, address in ((alba, "/athletes/9999999"), (alba, "/no/such"), (nobody, "/no/such")):
        missing = client.get(address)
        assert missing.status_code == 404
        assert "Nothing that you may see has this address" in missing.content.decode()

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError

    monkeypatch.setattr("provand.workspace.views.day.day_list", broken)
    alba.raise_request_exception = False
    failed = alba.get("/")
    assert failed.status_code == 500
    assert "nothing was half done" in failed.content.decode()
