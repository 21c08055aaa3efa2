"""Issuing: who is given what, what was issued before, which copy counts, withdrawal."""

from __future__ import annotations

import io
import zipfile
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from provand.case.case import Case
from provand.finding import BadInput, Finding, ProvandError, find
from provand.pack.pieces import DEFAULT, HELD, PIECES, Piece, PieceKind
from provand.pack.write import is_made
from provand.plan.document import Cleared
from provand.workspace import access, actions, at_work, plans
from provand.workspace.asked import standing_of
from provand.workspace.issuing import Issuing, begun, issuing_of
from provand.workspace.kinds import WORK
from provand.workspace.languages import word_for
from provand.workspace.models import Desk, Issue, User
from provand.workspace.notes import open_incidents
from provand.workspace.pictures import PICTURED
from provand.workspace.records import Recipient
from provand.workspace.versions import arrowed
from provand.workspace.views.clock import today
from provand.workspace.views.seen import desk_of, file_shown, seen_by, user_of
from provand.workspace.web import ledger_of

SAYS = {sheet.name: sheet.says for kind in PIECES for sheet in kind.sheets}
"""What each file of a pack is."""
PATIENCE_S = 0.25
"""For so long the page waits for a schedule that is being solved, before it says so and asks again."""
ROWS, MOST_ROWS = 4, 40
"""Rows of people that the form shows, and the most that it gives back."""
ROLES = ("athlete", "guardian", "crew", "guide", "coach")


