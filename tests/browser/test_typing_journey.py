"""A race file typed in a real browser: by mouse, by keyboard alone; nothing typed is ever lost."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from practice import person
from race_pages import now
from race_pages import opened as race_file
from windows import PHONE

from provand.case.typed import put
from provand.workspace import desk as desks
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk

Opened = Callable[..., Page]
SETTLES_MS = 200
"""What was put on the page listens a moment after it is seen; no hand is so quick."""
SEEN = "(e => [e.tagName.toLowerCase(), e.innerText, e.name || ''])(document.activeElement)"
COURSE = files("provand.demo").joinpath("warm-hills").joinpath("course.gpx").read_bytes()


@pytest.fixture
def desk(ledger: Ledger) -> Desk:
    """Return Alba's race file with the starter case in it."""
    return race_file(ledger)


def at_file(page: Page, desk: Desk) -> Page:
    page.goto(f"/files/{desk.pk}")
    return page


def typed(page: Page, path: str, text: str) -> None:
    """Type into a field as hands do, and leave it."""
    page.fill(f"[name='{path}']", text)
    page.press(f"[name='{path}']", "Tab")


def kept(page: Page, desk: Desk, words: str) -> None:
    """Wait until the race file says so."""
    for _ in range(100):
        if words in now(desk).typed:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{words} was not kept")


def focused(page: Page, path: str) -> None:
    """Wait until a field has the focus."""
    for _ in range(50):
        if page.evaluate("document.activeElement.name") == path:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{path} has no focus")


def heard(page: Page, words: str) -> None:
    expect(page.locator("#said")).to_contain_text(words)


def test_a_fault_comes_beside_its_field_and_a_reading_mends_it(opened: Opened, desk: Desk) -> None:
    page = at_file(opened(), desk)
    typed(page, "athlete.body_mass", "140")
    expect(page.locator("#f-athlete-body-mass")).to_contain_text("more than one reading")
    expect(page.locator("#foot")).to_contain_text("1 entry to mend")
    page.click("#foot a")
    focused(page, "athlete.body_mass")
    page.click("button:has-text('140 lb')")
    expect(page.locator("[name='athlete.body_mass']")).to_have_value("140 lb")
    expect(page.locator("#foot")).not_to_contain_text("to mend")


def test_fields_typed_faster_than_answers_come_are_all_kept(opened: Opened, desk: Desk) -> None:
    page = at_file(opened(), desk)
    page.focus("[name='athlete.body_mass']")
    texts = ("66 kg", "2026-11-20", "1.70 m", "50 km/week")
    for text in texts:
        page.keyboard.press("Control+A")
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    for text in texts:
        kept(page, desk, text)
    assert page.input_value("[name='athlete.height']") == "1.70 m"


def test_what_is_typed_and_never_left_is_kept_all_the_same(opened: Opened, desk: Desk) -> None:
    page = at_file(opened(), desk)
    page.focus("[name='race.cutoff']")
    page.keyboard.press("Control+A")
    page.keyboard.type("3:45")
    kept(page, desk, 'cutoff = "3:45"')
    page.keyboard.press("Enter")
    page.wait_for_timeout(300)
    assert page.evaluate("document.activeElement.name") == "race.cutoff"


def test_an_ended_session_keeps_the_text_and_sends_it_again(opened: Opened, desk: Desk) -> None:
    page = at_file(opened(), desk)
    signed = page.context.cookies()
    page.context.clear_cookies()
    typed(page, "race.goal", "1:51")
    heard(page, "Sign in in another window")
    assert page.input_value("[name='race.goal']") == "1:51"
    assert 'goal = "1:51"' not in now(desk).typed
    page.context.add_cookies(signed)
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    kept(page, desk, 'goal = "1:51"')


def test_a_program_that_does_not_answer_loses_nothing(opened: Opened, desk: Desk) -> None:
    page = at_file(opened(), desk)
    page.route("**/files/**", lambda route: route.abort())
    typed(page, "race.goal", "1:50")
    heard(page, "the program does not answer")
    page.unroute("**/files/**")
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    kept(page, desk, 'goal = "1:50"')
    expect(page.locator("#said")).to_be_empty()


