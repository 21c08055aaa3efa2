"""A race file as a browser posts it: one field at a time, or the whole page where there is no script."""

from __future__ import annotations

import html
import re
from importlib.resources import files

from django.http import HttpResponse
from django.test import Client
from practice import person

from provand.workspace import desk as desks
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk

STARTER = files("provand.case").joinpath("starter.toml").read_text("utf-8")
HTMX = {"HX-Request": "true"}


def opened(ledger: Ledger, *, by: str = "Alba", typed: str = STARTER) -> Desk:
    """Return a race file of somebody, with the starter case in it."""
    return desks.opened(ledger, by=person(by), typed=typed)


def now(desk: Desk) -> Desk:
    """Return a race file as it stands now."""
    return Desk.objects.get(pk=desk.pk)


def post(client: Client, desk: Desk, *, revision: int | None = None, **more: object) -> HttpResponse:
    """Post fields of a race file as the page does with its script; paths are given as keys of `fields`."""
    fields = more.pop("fields", {})
    assert isinstance(fields, dict)
    sent = {"revision": now(desk).revision if revision is None else revision, **fields, **more}
    answer = client.post(f"/files/{desk.pk}", sent, headers=HTMX)
    assert isinstance(answer, HttpResponse)
    return answer


def body(answer: HttpResponse) -> str:
    return html.unescape(answer.content.decode())


def fields_of(page: str) -> dict[str, str]:
    """Return every field of a whole page as a browser without a script would post it."""
    found = dict(re.findall(r'<input id="[^"]*" name="([^"]*)" value="([^"]*)"', page))
    for name, inside in re.findall(r'<select id="[^"]*" name="([^"]*)"[^>]*>(.*?)</select>', page, re.DOTALL):
        chosen = re.search(r"<option selected>([^<]*)<", inside)
        found[name] = chosen[1] if chosen else ""
    for name, value in re.findall(r'type="checkbox" id="[^"]*" name="([^"]*)" value="([^"]*)" checked', page):
        found[name] = value
    return {html.unescape(name): html.unescape(value) for name, value in found.items()}
