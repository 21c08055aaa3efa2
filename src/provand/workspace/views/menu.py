"""The page of the menu: meals with their running total, changed by hand, laid anew by the planner."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from provand.case.change import change_of
from provand.finding import BadInput, Finding, NoPlanFits, OnHold
from provand.larder.food import Larder
from provand.plan.menu_laid import laid_anew
from provand.workspace import menus, plans
from provand.workspace.desk import Stale
from provand.workspace.menus import Laid
from provand.workspace.models import Desk, User
from provand.workspace.plan_edit import Edited, made_again, taken_back
from provand.workspace.plan_page import head_of_case, reasons_of
from provand.workspace.views.clock import today
from provand.workspace.views.plan import ways_back
from provand.workspace.views.plan_change import revision_of
from provand.workspace.views.seen import desk_of
from provand.workspace.web import ledger_of

BY_HAND = ("portions", "swap food", "stay food")


@require_GET
def page(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the menu of a race file, or why there is none."""
    desk, user = desk_of(request, key)
    return _answer(request, desk, user)


def _answer(request: HttpRequest, desk: Desk, user: User, *, status: int = 200, **more: Any) -> HttpResponse:
    """Return the page as it stands, or its part alone; `more` is what there is to say."""
    shown = _shown(desk, user) | more
    template = "provand/parts/menu.html" if request.headers.get("HX-Request") else "provand/menu.html"
    return render(request, template, shown, status=status)


def _shown(desk: Desk, user: User) -> dict[str, Any]:
    shown: dict[str, Any] = {"desk": desk, **ways_back(desk)}
    read = plans.read_at(desk, as_of=today())
    if read.case is None:
        return shown | {"state": "faults", "faults": menus.told(read.faults)}
    shown["head"] = head_of_case(read.case)
    try:
        basis = plans.basis_of(desk, read.case, as_of=today())
        found = menus.seen(basis)
    except OnHold:
        told = reasons_of(basis.reasons) if user.is_practitioner else []
        return shown | {"state": "hold", "reasons": told}
    except BadInput as error:
        return shown | {"state": "faults", "faults": menus.told(error.findings)}
    in_words = "grams" in basis.screening.withheld
    return shown | {
        "state": "menu",
        "laid": bool(basis.case.menu and basis.case.menu.laid),
        "blocks": menus.blocks_of(found, basis.case.larder, in_words=in_words),
        "in_words": in_words,
        "remarks": menus.told(found.findings, in_words=in_words),
        "breaches": menus.told(found.breaches),
        "shopping": menus.shopping_of(found, in_words=in_words),
        "foods": menus.listed_foods(basis.case.larder),
    }


@require_GET
def others(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show what could be eaten in place of one food of one meal; 404 where it is not on the menu."""
    desk, _ = desk_of(request, key)
    read = plans.read_at(desk, as_of=today())
    asked = [request.GET.get(name, "") for name in ("on", "meal", "food")]
    rows = read.case.menu.laid if read.case is not None and read.case.menu is not None else ()
    which = next((one for one in rows if [one.on.isoformat(), one.meal, one.food] == asked), None)
    if read.case is None or which is None:
        raise Http404
    basis = plans.basis_of(desk, read.case, as_of=today())
    try:
        found = menus.instead_of(basis, which, in_words="grams" in basis.screening.withheld)
    except (BadInput, OnHold) as error:
        raise Http404 from error
    return render(request, "provand/parts/menu_instead.html", {"desk": desk, "which": which, "others": found})


@require_POST
def change(request: HttpRequest, key: UUID) -> HttpResponse:
    """Change one food of one meal."""
    desk, user = desk_of(request, key)
    sent = request.POST

    def made() -> Laid:
        data: dict[str, Any] = {
            "kind": sent.get("kind", ""),
            "on": sent.get("on", ""),
            "meal": sent.get("meal", ""),
        }
        if data["kind"] not in BY_HAND:
            data["kind"] = "portions"
        larder = plans.case_at(desk, as_of=today()).larder
        data["food"] = menus.food_meant(larder, sent.get("food", ""))
        data |= _more(data["kind"], request, larder)
        return _edited(request, desk, user, data)

    return _answered(request, desk, user, made)


def _more(kind: str, request: HttpRequest, larder: Larder) -> dict[str, Any]:
    if kind == "portions":
        return {"portions": request.POST.get("portions", "") or "1"}
    if kind == "swap food":
        portions = request.POST.get("portions", "")
        return {"other": menus.food_meant(larder, request.POST.get("other", "")), "portions": portions}
    return {"stays": request.POST.get("stays") != "no"}


@require_POST
def lay(request: HttpRequest, key: UUID) -> HttpResponse:
    """Lay the menu anew around what stays; another one where that is asked for."""
    desk, user = desk_of(request, key)

    def made() -> Laid:
        case = plans.case_at(desk, as_of=today())
        basis = plans.basis_of(desk, case, as_of=today())
        made_anew = laid_anew(
            case,
            basis.screening,
            protocols=basis.protocols,
            as_of=today(),
            other=request.POST.get("how") == "another",
        )
        data = {"kind": "lay menu", "laid": [row.model_dump() for row in made_anew.rows]}
        in_words = "grams" in basis.screening.withheld
        found = tuple(menus.told(made_anew.in_the_way, in_words=in_words))
        return _edited(request, desk, user, data)._replace(found=found)

    return _answered(request, desk, user, made)


@require_POST
def undo(request: HttpRequest, key: UUID) -> HttpResponse:
    """Take the last change of the race file back."""
    desk, user = desk_of(request, key)
    ledger, revision = ledger_of(request), revision_of(request)
    return _answered(
        request,
        desk,
        user,
        lambda: _as_laid(taken_back(ledger, desk=desk, revision=revision, by=user, as_of=today())),
    )


@require_POST
def redo(request: HttpRequest, key: UUID) -> HttpResponse:
    """Make again what was taken back last."""
    desk, user = desk_of(request, key)
    ledger, revision = ledger_of(request), revision_of(request)
    return _answered(
        request, desk, user, lambda: _as_laid(made_again(ledger, desk=desk, revision=revision, by=user))
    )


def _as_laid(done: Edited) -> Laid:
    return Laid(done.desk, done.said)


def _edited(request: HttpRequest, desk: Desk, user: User, data: dict[str, Any]) -> Laid:
    return menus.edited(
        ledger_of(request),
        desk=desk,
        revision=revision_of(request),
        change=change_of(data),
        by=user,
        as_of=today(),
    )


def _answered(request: HttpRequest, desk: Desk, user: User, made: Callable[[], Laid]) -> HttpResponse:
    """Answer with the part as it stands now; what could not be done is told."""
    try:
        done = made()
    except Stale as error:
        return _refused(request, error.desk, user, error.findings, status=409)
    except OnHold:
        return _answer(request, desk, user, status=409, said="On hold.")
    except (BadInput, NoPlanFits) as error:
        return _refused(request, desk, user, error.findings, status=422)
    if not request.headers.get("HX-Request"):
        return redirect("menu", key=desk.pk)
    return _answer(request, done.desk, user, said=" ".join((done.said, *done.found)), found=done.found)


def _refused(
    request: HttpRequest, desk: Desk, user: User, findings: tuple[Finding, ...], *, status: int
) -> HttpResponse:
    told = menus.told(findings)
    return _answer(request, desk, user, status=status, refused=told, said=f"Not done. {told[0]}")
