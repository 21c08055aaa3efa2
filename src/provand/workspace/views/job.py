"""Packs for many at once: the races to choose from, the job at work, its stop, what is left, its files."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from provand.finding import BadInput, Finding, ProvandError, find
from provand.pack.pieces import DEFAULT, HELD, PIECES
from provand.workspace import at_work, jobs
from provand.workspace.daylist import Shown, lines_ahead
from provand.workspace.job_page import shown
from provand.workspace.kinds import WORK
from provand.workspace.languages import Word, named_in, words
from provand.workspace.models import Desk, Job
from provand.workspace.packs import all_in_one, old_drafts_gone
from provand.workspace.views.clock import today
from provand.workspace.views.seen import file_shown, seen_by, user_of
from provand.workspace.web import ledger_of

KINDS = ("drafts", "issue")
SOON_DAYS = 14
"""What is soon, for a list of races to choose from (ours)."""
TICKS = (
    ("all", "all"),
    ("soon", f"those within {SOON_DAYS} days"),
    ("new", "those of whom nobody holds a copy that counts"),
    ("none", "none"),
)
"""What the links over the list tick, beside what a hand ticks."""


@require_http_methods(["GET", "POST"])
def packs(request: HttpRequest) -> HttpResponse:
    """Show the races ahead to choose from; on POST begin the work on those that are ticked."""
    if request.method == "GET":
        return _choice(request)
    try:
        job = _begun(request)
    except BadInput as error:
        return _choice(request, *error.findings)
    at_work.let_work(ledger_of(request), job, WORK)
    return redirect("job", key=job.key)


def _choice(request: HttpRequest, *faults: Finding) -> HttpResponse:
    sent = request.POST
    lines = [one for one in lines_ahead(seen_by(request), today=today()) if one.desk.standing_id]
    which = request.GET.get("tick", "all")
    ticked = sent.getlist("file") if faults else [str(one.desk.pk) for one in lines if _is_in(which, one)]
    approved: dict[str, Word] = {word.language.tag: word for word in words(ledger_of(request))}
    as_kind = sent.get("as", "drafts")
    more: dict[str, Any] = {
        "lines": [(one, str(one.desk.pk) in ticked, approved[named_in(one.desk.typed)]) for one in lines],
        "ticks": TICKS,
        "which": "" if faults else which,
        "pieces": PIECES,
        "ticked_pieces": sent.getlist("piece") if faults else list(DEFAULT),
        "as": as_kind,
        "faults": faults,
        "jobs": jobs.of_many(seen_by(request).jobs()).order_by("-id")[:5],
        "most": jobs.MOST,
    }
    return render(request, "provand/packs.html", more, status=422 if faults else 200)


def _is_in(which: str, one: Shown) -> bool:
    """Return whether a race is among those that a link ticks; one on hold is ticked by hand alone."""
    if one.line.held or which == "none":
        return False
    if which == "soon":
        return one.line.race_day <= today() + timedelta(days=SOON_DAYS)
    return which != "new" or not one.line.code


def _begun(request: HttpRequest) -> Job:
    ledger, user = ledger_of(request), user_of(request)
    kind = request.POST.get("as", "")
    if kind not in KINDS:
        raise BadInput(find("job.nothing_chosen", "as"))
    pieces = [one for one in HELD if one in request.POST.getlist("piece")]
    if not pieces:
        raise BadInput(find("issue.no_piece", "pieces"))
    desks = _desks(request)
    old_drafts_gone(ledger)
    return jobs.begun(ledger, kind=kind, desks=desks, given={"pieces": pieces}, by=user, on=today())


def _desks(request: HttpRequest) -> list[Desk]:
    """Return the race files that are ticked, in the order of their races; 404 where one is not seen."""
    keys = set(request.POST.getlist("file"))
    try:
        wanted = {UUID(key) for key in keys}
    except ValueError as error:
        raise Http404 from error
    found = (
        seen_by(request).desks().filter(pk__in=list(wanted)[: jobs.MOST + 1]).order_by("race_day", "title")
    )
    if len(wanted) <= jobs.MOST and len(found) != len(wanted):
        raise Http404
    return list(found)


def job_of(request: HttpRequest, key: UUID) -> Job:
    """Return a job that the person may see; Http404 for any other."""
    found = seen_by(request).jobs().filter(key=key).first()
    if found is None:
        raise Http404
    return found


@require_GET
def job(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show how far a job is; as a part alone where the page asks for it."""
    one = job_of(request, key)
    if one.kind not in KINDS:
        where = "menu" if one.kind == "menu" else "plan"
        return redirect(where, key=jobs.pieces_of(one)[0].row.desk_id)
    if jobs.recipients_of(one):
        return redirect("issue", key=jobs.pieces_of(one)[0].row.desk_id)
    return _page(request, one)


def _page(request: HttpRequest, one: Job, *, status: int = 200, **more: Any) -> HttpResponse:
    shows = {
        "job": one,
        "shown": shown(one, seen_by(request), as_of=today()),
        "mine": one.owner_id == user_of(request).pk,
    }
    template = "provand/parts/job.html" if request.headers.get("HX-Request") else "provand/job.html"
    return render(request, template, shows | more, status=status)


@require_POST
def stop(request: HttpRequest, key: UUID) -> HttpResponse:
    """Stop a job: what is done stays, what is being made is not kept."""
    one = job_of(request, key)

    def made() -> None:
        jobs.stopped(ledger_of(request), job=one, by=user_of(request), on=today())
        at_work.let_rest(one)
        if jobs.recipients_of(one):
            messages.success(request, "Stopped. Nothing was issued.")

    return _answered(request, one, made)


@require_POST
def again(request: HttpRequest, key: UUID) -> HttpResponse:
    """Go on with what is left of a job."""
    one = job_of(request, key)

    def made() -> None:
        ledger = ledger_of(request)
        jobs.gone_on(ledger, job=one, by=user_of(request), on=today())
        at_work.let_work(ledger, one, WORK)

    return _answered(request, one, made)


def _answered(request: HttpRequest, one: Job, made: Callable[[], None]) -> HttpResponse:
    """Answer with the job as it stands; only who began it may stop it or go on."""
    try:
        if one.owner_id != user_of(request).pk:
            what = f"{one.owner.name} began this work, and alone stops it or goes on"
            raise BadInput(find("workspace.not_yours", what=what))
        made()
    except ProvandError as error:
        told = [finding.line() for finding in error.findings]
        if request.headers.get("HX-Request"):
            return _page(request, one, status=422, refused=told)
        for line in told:
            messages.error(request, line)
    if request.headers.get("HX-Request"):
        return _page(request, one)
    return redirect("job", key=one.key)


@require_GET
def files(request: HttpRequest, key: UUID) -> HttpResponse:
    """Return everything that a job has made so far, in one zip."""
    one = job_of(request, key)
    if one.kind not in KINDS:
        raise Http404
    data = all_in_one(ledger_of(request), one, seen_by(request), as_of=today())
    return file_shown(data, "application/zip", f"packs-{one.audit.at:%Y-%m-%d}-{one.kind}.zip")
