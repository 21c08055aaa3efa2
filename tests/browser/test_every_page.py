"""Every page, by the list of addresses: clean to axe, fit for narrow windows, still, light, to itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest
from all_pages import PLACES, Place, practice_made
from django.conf import settings
from looked_at import assert_page
from playwright.sync_api import Browser, Page
from practice import signed_in
from serving import listened_to, serving
from windows import DESK

from provand.workspace.ledger import open_ledger
from provand.workspace.models import Desk

DAY = date(2026, 11, 25)


class Practice(NamedTuple):
    """The invented practice: its ledger, its race files, where its pages are served."""

    ledger: Path
    files: Mapping[str, Desk]
    served: str


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Practice]:
    """Return one practice for all pages; what is looked at here changes nothing."""
    place = tmp_path_factory.mktemp("every-page") / "practice.sqlite3"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        patch.setenv("PROVAND_LEDGER", str(place))
        patch.setenv("PROVAND_TODAY", DAY.isoformat())
        patch.setattr(settings, "PASSWORD_HASHERS", ["django.contrib.auth.hashers.MD5PasswordHasher"])
        files = practice_made(DAY)
        with serving(open_ledger(place)) as served:
            yield Practice(place, files, served)


@pytest.fixture(scope="module")
def windows(browser: Browser, practice: Practice) -> Iterator[Callable[[str], Page]]:
    """Return what gives the window of somebody, opened once; none may complain or ask another host."""
    pages, told = dict[str, Page](), list[str]()

    def window(who: str) -> Page:
        if who not in pages:
            context = browser.new_context(viewport=DESK, base_url=practice.served)
            if who:
                cookie = signed_in(who).cookies["provand_session"].value
                context.add_cookies([{"name": "provand_session", "value": cookie, "url": practice.served}])
            pages[who] = listened_to(context.new_page(), practice.served, told)
        return pages[who]

    yield window
    assert not told
    for page in pages.values():
        page.context.close()


@pytest.fixture
def address(practice: Practice, monkeypatch: pytest.MonkeyPatch) -> Callable[[Place], str]:
    """Return what gives the address of a place; the practice of all pages is the one that is open."""
    monkeypatch.setenv("PROVAND_LEDGER", str(practice.ledger))
    open_ledger(practice.ledger)
    return lambda place: place.at(practice.files)


@pytest.mark.parametrize("place", PLACES, ids=lambda one: f"{one.name}, {one.state}")
def test_a_page_is_for_everybody_in_every_window(
    place: Place, windows: Callable[[str], Page], address: Callable[[Place], str]
) -> None:
    assert_page(windows(place.who), address(place), status=place.status)
