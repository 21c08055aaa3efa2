"""The page of a race file: kept as typed, faults beside their fields, nothing lost, nobody overwritten."""

from __future__ import annotations

import uuid
from importlib.resources import files

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from practice import person, signed_in
from race_pages import body, fields_of, now, opened, post

from provand.case.typed import put
from provand.workspace import desk as desks
from provand.workspace import people
from provand.workspace.ledger import Ledger
from provand.workspace.models import CaseVersion, Desk
from provand.workspace.race_edit import LONGEST

GPX = files("provand.demo").joinpath("warm-hills").joinpath("course.gpx").read_bytes()


@pytest.fixture
def desk(ledger: Ledger) -> Desk:
    """Return Alba's race file with the starter case in it."""
    return opened(ledger)


def test_every_field_shows_what_stands_what_is_allowed_and_why(alba: Client, desk: Desk) -> None:
    page = body(alba.get(f"/files/{desk.pk}"))
    for words in ('value="63.5 kg"', "25 to 250 kg, such as 63.5 kg", "the fluid ceiling", 'value="Mill"'):
        assert words in page
    assert "to mend" not in page


def test_an_empty_race_file_asks_and_finds_no_fault_yet(alba: Client, ledger: Ledger) -> None:
    page = body(alba.get(f"/files/{desks.opened(ledger, by=person('Alba')).pk}"))
    assert 'class="fault"' not in page
    assert "to mend" not in page


def test_an_entry_is_kept_at_once_and_its_faults_come_back_with_readings(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, fields={"athlete.body_mass": "140"})
    assert 'body_mass = "140"' in now(desk).typed
    shown = body(answer)
    assert "has more than one reading" in shown
    for reading in ("140 kg", "140 lb"):
        assert f'value="athlete.body_mass={reading}"' in shown
    assert '1 entry to mend: <a href="#f-athlete-body-mass-in">Body mass</a>' in shown
    mended = post(alba, desk, take="athlete.body_mass=140 lb")
    assert 'body_mass = "140 lb"' in now(desk).typed
    assert "to mend" not in body(mended)
    assert 'value="140 lb"' in body(mended)


@pytest.mark.parametrize(
    ("path", "typed", "reading"),
    [
        ("race.distance", "13.1", "13.1 mi"),
        ("weather.air_temp", "6 to 10", "6 to 10 °C"),
        ("race.cutoff", "12:30", "12 h 30 min"),
        ("athlete.rehearsed[1].item", "gel-26", "gel-25"),
        ("race.zone", "Europe/Dublan", "Europe/Dublin"),
        ("athlete.born", "3/4/1988", "1988-03-04"),
        ("race.gun", "3/12/2026 9:00", "2026-12-03 09:00"),
    ],
)
def test_every_reading_offered_is_one_that_mends(
    alba: Client, desk: Desk, path: str, typed: str, reading: str
) -> None:
    shown = body(post(alba, desk, fields={path: typed}))
    assert f'value="{path}={reading}"' in shown
    assert f'"{path}={reading}"' not in body(post(alba, desk, take=f"{path}={reading}"))
    page = body(alba.get(f"/files/{desk.pk}"))
    assert f'value="{reading}"' in page
    assert f'value="{path}=' not in page


@pytest.mark.parametrize("typed", ["17 April 1988", "17.4.1988", "Sun 17 Apr 1988", "1988-04-17"])
def test_a_day_with_one_reading_is_put_down_as_that_day(alba: Client, desk: Desk, typed: str) -> None:
    post(alba, desk, fields={"athlete.born": "1990-01-01"})
    assert 'value="1988-04-17"' in body(post(alba, desk, fields={"athlete.born": typed}))


def test_a_fault_of_another_field_comes_and_goes_with_an_entry(alba: Client, desk: Desk) -> None:
    shown = body(post(alba, desk, fields={"race.finish": "1:57 to 2:04"}))
    assert 'id="f-race-goal"' in shown
    assert "is not within the finish times" in shown
    assert "is not within" not in body(post(alba, desk, fields={"race.finish": "1:47 to 2:04"}))


