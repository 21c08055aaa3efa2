"""The door: what people type becomes a case, or every fault is told at once, in words."""

from __future__ import annotations

import re
import string
import tomllib
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starter_case import (
    DEMOS,
    STARTER,
    STARTER_TEXT,
    TODAY,
    Changes,
    changed,
    opened,
    refused,
    the_fault,
)

from provand.case.ageing import ageing
from provand.case.case import Case
from provand.case.door import LAID, case_of, health_path, in_folder, read_case, read_health, unknown_served
from provand.case.walk import SETTLED_BY_THE_DOOR, fields_by_key
from provand.figure import Range
from provand.finding import BadInput, Level
from provand.plan.body_work import BodyWork, work_out
from provand.record import canonical
from provand.safety.flags import flags
from provand.safety.screening import Screening


@pytest.fixture(scope="module")
def starter() -> Case:
    return read_case(STARTER, as_of=TODAY)


def test_the_starter_case_is_valid_and_says_that_it_is_invented(starter: Case) -> None:
    assert starter.invented
    assert starter.race.goal_s == 6720
    assert starter.course.x_m[-1] == starter.race.distance_m == 21097.5


def test_the_starter_shows_every_key_that_can_be_typed() -> None:
    """Each key stands in it, typed or in a comment."""
    from provand.case import case, course, intake, menu, morning  # noqa: PLC0415
    from provand.larder import item, label  # noqa: PLC0415

    shown = [case.Practitioner, case.Athlete, case.Result, case.SweatTest, case.Pocket, case.Rehearsed]
    shown += [case.Race, case.Forbidden, case.Weather, case.Override, course.Station, course.Served]
    keys = {key for cls in shown for key in fields_by_key(cls)}
    optional = {"kit_gain", "carried_by", "contact"}
    keys |= set(fields_by_key(case.Wishes)) - {"anchor", "schedule", "given"}
    keys |= {key for cls in (menu.MealTime, menu.InHouse) for key in fields_by_key(cls)}
    keys |= set(fields_by_key(menu.MenuWishes)) - {"laid", "meals", "in_house"}
    keys |= {key for cls in (morning.Tablet, morning.After) for key in fields_by_key(cls)}
    keys |= set(fields_by_key(morning.Morning)) - {"tablets"}
    keys |= set(fields_by_key(intake.Intake)) - {"portion", "amount", "station"}
    keys |= set(fields_by_key(item.Item)) - {"divides_into", "ingredients_note", "batch"}
    unasked = {"serving", "glucose", "sucrose", "fat", "protein", "water"} | {"energy", "polyols"}
    keys |= set(fields_by_key(label.Label)) - unasked
    for key in keys - optional:
        assert re.search(rf"\b{key}\b( =|\]|,)", STARTER_TEXT), key


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.parent.name)
def test_every_demo_case_is_read_with_its_answers_and_marked_as_invented(path: Path) -> None:
    case = read_case(path, as_of=TODAY)
    health = read_health(path, of=case)
    assert case.invented
    assert health is not None
    assert health.example


def test_there_are_five_demo_cases() -> None:
    names = ["club-runner", "first-timer", "on-hold", "treated-pressure", "warm-hills"]
    assert [path.parent.name for path in DEMOS] == names


def test_a_number_becomes_the_unit_of_its_field_once(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({'body_mass = "63.5 kg"': 'body_mass = "140 lb"'}))
    assert case.athlete.body_mass_kg == 63.5029318
    assert case.origins["athlete.body_mass_kg"].kind == "typed"
    assert case.origins["athlete.body_mass_kg"].text == "140 lb"


@pytest.mark.parametrize("path", [STARTER, *DEMOS], ids=lambda path: path.parent.name)
def test_a_case_in_memory_equals_the_case_on_disk(path: Path) -> None:
    case = read_case(path, as_of=TODAY)
    assert Case.model_validate_json(canonical(case)) == case
    assert Case.model_validate_json(case.model_dump_json()) == case


