"""Issuing: drafts to look at, who is given what, what was issued before, which copy counts, withdrawal."""

from __future__ import annotations

import io
import zipfile
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from provand.case.case import Case
from provand.finding import BadInput, Finding, ProvandError, find
from provand.pack.pieces import DEFAULT, HELD, PIECES, Piece, PieceKind
from provand.pack.write import SAFETY, File, file_of, is_made, pack_files, safety_file
from provand.plan.document import Cleared
from provand.workspace import access, actions, plans
from provand.workspace.asked import standing_of
from provand.workspace.issuing import issued as issued_from
from provand.workspace.models import Desk, Issue, User
from provand.workspace.notes import open_incidents
from provand.workspace.pictures import PICTURED, picture
from provand.workspace.records import Recipient
from provand.workspace.views.clock import today
from provand.workspace.views.seen import desk_of, file_shown, seen_by, user_of
from provand.workspace.web import ledger_of

PREVIEWS = {sheet.name for kind in PIECES for sheet in kind.sheets if sheet.in_drafts}
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


def _page(request: HttpRequest, desk: Desk, user: User, *faults: Finding) -> HttpResponse:
    """Return the page: a preview where the plan is cleared; on hold the safety page and the letter alone."""
    case = plans.case_at(desk, as_of=today())
    looked = plans.looked_at(plans.basis_of(desk, case, as_of=today()))
    if looked is None:  # its solve was stopped, as the page of the plan says
        return redirect("plan", key=desk.pk)
    cleared = looked.cleared
    incidents = open_incidents(desk.athlete) if desk.athlete else []
    code = cleared.plan.code if cleared else ""
    last = access.last_issue(desk.race) if desk.race else None
    counts = last is not None and last.plan.code == code and not hasattr(last, "withdrawal")
    shown: dict[str, Any] = {
        "desk": desk,
        "case": case,
        "code": code,
        "held": cleared is None,
        "incidents": incidents,
        "may_issue": cleared is not None and user.is_practitioner and not incidents,
        "counts": counts,
        "pieces": [_shown(kind, cleared) for kind in PIECES] if cleared else [],
        "people": _people(request, case),
        "ticked": request.POST.getlist("piece") or list(DEFAULT),
        "roles": ROLES,
        "issues": [standing_of(one) for one in _issues(desk)],
        "faults": faults,
        "number": last.n if counts and last else (last.n + 1 if last else 1),
    }
    return render(request, "provand/issue.html", shown, status=422 if faults else 200)


def _shown(kind: PieceKind, cleared: Cleared) -> dict[str, Any]:
    """Return a piece with its drafts; `seen` is the sheet that its picture shows."""
    drafts = [sheet for sheet in kind.sheets if sheet.in_drafts and is_made(cleared, sheet.name)]
    seen = next((sheet for sheet in drafts if sheet.media_type in PICTURED), None)
    return {"kind": kind, "drafts": drafts, "seen": seen}


def _people(request: HttpRequest, case: Case) -> list[dict[str, str]]:
    """Return the rows of people: as they were typed, or the athlete and room for others."""
    rows = list(zip(request.POST.getlist("person"), request.POST.getlist("role"), strict=False))
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
        case = plans.case_at(desk, as_of=today())
        basis = plans.basis_of(desk, case, as_of=today())
        if request.POST.get("as") == "safety":
            actions.safety_page_given(ledger, case=case, to=to, out=None, by=user.name)
            messages.success(request, f"The safety page is recorded as given to {_names(to)}.")
            return redirect("issue", key=desk.pk)
        made = issued_from(ledger, desk=desk, basis=basis, to=to, pieces=ticked, by=user)
    except ProvandError as error:
        return _page(request, desk, user, *error.findings)
    again = "is given to more people" if made.unchanged else "is issued"
    messages.success(request, f"Number {made.n}, {made.code}, {again}.")
    return redirect("issued", code=made.code)


def _names(to: list[Recipient]) -> str:
    return ", ".join(f"{one.person} ({one.role})" for one in to)


def cleared_of(desk: Desk) -> Cleared:
    """Return the plan of a race file where it is cleared; else 404."""
    case = plans.case_at(desk, as_of=today())
    looked = plans.looked_at(plans.basis_of(desk, case, as_of=today()))
    if looked is None or looked.cleared is None:
        raise Http404
    return looked.cleared


@require_GET
def preview(request: HttpRequest, key: UUID, name: str) -> HttpResponse:
    """Show one piece as a draft; nothing but the safety page where the plan is not cleared."""
    file = _draft(request, key, name)
    return file_shown(file.data, file.media_type, name if name == SAFETY else f"draft-{name}")


@require_GET
def pictured(request: HttpRequest, key: UUID, name: str) -> HttpResponse:
    """Show a draft as a picture: its first page."""
    file = _draft(request, key, name)
    if file.media_type not in PICTURED:
        raise Http404
    return HttpResponse(picture(file.data, file.media_type), content_type="image/png")


def _draft(request: HttpRequest, key: UUID, name: str) -> File:
    desk, _ = desk_of(request, key)
    if name == SAFETY:
        return safety_file(plans.case_at(desk, as_of=today()))
    if name not in PREVIEWS:
        raise Http404
    made = pack_files(cleared_of(desk), pieces=(file_of(name, b"").piece,), draft=True)
    found = next((file for file in made if file.name == name), None)
    if found is None:
        raise Http404
    return found


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
        "files": access.handouts().filter(issue=found).order_by("name"),
        "difference": found.difference.splitlines(),
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
