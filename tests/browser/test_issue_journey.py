"""From a cleared plan to what people hold, in a real browser: draft, issue, find, change, withdraw; hold."""

from __future__ import annotations

import io
import re
import threading
import zipfile
from collections.abc import Callable, Mapping
from typing import Any

import pytest
from files import AS_OF
from looked_at import assert_page
from playwright.sync_api import Page, expect
from practice import person
from pypdf import PdfReader
from windows import DESK, PHONE

from provand.case.typed import put
from provand.workspace import desk as desks
from provand.workspace import workers
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk

Opened = Callable[..., Page]
SLOW_MS = 120_000


@pytest.fixture
def demo(ledger: Ledger) -> Mapping[str, Desk]:
    """Return the demo's race files by first name."""
    made = demo_loaded(ledger, by=person("Alba"), today=AS_OF)
    return {desk.title.split()[0]: Desk.objects.get(pk=desk.pk) for desk in made}


def bytes_of(page: Page, address: str) -> bytes:
    answer = page.context.request.get(address)
    assert answer.ok, address
    return answer.body()


def first_page(data: bytes) -> str:
    return PdfReader(io.BytesIO(data)).pages[0].extract_text()


def issued(page: Page, number: int) -> str:
    """Issue that number from the page that offers it, and return its code."""
    for piece in ("Plan", "Calendar"):
        page.get_by_label(piece, exact=True).check()
    page.get_by_role("button", name=f"Issue number {number}").click()
    expect(page.get_by_role("heading", name="This copy counts")).to_be_visible(timeout=SLOW_MS)
    return page.url.rsplit("/", 1)[1]


@pytest.mark.parametrize("window", [DESK, PHONE], ids=["desk", "phone"])
def test_a_plan_is_looked_at_issued_found_changed_and_withdrawn(
    opened: Opened, demo: Mapping[str, Desk], window: dict[str, int]
) -> None:
    page = opened(viewport=window, accept_downloads=True)
    page.goto(f"/files/{demo['Imke'].pk}/plan")
    page.get_by_role("link", name="Issue version 1").click(timeout=SLOW_MS)
    assert_drafts(page)
    first = issued(page, 1)
    assert_held(page, first)
    page.get_by_role("searchbox", name="Find").fill(first.lower())
    page.get_by_role("searchbox", name="Find").press("Enter")
    expect(page).to_have_url(re.compile(f"/issues/{first}$"))

    page.get_by_role("link", name="The plan as it stands now").click()
    page.get_by_text("Goal Another goal time").click(timeout=SLOW_MS)
    page.get_by_label("Goal", exact=True).fill("1:58")
    page.locator('details[data-form="goal"] button').click()
    page.get_by_role("link", name="What changed since version 1").click(timeout=SLOW_MS)
    assert_compared(page, window["width"])

    page.goto(f"/files/{demo['Imke'].pk}/issue")
    second = issued(page, 2)
    page.goto(f"/issues/{first}")
    expect(page.get_by_role("heading", name="No longer counts")).to_be_visible()
    page.get_by_role("link", name=second).click()
    page.get_by_label("Reason").fill("the race is off")
    page.get_by_role("button", name=f"Withdraw {second}").click()
    expect(page.get_by_role("heading", name="Withdrawn")).to_be_visible()
    expect(page.get_by_text("Tell everybody who held it: Imke Loam (athlete)")).to_be_visible()
    expect(page.get_by_role("main")).to_contain_text("the race is off")
    assert b"METHOD:CANCEL" in bytes_of(page, f"/issues/{second}/race-cancelled.ics")


def test_while_a_plan_is_being_issued_the_page_says_so_in_every_window_and_leads_to_the_copy(
    opened: Opened, demo: Mapping[str, Desk], monkeypatch: pytest.MonkeyPatch
) -> None:
    page, begin, let = opened(), workers.begin, threading.Event()

    def waits(function: Any, *args: Any, **more: Any) -> Any:
        assert let.wait(SLOW_MS / 1000)
        return begin(function, *args, **more)

    monkeypatch.setattr(workers, "begin", waits)
    page.goto(f"/files/{demo['Imke'].pk}/issue")
    page.get_by_role("button", name="Issue number 1").click(timeout=SLOW_MS)
    expect(page.get_by_role("heading", name="Being issued")).to_be_visible()
    assert_page(page, page.url)
    let.set()
    expect(page.get_by_role("heading", name="This copy counts")).to_be_visible(timeout=SLOW_MS)
    expect(page.get_by_role("status")).to_contain_text("Number 1")