@pytest.mark.parametrize("path", [STARTER, *DEMOS], ids=lambda path: path.parent.name)
def test_every_number_of_a_case_has_an_origin(path: Path) -> None:
    case = read_case(path, as_of=TODAY)
    numbers = _numbers(case.model_dump(exclude={"origins"}))
    orphans = [place for place in numbers if place not in case.origins and not place.startswith(LAID)]
    assert not orphans


def _numbers(data: Any, path: str = "") -> list[str]:
    """Return the path of each number: a range is one number, an item is named by its id."""
    if isinstance(data, float):
        return [path]
    if isinstance(data, dict) and set(data) == {"low", "mid", "high", "means"}:
        return [path]
    if path in ("course.x_m", "course.elevation_m", "course.track"):
        return [path]
    found: list[str] = []
    if isinstance(data, dict):
        for name, value in data.items():
            if not (path.startswith("items.") and name == "pocket_ml" and path.count(".") == 1):
                found += _numbers(value, f"{path}.{name}".strip("."))
    elif isinstance(data, list | tuple):
        for place, value in enumerate(data):
            mark = value.get("id", place) if isinstance(value, dict) else place
            found += _numbers(value, f"{path}.{mark}")
    return found


def test_what_is_not_typed_is_said_to_be_assumed(starter: Case) -> None:
    assert starter.origins["athlete.sweat_tests.0.kit_gain_kg"].kind == "assumed"
    assert starter.origins["course.stations.1.serves.0.cup_ml"].text == "not given, taken as 200 ml"
    assert starter.origins["items.gel-25.label.carb_g"].kind == "assumed"


def test_a_range_keeps_its_ends_and_its_likely_value(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({'"1:47 to 2:04"': '"1:47 to 2:04, likely 1:52"'}))
    assert case.race.finish_s == Range.of(6420, 7440, 6720)


def test_a_quantity_typed_for_a_range_is_a_range_of_one(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({'wind = "3 to 6 m/s"': 'wind = "18 km/h"'}))
    assert case.weather.wind_m_per_s == Range.exact(5.0)


def test_the_unit_says_which_size_of_a_pack_is_meant_and_a_list_gives_both(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({'pack = "60 g"': 'pack = ["50 ml", "60 g"]'}))
    gel = case.item("house-gel")
    assert gel is not None
    assert (gel.label.pack_g, gel.label.pack_ml) == (60.0, 50.0)


def test_per_100_g_is_not_per_pack(starter: Case) -> None:
    gel = starter.item("house-gel")
    assert gel is not None
    assert gel.holds.carb_g is not None
    assert gel.holds.carb_g.mid == pytest.approx(24)


def test_shelf_items_are_added_where_the_case_names_them_and_water_always(starter: Case) -> None:
    assert [item.id for item in starter.items] == ["house-gel", "water", "gel-25", "sports-drink"]


def test_a_typed_item_goes_before_one_of_the_shelf(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({'id = "house-gel"': 'id = "gel-25"'}))
    gel = case.item("gel-25")
    assert gel is not None
    assert gel.name == "House gel"
    assert len([item for item in case.items if item.id == "gel-25"]) == 1


def test_a_thing_served_that_no_item_describes_counts_as_water_and_is_said(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({'{ item = "sports-drink" }': '{ item = "jelly beans" }'}))
    assert case.item("jelly beans") is None
    assert [finding.line() for finding in unknown_served(case)] == [
        "course.stations[2]: Bridge serves 'jelly beans', which no item describes: it counts as water. "
        "Add the item with its label, if it is something else."
    ]
    assert unknown_served(read_case(STARTER, as_of=TODAY)) == []


def test_emoji_and_letters_of_any_script_are_names(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({'"Alex Sample"': '"Zoë 🏃‍♀️ Łukasz 林"'}))
    assert case.athlete.name == "Zoë 🏃‍♀️ Łukasz 林"


def test_a_byte_order_mark_and_windows_line_ends_are_no_fault(tmp_path: Path, starter: Case) -> None:
    assert opened(tmp_path, b"\xef\xbb\xbf" + STARTER_TEXT.replace("\n", "\r\n").encode()) == starter


