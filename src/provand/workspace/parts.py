"""What every page shows: the parts of the workspace, and which of them is open."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

PARTS = (
    ("Today", "day", ("day", "packs", "job")),
    (
        "Athletes",
        "athletes",
        ("athlete", "file", "screening", "plan", "otherwise", "menu", "between", "issue", "note"),
    ),
    ("Shelf", "shelf", ("shelf", "label", "mix")),
    ("Practice", "practice", ("practice", "language")),
)
"""Name, page, and the pages' names that lie in it, by how they begin."""


FONTS = (
    "fonts/sans/FiraSans-Regular.ttf",
    "fonts/sans/FiraSans-SemiBold.ttf",
    "fonts/sans/FiraSans-Italic.ttf",
    "fonts/condensed/FiraSansCondensed-Regular.ttf",
    "fonts/condensed/FiraSansCondensed-SemiBold.ttf",
    "fonts/serif/Spectral-Regular.ttf",
    "fonts/serif/Spectral-SemiBold.ttf",
)
"""What every page is set in: asked for first, so that no line moves when letters come late."""


def parts(request: HttpRequest) -> dict[str, Any]:
    """Return the parts for the head of a page."""
    here = request.resolver_match.url_name or "" if request.resolver_match else ""
    found = [
        {"name": name, "url": reverse(page), "here": any(here.startswith(start) for start in starts)}
        for name, page, starts in PARTS
    ]
    return {"parts": found, "fonts": FONTS, "asked": request.GET.get("q", "") if here == "find" else ""}
