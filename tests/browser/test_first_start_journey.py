"""The first start in a real browser: who works here, the first athlete or the demo, leaving, guessing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.conf import settings
from files import AS_OF
from looked_at import assert_page
from playwright.sync_api import Browser, Page, expect
from serving import listened_to, serving
from windows import DESK, PHONE

from provand.workspace.ledger import open_ledger

PASSPHRASE = "four invented words here"


@pytest.fixture
def page(browser: Browser, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> Iterator[Page]:
    """Return a window on a practice in which there is nobody yet."""
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
    monkeypatch.setenv("PROVAND_TODAY", AS_OF.isoformat())
    monkeypatch.setattr(settings, "PASSWORD_HASHERS", ["django.contrib.auth.hashers.MD5PasswordHasher"])
    told = list[str]()
    with serving(open_ledger()) as served:
        context = browser.new_context(viewport=getattr(request, "param", DESK), base_url=served)
        yield listened_to(context.new_page(), served, told)
        context.close()
    assert not told


def begun(page: Page) -> None:
    """Fill in the first start, and go on."""
    page.goto("/")
    page.get_by_label("Name of the practice").fill("Invented practice")
    page.get_by_label("Your name").fill("Alba Inventada")
    page.get_by_label("A passphrase").fill(PASSPHRASE)
    page.get_by_label("The same again").fill(PASSPHRASE)
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_role("heading", name="What is missing")).to_be_visible()


@pytest.mark.parametrize("page", [DESK, PHONE], indirect=True)
def test_three_steps_lead_from_nobody_to_the_first_race(page: Page) -> None:
    page.goto("/")
    expect(page).to_have_url("/start")
    expect(page.get_by_text("Three steps lead to a plan")).to_be_visible()
    page.get_by_label("Name of the practice").fill("Invented practice")
    page.get_by_label("Your name").fill("Alba Inventada")
    page.get_by_label("A passphrase").fill("too short")
    page.get_by_label("The same again").fill("too short")
    page.get_by_role("button", name="Go on").click()
    expect(page.locator(".fault")).to_contain_text("at least 12")
    assert page.get_by_label("Your name").input_value() == "Alba Inventada"
    begun(page)
    steps = page.locator(".steps-left > li")
    expect(steps).to_have_count(3)
    assert [one.get_attribute("aria-label") for one in steps.locator(".stop").all()] == [
        "done",
        "next",
        "later",
    ]
    page.get_by_role("button", name="New athlete").click()
    page.wait_for_url("**/files/*")
    page.fill("[name='athlete.name']", "Ines Inventada")
    page.press("[name='athlete.name']", "Tab")
    expect(page.locator("h1")).to_be_visible()
    page.wait_for_timeout(400)
    page.get_by_role("link", name="Today").click()
    expect(steps.nth(1)).to_contain_text("Ines Inventada")
    page.get_by_role("link", name="To the race file").click()
    expect(page.locator("[name='athlete.name']")).to_have_value("Ines Inventada")


def test_the_demo_practice_says_of_every_race_that_it_is_invented(page: Page) -> None:
    begun(page)
    page.get_by_role("button", name="Load the demo practice").click()
    expect(page.locator("[role=status]")).to_contain_text("5 invented athletes are here")
    races = page.locator("table.day tbody tr td:nth-child(3)")
    expect(races).to_have_count(5)
    assert all("(invented)" in one.inner_text() for one in races.all())
    assert page.get_by_text("What is missing").count() == 0


def test_who_left_signs_in_again_where_they_were_and_who_guesses_is_locked_out(page: Page) -> None:
    begun(page)
    page.get_by_role("link", name="leave").click()
    page.get_by_role("button", name="Sign out").click()
    page.goto("/shelf")
    expect(page).to_have_url("/enter?next=/shelf")
    signed(page, PASSPHRASE)
    expect(page).to_have_url("/shelf")
    page.get_by_role("link", name="leave").click()
    page.get_by_role("button", name="Sign out").click()
    for _ in range(4):
        signed(page, "a guess that is wrong")
        expect(page.locator("[role=alert]")).to_contain_text("do not go together")
        assert page.get_by_label("Your name").input_value() == "Alba Inventada"
    signed(page, "a guess that is wrong")
    expect(page.get_by_role("heading", name="Locked for a while")).to_be_visible()
    page.goto("/enter")
    signed(page, PASSPHRASE)
    expect(page.get_by_role("heading", name="Locked for a while")).to_be_visible()


def signed(page: Page, passphrase: str) -> None:
    page.get_by_label("Your name").fill("Alba Inventada")
    page.get_by_label("Passphrase").fill(passphrase)
    page.get_by_role("button", name="Sign in").click()


def test_the_first_page_and_the_steps_are_for_everybody_in_every_window(page: Page) -> None:
    assert_page(page, "/start")
    page.emulate_media(color_scheme="light")
    begun(page)
    assert_page(page, "/")
