"""The page of a plan: the strip, the table equal to it, cautions, figures with their chains; it reads."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from provand.finding import BadInput, NoPlanFits, OnHold
from provand.pack.hand import Hand, passed_at
from provand.pack.strip import LEFT, RIGHT
from provand.pack.turned import PER_KM, TOP
from provand.plan.document import Plan
from provand.plan.look import Looked, limits_passed
from provand.protocol.firing import HEAT
from provand.workspace import access, plans, solve_again, workers
from provand.workspace.beside import Beside, beside_of
from provand.workspace.change_forms import what_happened
from provand.workspace.how_far import Waits, how_far, waits_for_job
from provand.workspace.models import Desk, User
from provand.workspace.plan_page import (
    cautions_of,
    figures_of,
    head_of,
    head_of_case,
    heat_named,
    opened,
    reasons_of,
    signed,
    strips_of,
    table_of,
)
from provand.workspace.plans import Basis
from provand.workspace.views.clock import today
from provand.workspace.views.seen import desk_of

TOLD_OF = {"grams", "caffeine", "fluid"}
"""Parts of which the goals of a schedule tell; where one is withheld, they are counted and not named."""
PATIENCE_S = 0.25
"""For so long a page waits for a schedule that is being solved, before it says so and asks again."""


@require_GET
def page(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the plan of a race file, or why there is none; as a part alone where the page asks for it."""
    desk, user = desk_of(request, key)
    return answer(request, desk, user)


def answer(request: HttpRequest, desk: Desk, user: User, *, status: int = 200, **more: Any) -> HttpResponse:
    """Return the page of a race file as it stands, or its part alone; `more` is what there is to say."""
    shown = _shown(request, desk, user) | more
    if "case" in shown:
        shown["happened"] = what_happened(shown["case"], today=today(), typed=more.get("sent"))
    template = "provand/parts/plan.html" if request.headers.get("HX-Request") else "provand/plan.html"
    return render(request, template, shown, status=status)


def _shown(request: HttpRequest, desk: Desk, user: User) -> dict[str, Any]:
    """Return what the page shows of a race file."""
    as_of = today()
    shown: dict[str, Any] = {"desk": desk, "url": reverse("plan", args=[desk.pk]), **ways_back(desk)}
    read = plans.read_at(desk, as_of=as_of)
    if read.case is None:
        return shown | {"state": "faults", "faults": read.faults}
    shown["head"] = head_of_case(read.case)
    try:
        basis = plans.basis_of(desk, read.case, as_of=as_of)
    except BadInput as error:
        return shown | {"state": "faults", "faults": error.findings}
    shown["pins"] = len(basis.case.wishes.pinned)
    looked = plans.looked_at(basis, wait_s=PATIENCE_S)
    shown["waits"], shown["again"] = waits_for(desk, basis, user)
    if looked is None:
        return shown | {"state": "waiting", "stopped": plans.stopped_by(basis)}
    if looked.plan is None:
        return shown | _without_plan(looked, basis, user)
    return shown | _with_plan(request, desk, basis, looked, looked.plan)


def waits_for(desk: Desk, basis: Basis, user: User) -> tuple[Waits | None, Beside | None]:
    """Return what the page waits for, if for anything; and what came of the last solve that was asked for."""
    again = beside_of(desk, solve_again.KIND, user)
    in_words = bool(TOLD_OF & {*basis.screening.withheld})
    if again is not None and again.is_at_work:
        return waits_for_job(again, in_words=in_words), again
    going = plans.going_on(basis)
    if going is None:
        return None, again
    far = how_far(workers.heard(going.future), going.since, in_words=in_words)
    return Waits(far, going.since, "", True), again


def _without_plan(looked: Looked, basis: Basis, user: User) -> dict[str, Any]:
    """Return why there is no plan; of a hold an assistant is told that there is one, and no more."""
    error = looked.error
    assert error is not None
    if not isinstance(error, OnHold):
        fits = isinstance(error, NoPlanFits)
        return {"state": "none", "faults": error.findings, "fits": fits, "case": basis.case}
    told = reasons_of(error.findings) if user.is_practitioner else []
    held: dict[str, Any] = {"state": "hold", "reasons": told}
    if basis.screening.may_issue and user.is_practitioner:
        by_heat = any(finding.code == "heat.too_hot" for finding in error.findings)
        held |= {"case": basis.case, "by_heat": by_heat, "heat_id": HEAT}
    return held


