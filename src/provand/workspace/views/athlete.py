"""The athletes: the list, one of them with their race files, a new one, and another race."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from provand.finding import BadInput
from provand.safety.screening import screen
from provand.workspace import access, people
from provand.workspace import desk as desks
from provand.workspace.asking import state_for
from provand.workspace.healths import health_of
from provand.workspace.listed import athletes_listed, races_of
from provand.workspace.noted import case_of
from provand.workspace.views.clock import today
from provand.workspace.views.seen import one_of, seen_by, user_of
from provand.workspace.web import ledger_of


@require_GET
def athletes(request: HttpRequest) -> HttpResponse:
    """List the athletes that the person sees, a page at a time."""
    asked = request.GET.get("page", "1")
    page = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 1
    listed = athletes_listed(seen_by(request), page=page, on=today())
    return render(request, "provand/athletes.html", {"listed": listed})


@require_GET
def athlete(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one athlete: race files, plans, notes."""
    seen = seen_by(request)
    one = one_of(seen.athletes(), pk)
    last = seen.desks().filter(athlete=one, put_away=False).exclude(standing=None).order_by("race_day").last()
    state = ""
    if last is not None and last.standing is not None:
        screening, _ = screen(case_of(last.standing), health_of(one), as_of=today())
        state = state_for(screening, practitioner=seen.user.is_practitioner)
    shown = {
        "state": state,
        "athlete": one,
        "races": races_of(seen, one),
        "notes": seen.notes().filter(athlete=one).order_by("-on", "-id")[:10],
        "owned": seen.owns(one),
        "sharers": seen.sharers(one) if seen.user.is_practitioner and seen.owns(one) else [],
    }
    return render(request, "provand/athlete.html", shown)


@require_POST
def athlete_new(request: HttpRequest) -> HttpResponse:
    """Open a race file for somebody who is not here yet."""
    return redirect("file", desks.opened(ledger_of(request), by=user_of(request)).pk)


@require_POST
def athlete_race(request: HttpRequest, pk: int) -> HttpResponse:
    """Open another race file for an athlete, with what is known of them."""
    one = one_of(seen_by(request).athletes(), pk)
    return redirect("file", desks.opened(ledger_of(request), by=user_of(request), athlete=one).pk)


@require_POST
def athlete_shared(request: HttpRequest, pk: int) -> HttpResponse:
    """Let somebody who works here see an athlete, or no longer; only the owner may."""
    seen = seen_by(request)
    one = one_of(seen.athletes(), pk)
    other = one_of(access.people_here(), _number(request.POST.get("who", "")))
    ends = request.POST.get("ends") == "yes"
    try:
        people.shared(ledger_of(request), athlete=one, user=other, by=seen.user, ends=ends)
    except BadInput as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{other.name} {'no longer sees' if ends else 'sees'} {one.name}.")
    return redirect("athlete", pk=pk)


def _number(typed: str) -> int:
    return int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 12 else 0
