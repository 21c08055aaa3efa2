"""Notes at each contact: added to an athlete, or while somebody is on the telephone."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from provand.finding import BadInput, find
from provand.workspace import access
from provand.workspace import desk as desks
from provand.workspace.access import Seen
from provand.workspace.change_forms import what_happened
from provand.workspace.models import Note
from provand.workspace.notes import noted
from provand.workspace.views.clock import today
from provand.workspace.views.seen import desk_of, one_of, seen_by
from provand.workspace.web import ledger_of


@require_GET
def notes(request: HttpRequest, pk: int) -> HttpResponse:
    """Show every note about an athlete, the newest first, and a place for another."""
    return render(request, "provand/notes.html", _shown(pk, seen_by(request)))


def _shown(pk: int, seen: Seen) -> dict[str, object]:
    athlete = one_of(seen.athletes(), pk)
    found = access.notes_of(athlete).prefetch_related("corrected_by", "answered_by").order_by("-on", "-id")
    races = athlete.races.order_by("-id")
    return {"athlete": athlete, "notes": found, "races": races, "today": today(), "kinds": Note.KINDS[:3]}


@require_GET
def call(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show note and changes on one page, for while the telephone is at the ear."""
    desk, _ = desk_of(request, key)
    shown: dict[str, object] = {"desk": desk, "today": today()}
    if desk.athlete:
        shown |= _shown(desk.athlete.pk, seen_by(request))
    case = desks.read(desk, as_of=today()).case
    if case is not None:
        shown["happened"] = what_happened(case, today=today())
    return render(request, "provand/call.html", shown)


@require_POST
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a note, a correction, or the answer to an incident; what cannot be is said and nothing is lost."""
    seen, typed = seen_by(request), request.POST
    athlete = one_of(seen.athletes(), pk)
    onward = typed.get("next", "")
    if not url_has_allowed_host_and_scheme(onward, allowed_hosts={request.get_host()}):
        onward = reverse("notes", args=[pk])
    kind = typed.get("kind", "contact")
    try:
        noted(
            ledger_of(request),
            athlete=athlete,
            race=athlete.races.filter(pk=_number(typed.get("race", ""))).first(),
            kind=kind if kind in Note.KINDS else "contact",
            on=_day(typed.get("on", "")),
            text=typed.get("text", ""),
            by=seen.user,
            today=today(),
            corrects=_note(seen, typed.get("corrects", "")),
            answers=_note(seen, typed.get("answers", "")),
        )
    except BadInput as error:
        shown = _shown(pk, seen) | {"faults": error.findings, "text": typed.get("text", ""), "kind": kind}
        return render(request, "provand/notes.html", shown, status=422)
    messages.success(request, "Noted.")
    return redirect(onward)


def _note(seen: Seen, typed: str) -> Note | None:
    number = _number(typed)
    return one_of(seen.notes(), number) if number else None


def _number(typed: str) -> int:
    return int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 12 else 0


def _day(typed: str) -> date:
    if not typed:
        return today()
    try:
        return date.fromisoformat(typed)
    except ValueError:
        problem = "the day cannot be read"
        raise BadInput(
            find("entry.wrong_kind", "on", problem=problem, allowed="a day, as 2026-12-06")
        ) from None
