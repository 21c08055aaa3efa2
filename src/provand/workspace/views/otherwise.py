"""What to do if things go otherwise than a plan says, planned when the page is asked for."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from provand.finding import BadInput
from provand.pack.otherwise import schedule_words, sentences_of
from provand.plan.document import Plan
from provand.plan.scenarios import NoScenario, Scenario
from provand.workspace import plans
from provand.workspace.views.clock import today
from provand.workspace.views.seen import desk_of

PATIENCE_S = 0.25
"""For so long the page waits for what is being planned, before it says so and asks again."""


@require_GET
def page(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show each scenario with its line and the schedule that it stands for; 404 where no plan is cleared."""
    desk, _ = desk_of(request, key)
    as_of = today()
    read = plans.read_at(desk, as_of=as_of)
    if read.case is None:
        raise Http404
    try:
        basis = plans.basis_of(desk, read.case, as_of=as_of)
    except BadInput as error:
        raise Http404 from error
    looked = plans.looked_at(basis)
    if looked is None or looked.cleared is None:
        raise Http404
    plan = looked.cleared.plan
    found = plans.otherwise_at(desk, basis, looked.cleared, wait_s=PATIENCE_S)
    shown: dict[str, Any] = {"desk": desk, "url": reverse("otherwise", args=[desk.pk]), "code": plan.code}
    if found is not None:
        shown["scenarios"] = [_shown(plan, one) for one in found.each]
    return render(request, "provand/otherwise.html", shown)


def _shown(plan: Plan, one: Scenario | NoScenario) -> dict[str, Any]:
    """Return a scenario as the page tells it; one that is left out with its reasons."""
    asked, *then = sentences_of(one.says) or [""]
    shown: dict[str, Any] = {"title": one.title.text, "asked": asked, "then": " ".join(then)}
    if isinstance(one, NoScenario):
        return shown | {"why": [finding.line() for finding in one.why]}
    return shown | {"also": sentences_of(one.also), "lines": list(schedule_words(plan, one))}
