"""Two versions of a plan on one strip, with the difference in words and in figures."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from provand.workspace.models import Desk
from provand.workspace.versions import Version, between, issued, next_number
from provand.workspace.views.plan import as_chosen, seen_plan
from provand.workspace.views.seen import desk_of


@require_GET
def page(request: HttpRequest, key: UUID, n: int, m: int) -> HttpResponse:
    """Show what lies between two versions: issues by number, the next number for what stands."""
    desk, _ = desk_of(request, key)
    if n > m:
        return redirect("between", key=key, n=m, m=n)
    was, now = (_version(request, desk, number) for number in (n, m))
    return render(request, "provand/between.html", {"desk": desk, "found": between(was, now)})


def _version(request: HttpRequest, desk: Desk, n: int) -> Version:
    found = issued(desk, n)
    if found is None and n == next_number(desk):
        found = Version(n, seen_plan(desk), "draft")
    if found is None:
        raise Http404
    return found._replace(plan=as_chosen(request, found.plan))
