"""The page on which a race file is typed: each entry kept at once, its faults beside it, nothing lost."""

from __future__ import annotations

import json
import tomllib
import uuid
from collections.abc import Mapping
from pathlib import PurePath
from typing import Any, NamedTuple

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from provand.case.files import measured_of_file
from provand.case.own_foods import own_foods_in
from provand.case.typed import Step, edited
from provand.finding import BadInput, Finding, find
from provand.larder.shelf import shelf
from provand.workspace import desk as desks
from provand.workspace.course_shown import course_shown
from provand.workspace.labels import on_shelf, taken
from provand.workspace.models import Desk
from provand.workspace.race_edit import LONGEST, dropped, in_order, steps_of
from provand.workspace.race_file import (
    COURSE_FILE,
    OWN_FOODS,
    STATIONS,
    Meanwhile,
    Page,
    Told,
    changed,
    id_of,
    overlaid,
    page_of,
    rows_at,
)
from provand.workspace.views.clock import today
from provand.workspace.views.seen import one_of, seen_by, user_of
from provand.workspace.web import ledger_of

UPLOADS = (("course_file", COURSE_FILE), ("own_foods_file", OWN_FOODS))
"""The fields of files, each with the key that names its file."""
Over = dict[str, dict[str, Any]]
"""Fields that are shown otherwise than they are kept, by path."""


class Posted(NamedTuple):
    """What a page sends: the revision it saw, fields by path, and what is wanted beside keeping them."""

    revision: int
    fields: dict[str, str]
    too_long: dict[str, str]
    going_on: bool


def posted_by(request: HttpRequest) -> Posted:
    """Return what was posted; ticks of one question are joined."""
    fields = {
        name: ", ".join(value for value in request.POST.getlist(name) if value)
        for name in request.POST
        if "." in name
    }
    path, equals, reading = request.POST.get("take", "").partition("=")
    fields |= {path: reading} if equals else {}
    too_long = {path: text for path, text in fields.items() if len(text) > LONGEST}
    revision = request.POST.get("revision", "")
    return Posted(
        revision=int(revision) if revision.isascii() and revision.isdigit() and len(revision) < 10 else -1,
        fields={path: text for path, text in fields.items() if path not in too_long},
        too_long=too_long,
        going_on=bool(request.POST.get("go") or request.POST.get("all")),
    )


