"""The day's list: who races when, what is due, what is on hold; and finding anything by a few letters."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import groupby
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from provand.pack.voice import day as day_words
from provand.workspace import access
from provand.workspace.access import Seen
from provand.workspace.daylist import HEAVY, PAGE, Shown
from provand.workspace.daylist import day_of as day_list
from provand.workspace.views.clock import today as day_of
from provand.workspace.views.seen import seen_by

HEAVY_OF_ISSUE = ("plan__text", "case__text", "case__typed")
MOST_FOUND = 12
"""So many of a kind are shown; more letters find fewer."""


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """Show the day: due, on hold, who races when."""
    seen, on = seen_by(request), day_of()
    asked = request.GET.get("page", "1")
    page = max(1, int(asked)) if asked.isdecimal() and len(asked) < 5 else 1
    listed = day_list(seen, today=on, page=page)
    shown = {
        "day": day_words(on),
        "count": listed.in_all,
        "due": listed.due,
        "held": listed.held,
        "days": _days(listed.lines, on),
        "page": page,
        "pages": -(-listed.in_all // PAGE),
        "beginning": _beginning(seen),
    }
    return render(request, "provand/day.html", shown)


def _beginning(seen: Seen) -> dict[str, Any] | None:
    """Return how far a first start has come: the race file begun, if any; None once a race stands."""
    if seen.desks().exclude(race=None).exists():
        return None
    return {"file": seen.desks().defer(*HEAVY).order_by("-changed_at").first()}


def _days(lines: Iterable[Shown], on: date) -> list[dict[str, Any]]:
    return [
        {"words": day_words(race_day), "ahead": _ahead((race_day - on).days), "lines": list(group)}
        for race_day, group in groupby(lines, key=lambda one: one.line.race_day)
    ]


def _ahead(days: int) -> str:
    near = {-1: "yesterday", 0: "today", 1: "tomorrow"}
    return near.get(days) or (f"in {days} days" if days > 0 else f"{-days} days ago")


@require_GET
def found(request: HttpRequest) -> HttpResponse:
    """Show what a few letters find: athletes, races, plans by their code; a whole code leads to its plan."""
    seen, asked = seen_by(request), " ".join(request.GET.get("q", "").split())[:80]
    key = access.key_of(asked.replace("\0", ""))
    if not key:
        return render(request, "provand/find.html", {"asked": ""})
    by_code = seen.issues().filter(plan__code__startswith=key.upper()).defer(*HEAVY_OF_ISSUE)
    by_code = by_code.order_by("-id")[:MOST_FOUND]
    codes = {one.plan.code: one for one in by_code}
    if list(codes) == [key.upper()]:
        return redirect("issued", code=key.upper())
    shown = {
        "asked": asked,
        "athletes": seen.athletes().filter(name_key__contains=key).order_by("name_key")[:MOST_FOUND],
        "desks": seen.desks()
        .filter(title_key__contains=key)
        .defer(*HEAVY)
        .order_by("-race_day")[:MOST_FOUND],
        "issues": list(codes.values()),
    }
    return render(request, "provand/find.html", shown)
