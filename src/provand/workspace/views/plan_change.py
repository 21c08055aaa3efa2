"""Changes from the page of a plan: every verb one address, the whole part as the answer; undo and redo."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from provand.case.change import change_of
from provand.case.laid import Solve
from provand.finding import BadInput, OnHold, find
from provand.larder.item import WATER
from provand.larder.shelf import shelf
from provand.plan.document import Plan
from provand.workspace import at_work, jobs, plans, solve_again
from provand.workspace.beside import beside_of
from provand.workspace.change_forms import given
from provand.workspace.desk import Stale
from provand.workspace.kinds import WORK
from provand.workspace.models import Desk, User
from provand.workspace.plan_edit import Edited, edited, made_again, taken_back
from provand.workspace.plan_page import at_stop
from provand.workspace.plans import Basis
from provand.workspace.views import plan as plan_view
from provand.workspace.views.clock import today
from provand.workspace.views.plan import answer, part_of, seen_plan, waits_for
from provand.workspace.views.seen import desk_of
from provand.workspace.web import ledger_of


def revision_of(request: HttpRequest) -> int:
    """Return the revision that the page was of; one that none has where it is missing."""
    typed = request.POST.get("revision", "")
    return int(typed) if typed.isdecimal() and len(typed) < 10 else -1


@require_POST
def change(request: HttpRequest, key: UUID) -> HttpResponse:
    """Make one change of the case, whichever its kind."""
    desk, user = desk_of(request, key)
    kind = request.POST.get("kind", "")
    sent = given(kind, request.POST.dict(), dict(request.POST.lists()))
    if kind == solve_again.KIND:
        return _solved_again(request, desk, user, sent)
    if kind == "override":
        sent |= {"by": user.name, "on": today()}

    def made() -> Edited:
        return edited(
            ledger_of(request),
            desk=desk,
            revision=revision_of(request),
            change=change_of(sent),
            by=user,
            as_of=today(),
        )

    return _answered(request, desk, user, made, sent)


def _solved_again(request: HttpRequest, desk: Desk, user: User, sent: dict[str, Any]) -> HttpResponse:
    """Ask for the schedule to be solved again; one that is soon there is the answer."""
    ledger = ledger_of(request)

    def made() -> Edited:
        wish = change_of(sent)
        assert isinstance(wish, Solve)
        job = solve_again.begun(
            ledger, desk=desk, revision=revision_of(request), wish=wish, by=user, on=today()
        )
        at_work.let_work(ledger, job, WORK, first=True)
        at_work.waited_for(job.key, most_s=plan_view.PATIENCE_S)
        now = Desk.objects.get(pk=desk.pk)
        return Edited(now, _what_came(now, user) or "The schedule is being solved.")

    return _answered(request, desk, user, made)


def _what_came(desk: Desk, user: User) -> str:
    came = beside_of(desk, solve_again.KIND, user)
    if came is None or came.is_at_work:
        return ""
    return " ".join(("No new schedule.", *came.lines) if came.state != "done" else came.lines)


@require_GET
def solved(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show how far the solve is that the page waits for; once it is there, the whole part as it stands."""
    desk, user = desk_of(request, key)
    if not request.headers.get("HX-Request"):
        return redirect("plan", key=desk.pk)
    read = plans.read_at(desk, as_of=today())
    waits = again = None
    if read.case is not None:
        waits, again = waits_for(desk, plans.basis_of(desk, read.case, as_of=today()), user)
    if waits is not None:
        shown = {"desk": desk, "waits": waits, "drawn": again is not None and again.is_at_work}
        return render(request, "provand/parts/plan_waits.html", shown)
    found = answer(request, desk, user, said=_what_came(desk, user) or "The schedule is there.")
    found.headers["HX-Retarget"], found.headers["HX-Reswap"] = "#plan", "outerHTML"
    return found


@require_POST
def solve(request: HttpRequest, key: UUID) -> HttpResponse:
    """Let a schedule be solved that somebody stopped."""
    desk, user = desk_of(request, key)

    def made() -> Edited:
        plans.solving(_basis(desk))
        return Edited(desk, "The schedule is being solved.")

    return _answered(request, desk, user, made)


@require_POST
def solve_stopped(request: HttpRequest, key: UUID) -> HttpResponse:
    """Stop the solve that the page waits for: nothing that stands is changed."""
    desk, user = desk_of(request, key)
    ledger, again = ledger_of(request), beside_of(desk, solve_again.KIND, user)

    def made() -> Edited:
        if again is not None and again.is_at_work and again.mine:
            jobs.stopped(ledger, job=again.job, by=user, on=today())
            at_work.let_rest(again.job)
        elif (again is not None and again.is_at_work) or not plans.stop(_basis(desk), by=user.name):
            raise BadInput(find("job.not_going", "plan"))
        return Edited(desk, "Stopped; everything is as it was.")

    return _answered(request, desk, user, made)


def _basis(desk: Desk) -> Basis:
    return plans.basis_of(desk, plans.case_at(desk, as_of=today()), as_of=today())


@require_POST
def undo(request: HttpRequest, key: UUID) -> HttpResponse:
    """Take the last change back."""
    desk, user = desk_of(request, key)
    return _answered(
        request,
        desk,
        user,
        lambda: taken_back(
            ledger_of(request), desk=desk, revision=revision_of(request), by=user, as_of=today()
        ),
    )


@require_POST
def redo(request: HttpRequest, key: UUID) -> HttpResponse:
    """Make again what was taken back last."""
    desk, user = desk_of(request, key)
    return _answered(
        request,
        desk,
        user,
        lambda: made_again(ledger_of(request), desk=desk, revision=revision_of(request), by=user),
    )


def _answered(
    request: HttpRequest, desk: Desk, user: User, made: Any, sent: dict[str, Any] | None = None
) -> HttpResponse:
    """Answer with the part as it stands now; what could not be done is told, and what was typed stays."""
    try:
        done: Edited = made()
    except Stale as error:
        told = [finding.line() for finding in error.findings]
        return answer(request, error.desk, user, status=409, refused=told, said=told[0], sent=sent)
    except OnHold:
        return answer(request, desk, user, status=409, said="On hold.")
    except BadInput as error:
        told = [finding.line() for finding in error.findings]
        return answer(request, desk, user, status=422, refused=told, said=f"Not done. {told[0]}", sent=sent)
    if not request.headers.get("HX-Request"):
        return redirect("plan", key=desk.pk)
    return answer(request, done.desk, user, said=done.said, chosen=done.chosen)


@require_GET
def stop(request: HttpRequest, key: UUID, number: int) -> HttpResponse:
    """Open one stop: why it is there, and all that a hand may do with it."""
    desk, _ = desk_of(request, key)
    plan = seen_plan(desk)
    if number >= len(plan.race.stops):
        raise Http404
    shown = at_stop(plan, number)
    more = {"desk": desk, "stop": shown, "others": _others(desk, plan)}
    return part_of(request, "provand/parts/stop.html", more, whose=f"At {shown.km} km")


def _others(desk: Desk, plan: Plan) -> list[tuple[str, str]]:
    """Return the items that may take another's place, rehearsed ones first."""
    case = plans.case_at(desk, as_of=today())
    rehearsed = {one.item for one in case.athlete.rehearsed}
    known = {item.id: item for item in (*shelf(), *case.items)}
    barred = {WATER, *case.wishes.banned, *case.athlete.refused}
    may = [item for item in known.values() if item.id not in barred]
    ordered = sorted(may, key=lambda item: (item.id not in rehearsed, item.name))
    return [(one.id, one.name if one.id in rehearsed else f"{one.name}, not rehearsed") for one in ordered]
