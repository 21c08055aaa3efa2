"""Packs for many: chosen, made beside the pages, stopped, gone on with; who may look and act; faults."""

from __future__ import annotations

import io
import threading
import zipfile
from collections.abc import Iterator
from concurrent.futures import Future
from datetime import date
from typing import Any
from uuid import uuid4

import pytest
from django.http import HttpResponse
from django.test import Client
from practice import person, signed_in
from pypdf import PdfReader

from provand.case.typed import put
from provand.pack.made import made
from provand.workspace import at_work, jobs, people, workers
from provand.workspace import desk as desks
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.languages import approve
from provand.workspace.ledger import Ledger
from provand.workspace.models import Audit, Desk, Handout, Holder, Issue, Job, JobEnd
from provand.workspace.notes import noted

DAY = date(2026, 11, 25)
HTMX = {"HX-Request": "true"}
SLOW_S = 240


@pytest.fixture
def demo(ledger: Ledger) -> Iterator[dict[str, Desk]]:
    """Return the demo's race files by the athlete's first name; no work outlives the test."""
    loaded = demo_loaded(ledger, by=person("Alba"), today=DAY)
    yield {desk.title.split()[0]: Desk.objects.get(pk=desk.pk) for desk in loaded}
    assert at_work.waited(most_s=SLOW_S)


