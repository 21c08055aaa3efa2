"""How much must be filled in for a new athlete, their screening and a race, until a plan can be issued."""

from __future__ import annotations

from datetime import date
from importlib.resources import files

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from practice import person
from race_pages import HTMX, NEW_RACE, STATIONS, body, now, post

from provand.plan.draw_up import draw_up
from provand.plan.review import clear
from provand.protocol.own import shipped
from provand.safety.flags import flags
from provand.safety.screening import screen
from provand.workspace.healths import health_of
from provand.workspace.models import Desk
from provand.workspace.noted import case_of

MOST_FIELDS, MOST_CLICKS = 60, 12
AS_OF = date(2026, 11, 25)
GPX = files("provand.demo").joinpath("warm-hills").joinpath("course.gpx").read_bytes()


def test_a_plan_that_can_be_issued_asks_for_few_fields_and_few_clicks(alba: Client) -> None:
    filled, clicks = 0, ["athletes", "new athlete"]
    desk = Desk.objects.get(pk=alba.post("/athletes/new").headers["Location"].rsplit("/", 1)[-1])
    for path, text in NEW_RACE.items():
        assert post(alba, desk, fields={path: text}).status_code == 200
        filled += 1
    assert post(alba, desk, course_file=SimpleUploadedFile("hills.gpx", GPX)).status_code == 200
    filled += 1
    for n, (at, name, serves) in enumerate(STATIONS, 1):
        post(alba, desk, station=at)  # a click on the hill fills no field
        post(alba, desk, fields={f"course.stations[{n}].name": name})
        post(alba, desk, fields={f"course.stations[{n}].serves": serves})
        filled += 2
    onward = post(alba, desk, go="on").headers["HX-Redirect"]
    clicks.append("go on to the plan")
    screening = f"/files/{desk.pk}/screening"
    assert f'href="{screening}"' in body(alba.get(onward))
    clicks.append("screening")
    filled += 2  # who answers, and on what day
    for flag in flags():
        if f'value="{flag.id}=no"' not in body(alba.get(screening)):
            continue  # an earlier answer settles it
        sent = {"by": "Ines Inventada", "on": "25 Nov 2026", "answer": f"{flag.id}=no"}
        assert alba.post(screening, sent, headers=HTMX).status_code == 200
        filled += 1
    assert f'href="{onward}"' in body(alba.get(screening))
    clicks.append("go on to the plan")

    desk = now(desk)
    assert desk.standing is not None
    assert desk.owner == person("Alba")
    case = case_of(desk.standing)
    allowed, _ = screen(case, health_of(desk.athlete), as_of=AS_OF)
    plan = draw_up(case, allowed, protocols=shipped("position-stands"), as_of=AS_OF)
    assert clear(plan, case, allowed).plan.race.stops
    assert filled <= MOST_FIELDS, filled
    assert len(clicks) <= MOST_CLICKS