GUN = "2026-12-06T09:00:00"
AUTUMN = {
    "seen_on = 2026-11-24": "seen_on = 2026-10-20",
    "body_mass_on = 2026-11-15": "body_mass_on = 2026-10-01",
    "seen_on = 2026-11-01": "seen_on = 2026-10-01",
}


def test_a_start_that_the_clocks_skip_is_refused_with_both_readings(tmp_path: Path) -> None:
    line = the_fault(tmp_path, {GUN: "2027-03-28T01:30:00"})
    assert line.startswith(
        "race.gun: 2027-03-28T01:30:00 does not exist in Europe/Dublin: the clocks go forward over it. "
        "Is it 2027-03-28T00:30:00+00:00 or 2027-03-28T02:30:00+01:00?"
    )


def test_a_start_that_happens_twice_is_refused_with_both_readings(tmp_path: Path) -> None:
    line = the_fault(tmp_path, {GUN: "2026-10-25T01:30:00", **AUTUMN}, as_of=date(2026, 10, 21))
    assert "is it 2026-10-25T01:30:00+00:00 or 2026-10-25T01:30:00+01:00?" in line


@pytest.mark.parametrize(("offset", "hour"), [("+01:00", 0), ("+00:00", 1)])
def test_an_offset_says_which_of_the_two_is_meant(tmp_path: Path, offset: str, hour: int) -> None:
    changes = {GUN: f"2026-10-25T01:30:00{offset}", **AUTUMN}
    case = opened(tmp_path, changed(changes), as_of=date(2026, 10, 21))
    assert case.race.gun == datetime(2026, 10, 25, hour, 30, tzinfo=UTC)
    assert case.race.gun.hour == 1


def test_an_offset_that_the_zone_does_not_have_is_refused(tmp_path: Path) -> None:
    line = the_fault(tmp_path, {GUN: "2026-12-06T09:00:00+02:00"})
    assert "does not agree with Europe/Dublin, where it is 2026-12-06T07:00:00+00:00 then" in line


def test_the_gun_and_forbidden_windows_carry_the_offset_of_the_zone(tmp_path: Path) -> None:
    window = '\n[[race.forbidden]]\nstart = 2026-12-06T06:00:00\nend = 2026-12-06T07:10:00\nwhy = "fast"\n'
    text = changed({"Europe/Dublin": "Africa/Johannesburg", "\n[course] ": window + "\n[course] "})
    case = opened(tmp_path, text)
    assert case.race.gun.utcoffset() == timedelta(hours=2)
    assert case.race.forbidden[0].start == datetime(2026, 12, 6, 4, tzinfo=UTC)
    error = refused(tmp_path, text.replace("T07:10", "T05:10"))
    assert str(error) == "race.forbidden: the window 'fast' ends before it starts."


def test_pinned_intakes_stand_on_the_course_and_at_known_stations(tmp_path: Path) -> None:
    pin = '\n[[wishes.pinned]]\nitem = "water"\ngot_from = "station"\nstation = "Mil"\nat = "30 km"\n'
    error = refused(tmp_path, STARTER_TEXT + pin)
    assert str(error).splitlines() == [
        "wishes.pinned[1].station: no station is named 'Mil'. Did you mean 'Mill'?",
        "wishes.pinned[1].at: 30 km is past the finish at 21.1 km.",
    ]
    good = pin.replace("Mil", "Mill").replace("30 km", "5 km") + "portion = 2\n"
    assert opened(tmp_path, STARTER_TEXT + good).wishes.pinned[0].portion_frac == 2
    clock = pin.replace("Mil", "Mill").replace('at = "30 km"', "at_clock = 2026-12-06T09:54:00")
    pinned = opened(tmp_path, STARTER_TEXT + clock).wishes.pinned[0]
    assert pinned.at_clock == datetime(2026, 12, 6, 9, 54, tzinfo=UTC)
    both = good + 'at_elapsed = "0:50:00"\n'
    assert "exactly one of" in str(refused(tmp_path, STARTER_TEXT + both))