def test_an_emptied_field_is_unknown_and_no_fault_before_going_on(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, fields={"athlete.body_mass": " "})
    assert "body_mass =" not in now(desk).typed
    assert "to mend" not in body(answer)
    gone = alba.post(f"/files/{desk.pk}", {"revision": 2, "go": "on"})
    assert gone.status_code == 422
    assert "Body mass is still empty" in body(gone)
    assert CaseVersion.objects.count() == 0


def test_what_is_ticked_is_joined_and_what_is_unticked_goes(alba: Client, desk: Desk) -> None:
    post(alba, desk, fields={"athlete.allergens": ["", "milk", "nuts"]})
    assert 'allergens = ["milk", "nuts"]' in now(desk).typed
    post(alba, desk, fields={"athlete.allergens": [""]})
    assert "\nallergens" not in now(desk).typed


def test_typing_into_the_empty_row_makes_it_one_and_another_waits(alba: Client, desk: Desk) -> None:
    shown = body(post(alba, desk, fields={"course.stations[4].name": "Ferry"}))
    assert 'name = "Ferry"' in now(desk).typed
    assert 'name="course.stations[5].name"' in shown
    assert "beforeend:#f-course-stations-rows" in shown
    post(alba, desk, fields={"course.stations[4].at": "18 km"})
    assert now(desk).typed.count("[[course.stations]]") == 4


def test_a_station_serves_items_from_cups(alba: Client, desk: Desk) -> None:
    post(alba, desk, fields={"course.stations[3].serves": "water, cola"})
    post(alba, desk, fields={"course.stations[3].serves.cup": "150 ml"})
    read = desks.read(now(desk), as_of=desks.date(2026, 11, 25))
    assert read.case
    assert [(one.item, one.cup_ml) for one in read.case.course.stations[2].serves] == [
        ("water", 150),
        ("cola", 150),
    ]
    shown = body(post(alba, desk, fields={"course.stations[3].serves.cup": "150"}))
    assert 'value="course.stations[3].serves.cup=150 ml"' in shown


def test_a_crew_is_a_row_that_is_folded_until_somebody_needs_it(alba: Client, desk: Desk) -> None:
    page = body(alba.get(f"/files/{desk.pk}"))
    folded = page.split('id="f-crew-points"')[1].split('name="crew.points[1].name"')[0]
    assert "rows-folded" in folded, "a new athlete fills nothing of it"
    for column, text in (("name", "Ford"), ("at", "12 km"), ("hands", "gel-25, chews"), ("allowed", "yes")):
        post(alba, desk, fields={f"crew.points[1].{column}": text})
    read = desks.read(now(desk), as_of=desks.date(2026, 11, 25))
    assert read.case
    (point,) = read.case.crew_points
    assert (point.name, point.at_m, point.serves) == ("Ford", 12_000.0, ("gel-25", "chews"))
    shown = body(post(alba, desk, fields={"crew.points[1].hands": "gel-25, water"}))
    assert "a crew pours no cups" in shown.casefold()
    post(alba, desk, drop="crew.points[1]")
    assert "Ford" not in now(desk).typed.replace('# name = "Ford"', "")


def test_the_medics_number_is_kept_as_typed_and_words_are_told_beside_it(alba: Client, desk: Desk) -> None:
    assert "is no telephone number" in body(post(alba, desk, fields={"race.medics_phone": "call 112"}))
    assert "is no telephone number" not in body(
        post(alba, desk, fields={"race.medics_phone": "+00 (000) 00"})
    )
    assert 'medics_phone = "+00 (000) 00"' in now(desk).typed


def test_a_station_past_the_finish_is_told_in_its_row(alba: Client, desk: Desk) -> None:
    shown = body(post(alba, desk, fields={"course.stations[3].at": "27.3 km"}))
    assert "Gate stands at 27.3 km, past the finish at 21.0975 km." in shown
    assert "#f-course-stations-3-at-in" in shown