@require_http_methods(["GET", "POST"])
def file(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Show a race file; keep what is posted of it, and go on to the plan where that is asked."""
    desk = one_of(seen_by(request).desks(), key)
    if request.method == "GET":
        return _whole(request, desk, _page(desk, going_on=False))
    posted = posted_by(request)
    over: Over = {path: _too_long(text) for path, text in posted.too_long.items()}
    before = _data(desk), _page(desk, going_on=posted.going_on)
    try:
        desk = _kept(request, desk, posted, over)
    except desks.Stale as stale:
        return _told_of_another(request, stale, posted)
    if request.POST.get("go") and not over:
        return _gone_on(request, desk)
    page = overlaid(_page(desk, going_on=posted.going_on), over)
    if not request.headers.get("HX-Request"):
        return _whole(request, desk, page, status=422) if over else redirect("file", desk.pk)
    return _parts(request, desk, page, before, posted)


def _data(desk: Desk) -> dict[str, Any]:
    return tomllib.loads(desk.typed)


def _page(desk: Desk, *, going_on: bool, more: tuple[Finding, ...] = ()) -> Page:
    faults = desks.read(desk, as_of=today()).faults
    return page_of(_data(desk), (*faults, *more), going_on=going_on)


# Keeping.


def _kept(request: HttpRequest, desk: Desk, posted: Posted, over: Over) -> Desk:
    """Return the race file with what was posted kept; a course file that cannot be read is said in `over`."""
    user, ledger = user_of(request), ledger_of(request)
    data = _data(desk)
    steps, says = _steps(request, data, posted)
    steps += taken(edited(data, steps), seen_by(request).labels())
    if steps:
        desk = desks.typed_in(ledger, desk=desk, revision=posted.revision, steps=steps, says=says, by=user)
    revision = desk.revision if steps else posted.revision
    sent = next(((key, file) for field, key in UPLOADS if (file := request.FILES.get(field))), None)
    if sent is None:
        return desk
    key, file = sent
    name, content = _file_name(str(file.name)), file.read()
    faults = _faults_in(key, name, content)
    if faults:
        over[key] = {"faults": faults}
        return desk
    return desks.attached(ledger, desk=desk, revision=revision, key=key, name=name, data=content, by=user)


def _faults_in(key: str, name: str, content: bytes) -> tuple[Told, ...]:
    """Return what is wrong with a file that is put beside a race file, each with its place in it."""
    try:
        if key == OWN_FOODS:
            own_foods_in(content, name)
        else:
            measured_of_file(content, name)
    except BadInput as error:
        return tuple(Told(says=_told_of(name, one)) for one in error.findings)
    return ()


def _told_of(name: str, fault: Finding) -> str:
    """Return a fault of a file with its place in it."""
    about = fault.about if fault.about.startswith(name) else name
    return f"{about}: {fault.sentence} {fault.next_step}".strip()


def _steps(request: HttpRequest, data: Mapping[str, Any], posted: Posted) -> tuple[list[Step], str]:
    """Return the edits that are wanted, and what they are in a few words."""
    if path := request.POST.get("drop"):
        return dropped(data, path), f"{path} taken away"
    if request.POST.get("order"):
        return in_order(data), "stations put in order"
    if at := request.POST.get("station"):
        return in_order(data, {"at": at[:20]}), f"a station at {at[:20]}"
    return steps_of(data, posted.fields), ", ".join(posted.fields)[:200] if len(
        posted.fields
    ) < 9 else "the page"


def _file_name(name: str) -> str:
    plain = PurePath(name.replace("\\", "/")).name[-200:]
    return plain if plain.isprintable() and plain else "course"


def _too_long(text: str) -> dict[str, Any]:
    told = find("workspace.too_long", letters=f"{len(text):,}", most=f"{LONGEST:,}")
    return {"text": text, "faults": (Told(says=f"{told.sentence} {told.next_step}"),)}


# Answering.


def _whole(request: HttpRequest, desk: Desk, page: Page, *, status: int = 200, **more: Any) -> HttpResponse:
    going_on = bool(request.POST.get("go") or request.POST.get("all"))
    shown = {
        "desk": desk,
        "page": page,
        "course": course_shown(desk, _data(desk)),
        "going_on": going_on,
        "items": [*(one.item for one in on_shelf(seen_by(request))), *shelf()],
    }
    return render(request, "provand/race.html", shown | more, status=status)


def _parts(
    request: HttpRequest, desk: Desk, page: Page, before: tuple[dict[str, Any], Page], posted: Posted
) -> HttpResponse:
    """Return the parts of the page that are shown anew, each for its own place."""
    was, old = before
    now = _data(desk)
    if request.POST.get("quiet"):
        return render(request, "provand/race/kept.html", {"desk": desk})
    paths = {*posted.fields, *posted.too_long}
    if request.FILES:
        paths.add(COURSE_FILE)
    moved = rows_at(was, STATIONS) != rows_at(now, STATIONS)
    if moved and (request.POST.get("order") or request.POST.get("station")):
        paths.add(STATIONS)
    if row := request.POST.get("drop"):
        paths.add(row.partition("[")[0])
    drawn = was.get("course") != now.get("course") or _distance(was) != _distance(now) or bool(request.FILES)
    shown = {
        "desk": desk,
        "page": page,
        "changed": changed(old, page, paths),
        "drawn": drawn,
        "course": course_shown(desk, now) if drawn else None,
        "heads": page.faults != old.faults
        or [one.faults for one in page.sections] != [one.faults for one in old.sections],
    }
    response = render(request, "provand/race/parts.html", shown)
    if moved and request.POST.get("station"):
        response.headers["HX-Trigger-After-Settle"] = json.dumps({"focus-on": _name_of_added(was, now)})
    return response


def _distance(data: Mapping[str, Any]) -> object:
    race = data.get("race")
    return race.get("distance") if isinstance(race, Mapping) else None


def _name_of_added(was: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    """Return the name of the field for the name of the station that came."""
    before, after = rows_at(was, STATIONS), rows_at(now, STATIONS)
    n = next((n for n, row in enumerate(after, 1) if row not in before), len(after))
    return f"{id_of(f'{STATIONS}[{n}].name')}-in"


def _told_of_another(request: HttpRequest, stale: desks.Stale, posted: Posted) -> HttpResponse:
    """Return what stands now, who typed it and when, with what was typed here still in its fields."""
    desk, told = stale.desk, stale.findings[0]
    page = _page(desk, going_on=posted.going_on)
    theirs = {unit.path: unit.text for unit in page.units()}
    mine = {
        path: text
        for path, text in {**posted.fields, **posted.too_long}.items()
        if path in theirs and text.strip() != theirs[path]
    }
    by, at = str(told.facts["by"]), str(told.facts["at"])
    over: Over = {
        path: {"text": text, "meanwhile": Meanwhile(by=by, at=at, theirs=theirs[path])}
        for path, text in mine.items()
    }
    page = overlaid(page, over)
    says = told.sentence[:1].upper() + told.sentence[1:]
    if not request.headers.get("HX-Request") or request.POST.get("go"):
        return _whole(request, desk, page, status=409, meanwhile=says)
    shown = {
        "desk": desk,
        "page": page,
        "changed": changed(page, page, mine, anew=True),
        "drawn": True,
        "course": course_shown(desk, _data(desk)),
        "heads": True,
        "meanwhile": says,
    }
    return render(request, "provand/race/parts.html", shown, status=409)


def _gone_on(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Keep the race file as a version of its case and lead to the plan; or show all that is to mend."""
    read = desks.read(desk, as_of=today())
    more: tuple[Finding, ...] = ()
    if read.case is not None:
        try:
            desks.settled(
                ledger_of(request), desk=desk, case=read.case, sentence=desks.TYPED, by=user_of(request)
            )
        except BadInput as error:
            more = error.findings
        else:
            onward = reverse("plan", args=[desk.pk])
            if request.headers.get("HX-Request"):
                return HttpResponse(headers={"HX-Redirect": onward})
            return redirect(onward)
    return _whole(request, desk, _page(desk, going_on=True, more=more), status=422)
