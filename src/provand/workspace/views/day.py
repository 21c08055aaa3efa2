"""The day's list: who races when, what is due, what is on hold; and finding anything by a few letters."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from provand.workspace.access import Seen
from provand.workspace.models import User


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """Show the day."""
    assert isinstance(request.user, User)
    seen = Seen(request.user)
    return render(request, "provand/day.html", {"athletes": seen.athletes().count()})


@require_GET
def found(request: HttpRequest) -> HttpResponse:
    """Show what a few letters find."""
    return render(request, "provand/find.html", {})
