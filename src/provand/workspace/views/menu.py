"""The page of the menu: meals with their running total, changed by hand, laid anew by the planner."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from provand.case.change import change_of
from provand.finding import BadInput, Finding, NoPlanFits, OnHold, find
from provand.larder.food import Larder
from provand.workspace import at_work, jobs, laying, menus, plans
from provand.workspace.beside import beside_of
from provand.workspace.desk import Stale
from provand.workspace.how_far import waits_for_job
from provand.workspace.kinds import WORK
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
    now = beside_of(desk, laying.KIND, user)
    return shown | {
        "state": "menu",
        "laying": now,
        "waits": waits_for_job(now, in_words=in_words) if now and now.is_at_work else None,
        "laid": bool(basis.case.menu and basis.case.menu.laid),
        "blocks": menus.blocks_of(found, basis.case.larder, in_words=in_words),
        "in_words": in_words,
        "remarks": menus.told(found.findings, in_words=in_words),
        "breaches": menus.told(found.breaches),
        "shopping": menus.shopping_of(found, in_words=in_words),
        "mixes": any(item.recipe for item in basis.case.items) and "fluid" not in basis.screening.withheld,
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
    """Ask for a menu around what stays, or for another one; the page shows it once it is there."""
    desk, user = desk_of(request, key)
    ledger = ledger_of(request)

    def made() -> Laid:
        another = request.POST.get("how") == "another"
        job = laying.begun(
            ledger, desk=desk, revision=revision_of(request), another=another, by=user, on=today()
        )
        at_work.let_work(ledger, job, WORK, first=True)
        return Laid(desk, "The menu is being laid.")

    return _answered(request, desk, user, made)


@require_GET
def laid(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show whether the menu is still being laid; once it is not, the whole part as it stands then."""
    desk, user = desk_of(request, key)
    now = beside_of(desk, laying.KIND, user)
    if not request.headers.get("HX-Request"):
        return redirect("menu", key=desk.pk)
    if now is not None and now.is_at_work:
        basis = plans.basis_of(desk, plans.case_at(desk, as_of=today()), as_of=today())
        waits = waits_for_job(now, in_words="grams" in basis.screening.withheld)
        return render(request, "provand/parts/menu_laying.html", {"desk": desk, "waits": waits})
    told = " ".join(now.lines) if now is not None else "The menu is not being laid any more."
    answer = _answer(request, desk, user, said=told)
    answer.headers["HX-Retarget"], answer.headers["HX-Reswap"] = "#menu", "outerHTML"
    return answer


@require_POST
def lay_stopped(request: HttpRequest, key: UUID) -> HttpResponse:
    """Stop the laying of a menu: the one that stands stays."""
    desk, user = desk_of(request, key)
    ledger, now = ledger_of(request), beside_of(desk, laying.KIND, user)

    def made() -> Laid:
        if now is None or not now.mine:
            raise BadInput(find("job.not_going", "menu"))
        jobs.stopped(ledger, job=now.job, by=user, on=today())
        at_work.let_rest(now.job)
        return Laid(desk, "Stopped; the menu is as it was.")

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
    return _answer(request, done.desk, user, said=done.said)


def _refused(
    request: HttpRequest, desk: Desk, user: User, findings: tuple[Finding, ...], *, status: int
) -> HttpResponse:
    told = menus.told(findings)
    return _answer(request, desk, user, status=status, refused=told, said=f"Not done. {told[0]}")
