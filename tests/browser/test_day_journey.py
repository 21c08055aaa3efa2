"""The day in a real browser: who races when, what is due, finding, a note, the telephone, an incident."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

import pytest
from files import AS_OF
from playwright.sync_api import Page, expect
from practice import person
from windows import DESK, PHONE

from provand.workspace.demo_practice import demo_loaded
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Note

Opened = Callable[..., Page]
SLOW_MS = 120_000
BOTH = pytest.mark.parametrize("window", [DESK, PHONE], ids=["desk", "phone"])


@pytest.fixture
def demo(ledger: Ledger) -> Mapping[str, Desk]:
    """Return the demo's race files by first name."""
    made = demo_loaded(ledger, by=person("Alba"), today=AS_OF)
    return {desk.title.split()[0]: Desk.objects.get(pk=desk.pk) for desk in made}


@BOTH
def test_the_day_says_who_races_when_what_is_due_and_who_is_on_hold_and_why(
    opened: Opened, demo: Mapping[str, Desk], window: dict[str, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    page = opened(viewport=window)
    page.goto("/")
    due = page.get_by_role("region", name="Due")
    expect(due).to_contain_text("Maud Tansley-Birk")
    expect(due).to_contain_text("nobody holds a plan yet")
    held = page.get_by_role("region", name="On hold")
    expect(held).to_contain_text("Per Quillon")
    expect(held).to_contain_text("blood sugar")
    race_day = page.get_by_role("table", name="Races on Sunday 6 December 2026")
    row = race_day.get_by_role("row").filter(has_text="Imke Loam")
    expect(row).to_contain_text("06:3")
    expect(row).to_contain_text("1:52")
    expect(row.locator(".stops")).to_have_attribute("aria-label", re.compile("race file: done; screening"))
    assert race_day.get_by_role("row").filter(has_text="Per Quillon").get_by_text("on hold").is_visible()
    monkeypatch.setenv("PROVAND_TODAY", "2026-12-03")
    page.reload()
    expect(due).to_contain_text("check the forecast, 3 d")
    expect(page.get_by_role("heading", name="in 3 days")).to_be_visible()
    due.get_by_role("link", name=re.compile("Open Maud")).first.click()
    page.wait_for_url(re.compile(f"/files/{demo['Maud'].pk}/"))


@BOTH
def test_a_few_letters_find_anything(
    opened: Opened, demo: Mapping[str, Desk], window: dict[str, int]
) -> None:
    page = opened(viewport=window)
    page.goto("/")
    for letters, found in (("gre", "Greta Hollin"), ("LOCK", "Odd Ferrow, Lock and Weir Half (invented)")):
        page.get_by_role("searchbox", name="Find").fill(letters)
        page.get_by_role("searchbox", name="Find").press("Enter")
        expect(page.get_by_role("main").get_by_role("link", name=found, exact=True)).to_be_visible()
    page.get_by_role("main").get_by_role("link").first.click()
    page.wait_for_url(f"**/files/{demo['Odd'].pk}/plan")


@BOTH
def test_on_the_telephone_a_note_and_a_change_are_made_on_one_page(
    opened: Opened, demo: Mapping[str, Desk], window: dict[str, int]
) -> None:
    page, greta = opened(viewport=window), demo["Greta"]
    page.goto(f"/athletes/{greta.athlete_id}")
    page.get_by_role("link", name=re.compile("On the telephone")).click()
    page.get_by_text("Goal Another goal time").click()
    page.get_by_label("Goal", exact=True).fill("2:20")
    page.get_by_label("What was said or seen").fill("Wants to go slower (invented).")
    page.locator('details[data-form="goal"] button').click()
    expect(page.locator("#plan")).to_contain_text("2:20", timeout=SLOW_MS)
    assert page.get_by_label("What was said or seen").input_value() == "Wants to go slower (invented)."
    page.get_by_label("Kind").select_option("call")
    page.get_by_role("button", name="Keep the note").click()
    expect(page.locator("[role=status]").first).to_contain_text("Noted.")
    assert page.url.endswith(f"/files/{greta.pk}/call")
    kept = page.get_by_role("listitem").filter(has_text="Wants to go slower (invented).")
    expect(kept).to_contain_text("25 Nov 2026, call")
    expect(kept).to_contain_text("Alba Inventada")
    assert "2:20" in Desk.objects.get(pk=greta.pk).typed


@BOTH
def test_an_incident_stops_the_next_issue_until_it_is_answered(
    opened: Opened, demo: Mapping[str, Desk], window: dict[str, int]
) -> None:
    page, imke = opened(viewport=window), demo["Imke"]
    page.goto(f"/athletes/{imke.athlete_id}/notes")
    page.get_by_label("Kind").select_option("incident")
    page.get_by_label("What was said or seen").fill("Collapsed after a long run (invented).")
    page.get_by_role("button", name="Keep the note").click()
    page.get_by_role("link", name="Today").click()
    expect(page.get_by_role("region", name="Due")).to_contain_text("an incident waits for an answer")
    page.get_by_role("link", name=re.compile("Open Imke Loam, an incident")).click()
    expect(page.get_by_role("main")).to_contain_text("stands in the way", timeout=SLOW_MS)
    assert page.get_by_role("button", name=re.compile("Issue number")).count() == 0
    page.get_by_label("What follows from it").fill("Seen by her doctor; slower, and no heat (invented).")
    page.get_by_role("button", name="Answer it").click()
    expect(page.get_by_role("button", name="Issue number 1")).to_be_visible(timeout=SLOW_MS)
    assert [one.kind for one in Note.objects.order_by("id")] == ["incident", "answer"]