@require_http_methods(["GET", "POST"])
def issue(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show what would be issued, and what was; on POST issue it to whom the form names."""
    desk, user = desk_of(request, key)
    if request.method == "POST":
        return _issued(request, desk, user)
    return _page(request, desk, user)


@require_GET
def under_way(request: HttpRequest, key: UUID) -> HttpResponse:
    """Lead to the copy that was asked for once it is issued; until then, say that it is being made."""
    desk, user = desk_of(request, key)
    now = issuing_of(desk, user)
    if now is not None and now.is_at_work and request.headers.get("HX-Request"):
        return render(request, "provand/parts/issuing.html", {"desk": desk, "issuing": now})
    address = reverse("issue", args=[desk.pk])
    if now is not None and now.issue is not None:
        address = reverse("issued", args=[now.issue.plan.code])
        again = "is issued" if now.is_first else "is given to more people"
        messages.success(request, f"Number {now.issue.n}, {now.issue.plan.code}, {again}.")
    return _led(request, address)


def _led(request: HttpRequest, address: str) -> HttpResponse:
    """Lead to an address, where a part of a page asks too."""
    is_part = bool(request.headers.get("HX-Request"))
    return HttpResponse(headers={"HX-Redirect": address}) if is_part else redirect(address)


def _page(request: HttpRequest, desk: Desk, user: User, *faults: Finding) -> HttpResponse:
    """Return the page: a preview where the plan is cleared; on hold the safety page and the letter alone."""
    case = plans.case_at(desk, as_of=today())
    basis = plans.basis_of(desk, case, as_of=today())
    looked = plans.looked_at(basis, wait_s=PATIENCE_S)
    if looked is None and plans.stopped_by(basis):  # as the page of the plan says
        return _led(request, reverse("plan", args=[desk.pk]))
    cleared = looked.cleared if looked else None
    word = word_for(case)
    now = issuing_of(desk, user)
    incidents = open_incidents(desk.athlete) if desk.athlete else []
    code = cleared.plan.code if cleared else ""
    last = access.last_issue(desk.race) if desk.race else None
    counts = last is not None and last.plan.code == code and not hasattr(last, "withdrawal")
    shown: dict[str, Any] = {
        "desk": desk,
        "case": case,
        "code": code,
        "waiting": looked is None,
        "held": looked is not None and cleared is None,
        "issuing": now,
        "unread": None if word.is_approved else word,
        "incidents": incidents,
        "may_issue": cleared is not None
        and user.is_practitioner
        and not incidents
        and word.is_approved
        and not (now and now.is_at_work),
        "counts": counts,
        "pieces": [_shown(kind, cleared) for kind in PIECES] if cleared else [],
        "people": _people(request, case, now),
        "ticked": request.POST.getlist("piece") or _ticked(now),
        "roles": ROLES,
        "issues": [standing_of(one) for one in _issues(desk)],
        "faults": faults,
        "number": last.n if counts and last else (last.n + 1 if last else 1),
    }
    return render(request, "provand/issue.html", shown, status=422 if faults else 200)


def _shown(kind: PieceKind, cleared: Cleared) -> dict[str, Any]:
    """Return a piece with its drafts; `seen` is the sheet that its picture shows.

    It is `absent` where this plan has nothing for it, as a kitchen's sheet without a menu.
    """
    drafts = [sheet for sheet in kind.sheets if sheet.in_drafts and is_made(cleared, sheet.name)]
    seen = next((sheet for sheet in drafts if sheet.media_type in PICTURED), None)
    absent = not drafts and any(sheet.in_drafts for sheet in kind.sheets)
    return {"kind": kind, "drafts": drafts, "seen": seen, "absent": absent}


def _ticked(now: Issuing | None) -> list[Piece]:
    """Return the pieces that are ticked: those of an issue that failed, or those of every pack."""
    return list(DEFAULT) if now is None or now.is_done else list(now.pieces)


def _people(request: HttpRequest, case: Case, now: Issuing | None) -> list[dict[str, str]]:
    """Return the rows of people: as they were typed, or the athlete and room for others."""
    rows = list(zip(request.POST.getlist("person"), request.POST.getlist("role"), strict=False))
    if not rows and now is not None and not now.is_done:
        rows = [(one.person, one.role) for one in now.to]
    rows = rows[:MOST_ROWS] or [(case.athlete.name, ROLES[0])]
    rows += [("", "")] * (ROWS - len(rows))
    return [{"person": person, "role": role} for person, role in rows]


def _issues(desk: Desk) -> list[Issue]:
    return list(access.issues().filter(race=desk.race).order_by("-n")) if desk.race else []


def _recipients(request: HttpRequest) -> list[Recipient]:
    """Return whom the form names; BadInput where a name stands without its role."""
    names, roles = request.POST.getlist("person"), request.POST.getlist("role")
    rows = [(name.strip(), role.strip()) for name, role in zip(names, roles, strict=False)]
    to = [Recipient(person=name, role=role) for name, role in rows if name and role]
    if not to or any(bool(name) != bool(role) for name, role in rows if name):
        raise BadInput(find("ledger.no_recipient", "to"))
    return to


def _pieces(request: HttpRequest) -> list[Piece]:
    ticked = [piece for piece in HELD if piece in request.POST.getlist("piece")]
    if not ticked:
        raise BadInput(find("issue.no_piece", "pieces"))
    return ticked


def _issued(request: HttpRequest, desk: Desk, user: User) -> HttpResponse:
    ledger = ledger_of(request)
    try:
        if not user.is_practitioner:
            raise BadInput(find("workspace.not_yours", "issue", what="an assistant issues nothing"))
        to, ticked = _recipients(request), _pieces(request)
        if request.POST.get("as") == "safety":
            case = plans.case_at(desk, as_of=today())
            actions.safety_page_given(ledger, case=case, to=to, out=None, by=user.name)
            messages.success(request, f"The safety page is recorded as given to {_names(to)}.")
            return redirect("issue", key=desk.pk)
        seen = _revision(request)
        job = begun(ledger, desk=desk, revision=seen, to=to, pieces=ticked, by=user, on=today())
    except ProvandError as error:
        return _page(request, desk, user, *error.findings)
    at_work.let_work(ledger, job, WORK, first=True)
    return redirect("issue_under_way", key=desk.pk)


def _revision(request: HttpRequest) -> int | None:
    """Return the revision at which the plan was looked at, None where a form does not tell it."""
    typed = request.POST.get("revision", "")
    return int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 12 else None


def _names(to: list[Recipient]) -> str:
    return ", ".join(f"{one.person} ({one.role})" for one in to)


def _of_code(request: HttpRequest, code: str) -> tuple[Issue, User]:
    """Return the last issue of a code that the person may see; else 404."""
    found = seen_by(request).issues().filter(plan__code=code.upper()).order_by("id").last()
    if found is None:
        raise Http404
    return found, user_of(request)


@require_GET
def issued(request: HttpRequest, code: str) -> HttpResponse:
    """Show one issue: whether it counts, who holds it, its files, what it changed."""
    found, user = _of_code(request, code)
    standing = standing_of(found)
    stale = standing.superseded is not None or standing.withdrawn is not None
    shown = {
        "issue": found,
        "standing": standing,
        "files": [
            (file.name, SAYS.get(file.name, "calendar that takes every event back"))
            for file in access.handouts().filter(issue=found).order_by("name")
        ],
        "difference": [arrowed(line) for line in found.difference.splitlines()],
        "tell": [] if not stale else list(standing.holders),
        "desk": seen_by(request).desks().filter(race=found.race).order_by("-changed_at").first(),
        "may_withdraw": user.is_practitioner and not stale,
    }
    return render(request, "provand/issued.html", shown)


@require_GET
def handed_out(request: HttpRequest, code: str, name: str) -> HttpResponse:
    """Return the very bytes of one file, or of all of them in a zip."""
    found, _ = _of_code(request, code)
    kept = access.handouts().filter(issue=found).order_by("name")
    if name == "all.zip":
        held = io.BytesIO()
        with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
            for one in kept:
                packed.writestr(zipfile.ZipInfo(one.name), bytes(one.data))
        return file_shown(held.getvalue(), "application/zip", f"{found.plan.code}.zip")
    file = kept.filter(name=name).first()
    if file is None:
        raise Http404
    return file_shown(bytes(file.data), file.media_type, file.name)


@require_POST
def withdrawn(request: HttpRequest, code: str) -> HttpResponse:
    """Withdraw an issue with a reason, make the cancelled calendar, and say who must be told."""
    found, user = _of_code(request, code)
    ledger, why = ledger_of(request), request.POST.get("why", "").strip()
    try:
        if not user.is_practitioner:
            raise BadInput(find("workspace.not_yours", code, what="an assistant withdraws nothing"))
        if not why:
            raise BadInput(find("ledger.needed", "why"))
        actions.withdraw(ledger, code=found.plan.code, why=why, by=user.name)
        actions.taken_back(ledger, code=found.plan.code, out=None, by=user.name)
    except ProvandError as error:
        for finding in error.findings:
            messages.error(request, finding.line())
    else:
        messages.success(request, f"{found.plan.code} is withdrawn. Tell everybody who holds it.")
    return redirect("issued", code=found.plan.code)
