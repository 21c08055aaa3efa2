"""Packs for many in a real browser: chosen, followed to the end, all in one zip; without scripts too."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterator

import pytest
from files import AS_OF
from playwright.sync_api import Page, expect
from practice import person
from windows import DESK, PHONE

from provand.workspace import at_work
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.ledger import Ledger

Opened = Callable[..., Page]
SLOW_MS = 120_000


@pytest.fixture
def demo(ledger: Ledger) -> Iterator[None]:
    demo_loaded(ledger, by=person("Alba"), today=AS_OF)
    yield
    assert at_work.waited(most_s=SLOW_MS / 1000)


@pytest.mark.parametrize(
    ("window", "scripts"), [(DESK, True), (PHONE, False)], ids=["desk", "phone without scripts"]
)
def test_drafts_of_many_are_chosen_made_and_taken_in_one_zip(
    opened: Opened, demo: None, window: dict[str, int], scripts: bool
) -> None:
    page = opened(viewport=window, java_script_enabled=scripts, accept_downloads=True)
    page.goto("/")
    page.get_by_role("link", name="Packs for many").click()
    page.get_by_label("Per Quillon").check()
    for box in page.locator("input[name=piece]").all():
        box.uncheck()
    page.locator("input[name=piece][value=strip]").check()
    page.get_by_role("button", name="Make drafts").click()
    expect(page.get_by_role("heading", name="Drafts of packs")).to_be_visible()
    expect(page.get_by_text("The work has ended: 4 of 5 done.")).to_be_visible(timeout=SLOW_MS)
    expect(page.get_by_role("heading", name="Not made, and why")).to_be_visible()
    expect(page.locator(".job td.stands.held")).to_contain_text("on hold")
    with page.expect_download() as packed:
        page.get_by_role("link", name="All in one zip").click()
    names = zipfile.ZipFile(packed.value.path()).namelist()
    assert sum(name.endswith("draft-strip.pdf") for name in names) == 4
    assert sum(name.endswith("safety.pdf") for name in names) == 1