class Held:
    """Processes that compute only when the test lets them, one piece after another."""

    def __init__(self) -> None:
        self.begun = threading.Semaphore(0)
        self.futures: list[Future[Any]] = []
        self.calls: list[tuple[Any, Any]] = []

    def begin(self, _: Any, *args: Any, **more: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.futures.append(future)
        self.calls.append((args, more))
        self.begun.release()
        return future

    def wait_for_one(self) -> None:
        """Wait until a piece is being computed; the next call lets it."""
        assert self.begun.acquire(timeout=SLOW_S)
        self.begun.release()

    def let_one(self) -> None:
        """Compute the piece that is waited for, here."""
        assert self.begun.acquire(timeout=SLOW_S)
        args, more = self.calls[-1]
        try:
            self.futures[-1].set_result(made(*args, **more))
        except Exception as error:
            self.futures[-1].set_exception(error)


@pytest.fixture
def by_hand(demo: dict[str, Desk], monkeypatch: pytest.MonkeyPatch) -> Iterator[Held]:
    held = Held()
    monkeypatch.setattr(workers, "begin", held.begin)
    yield held
    for future in held.futures:
        future.cancel()


def asked(
    client: Client, files: list[Desk], kind: str = "issue", pieces: tuple[str, ...] = ("strip",)
) -> HttpResponse:
    sent = {"file": [str(desk.pk) for desk in files], "as": kind, "piece": list(pieces)}
    answer = client.post("/packs", sent)
    assert isinstance(answer, HttpResponse)
    return answer


def begun(client: Client, files: list[Desk], kind: str = "issue", **more: Any) -> Job:
    answer = asked(client, files, kind, **more)
    assert answer.status_code == 302, answer.content.decode()
    return Job.objects.get(key=answer.headers["Location"].rsplit("/", 1)[1])


def text(client: Client, job: Job) -> str:
    return client.get(f"/jobs/{job.key}").content.decode()


def zipped(client: Client, job: Job) -> zipfile.ZipFile:
    answer = client.get(f"/jobs/{job.key}/all.zip")
    assert answer.headers["Content-Type"] == "application/zip"
    return zipfile.ZipFile(io.BytesIO(answer.content))


def test_all_are_issued_beside_the_pages_and_who_is_on_hold_gets_the_safety_page(
    alba: Client, demo: dict[str, Desk]
) -> None:
    choice = alba.get("/packs").content.decode()
    assert "safety page alone" in choice
    assert f'value="{demo["Imke"].pk}" checked' in choice
    assert f'value="{demo["Per"].pk}">' in choice
    job = begun(alba, list(demo.values()), pieces=("strip", "calendar", "safety"))
    assert at_work.waited(most_s=SLOW_S)
    shown = text(alba, job)
    held = {end.piece.desk_id for end in JobEnd.objects.filter(kind="held")}
    done = {end.piece.desk_id for end in JobEnd.objects.filter(kind="done")}
    assert demo["Per"].pk in held
    assert demo["Imke"].pk in done
    assert held | done == {desk.pk for desk in demo.values()}
    assert f"The work has ended: {len(done)} of 5 done" in shown
    assert Issue.objects.count() == len(done)
    assert {one.role for one in Holder.objects.all()} == {"athlete"}
    assert Holder.objects.count() == 5
    packed = zipped(alba, job)
    of_imke = {name.split("/")[1]: name for name in packed.namelist() if "Imke" in name}
    assert set(of_imke) == {"strip.pdf", "race.ics", "safety.pdf"}
    kept = Handout.objects.get(issue__race=demo["Imke"].race_id, name="strip.pdf")
    assert packed.read(of_imke["strip.pdf"]) == bytes(kept.data)
    assert [name.split("/")[1] for name in packed.namelist() if "Per" in name] == ["safety.pdf"]


def test_links_tick_all_none_the_soon_or_those_without_a_copy(alba: Client, demo: dict[str, Desk]) -> None:
    def ticked(which: str) -> set[str]:
        page = alba.get("/packs", {"tick": which}).content.decode()
        return {name for name, desk in demo.items() if f'value="{desk.pk}" checked' in page}

    away = {"Per"}  # on hold: ticked by hand alone
    assert ticked("all") == set(demo) - away == ticked("anything")
    assert ticked("none") == set()
    assert ticked("soon") == set(demo) - away - {"Odd"}, "that race is in 18 days"
    begun(alba, [demo["Imke"]], pieces=("strip",))
    assert at_work.waited(most_s=SLOW_S)
    assert ticked("new") == set(demo) - away - {"Imke"}


def test_who_is_given_drafts_alone_in_a_language_nobody_approved_is_said_beforehand(
    ledger: Ledger, alba: Client, demo: dict[str, Desk]
) -> None:
    desk = Desk.objects.get(pk=demo["Maud"].pk)
    steps = [put("athlete.language", "es")]
    desks.typed_in(ledger, desk=desk, revision=desk.revision, steps=steps, says="language", by=person("Alba"))
    said = "<strong>drafts only</strong>: Spanish is not approved"
    assert alba.get("/packs").content.decode().count(said) == 1
    approve(ledger, tag="es", speaker="Ana Native", on=DAY, as_of=DAY)
    assert said not in alba.get("/packs").content.decode()


def test_the_page_for_the_phone_holds_the_later_starts_as_from_the_issue_page(
    alba: Client, demo: dict[str, Desk]
) -> None:
    job = begun(alba, [demo["Imke"]], pieces=("phone",))
    assert at_work.waited(most_s=SLOW_S)
    assert "All 1 are done" in text(alba, job)
    page = next(name for name in zipped(alba, job).namelist() if name.endswith(".html"))
    assert b"later" in zipped(alba, job).read(page)


def test_drafts_say_that_they_are_drafts_and_issue_nothing(alba: Client, demo: dict[str, Desk]) -> None:
    job = begun(alba, [demo["Imke"], demo["Per"]], "drafts")
    assert at_work.waited(most_s=SLOW_S)
    packed = zipped(alba, job)
    sheet = next(name for name in packed.namelist() if name.endswith("draft-strip.pdf"))
    assert "Draft, not issued" in PdfReader(io.BytesIO(packed.read(sheet))).pages[0].extract_text()
    assert [name.split("/")[1] for name in packed.namelist() if "Per" in name] == ["safety.pdf"]
    assert not Issue.objects.exists()
    assert not Holder.objects.exists()


def test_why_somebody_is_on_hold_is_told_to_practitioners_and_kept_nowhere(
    ledger: Ledger, alba: Client, dana: Client, demo: dict[str, Desk]
) -> None:
    job = begun(alba, [demo["Per"]], "drafts")
    assert at_work.waited(most_s=SLOW_S)
    people.shared(ledger, athlete=demo["Per"].athlete, user=person("Dana"), by=person("Alba"))
    assert "blood sugar" in text(alba, job)
    seen = text(dana, job)
    assert "On hold: ask the practitioner." in seen
    assert "blood sugar" not in seen
    assert JobEnd.objects.get().says == ""


def test_a_page_at_work_says_how_far_it_is_and_asks_again(
    alba: Client, demo: dict[str, Desk], by_hand: Held
) -> None:
    job = begun(alba, [demo["Imke"], demo["Odd"]])
    by_hand.let_one()
    by_hand.wait_for_one()
    shown = alba.get(f"/jobs/{job.key}").content.decode()
    assert "1 of 2 are through" in shown
    assert f'hx-get="/jobs/{job.key}"' in shown
    assert 'http-equiv="refresh"' in shown
    assert "being made" in shown
    part = alba.get(f"/jobs/{job.key}", headers=HTMX).content.decode()
    assert part.lstrip().startswith('<div id="job"')
    by_hand.let_one()
    assert at_work.waited(most_s=SLOW_S)
    ended = alba.get(f"/jobs/{job.key}", headers=HTMX).content.decode()
    assert "All 2 are done" in ended
    assert "hx-get" not in ended


def test_stopped_in_the_middle_nothing_is_half_done_and_it_goes_on_with_the_rest(
    alba: Client, demo: dict[str, Desk], by_hand: Held
) -> None:
    job = begun(alba, [demo["Imke"], demo["Odd"]])
    by_hand.let_one()
    assert by_hand.begun.acquire(timeout=SLOW_S)
    assert alba.post(f"/jobs/{job.key}/stop").status_code == 302
    assert at_work.waited(most_s=SLOW_S)
    assert by_hand.futures[1].cancelled()
    assert "Stopped with 1 of 2 through" in text(alba, job)
    assert Issue.objects.count() == JobEnd.objects.count() == 1
    first = Issue.objects.get()
    alba.post(f"/jobs/{job.key}/again")
    by_hand.let_one()
    assert at_work.waited(most_s=SLOW_S)
    assert "All 2 are done" in text(alba, job)
    assert len(by_hand.calls) == 3, "what was done is not done again"
    assert Issue.objects.count() == 2
    assert Issue.objects.filter(pk=first.pk, superseded_by=None).exists()


def test_what_is_ready_after_a_stop_is_not_kept(
    ledger: Ledger, alba: Client, demo: dict[str, Desk], by_hand: Held
) -> None:
    """The stop came between the process's answer and the writing: the ledger decides, not the thread."""
    job = begun(alba, [demo["Imke"]])
    by_hand.wait_for_one()
    jobs.stopped(ledger, job=job, by=person("Alba"), on=DAY)
    by_hand.let_one()
    assert at_work.waited(most_s=SLOW_S)
    assert not Issue.objects.exists()
    assert not JobEnd.objects.exists()
    assert not Audit.objects.filter(what="issued").exists()


def test_a_job_that_the_program_left_is_broken_off_and_goes_on_when_asked(
    ledger: Ledger, alba: Client, demo: dict[str, Desk]
) -> None:
    """As after a restart: the rows are there, and nobody is at work on them."""
    job = jobs.begun(
        ledger, kind="issue", desks=[demo["Imke"], demo["Odd"]], given={"pieces": ["safety"]},
        by=person("Alba"), on=DAY,
    )  # fmt: skip
    shown = text(alba, job)
    assert "The program was closed with 0 of 2 through" in shown
    assert "Go on with the 2 left" in shown
    alba.post(f"/jobs/{job.key}/again", headers=HTMX)
    assert at_work.waited(most_s=SLOW_S)
    assert "All 2 are done" in text(alba, job)
    assert Issue.objects.count() == 2


def test_two_jobs_take_turns(alba: Client, demo: dict[str, Desk], by_hand: Held) -> None:
    first = begun(alba, [demo["Imke"], demo["Odd"]], "drafts")
    second = begun(alba, [demo["Imke"]], "issue")
    for _ in range(3):
        by_hand.let_one()
    assert at_work.waited(most_s=SLOW_S)
    order = [end.piece.job_id for end in JobEnd.objects.order_by("id")]
    assert order == [first.pk, second.pk, first.pk]
    for job, done in ((first, "All 2 are done"), (second, "All 1 are done")):
        assert done in text(alba, job)


def test_a_race_file_changed_while_it_is_made_is_read_anew(
    ledger: Ledger, alba: Client, demo: dict[str, Desk], by_hand: Held
) -> None:
    job = begun(alba, [demo["Imke"]])
    by_hand.wait_for_one()
    desk = Desk.objects.get(pk=demo["Imke"].pk)
    steps = [put("race.goal", "1:58")]
    desks.typed_in(ledger, desk=desk, revision=desk.revision, steps=steps, says="goal", by=person("Alba"))
    by_hand.let_one()
    by_hand.let_one()
    assert at_work.waited(most_s=SLOW_S)
    assert "All 1 are done" in text(alba, job)
    assert "1:58" in Issue.objects.get().case.typed


def test_one_that_cannot_be_read_is_told_and_the_others_go_on(
    ledger: Ledger, alba: Client, demo: dict[str, Desk]
) -> None:
    desk = Desk.objects.get(pk=demo["Odd"].pk)
    steps = [put("athlete.body_mass", "700 kg")]
    desks.typed_in(ledger, desk=desk, revision=desk.revision, steps=steps, says="mass", by=person("Alba"))
    job = begun(alba, [demo["Odd"], demo["Imke"]], pieces=("safety",))
    assert at_work.waited(most_s=SLOW_S)
    shown = text(alba, job)
    assert "The work has ended: 1 of 2 done" in shown
    assert "athlete.body_mass" in shown
    assert "Try the 1 left again" in shown


def test_what_nobody_foresaw_fails_one_piece_and_the_others_go_on(
    alba: Client, demo: dict[str, Desk], by_hand: Held, capsys: pytest.CaptureFixture[str]
) -> None:
    job = begun(alba, [demo["Imke"], demo["Odd"]])
    assert by_hand.begun.acquire(timeout=SLOW_S)
    by_hand.futures[0].set_exception(RuntimeError("a hand of the test"))
    by_hand.let_one()
    assert at_work.waited(most_s=SLOW_S)
    assert "the work on this race broke off" in text(alba, job)
    assert "a hand of the test" in capsys.readouterr().err
    assert Issue.objects.count() == 1


def test_an_incident_and_an_ended_share_keep_a_piece_from_being_issued(
    ledger: Ledger, alba: Client, bo: Client, demo: dict[str, Desk], by_hand: Held
) -> None:
    noted(
        ledger, athlete=demo["Odd"].athlete, race=None, kind="incident", on=DAY, text="Collapsed (invented)",
        by=person("Alba"), today=DAY,
    )  # fmt: skip
    for name in ("Imke", "Odd"):
        people.shared(ledger, athlete=demo[name].athlete, user=person("Bo"), by=person("Alba"))
    job = begun(bo, [demo["Odd"], demo["Imke"]])
    assert by_hand.begun.acquire(timeout=SLOW_S)
    people.shared(ledger, athlete=demo["Imke"].athlete, user=person("Bo"), by=person("Alba"), ends=True)
    args, more = by_hand.calls[-1]
    by_hand.futures[-1].set_result(made(*args, **more))
    assert at_work.waited(most_s=SLOW_S)
    assert not Issue.objects.exists()
    assert "incident" in JobEnd.objects.get(piece__desk=demo["Odd"]).says
    assert "does not see the race file" in JobEnd.objects.get(piece__desk=demo["Imke"]).says
    assert "Imke" not in text(bo, job)


def test_a_colleague_looks_at_a_job_on_shared_athletes_and_alone_its_owner_acts(
    ledger: Ledger, bo: Client, demo: dict[str, Desk]
) -> None:
    job = jobs.begun(
        ledger, kind="issue", desks=[demo["Imke"]], given={"pieces": ["safety"]}, by=person("Alba"), on=DAY
    )
    people.shared(ledger, athlete=demo["Imke"].athlete, user=person("Bo"), by=person("Alba"))
    shown = text(bo, job)
    assert "Imke" in shown
    assert "Go on" not in shown
    refused = bo.post(f"/jobs/{job.key}/again", headers=HTMX)
    assert refused.status_code == 422
    assert "Alba Inventada began this work" in refused.content.decode()


def test_a_stranger_gets_404(ledger: Ledger, cai: Client, demo: dict[str, Desk]) -> None:
    job = jobs.begun(
        ledger, kind="drafts", desks=[demo["Imke"]], given={"pieces": ["safety"]}, by=person("Alba"), on=DAY
    )
    for address in (f"/jobs/{job.key}", f"/jobs/{job.key}/all.zip"):
        assert cai.get(address).status_code == 404
    for act in ("stop", "again"):
        assert cai.post(f"/jobs/{job.key}/{act}").status_code == 404
    assert asked(cai, [demo["Imke"]]).status_code == 404
    assert "Imke" not in cai.get("/packs").content.decode()


def test_an_assistant_makes_drafts_and_releases_nothing(
    ledger: Ledger, dana: Client, demo: dict[str, Desk]
) -> None:
    people.shared(ledger, athlete=demo["Imke"].athlete, user=person("Dana"), by=person("Alba"))
    assert "Issue to each athlete" not in dana.get("/packs").content.decode()
    assert asked(dana, [demo["Imke"]]).status_code == 422
    assert not Job.objects.exists()
    job = begun(dana, [demo["Imke"]], "drafts", pieces=("safety",))
    assert at_work.waited(most_s=SLOW_S)
    assert "All 1 are done" in text(dana, job)


@pytest.mark.parametrize(
    ("spoilt", "status", "says"),
    [
        ({"file": []}, 422, "no race is chosen"),
        ({"piece": []}, 422, "nothing is ticked"),
        ({"piece": ["record"]}, 422, "nothing is ticked"),
        ({"as": "party"}, 422, "no race is chosen"),
        ({"file": ["x"]}, 404, ""),
        ({"file": [str(uuid4())]}, 404, ""),
    ],
)
def test_a_form_that_cannot_be_says_why(
    alba: Client, demo: dict[str, Desk], spoilt: dict[str, Any], status: int, says: str
) -> None:
    sent = {"file": [str(demo["Imke"].pk)], "as": "drafts", "piece": ["strip"]}
    answer = alba.post("/packs", sent | spoilt)
    assert answer.status_code == status
    assert says in answer.content.decode()
    assert not Job.objects.exists()


def test_bad_addresses_and_wrong_methods(ledger: Ledger, alba: Client, demo: dict[str, Desk]) -> None:
    job = jobs.begun(
        ledger, kind="drafts", desks=[demo["Imke"]], given={"pieces": ["safety"]}, by=person("Alba"), on=DAY
    )
    assert alba.get(f"/jobs/{uuid4()}").status_code == 404
    assert alba.get(f"/jobs/{uuid4()}/all.zip").status_code == 404
    assert alba.get(f"/jobs/{job.key}/stop").status_code == 405
    assert alba.get(f"/jobs/{job.key}/again").status_code == 405
    assert alba.post(f"/jobs/{job.key}").status_code == 405
    assert alba.delete("/packs").status_code == 405
    alba.post(f"/jobs/{job.key}/stop")
    twice = alba.post(f"/jobs/{job.key}/stop", headers=HTMX)
    assert twice.status_code == 422
    assert "not at work any more" in twice.content.decode()


def test_a_browser_that_nobody_signed_in_is_led_to_signing_in(demo: dict[str, Desk]) -> None:
    assert signed_in("Alba").get("/packs").status_code == 200
    assert Client(HTTP_HOST="localhost").get("/packs").status_code == 302
