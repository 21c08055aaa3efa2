"""Screening: the questions, each answer kept at once; what they come to; letters, replies, releases.

For practitioners who see the athlete alone: to an assistant these pages do not exist.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any, NamedTuple

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from provand.case.case import Case
from provand.case.health import Health
from provand.finding import BadInput, Finding, find
from provand.pack.letter import letter as letter_pdf
from provand.pack.letter import person_of, race_ahead
from provand.safety.asking import letter_about
from provand.safety.screening import review_of
from provand.workspace import actions
from provand.workspace.asking import Screened, called, entry, near_name, screened
from provand.workspace.healths import health_of
from provand.workspace.models import Athlete, Desk
from provand.workspace.noted import case_of
from provand.workspace.records import Noted
from provand.workspace.views.clock import today
from provand.workspace.views.seen import file_shown, one_of, seen_by, user_of
from provand.workspace.web import ledger_of

UNKNOWN = "workspace.unknown_medicine"
REPLIES = ("yes", "no", "prefer not to say")
FORMS: dict[str, tuple[str, ...]] = {
    "medicines": ("name", "since", "stopped"),
    "letters": ("about", "to", "on"),
    "replies": ("about", "says", "limits", "by", "on", "until"),
    "releases": ("about", "why"),
    "assents": ("who", "by", "on"),
    "scores": ("questionnaire", "value", "cut_off", "on"),
    "sodium_tests": ("serum_sodium", "by", "on"),
    "portions": ("portions_only", "by", "on"),
}
"""The kinds of entry beside answers, and what is typed for each."""


class Open(NamedTuple):
    """Whose screening it is: the race file, the case that stands, the athlete, what is kept of them."""

    desk: Desk
    case: Case
    athlete: Athlete
    health: Health | None


@require_http_methods(["GET", "POST"])
def screening(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Show the questions and what they come to; keep an answer or another entry."""
    opened = _opened(request, key)
    if opened is None:
        desk = one_of(seen_by(request).desks(), key)
        return render(request, "provand/screening_first.html", {"desk": desk})
    if request.method == "GET":
        return _page(request, opened)
    try:
        kind, new = _posted(request, opened)
    except BadInput as error:
        response = _page(request, opened, faults=error.findings, status=422)
        if error.findings[0].code != UNKNOWN:
            response.headers["HX-Reswap"] = "none"  # what was typed stays in its fields
        return response
    noted = actions.health_noted(
        ledger_of(request), case=opened.case, health=new, by=user_of(request).name, as_of=today()
    )
    return _kept(request, opened, kind, noted)


@require_GET
def letter(request: HttpRequest, key: uuid.UUID, n: int) -> HttpResponse:
    """Return a letter that was kept, as its PDF, ready to sign, with the form for the reply."""
    opened = _opened(request, key)
    kept = opened.health.letters if opened is not None and opened.health is not None else ()
    if opened is None or not 1 <= n <= len(kept):
        raise Http404
    sent, review = kept[n - 1], review_of(opened.case, opened.health, as_of=today())
    asked = [one for about in sent.about if (one := letter_about(review, about)) is not None]
    held = {name for hold in review.held for name in hold.about}
    data = letter_pdf(
        opened.case.practitioner,
        person_of(opened.case),
        race_ahead(opened.case),
        [one.asks for one in asked],
        to=sent.to,
        on=sent.on,
        held=any(one.id in held for one in asked),
    )
    return file_shown(data, "application/pdf", f"letter-{n}.pdf")


def _opened(request: HttpRequest, key: uuid.UUID) -> Open | None:
    """Return whose screening a race file leads to; None before it stands. Http404 for an assistant."""
    if not user_of(request).is_practitioner:
        raise Http404
    desk = one_of(seen_by(request).desks(), key)
    if desk.standing is None or desk.athlete is None:
        return None
    return Open(desk, case_of(desk.standing), desk.athlete, health_of(desk.athlete))