def test_two_at_one_file_are_told_and_one_takes_theirs(opened: Opened, desk: Desk, ledger: Ledger) -> None:
    page = at_file(opened(), desk)
    step = [put("race.goal", "1:55")]
    desks.typed_in(ledger, desk=desk, revision=1, steps=step, says="goal", by=person("Bo"))
    typed(page, "race.goal", "1:49")
    expect(page.locator("#f-race-goal")).to_contain_text("Bo typed here")
    assert page.input_value("[name='race.goal']") == "1:49"
    page.click("button:has-text('Take mine')")
    kept(page, desk, 'goal = "1:49"')


def test_a_course_is_dropped_and_stations_are_set_by_clicks_on_the_hill(opened: Opened, desk: Desk) -> None:
    page = at_file(opened(), desk)
    page.set_input_files(
        "[name=course_file]", {"name": "cut.gpx", "mimeType": "x", "buffer": COURSE[: len(COURSE) // 2]}
    )
    expect(page.locator("#f-course-gpx")).to_contain_text("cut.gpx: the file breaks off")
    page.wait_for_timeout(SETTLES_MS)
    page.evaluate(
        """text => {
            const carried = new DataTransfer();
            carried.items.add(new File([text], "hills.gpx"));
            const zone = document.querySelector("[data-drop]");
            const told = {bubbles: true, cancelable: true, dataTransfer: carried};
            zone.dispatchEvent(new DragEvent("drop", told));
        }""",
        COURSE.decode(),
    )
    expect(page.locator("#f-course-gpx")).to_contain_text("hills.gpx")
    page.click("text=Take all heights away")
    expect(page.locator("#f-course-gpx")).not_to_contain_text("Keep one of them")
    page.locator("[data-profile]").click(position={"x": 240, "y": 60})
    expect(page.locator("[name='course.stations[4].name']")).to_have_value("Gate")
    focused(page, "course.stations[2].name")
    page.keyboard.type("Kiln")
    page.keyboard.press("Tab")
    kept(page, desk, "Kiln")


def test_by_keyboard_alone_from_the_list_to_the_plan(opened: Opened, desk: Desk) -> None:
    page = opened()
    page.goto("/athletes")
    reached(page, "a", "Alex Sample, Sample Half")
    page.keyboard.press("Enter")
    page.wait_for_url("**/files/*")
    reached(page, "input", "", name="race.goal")
    page.keyboard.press("Control+A")
    page.keyboard.type("1:53")
    reached(page, "button", "Go on to the plan")
    page.keyboard.press("Enter")
    page.wait_for_url("**/plan")
    assert 'goal = "1:53"' in now(desk).typed
    reached(page, "a", "2 Screening")
    page.keyboard.press("Enter")
    page.wait_for_url("**/screening")
    reached(page, "input", "", name="by")
    page.keyboard.type("Alex Sample")
    reached(page, "button", "no")
    page.keyboard.press("Enter")
    expect(page.locator("#q-medicines")).to_contain_text("Alex Sample, 25 Nov 2026")


def reached(page: Page, tag: str, words: str, *, name: str = "") -> None:
    """Go on by Tab until something has the focus."""
    for _ in range(200):
        page.keyboard.press("Tab")
        at = page.evaluate(
            "(e => [e.tagName.toLowerCase(), e.innerText, e.name || ''])(document.activeElement)"
        )
        if at[0] == tag and at[1].strip() == words and (not name or at[2] == name):
            return
    raise AssertionError(f"no {tag} {words or name} is reached by Tab")


@pytest.mark.parametrize("look", ["light", "dark"])
def test_the_pages_where_things_are_typed_are_clean_wide_and_narrow(
    opened: Opened, desk: Desk, look: str
) -> None:
    page = at_file(opened(color_scheme=look), desk)
    typed(page, "athlete.body_mass", "140")
    expect(page.locator("#f-athlete-body-mass")).to_contain_text("more than one reading")
    assert_clean(page)
    page.reload()
    page.click("button:has-text('140 lb')")
    expect(page.locator("#foot")).not_to_contain_text("to mend")
    page.click("button:has-text('Go on to the plan')")
    page.wait_for_url("**/plan")
    for address in ("/athletes", f"/files/{desk.pk}/screening", "/shelf", "/shelf/new"):
        page.set_viewport_size({"width": 1280, "height": 900})
        page.goto(address)
        assert_clean(page)
        page.set_viewport_size(PHONE)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address


def assert_clean(page: Page) -> None:
    found = Axe().run(page).response["violations"]
    assert not found, [(one["id"], [node["html"] for node in one["nodes"]][:3]) for one in found]
    assert len(page.content()) < 150_000