def test_a_click_on_the_hill_puts_a_station_in_its_place_and_leads_to_its_name(
    alba: Client, desk: Desk
) -> None:
    answer = post(alba, desk, station="12.4 km")
    assert "f-course-stations-3-name-in" in answer.headers["HX-Trigger-After-Settle"]
    page = body(alba.get(f"/files/{desk.pk}"))
    assert page.index('value="10 km"') < page.index('value="12.4 km"') < page.index('value="15 km"')


def test_rows_are_taken_away_and_the_last_one_leaves_nothing(alba: Client, desk: Desk) -> None:
    for left in (2, 1, 0):
        post(alba, desk, drop="course.stations[1]")
        assert now(desk).typed.count("[[course.stations]]") == left
    assert "stations" not in now(desk).typed.replace("# ", "")


def test_stations_out_of_order_are_put_in_order_by_a_button(alba: Client, desk: Desk) -> None:
    shown = body(post(alba, desk, fields={"course.stations[1].at": "17 km"}))
    assert "in the order of the course" in shown
    post(alba, desk, order="course.stations")
    assert desks.read(now(desk), as_of=desks.date(2026, 11, 25)).case


def test_a_course_file_is_kept_measured_and_drawn(alba: Client, desk: Desk) -> None:
    post(alba, desk, fields={"race.distance": "21.0975 km"})
    shown = body(post(alba, desk, course_file=SimpleUploadedFile("hills.gpx", GPX)))
    assert "there are the file hills.gpx and heights typed by hand." in shown.replace("There", "there")
    post(alba, desk, drop="course.points")
    page = body(alba.get(f"/files/{desk.pk}"))
    assert "<strong>hills.gpx</strong>" in page
    assert "data-profile" in page
    assert "fitted to the official 21.0975 km" in page


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "the file is empty"),
        (GPX[: len(GPX) // 2], "breaks off or is damaged"),
        (b"<html><body>no course</body></html>", "no track"),
        (b"\x0e\x10\x00\x00\x00\x00\x00\x00.FIT\x00\x00", "breaks off"),
        (b'<!DOCTYPE x [<!ENTITY a "b">]><gpx></gpx>', "entities"),
    ],
)
def test_a_bad_course_file_is_named_beside_its_field_and_not_kept(
    alba: Client, desk: Desk, data: bytes, said: str
) -> None:
    shown = body(post(alba, desk, course_file=SimpleUploadedFile("bad.gpx", data)))
    assert "bad.gpx: " in shown
    assert said in shown
    assert "bad.gpx" not in now(desk).typed


def test_a_whole_page_without_a_script_keeps_everything(alba: Client, desk: Desk) -> None:
    typed = fields_of(alba.get(f"/files/{desk.pk}").content.decode())
    assert alba.post(f"/files/{desk.pk}", typed | {"revision": 1, "keep": "yes"}).status_code == 302
    assert now(desk).revision == 1
    typed |= {"athlete.body_mass": "70", "race.goal": "1:50", "athlete.pockets[2].name": "vest"}
    typed |= {"athlete.pockets[2].room": "400 ml"}
    assert alba.post(f"/files/{desk.pk}", typed | {"revision": 1, "keep": "yes"}).status_code == 302
    stands = now(desk).typed
    assert 'body_mass = "70"' in stands
    assert 'name = "vest"' in stands
    assert "has more than one reading" in body(alba.get(f"/files/{desk.pk}"))


def test_going_on_keeps_a_version_and_leads_to_the_plan(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, go="on")
    assert answer.headers["HX-Redirect"] == f"/files/{desk.pk}/plan"
    assert CaseVersion.objects.get().race.athlete.name == "Alex Sample"
    plain = alba.post(f"/files/{desk.pk}", {"revision": 1, "go": "on"})
    assert plain.headers["Location"] == f"/files/{desk.pk}/plan"
    assert CaseVersion.objects.count() == 1


