"""Each address of the workspace is a page that the browser looks at, or is said to be none and why."""

from __future__ import annotations

from all_pages import FIRST, NO_PAGES, PLACES
from django.urls import URLPattern

from provand.workspace.urls import urlpatterns


def test_every_address_is_a_page_that_is_looked_at_or_said_to_be_none() -> None:
    names = {pattern.name for pattern in urlpatterns if isinstance(pattern, URLPattern)}
    pages = {place.name for place in PLACES} - {"none"}
    assert names - pages - set(NO_PAGES) - FIRST == set(), "list it in tests/web/all_pages.py"
    assert pages | set(NO_PAGES) | FIRST <= names, "these are gone from the addresses"
    assert not pages & set(NO_PAGES)