def _posted(request: HttpRequest, opened: Open) -> tuple[str, Health]:
    """Return the kind of what was posted, and a health file with that one entry."""
    if "answer" in request.POST:
        return "answers", _answer(request, opened)
    kind = request.POST.get("kind", "medicines" if {"near", "as_typed"} & set(request.POST) else "")
    if kind not in FORMS:
        raise Http404
    typed = {key: ", ".join(one for one in request.POST.getlist(key) if one) for key in FORMS[kind]}
    user, day = user_of(request), today().isoformat()
    if kind == "medicines":
        typed |= _signed(request)
        typed["name"] = request.POST.get("near") or typed["name"]
        _refuse_unknown(request, typed["name"])
    elif kind == "letters":
        typed["by"] = user.name
    elif kind == "replies":
        typed["kept_by"] = user.name
    elif kind == "releases":
        typed |= {"by": user.name, "role": user.role, "on": day}
    elif kind == "scores":
        typed["by"] = user.name
    return kind, entry(opened.case, opened.health, kind, typed)


def _answer(request: HttpRequest, opened: Open) -> Health:
    question, _, reply = request.POST.get("answer", "").partition("=")
    if reply not in REPLIES:
        raise Http404
    known = {one.id for one in _shown(opened).questions for one in (one, *one.follow_up)}
    if question not in known:
        raise Http404
    typed = {"question": question, "reply": reply, "detail": request.POST.get(f"detail-{question}", "")}
    return entry(opened.case, opened.health, "answers", typed | _signed(request))


def _signed(request: HttpRequest) -> dict[str, str]:
    """Return who answers and on what day; asked once, and kept while somebody answers on."""
    by, on = request.POST.get("by", "").strip(), request.POST.get("on", "").strip()
    if not by or not on:
        raise BadInput(find("workspace.who_answers", "by"))
    request.session["answering"] = {"by": by[:200], "on": on[:40]}
    return {"by": by, "on": on}


def _refuse_unknown(request: HttpRequest, name: str) -> None:
    """Refuse a medicine that is not known until it is asked for as typed: a name stays for good."""
    near = near_name(name) if name.strip() else None
    if near is None or request.POST.get("as_typed"):
        return
    raise BadInput(find("workspace.unknown_medicine", name, name=name))


def _shown(opened: Open) -> Screened:
    return screened(opened.case, opened.health, as_of=today())


def _page(
    request: HttpRequest, opened: Open, *, faults: tuple[Finding, ...] = (), status: int = 200, **more: Any
) -> HttpResponse:
    who: Mapping[str, str] = request.session.get("answering", {})
    shown = {
        "desk": opened.desk,
        "athlete": opened.athlete,
        "case": opened.case,
        "screened": _shown(opened),
        "by": request.POST.get("by", who.get("by", "")),
        "on": request.POST.get("on", who.get("on", today().isoformat())),
        "faults": [f"{one.sentence[:1].upper()}{one.sentence[1:]} {one.next_step}".strip() for one in faults],
        "typed": request.POST if faults else {},
        "near": near_name(request.POST.get("name", "")) or "",
        "unknown": any(one.code == UNKNOWN for one in faults),
        "today": today(),
        "health": opened.health,
        **_on_record(opened.health),
    }
    return render(request, "provand/screening.html", shown | more, status=status)


def _on_record(health: Health | None) -> dict[str, Any]:
    """Return letters, replies and releases, each with what it is about in words."""
    if health is None:
        return {}
    return {
        "letters": [(one, called(one.about)) for one in health.letters],
        "replies": [(one, called(one.about)) for one in health.replies],
        "releases": [(one, called((one.about,))) for one in health.releases],
    }


def _kept(request: HttpRequest, opened: Open, kind: str, noted: Noted) -> HttpResponse:
    """Show what the new entry comes to; where a plan was withdrawn for it, say so and who must be told."""
    opened = opened._replace(health=health_of(opened.athlete))
    if request.headers.get("HX-Request") or noted.withdrawn:
        return _page(request, opened, noted=noted, kept=kind)
    question = request.POST.get("answer", "").partition("=")[0]
    return redirect(
        reverse("screening", args=[opened.desk.pk]) + (f"#q-{question}" if question else "#outcome")
    )
