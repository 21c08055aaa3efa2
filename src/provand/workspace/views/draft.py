"""Drafts of the pieces of a plan: the very sheet, and its picture, which is drawn beside the page."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from provand.case.case import Case
from provand.pack.pieces import PIECES
from provand.pack.tongue import Tongue
from provand.pack.write import SAFETY, File, file_of, pack_files, safety_file
from provand.plan.document import Cleared
from provand.workspace import plans
from provand.workspace.languages import tongue_for
from provand.workspace.models import Desk
from provand.workspace.pictures import PICTURED, drawn
from provand.workspace.plans import Basis
from provand.workspace.views.clock import today
from provand.workspace.views.seen import desk_of, file_shown

PREVIEWS = {sheet.name: sheet.says for kind in PIECES for sheet in kind.sheets if sheet.in_drafts}
"""Every sheet that a draft can be looked at of, and what it is."""
PATIENCE_S = 0.25
"""For so long the page waits for a picture, before it says that it is being drawn and asks again."""


@require_GET
def preview(request: HttpRequest, key: UUID, name: str) -> HttpResponse:
    """Show one piece as a draft; nothing but the safety page where the plan is not cleared."""
    desk, _ = desk_of(request, key)
    case = plans.case_at(desk, as_of=today())
    if name == SAFETY:
        file = safety_file(case, tongue=tongue_for(case))
    else:
        file = draft_of(cleared_of(desk), name, tongue_for(case))
    return file_shown(file.data, file.media_type, name if name == SAFETY else f"draft-{name}")


def draft_of(cleared: Cleared, name: str, tongue: Tongue) -> File:
    """Return a sheet of a plan as a draft; 404 where there is none."""
    if name not in PREVIEWS:
        raise Http404
    made = pack_files(cleared, pieces=(file_of(name, b"").piece,), draft=True, tongue=tongue)
    found = next((file for file in made if file.name == name), None)
    if found is None:
        raise Http404
    return found


def cleared_of(desk: Desk) -> Cleared:
    """Return the plan of a race file where it is cleared; else 404."""
    looked = plans.looked_at(_basis(desk))
    if looked is None or looked.cleared is None:
        raise Http404
    return looked.cleared


def _basis(desk: Desk) -> Basis:
    return plans.basis_of(desk, plans.case_at(desk, as_of=today()), as_of=today())


@require_GET
def pictured(request: HttpRequest, key: UUID, name: str) -> HttpResponse:
    """Show a draft as a picture: its first page, however long it takes to draw."""
    desk, _ = desk_of(request, key)
    found = _drawing(desk, name, wait_s=None)
    assert found is not None  # without an end to the waiting
    return HttpResponse(found.result(), content_type="image/png")


@require_GET
def look(request: HttpRequest, key: UUID, name: str) -> HttpResponse:
    """Show the picture of a draft as a part of a page, or that it is being drawn: it asks again."""
    desk, _ = desk_of(request, key)
    found = _drawing(desk, name, wait_s=PATIENCE_S)
    state = "waiting" if found is None else _state(found)
    shown = {"desk": desk, "name": name, "says": PREVIEWS[name], "state": state}
    return render(request, "provand/parts/look.html", shown)


def _state(found: Future[bytes]) -> str:
    try:
        return "failed" if found.exception(timeout=PATIENCE_S) else "drawn"
    except TimeoutError:
        return "waiting"


def _drawing(desk: Desk, name: str, *, wait_s: float | None) -> Future[bytes] | None:
    """Return the picture of a sheet that is being drawn; None where its plan is still being solved."""
    if name not in PREVIEWS or file_of(name, b"").media_type not in PICTURED:
        raise Http404
    basis = _basis(desk)
    tongue = tongue_for(basis.case)
    cleared = None
    if name != SAFETY:
        looked = plans.looked_at(basis, wait_s=wait_s)
        if looked is None:
            return None
        cleared = looked.cleared
        if cleared is None:
            raise Http404
    key = f"{basis.key} {tongue.tag} {tongue.digest} {tongue.approved} {name}"
    return drawn(key, _making(basis.case, cleared, name, tongue))


def _making(case: Case, cleared: Cleared | None, name: str, tongue: Tongue) -> Callable[[], File]:
    if cleared is None:
        return lambda: safety_file(case, tongue=tongue)
    return lambda: draft_of(cleared, name, tongue)