def _with_plan(request: HttpRequest, desk: Desk, basis: Basis, looked: Looked, plan: Plan) -> dict[str, Any]:
    """Return what the page shows of a plan, cleared or not."""
    passed = limits_passed(looked.breaches, plan.withheld)
    seen = as_chosen(request, plan)
    hand = Hand(slides=True, lanes=_lanes(request), passes=passed_at(seen, looked.breaches))
    named = heat_named(basis.case)
    store = request.POST.get("store") or request.GET.get("store", "")
    return {
        "state": "plan",
        "head": head_of(seen),
        "code": plan.code,
        **version_of(desk, plan.code),
        "cleared": looked.cleared is not None,
        "passed": reasons_of(passed),
        "strips": strips_of(seen, hand, store, _only(request)),
        "store": store,
        "edges": {"left": LEFT, "right": RIGHT, "top": TOP, "per_km": PER_KM},
        "length_m": seen.case.course.length_m,
        "stations_m": " ".join(f"{station.at_m:g}" for station in seen.case.course.stations),
        "table": table_of(seen, hand),
        "cautions": cautions_of(seen),
        "figures": figures_of(seen),
        "portions": "grams" in plan.withheld,
        "all_figures": seen is not plan,
        "given": basis.case.wishes.schedule == "as given",
        "proven": plan.race.proven,
        "drinking": plan.race.drinking.sentence,
        "heat": signed(named) if named else "",
        "case": basis.case,
        "banned": _banned(basis),
        "by_hand": access.set_by_hand(desk.race) if desk.race else (),
    }


def _banned(basis: Basis) -> list[tuple[str, str]]:
    names = {item.id: item.name for item in basis.case.items}
    return [(item, names.get(item, item)) for item in basis.case.wishes.banned]


def as_chosen(request: HttpRequest, plan: Plan) -> Plan:
    """Return a plan in portions with its figures where the practitioner asks for them by one step more."""
    user = request.user
    asked = request.GET.get("figures") == "shown" and isinstance(user, User) and user.is_practitioner
    if not asked or "grams" not in plan.withheld:
        return plan
    return plan.model_copy(update={"withheld": tuple(part for part in plan.withheld if part != "grams")})


def _only(request: HttpRequest) -> str:
    """Return which strip a page sees that sent an edit; empty for a page that is loaded whole."""
    seen = request.POST.get("seen", "")
    return seen if request.headers.get("HX-Request") and seen in ("level", "middling", "narrow") else ""


def _lanes(request: HttpRequest) -> int:
    """Return how many lanes the strip on the page has, so that an edit shifts nothing."""
    typed = request.POST.get("lanes", "0")
    return min(int(typed), 8) if typed.isdecimal() and len(typed) < 3 else 0


def version_of(desk: Desk, code: str) -> dict[str, Any]:
    """Return the number of a plan among those issued, and its state; `since` is the version before, or 0."""
    last = access.last_issue(desk.race) if desk.race else None
    if last is None or last.plan.code != code:
        n = last.n + 1 if last else 1
        return {"n": n, "version": f"version {n}, draft", "since": n - 1}
    state = "withdrawn" if hasattr(last, "withdrawal") else "issued"
    return {"n": last.n, "version": f"version {last.n}, {state}", "since": last.n - 1}


def ways_back(desk: Desk) -> dict[str, Any]:
    """Return what undo would take back, and what redo would put there again."""
    standing = desk.standing
    if standing is None:
        return {}
    later = access.case_versions().filter(after=standing).last()
    return {
        "undo": standing.sentence if standing.after_id else "",
        "redo": later.sentence if later else "",
    }


@require_GET
def figure(request: HttpRequest, key: UUID, figure_id: str) -> HttpResponse:
    """Open one figure: rule, source, inputs, limits met, who changed it."""
    desk, user = desk_of(request, key)
    plan = seen_plan(desk)
    try:
        found = opened(as_chosen(request, plan), figure_id)
    except BadInput as error:
        raise Http404 from error
    more = {
        "desk": desk,
        "opened": found,
        "today": today(),
        "may_set": found.may_set and user.is_practitioner,
    }
    return part_of(request, "provand/parts/figure.html", more, whose=f"{found.name}: {found.value}")


def part_of(request: HttpRequest, part: str, shown: dict[str, Any], *, whose: str) -> HttpResponse:
    """Return a part of the plan's page alone where the page asks for it, else on a page of its own."""
    if request.headers.get("HX-Request"):
        return render(request, part, shown)
    return render(request, "provand/part.html", shown | {"part": part, "whose": whose})


def seen_plan(desk: Desk) -> Plan:
    """Return the plan of a race file as it stands, waiting for it; 404 where none may be seen."""
    as_of = today()
    read = plans.read_at(desk, as_of=as_of)
    if read.case is None:
        raise Http404
    looked = plans.looked_at(plans.basis_of(desk, read.case, as_of=as_of))
    if looked is None or looked.plan is None:
        raise Http404
    return looked.plan