def test_a_case_without_goal_finish_or_result_is_asked_for_one(tmp_path: Path) -> None:
    text = re.sub(r"\[\[athlete\.results\]\].*?\n\n", "\n", STARTER_TEXT, flags=re.DOTALL)
    text = re.sub(r"(?m)^(goal|finish) = .*$", "", text)
    assert [finding.code for finding in refused(tmp_path, text).findings] == ["race.no_time"]


def test_ageing_is_told_and_is_no_fault(tmp_path: Path) -> None:
    text = changed({"body_mass_on = 2026-11-15": "body_mass_on = 2026-08-01", "2026-11-24": "2026-11-10"})
    found = [finding.line() for finding in ageing(opened(tmp_path, text), TODAY)]
    assert found[0] == "athlete.body_mass: the body mass is 116 days old; after 92 it is asked again."
    assert "made 26 days before the race" in found[1]
    assert "the forecast is 15 days old; after 3 it is looked up again" in found[2]


def test_a_fresh_case_in_race_week_has_not_aged(tmp_path: Path) -> None:
    text = changed({"body_mass_on = 2026-11-15": "body_mass_on = 2026-12-01", "2026-11-24": "2026-12-03"})
    case = opened(tmp_path, text, as_of=date(2026, 12, 4))
    assert ageing(case, date(2026, 12, 4)) == []
    assert {finding.level for finding in ageing(case, date(2027, 12, 31))} == {Level.NOTE}


def test_missing_health_answers_are_none(tmp_path: Path) -> None:
    assert health_path(tmp_path / "ana.toml").name == "ana.health.toml"
    assert read_health(tmp_path / "ana.toml") is None


@pytest.mark.parametrize(
    "changes",
    [{'athlete = "Alex Sample"': 'athlete = "Kim Other"'}, {"born = 1988-04-17": "born = 1988-04-18"}],
    ids=["name", "birth date"],
)
def test_answers_of_another_person_are_refused(tmp_path: Path, starter: Case, changes: Changes) -> None:
    text = STARTER.with_name("starter.health.toml").read_text("utf-8")
    for old, new in changes.items():
        text = text.replace(old, new, 1)
    (tmp_path / "x.health.toml").write_text(text, "utf-8")
    with pytest.raises(BadInput) as caught:
        read_health(tmp_path / "x.toml", of=starter)
    assert [finding.code for finding in caught.value.findings] == ["health.other_person"]
    assert caught.value.status == 2


def test_the_starter_asks_every_question_in_the_words_of_screening() -> None:
    text = STARTER.with_name("starter.health.toml").read_text("utf-8")
    health = read_health(STARTER)
    assert health is not None
    assert health.example
    assert [answer.question for answer in health.answers] == [flag.id for flag in flags()]
    for flag in flags():
        for asks in (flag.asks, *(step.asks for step in flag.follow_up)):
            assert f"# {asks}\n" in text


def test_health_answers_with_faults_are_told(tmp_path: Path) -> None:
    (tmp_path / "x.health.toml").write_text('athlete = "A"\nanswer = []\n[[answers]]\nreply = "maybe"\n')
    with pytest.raises(BadInput) as caught:
        read_health(tmp_path / "x.toml")
    assert str(caught.value).splitlines() == [
        "answer: there is no key 'answer' here. Did you mean 'answers'?",
        "answers[1].reply: 'maybe' is not a choice. Allowed: yes, no, prefer not to say.",
        "answers[1].question: 'question' is missing. It holds: id of the question.",
    ]


def test_what_the_door_settles_cannot_be_typed(tmp_path: Path) -> None:
    typed = {
        "[course] ": "[course]\nx_m = [0, 1]\nremarks = []\nmeasured_m = 5 ",
        "[weather] ": "[origins]\n[weather] ",
    }
    abouts = [finding.about for finding in refused(tmp_path, changed(typed)).findings]
    assert abouts == ["course.x_m", "course.remarks", "course.measured_m", "origins"]
    assert {"origins", "x_m", "remarks", "measured_m"} <= SETTLED_BY_THE_DOOR