def test_going_on_with_a_strangers_athlete_is_refused_in_words(
    alba: Client, cai: Client, desk: Desk, ledger: Ledger
) -> None:
    post(alba, desk, go="on")
    theirs = opened(ledger, by="Cai")
    answer = cai.post(f"/files/{theirs.pk}", {"revision": 1, "go": "on"})
    assert answer.status_code == 422
    assert "with another practitioner" in body(answer)


def test_the_second_of_two_is_told_keeps_their_words_and_may_take_them(
    alba: Client, desk: Desk, ledger: Ledger
) -> None:
    step = [put("race.goal", "1:55")]
    desks.typed_in(ledger, desk=desk, revision=1, steps=step, says="goal", by=person("Bo"))
    answer = post(alba, desk, revision=1, fields={"race.goal": "1:50"})
    shown = body(answer)
    assert answer.status_code == 409
    assert "Bo changed this race file at" in shown
    assert "Bo typed here" in shown
    assert "“1:55”" in shown
    assert 'value="1:50"' in shown
    assert 'goal = "1:55"' in now(desk).typed
    assert 'id="revision" value="2"' in shown
    assert post(alba, desk, revision=2, take="race.goal=1:50").status_code == 200
    assert 'goal = "1:50"' in now(desk).typed


def test_a_whole_page_that_comes_second_shows_both(alba: Client, desk: Desk, ledger: Ledger) -> None:
    step = [put("race.goal", "1:55")]
    desks.typed_in(ledger, desk=desk, revision=1, steps=step, says="goal", by=person("Bo"))
    answer = alba.post(f"/files/{desk.pk}", {"revision": "1", "race.goal": "1:50", "keep": "yes"})
    assert answer.status_code == 409
    assert 'value="1:50"' in body(answer)
    assert "“1:55”" in body(answer)


def test_typing_on_is_kept_quietly(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, fields={"race.goal": "1"}, quiet="yes")
    assert 'goal = "1"' in now(desk).typed
    assert "f-race-goal" not in body(answer)
    assert 'id="revision" value="2"' in body(answer)


def test_an_ended_session_tells_how_to_go_on(nobody: Client, desk: Desk) -> None:
    answer = post(nobody, desk, fields={"race.goal": "1:50"})
    assert answer.status_code == 401
    assert "Sign in in another window" in body(answer)


def test_a_colleague_and_an_assistant_type_in_a_shared_file(alba: Client, desk: Desk, ledger: Ledger) -> None:
    post(alba, desk, go="on")
    athlete = now(desk).athlete
    assert athlete is not None
    for name in ("Bo", "Dana"):
        people.shared(ledger, athlete=athlete, user=person(name), by=person("Alba"))
        client = signed_in(name)
        assert client.get(f"/files/{desk.pk}").status_code == 200
        assert post(client, desk, fields={"race.goal": "1:51"}).status_code == 200


def test_an_assistant_takes_on_no_athlete(dana: Client, ledger: Ledger) -> None:
    theirs = opened(ledger, by="Dana")
    answer = dana.post(f"/files/{theirs.pk}", {"revision": 1, "go": "on"})
    assert answer.status_code == 422
    assert "Only a practitioner takes on an athlete" in body(answer)
    assert CaseVersion.objects.count() == 0
    assert "New athlete" not in body(dana.get("/athletes"))


def test_a_stranger_finds_no_file(cai: Client, desk: Desk) -> None:
    assert cai.get(f"/files/{desk.pk}").status_code == 404
    assert post(cai, desk, fields={"race.goal": "1:40"}).status_code == 404
    assert "1:40" not in now(desk).typed


def test_a_file_that_is_not_there_and_a_wrong_method(alba: Client, desk: Desk) -> None:
    assert alba.get(f"/files/{uuid.uuid4()}").status_code == 404
    assert alba.get("/files/x").status_code == 404
    assert alba.delete(f"/files/{desk.pk}").status_code == 405


