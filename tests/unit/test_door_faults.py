"""The door: each thing that can be wrong with a case, in words, with its place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from starter_case import (
    STARTER_TEXT,
    TODAY,
    Changes,
    changed,
    opened,
    refused,
    the_fault,
)

from provand.case.door import read_case
from provand.figure import Range
from provand.finding import BadInput


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        (
            {'body_mass = "63.5 kg"': 'body_mass = "63.5 km"'},
            "athlete.body_mass: '63.5 km' cannot be read in kg. Allowed: 25 to 250 kg, typed with its unit.",
        ),
        (
            {'body_mass = "63.5 kg"': 'body_mass = "NaN kg"'},
            "athlete.body_mass: 'NaN kg' cannot be read in kg. Allowed: 25 to 250 kg, typed with its unit.",
        ),
        (
            {'body_mass = "63.5 kg"': "body_mass = nan"},
            "athlete.body_mass: nan is not a number. Allowed: 25 to 250 kg.",
        ),
        (
            {'body_mass = "63.5 kg"': 'body_mass = "-63.5 kg"'},
            "athlete.body_mass: '-63.5 kg' is outside what is allowed. Allowed: 25 to 250 kg.",
        ),
        (
            {'body_mass = "63.5 kg"': 'body_mass = "140"'},
            "athlete.body_mass: '140' has more than one reading: is it 140 kg or 140 lb? "
            "Type the unit, or the longer form.",
        ),
        (
            {'body_mass = "63.5 kg"': 'body_mass = "72"'},
            "athlete.body_mass: '72' has more than one reading: is it 72 kg or 72 lb? "
            "Type the unit, or the longer form.",
        ),
        (
            {'body_mass = "63.5 kg"': "body_mass = 140"},
            "athlete.body_mass: 140 has no unit: is it 140 kg or 140 lb? Type it in quotes with its unit.",
        ),
        (
            {'body_mass = "63.5 kg"': "body_mass = 72"},
            "athlete.body_mass: 72 has no unit: is it 72 kg or 72 lb? Type it in quotes with its unit.",
        ),
        (
            {'"6 to 10 C"': '"14 to 21"'},
            "weather.air_temp: '14' has more than one reading: is it 14 °C or 14 °F? "
            "Type the unit, or the longer form.",
        ),
        (
            {'"6 to 10 C"': '"10 to 6 C"'},
            "weather.air_temp: the range '10 to 6 C' runs from high to low. Type the lower end first.",
        ),
        (
            {'goal = "1:52"': 'goal = "2:52"'},
            "race.goal: the goal 2:52 is not within the finish times 1:47 to 2:04.",
        ),
        (
            {"body_mass =": "body_mas ="},
            "athlete.body_mas: there is no key 'body_mas' here. Did you mean 'body_mass'?",
        ),
        (
            {'cup = "200 ml"': 'cupp = "200 ml"'},
            "course.stations[1].serves[1].cupp: there is no key 'cupp' here. Did you mean 'cup'?",
        ),
        (
            {'sun = "part"': 'sun = "partly"'},
            "weather.sun: 'partly' is not a choice. Allowed: clear, part, overcast (did you mean 'part'?).",
        ),
        (
            {"on = 2026-09-06": 'on = "last September"'},
            "athlete.results[1].on: last September does not fit here: the day of the race. "
            "Allowed: a day, as 2026-12-06.",
        ),
        (
            {"walks = false": 'walks = "no"'},
            "athlete.walks: no does not fit here: true when walking is planned for much of the course. "
            "Allowed: true or false.",
        ),
        (
            {'name = "Sample Half"': 'name = ""'},
            "race.name: '' does not fit. Allowed: at least one letter.",
        ),
        (
            {'name = "House gel"': f'name = "{"a" * 41}"'},
            f"items[1].name: '{'a' * 41}' does not fit. Allowed: at most 40 letters.",
        ),
        (
            {'name = "House gel"': 'name = "House\\u0007gel"'},
            "items[1].name: the text holds a control character. Allowed: text.",
        ),
        (
            {'serves = [{ item = "water" }]': 'serves = "water"'},
            "course.stations[3].serves: a list is needed here. Allowed: a list of tables.",
        ),
        (
            {"2026-12-06T09:00:00": "2026-11-24T09:00:00", "seen_on = 2026-11-24": "seen_on = 2026-11-20"},
            "race.gun: the race on 2026-11-24 is before 2026-11-25. A plan is made for a race to come.",
        ),
        (
            {"Europe/Dublin": "Europe/Dubln"},
            "race.zone: there is no time zone 'Europe/Dubln'. Did you mean Europe/Dublin?",
        ),
        (
            {"Europe/Dublin": "localtime"},
            "race.zone: there is no time zone 'localtime'. Type it as Europe/Dublin.",
        ),
        (
            {'at = "15 km"': 'at = "22 km"'},
            "course.stations[3].at: Gate stands at 22 km, past the finish at 21.0975 km.",
        ),
        (
            {'at = "15 km"': 'at = "9 km"'},
            "course: the stations must stand in the order of the course, each at a place of its own.",
        ),
        (
            {
                'carb = "40 g"': 'carb = "4 g"',
                'basis = "100 g"': 'basis = "pack"',
                'sugars = "18 g"': 'sugars = "2 g"',
                'fructose = "12 g"': 'fructose = "1 g"',
            },
            "items.house-gel.label: a gel with 4 g of carbohydrate in 60 g: were 'per 100 g' and "
            "'per serving' mixed up? Type the values for the basis they are printed for.",
        ),
        (
            {'carb = "40 g"': 'carb = "140 g"'},
            "items[1].label: 140 g of carbohydrate cannot be in 100 g.",
        ),
        (
            {'salt = "0.2 g"': 'salt = "0.2 g"\nsodium = "200 mg"'},
            "items[1].label: salt and sodium disagree: salt is sodium x 2.5.",
        ),
        (
            {'pack = "60 g"': 'pack = "60"'},
            "items[1].label.pack: '60' cannot be read in g or ml. Allowed: a number with g or ml, "
            "typed with its unit.",
        ),
        (
            {'item = "gel-25"': 'item = "gel-52"'},
            "athlete.rehearsed[1].item: no item has the id 'gel-52'. Did you mean 'gel-25'?",
        ),
        (
            {"banned = []": 'banned = ["colla"]'},
            "wishes.banned[1]: no item has the id 'colla'. Did you mean 'cola'?",
        ),
        (
            {"born = 1988-04-17": "born = 2027-04-17"},
            "athlete.born: a birth date of 2027-04-17 is in the future or over 100 years ago.",
        ),
        (
            {"on = 2026-09-06": "on = 2026-12-01"},
            "athlete.results[1].on: 2026-12-01 is after 2026-11-25, the day this is read.",
        ),
        (
            {'finish = "0:49:30"': 'finish = "0:04:30"'},
            "athlete.results[1].finish: 10 km in 0:05 is 133.3 km/h, which is no running speed. "
            "Check the unit of both.",
        ),
        (
            {'mass_after = "63.2 kg"': 'mass_after = "64.5 kg"'},
            "athlete.sweat_tests[1]: the masses and amounts of this test give -0.35 l of sweat in 1:00. "
            "Check before and after, the units, and what was drunk and passed.",
        ),
        (
            {
                'height = "1.68 m"': 'height = "2.2 m"',
                'body_mass = "63.5 kg"': 'body_mass = "50 kg"',
                '"63.9 kg"': '"50 kg"',
                '"63.2 kg"': '"49.4 kg"',
            },
            "athlete.body_mass: 50 kg at 2.2 m does not fit together. Check the unit of both.",
        ),
        (
            {'cutoff = "3:30"': 'cutoff = "1:30"'},
            "race.cutoff: the goal 1:52 is after the time limit 1:30.",
        ),
        (
            {"[course] ": '[course]\ngpx = "course.gpx" '},
            "course: a course needs one source of its profile. Give one of gpx = \"file.gpx\", "
            "fit = \"file.fit\" and [[course.points]] with at and height.",
        ),
        (
            {'at = "21.0975 km"': 'at = "18.1 km"'},
            "course: the table of points measures 18.10 km, 3.00 km short of the official 21.0975 km. "
            "Check the distance, or whether a part of the course is missing from the file.",
        ),
        (
            {'name = "Sample Half"\n': "\n"},
            "race.name: 'name' is missing. It holds: name of the race.",
        ),
        (
            {"[weather] ": "[wether] "},
            "wether: there is no key 'wether' here. Did you mean 'weather'?",
        ),
    ],
    ids=lambda value: value.split(":")[0] if isinstance(value, str) else "",
)  # fmt: skip
def test_a_fault_is_told_with_its_place_what_is_allowed_and_the_near_miss(
    tmp_path: Path, changes: Changes, line: str
) -> None:
    error = refused(tmp_path, changed(changes))
    assert sorted(str(error).splitlines()) == sorted(line.splitlines())


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    changes = {
        'body_mass = "63.5 kg"': 'body_mass = "63.5 km"',
        "body_mass_on = 2026-11-15": "body_mass_on = 2027-11-15",
        '"6 to 10 C"': '"6 to 100 C"',
        "2026-12-06T09:00:00": "2025-12-06T09:00:00",
        'at = "15 km"': 'at = "fifteen"',
        'texture = "gel"': 'texture = "jelly"',
        "banned = []": "baned = []",
    }
    error = refused(tmp_path, changed(changes))
    assert [finding.about for finding in error.findings] == [
        "athlete.body_mass", "weather.air_temp", "wishes.baned", "course.stations[3].at", "items[1].texture",
        "race.gun",
    ]  # fmt: skip


def test_a_decimal_comma_is_read(tmp_path: Path) -> None:
    case = opened(
        tmp_path, changed({'body_mass = "63.5 kg"': 'body_mass = "63,5 kg"', '"1.68 m"': '"1,68 m"'})
    )
    assert (case.athlete.body_mass_kg, case.athlete.height_m) == (63.5, 1.68)


def test_a_comma_is_asked_about_where_both_its_readings_are_possible(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({'room = "250 ml"': 'room = "1,500 l"'}))
    assert case.athlete.pockets[0].room_ml == 1500
    line = the_fault(tmp_path, {'drunk = "250 ml"': 'drunk = "1,500 ml"'})
    assert "is it 1.5 ml or 1500 ml?" in line


NAMED_AT = 1 + STARTER_TEXT[: STARTER_TEXT.index("Alex")].count("\n")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (STARTER_TEXT.encode("utf-16"), "the file is UTF-16"),
        (STARTER_TEXT.encode("utf-16-be"), "holds zero bytes"),
        (STARTER_TEXT.replace("Alex", "Zo\xeb").encode("latin-1"), f"line {NAMED_AT} is not UTF-8"),
        (b'[race]\nname = "x\n', "not valid TOML (line 2, column 10)"),
        (b"[race]\nname = Sample Half\n", "not valid TOML (line 2, column 8)"),
        (b"x = " + b"9" * 5000, "not valid TOML"),
        (b"x = " + b"[" * 100_000, "nested too deep"),
        (b"# " + b"x" * 1_000_001, "at most 1 MB"),
        (b"", "'practitioner' is missing"),
    ],
    ids=[
        "utf-16",
        "zero bytes",
        "latin-1",
        "cut string",
        "no quotes",
        "long number",
        "deep",
        "large",
        "empty",
    ],
)
def test_a_file_that_is_no_case_is_named_for_what_it_is(tmp_path: Path, data: bytes, said: str) -> None:
    assert said in str(refused(tmp_path, data))


def test_a_missing_file_and_a_folder_are_said(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"none\.toml: there is no such file"):
        read_case(tmp_path / "none.toml", as_of=TODAY)
    with pytest.raises(BadInput, match="a folder or a device"):
        read_case(tmp_path, as_of=TODAY)


def test_pydantic_never_speaks(tmp_path: Path) -> None:
    changes = {'id = "house-gel"': 'id = "House gel"', 'latitude = "53.3 deg"': 'latitude = "153 deg"'}
    text = str(refused(tmp_path, changed(changes)))
    assert "items[1].id: 'House gel' does not fit. Allowed: short id, lower case with hyphens." in text
    assert "course.latitude: '153 deg' is outside what is allowed. Allowed: -90 to 90 °." in text
    assert not re.search("pydantic|validation|Value error|Input should", text)


def test_bare_numbers_pass_only_where_they_have_one_reading(tmp_path: Path) -> None:
    case = opened(tmp_path, changed({'humidity = "70 to 90 %"': "humidity = 0.8", '"53.3 deg"': "53.3"}))
    assert case.weather.humidity_frac == Range.exact(0.8)
    assert case.course.latitude_deg == 53.3
    assert "is it 1010 hPa or 1010 kPa?" in the_fault(tmp_path, {'"1010 hPa"': "1010"})
    assert "is it all of it or 1 %?" in the_fault(tmp_path, {'humidity = "70 to 90 %"': "humidity = 1"})


@pytest.mark.parametrize(
    "wrong",
    [{"Europe/Dublin": "Europe/Dublinn"}, {'goal = "1:52"': 'gaol = "1:52"'}, {'"3:30"': '"soon"'}],
    ids=str,
)
def test_what_is_wrong_with_the_race_hides_nothing_of_its_course(tmp_path: Path, wrong: Changes) -> None:
    past = {'at = "15 km"': 'at = "25 km"'}
    alone = str(refused(tmp_path, changed(past))).splitlines()
    both = str(refused(tmp_path, changed(wrong | past))).splitlines()
    assert len(alone) == 1
    assert set(alone) < set(both)


def test_a_course_without_a_distance_to_fit_it_to_is_told_of_once(tmp_path: Path) -> None:
    told = str(refused(tmp_path, changed({'distance = "21.0975 km"': 'distance = "far"'}))).splitlines()
    assert [line.split(":")[0] for line in told] == ["race.distance"]
