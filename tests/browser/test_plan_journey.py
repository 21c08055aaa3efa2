"""The page of a plan in a real browser: drag, keys, undo, a limit passed, a phone, keyboard alone, axe."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from files import STARTER, race_file
from held import Held
from playwright.sync_api import Locator, Page, expect
from windows import PHONE

from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk

Opened = Callable[..., Page]
SLOW_MS = 120_000


@pytest.fixture
def desk(ledger: Ledger) -> Desk:
    """Return the starter's race file: gels with water at 5, 10 and 15 km."""
    return race_file(ledger, seen_by=("Bo", "Dana"))


def at_plan(page: Page, desk: Desk) -> Page:
    page.goto(f"/files/{desk.pk}/plan")
    page.wait_for_selector(".course", timeout=SLOW_MS)
    return page


def intakes(page: Page) -> Locator:
    """Return the intakes of the strip that is seen."""
    return page.locator(".course [role=slider]:visible")


def faces(page: Page, selector: str) -> set[str]:
    """Return the families of the letters in which texts are really set."""
    session = page.context.new_cdp_session(page)
    for part in ("DOM", "CSS"):
        session.send(f"{part}.enable")
    root = session.send("DOM.getDocument")["root"]["nodeId"]
    found = session.send("DOM.querySelectorAll", {"nodeId": root, "selector": selector})["nodeIds"]
    used = [session.send("CSS.getPlatformFontsForNode", {"nodeId": node})["fonts"] for node in found]
    return {font["familyName"] for fonts in used for font in fonts}


def says(page: Page) -> str:
    return page.evaluate("document.activeElement.getAttribute('aria-valuetext') || ''")


def focused(page: Page, script: str) -> None:
    """Wait until what a script says is so; the page's own policy forbids to wait inside it."""
    for _ in range(SLOW_MS // 100):
        if page.evaluate(script):
            return
        page.wait_for_timeout(100)
    raise AssertionError(script)


def on(page: Page, words: str) -> None:
    """Wait until the intake that says so has the focus."""
    focused(page, f"(document.activeElement.getAttribute('aria-valuetext') || '').startsWith('{words}')")


def heard(page: Page, words: str) -> None:
    expect(page.locator("#said")).to_contain_text(words, timeout=SLOW_MS)


def dragged(page: Page, intake: Locator, by_x: float, by_y: float = 0.0, *, drop: bool = True) -> None:
    intake.scroll_into_view_if_needed()
    box = intake.locator("circle.sign, circle.ring, rect.sign").bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by_x / 2, y + by_y / 2)
    page.mouse.move(x + by_x, y + by_y)
    if drop:
        page.mouse.up()


def test_an_intake_dragged_along_the_strip_stays_there_and_undo_takes_it_back(
    opened: Opened, desk: Desk
) -> None:
    page = at_plan(opened(), desk)
    height = page.locator(".strip-level svg").bounding_box()
    dragged(page, intakes(page).first, 60, drop=False)
    assert page.locator(".was-ring").count() == 1
    page.mouse.up()
    heard(page, "Moved to 6.4 km")
    assert page.locator(".was-ring").count() == 0
    assert page.locator("table.along tbody th").first.inner_text() == "6.4"
    assert page.locator(".strip-level svg").bounding_box() == height
    page.get_by_role("button", name="Undo").click()
    heard(page, "Taken back")
    page.wait_for_selector(".course", timeout=SLOW_MS)
    assert page.locator("table.along tbody th").first.inner_text() == "5.0"


def test_escape_puts_a_drag_back_and_nothing_is_sent(opened: Opened, desk: Desk) -> None:
    page = at_plan(opened(), desk)
    assert faces(page, ".strip-level text") == {"Fira Sans", "Fira Sans Condensed"}, "a strip comes late"
    dragged(page, intakes(page).first, 60, drop=False)
    page.keyboard.press("Escape")
    page.mouse.up()
    assert page.locator(".was-ring").count() == 0
    page.wait_for_timeout(400)
    assert Desk.objects.get(pk=desk.pk).revision == desk.revision


def test_a_limit_passed_is_drawn_at_once_and_offers_no_issue(opened: Opened, desk: Desk) -> None:
    page = at_plan(opened(), desk)
    assert page.get_by_role("link", name="Issue version 1").count() == 1
    dragged(page, intakes(page).first, 700)
    heard(page, "A limit is passed")
    assert page.locator(".strip-level .no").count() > 1
    assert page.get_by_text("This cannot be issued").count() == 1
    assert page.get_by_role("link", name="Issue version 1").count() == 0
    page.keyboard.press("Control+z")
    heard(page, "Taken back")
    expect(page.get_by_role("link", name="Issue version 1")).to_have_count(1, timeout=SLOW_MS)


