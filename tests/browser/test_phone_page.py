"""The page for the phone in a browser without a network: it fits, ends, and is clean to axe and to keys."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from looked_at import TOO_WIDE
from plans import a_plan
from playwright.sync_api import Browser, Page
from windows import PHONE

from provand.pack.phone import phone_page
from provand.plan.document import Plan

BEFORE, DURING, OVER = "2026-12-05T20:00:00Z", "2026-12-06T12:00:00Z", "2026-12-06T13:30:00Z"
"""The evening before, in the night after the race, and in the first minute of the day after, in Adelaide."""
Shown = Callable[..., Page]


@pytest.fixture
def shown(browser: Browser, tmp_path: Path) -> Iterator[Shown]:
    """Return what shows the page of a plan, from a file and offline; it fails where one complains."""
    contexts, told = [], list[str]()

    def window(plan: Plan | None = None, *, at: str = BEFORE, refused: str = "\0", **more: Any) -> Page:
        path = tmp_path / "phone.html"
        path.write_bytes(phone_page(plan or a_plan()))
        context = browser.new_context(**({"viewport": PHONE, "offline": True} | more))
        contexts.append(context)
        page = context.new_page()
        page.clock.install(time=at)
        page.on("pageerror", lambda error: told.append(str(error)))
        page.on("console", lambda said: None if refused in said.text else told.append(said.text))
        page.on("request", lambda asked: None if asked.url.startswith("file:") else told.append(asked.url))
        page.goto(path.as_uri())
        return page

    yield window
    for context in contexts:
        context.close()
    assert not told


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("at", [BEFORE, OVER])
def test_it_is_clean_to_axe_and_needs_no_sideways_scroll(shown: Shown, scheme: str, at: str) -> None:
    page = shown(at=at, color_scheme=scheme)
    page.locator("details").evaluate_all("all => all.forEach(one => { one.open = true; })")
    found = Axe().run(page).response["violations"]
    assert not [(one["id"], one["nodes"][0]["html"][:120]) for one in found]
    for width in (320, 360, 1280):
        page.set_viewport_size({"width": width, "height": 740})
        assert page.evaluate(TOO_WIDE) == []


def test_its_style_and_script_are_allowed_by_its_own_policy(shown: Shown) -> None:
    page = shown(color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.querySelector('.ladder')).listStyleType") == "none"
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(21, 24, 27)"
    assert not page.locator("html.ended").count()


def test_a_script_that_is_not_its_own_is_refused(shown: Shown) -> None:
    page = shown(refused="Executing inline event handler violates")
    page.evaluate("""() => {
        const one = document.createElement("div");
        one.setAttribute("onclick", "document.title = 'taken'");
        document.body.append(one);
        one.click();
    }""")
    assert "taken" not in page.title()


def test_until_the_day_after_it_counts_and_then_the_safety_lines_alone_stay(shown: Shown) -> None:
    for at, ended in ((BEFORE, False), (DURING, False), (OVER, True)):
        page = shown(at=at)
        assert page.get_by_role("heading", name="This plan no longer counts").is_visible() is ended
        for name in ("Before the start", "In the race", "Your rules"):
            assert page.get_by_role("heading", name=name).is_visible() is not ended
        assert page.get_by_text("lemon gel").is_visible() is not ended
        for name in ("Emergency", "Go to the medics if", "Stop at once and get help if", "About this copy"):
            assert page.get_by_role("heading", name=name).is_visible()


def test_a_page_left_open_ends_by_itself(shown: Shown) -> None:
    page = shown(at=DURING)
    assert page.get_by_text("lemon gel").is_visible()
    page.clock.fast_forward("02:00:00")
    assert not page.get_by_text("lemon gel").is_visible()
    assert page.get_by_role("heading", name="This plan no longer counts").is_visible()


def test_headings_are_in_order_and_every_part_has_a_name(shown: Shown) -> None:
    page = shown()
    levels = page.locator("h1, h2, h3").evaluate_all("all => all.map(one => Number(one.tagName[1]))")
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert page.locator("main section:not([aria-labelledby])").count() == 0


def test_without_scripts_the_plan_can_still_be_read(shown: Shown) -> None:
    page = shown(java_script_enabled=False)
    assert page.get_by_text("lemon gel").is_visible()
    assert page.get_by_role("heading", name="Emergency").is_visible()
