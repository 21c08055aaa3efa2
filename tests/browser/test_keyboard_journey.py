"""By keyboard alone, the focus seen wherever it is: a new athlete up to an issued plan; the plan."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

from files import race_file
from keys import SLOW_MS, Keys
from playwright.sync_api import FileChooser, Page, expect
from race_pages import NEW_RACE, STATIONS

from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Issue

Opened = Callable[..., Page]
QUIET = "document.querySelector('.htmx-request') === null"
AT_REST = (
    f"document.querySelector('.course') !== null && document.getElementById('waits') === null && {QUIET}"
)
"""A plan stands, and none is awaited."""
MOST_FIELDS, MOST_PAGES = 60, 12
BY_ROW = {f"course.stations[{n}].{key}": text for n, one in enumerate(STATIONS, 1)
          for key, text in zip(("at", "name", "serves"), one, strict=True)}  # fmt: skip


def test_a_new_athlete_screening_and_race_up_to_an_issued_plan(opened: Opened, tmp_path: Path) -> None:
    page = opened()
    keys, pages = Keys(page), list[str]()
    page.on("framenavigated", lambda frame: pages.append(frame.url))
    course = tmp_path / "hills.gpx"
    course.write_bytes(files("provand.demo").joinpath("warm-hills").joinpath("course.gpx").read_bytes())
    page.goto("/athletes")
    keys.to("button", "New athlete")
    keys.press("Enter")
    page.wait_for_url("**/files/*")
    filled = race_filled(keys, course)
    keys.press("Enter")
    page.wait_for_url("**/plan", timeout=SLOW_MS)
    keys.to("a", "2 Screening")
    keys.press("Enter")
    page.wait_for_url("**/screening")
    filled += screening_answered(keys)
    keys.to("a", "Go on to the plan")
    keys.press("Enter")
    page.wait_for_selector(".course", timeout=SLOW_MS)
    keys.to("a", "Issue version 1")
    keys.press("Enter")
    page.wait_for_url("**/issue")
    keys.to("button", "Issue number 1")
    keys.press("Enter")
    expect(page.get_by_role("heading", name="This copy counts")).to_be_visible(timeout=SLOW_MS)
    assert Issue.objects.get().race.athlete.name == "Ines Inventada"
    assert filled <= MOST_FIELDS, filled
    assert len(pages) <= MOST_PAGES, pages


def race_filled(keys: Keys, course: Path) -> int:
    """Go down the race file once, type what is known, and stop at its end; return how many were filled."""
    wanted, page = NEW_RACE | BY_ROW, keys.page
    left = set(wanted)
    choosers = list[FileChooser]()

    def came(chooser: FileChooser) -> None:
        choosers.append(chooser)

    page.on("filechooser", came)  # long before the key: asked for beside the key, it may come too late
    for _ in range(400):
        stop = keys.tab()
        if stop is None:
            continue
        name = stop["name"]
        if name == "course_file" and not page.locator("#course-told").count():
            keys.waits(QUIET)  # an answer may still put the field anew
            keys.waits("document.activeElement.name === 'course_file'")
            keys.press("Space")
            waits_until(page, lambda: bool(choosers))
            choosers.pop().set_files(course)
            expect(page.locator("#course-told")).to_contain_text("21.1", timeout=SLOW_MS)
        elif name in left:
            keys.writes(wanted[name])
            left.discard(name)
        if name.startswith("course.stations[") and name.endswith(".fill"):
            waits_for_row(keys, name, left)
        if stop["words"] == "Go on to the plan":
            break
    assert not left
    keys.waits(QUIET)
    return len(wanted) + 1


def waits_until(page: Page, comes: Callable[[], bool]) -> None:
    """Wait until something has come to pass that the page cannot be asked."""
    for _ in range(SLOW_MS // 50):
        if comes():
            return
        page.wait_for_timeout(50)
    raise AssertionError("it never comes")


def waits_for_row(keys: Keys, name: str, left: set[str]) -> None:
    """Wait, where another station is to be typed, until the row that waits for it has come."""
    row = int(name.removeprefix("course.stations[").removesuffix("].serves.fill"))
    following = f"course.stations[{row + 1}].name"
    if following in left:
        keys.waits(f"document.querySelector('[name=\"{following}\"]') !== null")


def screening_answered(keys: Keys) -> int:
    """Say who answers, and no to every question; return how many were filled."""
    keys.to("input", name="by")
    keys.writes("Ines Inventada")
    filled = 2  # the day stands there
    for _ in range(300):
        stop = keys.tab()
        if stop and stop["words"] == "no" and stop["id"].endswith("-no") and not stop["pressed"]:
            keys.press("Enter")
            keys.waits(f"document.getElementById('{stop['id']}')?.getAttribute('aria-pressed') === 'true'")
            keys.waits(f"document.activeElement.id === '{stop['id']}'")
            filled += 1
        if stop and stop["words"] == "Keep the medicine":
            return filled
    raise AssertionError("the questions have no end")


def test_the_plan_is_worked_on_and_a_target_set_with_its_reason(opened: Opened, ledger: Ledger) -> None:
    desk = race_file(ledger, seen_by=())
    page = opened()
    keys = Keys(page)
    page.goto(f"/files/{desk.pk}/plan")
    page.wait_for_selector(".course", timeout=SLOW_MS)
    on_first_intake(keys)
    keys.press("ArrowRight", "ArrowRight", "Escape")
    page.wait_for_timeout(500)
    assert Desk.objects.get(pk=desk.pk).revision == desk.revision, "put back, and nothing sent"
    keys.press("b")
    expect(page.locator("#said")).to_contain_text("gel", timeout=SLOW_MS)
    expect(page.get_by_text("Not to be planned:")).to_be_visible(timeout=SLOW_MS)
    keys.waits(AT_REST)
    keys.to("button", "allow again")
    keys.press("Enter")
    expect(page.get_by_text("Not to be planned:")).to_have_count(0, timeout=SLOW_MS)

    keys.waits(AT_REST)
    keys.to("summary", "Carbohydrate, target")
    keys.press("Enter")
    keys.waits("document.querySelector('[id=\"set-race.target_carb_g_per_h\"]') !== null")
    keys.to("input", name="value")
    keys.writes("35 g/h")
    keys.to("input", name="why")
    keys.writes("a calm first race (invented)")
    keys.press("Enter")
    expect(page.locator("#plan")).to_contain_text("a calm first race (invented)", timeout=SLOW_MS)
    expect(page.locator('details[data-figure="race.target_carb_g_per_h"] summary')).to_contain_text("†")
    keys.waits(AT_REST)
    on_first_intake(keys)
    keys.press("p")
    expect(page.get_by_role("button", name="Solve again around 1 pinned")).to_be_visible(timeout=SLOW_MS)
    keys.to("button", "Solve again around 1 pinned")
    keys.press("Enter")
    expect(page.locator("#said")).not_to_be_empty(timeout=SLOW_MS)
    page.wait_for_selector(".course", timeout=SLOW_MS)


def on_first_intake(keys: Keys) -> None:
    """Go to the first intake of the strip that is seen, from wherever the focus is."""
    for _ in range(400):
        stop = keys.tab()
        if stop and stop["says"].startswith(("gel", "House")):
            return
    raise AssertionError("no intake is reached by Tab")
