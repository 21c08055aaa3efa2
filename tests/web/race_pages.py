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
NEW_RACE = {
    "athlete.name": "Ines Inventada",
    "athlete.born": "17 April 1988",
    "athlete.body_mass": "140 lb",
    "athlete.body_mass_on": "15 Nov 2026",
    "athlete.height": "5 ft 6 in",
    "race.name": "Invented Hills Half",
    "race.gun": "6 Dec 2026, 9:00",
    "race.zone": "Europe/Dublin",
    "race.distance": "21.0975 km",
    "race.goal": "1:52",
    "race.finish": "1:47 to 2:04",
    "weather.air_temp": "6 to 10 C",
    "weather.humidity": "70 to 90 %",
    "weather.wind": "3 to 6 m/s",
    "weather.sun": "part",
    "weather.seen_on": "2026-11-24",
    "athlete.pockets[1].name": "belt",
    "athlete.pockets[1].room": "250 ml",
    "athlete.rehearsed[1].item": "gel-25",
    "athlete.rehearsed[1].rate": "38 g/h",
}
"""What is typed of a new athlete and their first race, as people type it."""
STATIONS = (
    ("5.0 km", "Mill", "water"),
    ("10.0 km", "Bridge", "water, sports-drink"),
    ("15.0 km", "Gate", "water"),
)
"""Where its stations are, what they are called, what they serve."""


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
