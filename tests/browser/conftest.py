"""A practice in a real browser: pages served on loopback from a ledger of its own, Chromium signed in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from files import AS_OF
from playwright.sync_api import Browser, Page, expect, sync_playwright
from practice import PASSPHRASE, person
from serving import listened_to, serving
from windows import DESK

from provand.workspace import people
from provand.workspace.ledger import Ledger, open_ledger

PATIENCE_MS = 120_000
"""How long a window waits for anything: as long as a machine may need that does much else beside."""
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """Return Debian's Chromium; what needs it is skipped where it is missing.

    It is gone with its module: while it runs this thread has a loop, in which Django refuses to work.
    """
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
        yield opened
        opened.close()


@pytest.fixture(autouse=True)
def _beside_a_loop(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let Django work, and close, in the thread of the browser's loop: in tests that make no ledger too."""
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")


@pytest.fixture
def ledger(monkeypatch: pytest.MonkeyPatch) -> Ledger:
    """Return a ledger with Alba, Bo and Dana."""
    monkeypatch.setenv("PROVAND_TODAY", AS_OF.isoformat())
    monkeypatch.setattr(settings, "PASSWORD_HASHERS", ["django.contrib.auth.hashers.MD5PasswordHasher"])
    opened = open_ledger()
    alba = people.first_start(
        opened, practice="Invented practice", contact="", name="Alba Inventada", passphrase=PASSPHRASE
    )
    for name, role in (("Bo", "practitioner"), ("Dana", "assistant")):
        people.person_added(opened, name=name, passphrase=PASSPHRASE, role=role, by=alba)
    return opened


@pytest.fixture
def served(ledger: Ledger) -> Iterator[str]:
    """Return the address at which the ledger's pages are served, on loopback alone."""
    with serving(ledger) as address:
        yield address


Opened = Callable[..., Page]


@pytest.fixture
def opened(browser: Browser, served: str) -> Iterator[Opened]:
    """Return what opens a window, somebody signed in; it fails where a page complains or asks out."""
    contexts, told = [], list[str]()

    def window(name: str = "Alba", **more: Any) -> Page:
        client = Client(HTTP_HOST="localhost")
        client.force_login(person(name), backend="django.contrib.auth.backends.ModelBackend")
        context = browser.new_context(**({"viewport": DESK} | more), base_url=served)
        contexts.append(context)
        context.set_default_timeout(PATIENCE_MS)
        cookie = client.cookies["provand_session"].value
        context.add_cookies([{"name": "provand_session", "value": cookie, "url": served}])
        return listened_to(context.new_page(), served, told)

    yield window
    for context in contexts:
        context.close()
    assert not told