@pytest.mark.parametrize(
    "name", ["", "\0", 5, "x" * 5000, ["course.gpx"]], ids=lambda name: str(name)[:9] or "empty"
)
def test_a_course_file_needs_a_name(name: Any) -> None:
    data = tomllib.loads(STARTER_TEXT)
    del data["course"]["points"]
    data["course"]["gpx"] = name
    with pytest.raises(BadInput, match=r"^course\.gpx: a file name is needed here"):
        case_of(data, beside=in_folder(STARTER.parent), as_of=TODAY)


WORDS = (
    "practitioner athlete race course weather items wishes name gun zone points gpx stations label pack "
    "serves results finish pinned at body_mass format"
)
KEYS = st.sampled_from(WORDS.split()) | st.text(string.printable, max_size=4)
TYPED = st.sampled_from(["1:52", "140 lb", "1,500 ml", "14 to 21 C", "Europe/Dublin", "water"])
NUMBERS = st.none() | st.booleans() | st.integers() | st.floats()
LEAVES = NUMBERS | TYPED | st.text(max_size=8) | st.dates() | st.datetimes()
DATA = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=5),
    max_leaves=20,
)


@given(data=st.dictionaries(KEYS, DATA, max_size=7))
def test_whatever_is_typed_the_door_answers_in_findings(data: dict[str, Any]) -> None:
    with pytest.raises(BadInput):
        case_of(data, beside=in_folder(Path()), as_of=TODAY)


PLACES = [
    (table, key)
    for table, entry in tomllib.loads(STARTER_TEXT).items()
    if isinstance(entry, dict)
    for key in entry
]


@given(place=st.sampled_from(PLACES), value=DATA)
def test_one_value_gone_wrong_is_a_finding_or_still_a_case(place: tuple[str, str], value: Any) -> None:
    data = tomllib.loads(STARTER_TEXT)
    data[place[0]][place[1]] = value
    try:
        case = case_of(data, beside=in_folder(STARTER.parent), as_of=TODAY)
    except BadInput as error:
        assert str(error)
    else:
        assert Case.model_validate_json(canonical(case)) == case


@given(data=st.binary(max_size=60))
def test_whatever_bytes_a_file_holds_the_door_answers_in_findings(
    data: bytes, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.getbasetemp() / "bytes.toml"
    path.write_bytes(data)
    with pytest.raises(BadInput):
        read_case(path, as_of=TODAY)


def test_two_stations_of_one_name_are_told_apart_or_refused(tmp_path: Path) -> None:
    fault = the_fault(tmp_path, {'name = "Bridge"': 'name = "mill"'})
    assert "course.stations[2].name" in fault
    assert "mill 2" in fault


def test_a_sweat_test_of_three_years_ago_is_told(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({"on = 2026-10-10": "on = 2023-10-10"}))
    told = [finding.about for finding in ageing(case, TODAY)]
    assert told == ["athlete.sweat_tests[1].on", "weather.seen_on"]


def body_typed(folder: Path, mass: str, height: str) -> BodyWork:
    body = {'body_mass = "63.5 kg"': f'body_mass = "{mass}"', 'height = "1.68 m"': f'height = "{height}"'}
    text = changed({**body, 'air_temp = "6 to 10 C"': 'air_temp = "24 to 28 C"'})
    return work_out(opened(folder, text), Screening(outcome="clear", sodium_line_mmol_per_l=140.0))


@pytest.mark.parametrize(
    ("mass", "height"), [("140 lb", "5 ft 6 in"), ("10 st", "66 in"), ("63,502932 kg", "167,64 cm")]
)
def test_the_fluid_ceiling_is_the_same_whatever_units_the_body_is_typed_in(
    tmp_path: Path, mass: str, height: str
) -> None:
    metric, other = body_typed(tmp_path, "63.502932 kg", "1.6764 m"), body_typed(tmp_path, mass, height)
    assert other.ceilings.fluid.low == pytest.approx(metric.ceilings.fluid.low, rel=1e-6)
    assert metric.ceilings.fluid.low[-1] > 0.005 * 63503