@pytest.mark.parametrize("revision", ["", "x", "-1", "99999999999999999999", "１"])
def test_a_revision_that_is_none_is_told_like_any_other(alba: Client, desk: Desk, revision: str) -> None:
    sent = {"revision": revision, "race.goal": "1:50"}
    assert alba.post(f"/files/{desk.pk}", sent, headers={"HX-Request": "true"}).status_code == 409


NASTY = [
    "x" * 5000,
    "x" * 1_000_000,
    "😀👩‍🚀" * 50,
    "\u202eabc\u2066def",
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{ user }}{% debug %}",
    "a\x00b",
    "a\x7f\x1b\x85\u2028b",
    "'''\"\"\"\\ \\u0000",
    "[x]\n[[y]]\r\nz = 1",
    ", , ,",
    "\ufeff",
    "=",
]


@pytest.mark.parametrize(
    "path",
    [
        "athlete.name",
        "race.distance",
        "athlete.allergens",
        "course.stations[2].serves",
        "athlete.born",
        "athlete.first_race",
    ],
)
@pytest.mark.parametrize("text", NASTY, ids=range(len(NASTY)))
def test_whatever_is_typed_is_kept_or_given_back_and_never_runs(
    alba: Client, desk: Desk, path: str, text: str
) -> None:
    answer = post(alba, desk, fields={path: text})
    assert answer.status_code == 200
    raw, line = answer.content.decode(), text.strip()
    assert "<script>" not in raw
    assert "<img" not in raw
    page = alba.get(f"/files/{desk.pk}")
    assert page.status_code == 200
    if len(text) > LONGEST:
        assert line in body(answer)
        assert line not in now(desk).typed
    elif line.strip(" ,"):
        shown = fields_of(raw + page.content.decode())
        words = [word.strip() for word in line.split(",")]
        assert all(word in ", ".join(shown.values()) for word in words if "\r" not in word)


@pytest.mark.parametrize("name", ["take", "drop", "order", "station"])
@pytest.mark.parametrize(
    "text",
    [
        *NASTY[2:],
        "course.stations[99]",
        "course.stations[0]",
        "x.y=z",
        "athlete",
        "race.goal=",
        "practitioner.name=x",
        "course.stations[999999999].at=5 km",
    ],
)
def test_whatever_a_button_sends_is_no_error_of_ours(alba: Client, desk: Desk, name: str, text: str) -> None:
    assert post(alba, desk, **{name: text}).status_code in (200, 409, 422)
    assert alba.get(f"/files/{desk.pk}").status_code == 200


def test_race_morning_is_typed_on_the_page_and_goes_when_it_is_emptied(alba: Client, desk: Desk) -> None:
    page = body(alba.get(f"/files/{desk.pk}"))
    assert "Race morning, and after" in page
    assert "0:00 to 10:00, such as 35 min" in page or "0 to 600 min, such as 35 min" in page
    post(alba, desk, fields={"morning.wake_from": "5:30", "after.next_session": "20 h"})
    row = {"at": "5:00", "no_food_before": "3 h", "no_food_after": "45 min", "fixed_by": "pharmacist"}
    for key, text in row.items():
        answer = post(alba, desk, fields={f"morning.tablets[1].{key}": text})
    assert "to mend" not in body(answer)
    for line in ('wake_from = "5:30"', 'no_food_after = "45 min"', 'fixed_by = "pharmacist"', "[after]"):
        assert line in now(desk).typed
    wrong = body(post(alba, desk, fields={"morning.pen_closes": "9:40"}))
    assert "9:40 is not in the 6 h before the own start" in wrong.replace("09:40", "9:40")
    assert '<a href="#f-morning-pen-closes-in">Pen closes</a>' in wrong
    post(alba, desk, fields={"morning.pen_closes": ""})
    post(alba, desk, drop="morning.tablets[1]")
    emptied = post(alba, desk, fields={"morning.wake_from": "", "after.next_session": ""})
    assert "to mend" not in body(emptied)
    assert "tablets" not in now(desk).typed.split("[menu]")[-1].replace("# [[morning.tablets]]", "")
