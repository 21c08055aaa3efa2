"""The page for the phone in a browser without a network: it fits, ends, and is clean to axe and to keys."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from laters import some_delays
from looked_at import TOO_WIDE
from plans import a_plan
from playwright.sync_api import Browser, Page
from windows import PHONE

from provand.pack.phone import phone_page
from provand.plan.delays import Delays
from provand.plan.document import Plan

BEFORE, DURING, OVER = "2026-12-05T20:00:00Z", "2026-12-06T12:00:00Z", "2026-12-06T13:30:00Z"
"""The evening before, in the night after the race, and in the first minute of the day after, in Adelaide."""
Shown = Callable[..., Page]


@pytest.fixture
def shown(browser: Browser, tmp_path: Path) -> Iterator[Shown]:
    """Return what shows the page of a plan, from a file and offline; it fails where one complains."""
    contexts, told = [], list[str]()

    def window(
        plan: Plan | None = None,
        later: Delays | None = None,
        *,
        at: str = BEFORE,
        refused: str = "\0",
        **more: Any,
    ) -> Page:
        path = tmp_path / "phone.html"
        path.write_bytes(phone_page(plan or a_plan(), later))
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


# A later start.


def chosen(page: Page, *ids: str) -> Page:
    """Open the questions and give answers, as a hand does."""
    if page.locator("#later:not([open])").count():
        page.get_by_text("Is your start later?").click()
    for one in ids:
        page.locator(f"#{one}").check()
    return page


def heads(page: Page) -> list[str]:
    return [one.inner_text() for one in page.locator("h2:visible").all()]


def test_on_time_the_plan_stands_as_it_is(shown: Shown) -> None:
    page = chosen(shown(later=some_delays()))
    assert {"Before the start", "In the race", "Your rules"} <= set(heads(page))
    assert page.locator(".state:visible, .ask:visible").count() == 0


def test_until_all_is_answered_nothing_of_the_plan_is_shown(shown: Shown) -> None:
    page = chosen(shown(later=some_delays()), "d2")
    for ids in ((), ("e0",)):
        chosen(page, *ids)
        assert "One more answer is needed" in heads(page)
        assert not {"Before the start", "In the race", "Your rules"} & set(heads(page))
        assert "Emergency" in heads(page)
    assert page.get_by_role("status").inner_text() == "One more answer is needed"


def test_a_strip_that_holds_stays_and_the_clock_moves(shown: Shown) -> None:
    page = chosen(shown(later=some_delays()), "e0", "c0", "d2")
    assert "40 min later: you start at 08:14–08:18" in heads(page)
    assert {"In the race", "Your rules"} <= set(heads(page))
    assert "Before the start" not in heads(page)
    assert page.locator(".state:visible").count() == 1
    assert page.get_by_role("status").inner_text().startswith("40 min later")
    assert not page.locator(".base-start").is_visible(), "the start that is over is not shown"


def test_what_was_eaten_is_in_no_list_that_is_shown(shown: Shown) -> None:
    page = chosen(shown(later=some_delays()), "e1", "c0", "d2")
    assert "In the race, with your later start" in heads(page)
    assert "In the race" not in heads(page)
    assert page.locator(".state:visible").count() == 2
    assert not page.locator("li:visible", has_text="lemon gel").count()
    assert page.locator("li:visible", has_text="orange chews").count() == 1


def test_where_nothing_was_planned_it_says_whom_to_ask(shown: Shown) -> None:
    page = chosen(shown(later=some_delays()), "e1", "c2", "d3")
    assert "120 min later: nothing was planned" in heads(page)
    assert not {"Before the start", "In the race", "Your rules"} & set(heads(page))
    assert page.locator(".state:visible").get_by_text("ring 000 000 000").is_visible()


def test_back_on_time_the_plan_is_back(shown: Shown) -> None:
    page = chosen(shown(later=some_delays()), "e1", "c1", "d1")
    assert "In the race" not in heads(page)
    chosen(page, "d0")
    assert {"Before the start", "In the race", "Your rules"} <= set(heads(page))
    assert page.locator(".state:visible").count() == 0


def test_answers_are_given_by_keys_alone(shown: Shown) -> None:
    page = shown(later=some_delays())
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    for key in ("Tab", "Space", "Tab", "Space", "Tab", "ArrowDown", "ArrowDown"):
        page.keyboard.press(key)
    assert "40 min later: you start at 08:14–08:18" in heads(page)


def test_it_works_without_scripts_too(shown: Shown) -> None:
    page = chosen(shown(later=some_delays(), java_script_enabled=False), "e0", "c0", "d1")
    assert "10 min later: you start at 07:44–07:48" in heads(page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("ids", [("d2",), ("e0", "c0", "d2"), ("e1", "c2", "d2"), ("e1", "c2", "d3")])
def test_every_kind_of_answer_is_clean_to_axe_and_fits(
    shown: Shown, ids: tuple[str, ...], scheme: str
) -> None:
    page = chosen(shown(later=some_delays(), color_scheme=scheme), *ids)
    found = Axe().run(page).response["violations"]
    assert not [(one["id"], one["nodes"][0]["html"][:120]) for one in found]
    for width in (320, 360):
        page.set_viewport_size({"width": width, "height": 740})
        assert page.evaluate(TOO_WIDE) == []


def test_after_its_day_a_later_start_counts_no_more_either(shown: Shown) -> None:
    page = shown(later=some_delays(), at=OVER)
    assert page.locator("#later:visible, .state:visible").count() == 0
    assert "Emergency" in heads(page)