def test_the_journey_by_keyboard_alone(opened: Opened, desk: Desk) -> None:
    page = at_plan(opened(), desk)
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    for _ in range(12):
        page.keyboard.press("Tab")
        if says(page):
            break
    on(page, "gel + half a cup of water, 26 min, 5.0 km, at Mill")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    heard(page, "Moved to 5.2 km")
    on(page, "gel, 27 min, 5.2 km, before Bridge")
    page.keyboard.press("Shift+ArrowRight")
    heard(page, "Moved to 6.2 km")
    on(page, "gel, 32 min, 6.2 km")
    page.keyboard.press("PageUp")
    heard(page, "Moved to 5.0 km")
    on(page, "gel + half a cup of water, 26 min, 5.0 km")
    page.keyboard.press("p")
    heard(page, "stays at Mill")
    on(page, "gel + half a cup of water, 26 min, 5.0 km, at Mill, pinned")
    page.keyboard.press("p")
    heard(page, "need not stay")
    on(page, "gel + half a cup of water, 26 min, 5.0 km")
    page.keyboard.press("s")
    focused(page, "document.activeElement.name === 'other'")
    page.keyboard.type("House")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    heard(page, "House gel (house-gel) takes the place of gel (gel-25)")
    on(page, "House gel")
    page.keyboard.press("Enter")
    focused(page, "document.activeElement.tagName === 'SUMMARY'")
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    heard(page, "Taken back: gel (gel-25) stays at Mill.")
    page.keyboard.press("Control+Shift+z")
    heard(page, "Made again: gel (gel-25) stays at Mill.")


def test_on_a_phone_the_strip_is_turned_and_an_intake_slides_down_it(opened: Opened, desk: Desk) -> None:
    page = at_plan(opened(viewport=PHONE, has_touch=False), desk)
    assert intakes(page).first.get_attribute("aria-orientation") == "vertical"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    dragged(page, intakes(page).first, 0, 45)
    heard(page, "Moved to ")
    moved = page.locator("#said").inner_text()
    assert re.search(r"Moved to (5\.9|6\.0|6\.1) km", moved), moved
    intakes(page).first.focus()
    page.keyboard.press("ArrowDown")
    heard(page, "Moved to 6")


def test_a_menu_moves_without_drag_or_keys(opened: Opened, desk: Desk) -> None:
    page = at_plan(opened(viewport=PHONE), desk)
    page.get_by_text("change or why").first.click()
    field = page.get_by_label("to km or station").first
    field.fill("7.5 km")
    page.get_by_role("button", name="Move").first.click()
    heard(page, "Moved to 7.5 km")


def test_a_figure_opens_where_it_stands_and_stays_open_over_an_edit(opened: Opened, desk: Desk) -> None:
    page = at_plan(opened(), desk)
    figure = page.locator('details[data-figure="race.target_carb_g_per_h"]')
    figure.locator("summary").click()
    expect(figure.locator(".chain")).to_contain_text("limits met", timeout=SLOW_MS)
    intakes(page).first.focus()
    page.keyboard.press("ArrowRight")
    heard(page, "Moved to 5.1 km")
    expect(figure.locator(".chain")).to_contain_text("limits met", timeout=SLOW_MS)


def test_two_people_lose_nothing(opened: Opened, desk: Desk) -> None:
    alba, bo = at_plan(opened("Alba"), desk), at_plan(opened("Bo"), desk)
    intakes(bo).first.focus()
    bo.keyboard.press("ArrowRight")
    heard(bo, "Moved to 5.1 km")
    alba.get_by_text("Goal Another goal time").click()
    alba.get_by_label("Goal", exact=True).fill("1:55")
    alba.locator('details[data-form="goal"] button').click()
    heard(alba, "Bo changed this race file")
    assert alba.get_by_label("Goal", exact=True).input_value() == "1:55"
    assert alba.locator("table.along tbody th").first.inner_text() == "5.1"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("wide", [1280, 640, 360])
def test_axe_finds_no_fault(opened: Opened, desk: Desk, scheme: str, wide: int) -> None:
    page = at_plan(opened(color_scheme=scheme, viewport={"width": wide, "height": 900}), desk)
    page.get_by_text("change or why").first.click()
    expect(page.locator(".verbs").first).to_be_visible(timeout=SLOW_MS)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_axe_finds_no_fault_in_a_limit_passed_and_in_a_hold(
    opened: Opened, ledger: Ledger, desk: Desk
) -> None:
    page = at_plan(opened(), desk)
    dragged(page, intakes(page).first, 700)
    heard(page, "A limit is passed")
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    held = race_file(ledger, typed=STARTER.replace("Alex Sample", "Alex Held"), health="")
    page.goto(f"/files/{held.pk}/plan")
    assert page.get_by_role("heading", name="On hold").count() == 1
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_a_solve_is_stopped_and_a_new_schedule_waits_until_a_hand_has_done_typing(
    opened: Opened, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = at_plan(opened(), desk)
    intakes(page).first.focus()
    page.keyboard.press("ArrowRight")
    heard(page, "Moved to 5.1 km")
    held = Held(monkeypatch)
    solve = page.get_by_role("button", name="Solve again")
    solve.click()
    page.get_by_role("button", name="Stop").click(timeout=SLOW_MS)
    heard(page, "Stopped; everything is as it was.")
    held.begun.clear()
    solve.click()
    expect(page.get_by_role("button", name="Stop")).to_be_visible(timeout=SLOW_MS)
    page.locator("details[data-form=goal] > summary").click()
    field = page.locator("#goal-goal")
    field.fill("1:5")
    assert held.begun.wait(SLOW_MS / 1000)
    held.done()
    expect(page.locator("#waits")).to_contain_text("It is there, and shown as soon as", timeout=SLOW_MS)
    expect(field).to_have_value("1:5")
    field.fill("")
    heard(page, "The schedule is solved again")