def test_a_language_is_read_approved_by_keys_and_then_handed_out(
    opened: Opened, ledger: Ledger, demo: Mapping[str, Desk]
) -> None:
    desk = demo["Imke"]
    spoken = [put("athlete.language", "es")]
    desks.typed_in(
        ledger, desk=desk, revision=desk.revision, steps=spoken, says="language", by=person("Alba")
    )
    page = opened(accept_downloads=True)
    page.goto(f"/files/{desk.pk}/issue")
    expect(page.get_by_role("heading", name="Not to be issued in Spanish")).to_be_visible(timeout=SLOW_MS)
    assert page.get_by_role("button", name=re.compile("^Issue")).count() == 0
    with page.expect_download() as texts:
        page.get_by_role("link", name="all texts in Spanish").click()
    assert texts.value.suggested_filename == "texts-es.xlsx"
    page.get_by_role("link", name="record the approval").press("Enter")
    expect(page.get_by_label("Language", exact=True).last).to_have_value("es")
    page.get_by_label("Read by").focus()
    page.keyboard.type("Ana Native (invented)")
    page.keyboard.press("Tab")
    page.keyboard.type("25 Nov 2026")
    page.keyboard.press("Enter")
    row = page.locator(".languages tr").filter(has_text="Spanish")
    expect(row).to_contain_text("approved: read by Ana Native (invented) on 25 Nov 2026")
    page.goto(f"/files/{desk.pk}/issue")
    code = issued(page, 1)
    assert "Para. Llama ya al equipo médico." in first_page(bytes_of(page, f"/issues/{code}/strip.pdf"))


def assert_drafts(page: Page) -> None:
    """Open every draft that the page offers: each but the safety page says that it is one."""
    links = page.get_by_role("main").locator("a[href*='/draft/']").all()
    drafts = {one.get_attribute("href") or "" for one in links}
    assert len(drafts) > 10
    for address in sorted(drafts):
        data = bytes_of(page, address)
        if address.endswith(".png"):
            assert data.startswith(b"\x89PNG"), "what a picture says is looked at where it is made"
            continue
        says = first_page(data) if data.startswith(b"%PDF") else data.decode("utf-8")
        assert address.endswith("/safety.pdf") or "draft" in says.casefold(), address


def assert_held(page: Page, code: str) -> None:
    """Take one PDF, and all in a zip: the same bytes, with the code."""
    paper = bytes_of(page, f"/issues/{code}/plan.pdf")
    assert code in first_page(paper)
    assert "Draft" not in first_page(paper)
    with page.expect_download() as packed:
        page.get_by_role("link", name="All in one zip").click()
    assert packed.value.suggested_filename == f"{code}.zip"
    assert zipfile.ZipFile(packed.value.path()).read("plan.pdf") == paper


def assert_compared(page: Page, room: int) -> None:
    """See both versions on one strip that fits the window, in words and in figures."""
    expect(page.get_by_role("heading", name="What version 2 changes")).to_be_visible(timeout=SLOW_MS)
    strips = page.locator(".two-strips svg:visible")
    expect(strips).to_have_count(1)
    drawn = strips.bounding_box()
    assert drawn is not None
    assert 0 <= drawn["x"] <= drawn["x"] + drawn["width"] <= room
    words = page.locator("ol.cautions")
    expect(words).to_contain_text("The places stay, the times change: km 4.8")
    assert "race.schedule" not in words.inner_text(), "no word of a program"
    finish = page.locator(".two-figures tr").filter(has_text="Finish, h:min")
    expect(finish).to_contain_text("1:52")
    expect(finish).to_contain_text("1:58")


@pytest.mark.parametrize("window", [DESK, PHONE], ids=["desk", "phone"])
def test_on_hold_there_is_the_safety_page_and_the_letter_and_nothing_else(
    opened: Opened, demo: Mapping[str, Desk], window: dict[str, int]
) -> None:
    page, held = opened(viewport=window), demo["Per"]
    page.goto(f"/files/{held.pk}/plan")
    expect(page.get_by_role("heading", name="On hold")).to_be_visible(timeout=SLOW_MS)
    assert page.locator(".course, .figures, table").count() == 0
    page.get_by_role("link", name="Hand out the safety page").click()
    assert page.get_by_role("main").locator("a[href*='/draft/']").all_inner_texts() == [
        "Look at the safety page"
    ]
    assert page.get_by_role("button", name=re.compile("^Issue")).count() == 0
    safety = first_page(bytes_of(page, f"/files/{held.pk}/draft/safety.pdf"))
    assert not re.search(r"\d+ ?(ml|g|kg)\b", safety)
    page.get_by_role("button", name="Hand out the safety page").click()
    expect(page.get_by_role("status").first).to_contain_text("given to Per Quillon (athlete)")

    page.get_by_role("link", name="letter").click()
    page.get_by_text("Write a letter").click()
    page.get_by_label("To which clinician").fill("Dr Inventada")
    page.get_by_role("button", name="Keep the letter").click()
    letter = page.get_by_role("link", name=re.compile("the letter, with the form for the reply"))
    expect(letter).to_have_count(1, timeout=SLOW_MS)
    assert "Dr Inventada" in first_page(bytes_of(page, letter.get_attribute("href") or ""))
    kept = page.locator("#kept-records")
    expect(kept).to_contain_text("letter about a medicine that lowers blood sugar to Dr Inventada")
    page.get_by_text("A reply came").click()
    page.get_by_role("button", name="Keep the reply").click()
    expect(page.locator("#told [role=alert]")).to_be_in_viewport()
