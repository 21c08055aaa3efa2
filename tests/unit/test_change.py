"""Each change of a case: what it edits, how it is told, what it refuses."""

from __future__ import annotations

import difflib
import tomllib
from datetime import date
from typing import Any

import pytest
from changing import SCHEDULE, change, read, refused
from starter_case import STARTER_TEXT

from provand.case.intake import Intake
from provand.figure import Range

LATER = date(2026, 11, 25)


def new_lines(text: str, before: str = STARTER_TEXT) -> list[str]:
    """Return the lines of a file that were not there before, without their comments."""
    lines = difflib.ndiff(before.splitlines(), text.splitlines())
    return [line[2:].split("  #")[0].rstrip() for line in lines if line.startswith("+ ")]


def test_a_forecast_moves_its_figures_and_its_day_and_says_so() -> None:
    case, sentence, text = change("forecast", air_temp="21 to 25 C", sun="clear", seen_on=LATER)
    assert sentence == "The forecast goes from 6 to 10 °C to 21 to 25 °C, the sky from part to clear."
    assert case.weather.air_temp_c == Range.of(21, 25)
    assert case.weather.seen_on == LATER
    assert case.origins["weather.air_temp_c"].text == "21 to 25 C"
    assert new_lines(text)[:3] == ['air_temp = "21 to 25 C"', 'sun = "clear"', "seen_on = 2026-11-25"]


def test_a_forecast_that_says_the_same_is_told_as_looked_up_again() -> None:
    case, sentence, _ = change("forecast", humidity="70 to 90 %", seen_on=LATER)
    assert sentence == "The forecast of 2026-11-25 says what the last one said."
    assert case.weather.seen_on == LATER


def test_a_decimal_comma_is_read_in_a_change() -> None:
    case, sentence, _ = change("forecast", air_temp="21,5 to 25 C", wind="10,8 km/h", seen_on=LATER)
    assert case.weather.air_temp_c == Range.of(21.5, 25)
    assert (
        sentence
        == "The forecast goes from 6 to 10 °C to 21.5 to 25 °C, the wind goes from 3 to 6 m/s to 3 m/s."
    )


def test_goal_and_range_go_together() -> None:
    case, sentence, _ = change("goal", goal="2:05", finish="1:58 to 2:20")
    assert (
        sentence == "The goal goes from 1:52 to 2:05, early to slow goes from 1:47 to 2:04 to 1:58 to 2:20."
    )
    assert case.race.goal_s == 7500


def test_a_wave_moves_the_own_start_and_no_elapsed_time() -> None:
    case, sentence, _ = change("wave", own_offset="18 to 22 min")
    assert sentence == "The own start goes from 2 to 6 min to 18 to 22 min after the gun."
    assert case.race.own_offset_s == Range.of(1080, 1320)
    assert [intake.at_m for intake in case.wishes.anchor] == [intake.at_m for intake in SCHEDULE]


def test_a_station_serves_something_else_in_the_cup_it_had() -> None:
    case, sentence, _ = change("station serves", station="bridge", serves=["sports-drink", "cola"])
    assert sentence == "Bridge serves sports drink and flat cola instead of water and sports drink."
    assert [served.item for served in case.course.stations[1].serves] == ["sports-drink", "cola"]


def test_a_station_may_be_empty() -> None:
    case, sentence, _ = change("station serves", station="Mill", serves=[])
    assert sentence == "Mill serves nothing instead of water."
    assert case.course.stations[0].serves == ()


def test_a_cup_of_another_size_stays_that_size() -> None:
    small = STARTER_TEXT.replace('cup = "200 ml", fill = "2/3 to 3/4"', 'cup = "150 ml", fill = "1/2"')
    case, _, _ = change("station serves", station="Mill", serves=["cola"], text=small)
    served = case.course.stations[0].serves[0]
    assert (served.item, served.cup_ml, served.fill_frac) == ("cola", 150, Range.exact(0.5))


def test_a_ban_and_its_end() -> None:
    case, sentence, text = change("ban", item="gel-25")
    assert sentence == "gel (gel-25) is not planned any more."
    assert case.wishes.banned == ("gel-25",)
    again, sentence, _ = change("unban", item="gel-25", text=text)
    assert sentence == "gel (gel-25) may be planned again."
    assert again.wishes.banned == ()


OVERRIDE = {
    "what": "race.target_carb_g_per_h",
    "value": "45 g/h",
    "by": "Robin Example",
    "on": date(2026, 11, 20),
    "why": "tolerated in three rehearsals",
}


def test_an_override_is_kept_with_name_and_reason_replaced_and_lifted() -> None:
    case, sentence, text = change("override", **OVERRIDE)
    assert sentence == (
        "race.target_carb_g_per_h is set by hand to 45 g/h, by Robin Example: tolerated in three rehearsals."
    )
    assert case.wishes.overrides[0].value == "45 g/h"
    case, _, text = change("override", text=text, **{**OVERRIDE, "value": "40 g/h"})
    assert [override.value for override in case.wishes.overrides] == ["40 g/h"]
    case, sentence, _ = change("lift", what="race.target_carb_g_per_h", text=text)
    assert case.wishes.overrides == ()
    assert sentence == "race.target_carb_g_per_h is not set by hand any more."


@pytest.mark.parametrize(
    ("path", "typed", "line"),
    [
        ("race.cutoff", "3:15", 'cutoff = "3:15"'),
        ("course.stations[Gate].at", "15,5 km", 'at = "15,5 km"'),
        ("course.stations[3].at", "15.5 km", 'at = "15.5 km"'),
        ("items[house-gel].label.carb", "41 g", 'carb = "41 g"'),
        ("items.house-gel.label.carb", "41 g", 'carb = "41 g"'),
        ("athlete.walks", "true", "walks = true"),
        ("athlete.allergens", "milk, nuts", 'allergens = ["milk", "nuts"]'),
        ("athlete.body_mass_on", "2026-11-20", "body_mass_on = 2026-11-20"),
        ("athlete.pockets[belt].carried_by", "guide", 'carried_by = "guide"'),
    ],
)
def test_an_edit_lands_where_its_path_says_and_leaves_all_else(path: str, typed: str, line: str) -> None:
    _, sentence, text = change("edit", path=path, typed=typed, schedule=())
    assert new_lines(text) == [line]
    assert sentence == f'{path} is now "{typed}".'


def test_an_edit_without_text_takes_the_key_out() -> None:
    case, sentence, text = change("edit", path="race.cutoff", typed=" ", schedule=())
    assert case.race.cutoff_s is None
    assert sentence == "race.cutoff is taken out."
    assert len(text.splitlines()) == len(STARTER_TEXT.splitlines()) - 1


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"kind": "forecast", "air_temp": "NaN C", "seen_on": LATER}, "'NaN C' cannot be read in °C"),
        ({"kind": "forecast", "air_temp": "14 to 23", "seen_on": LATER}, "more than one reading"),
        ({"kind": "forecast", "air_temp": "14 to 23 kg", "seen_on": LATER}, "cannot be read in °C"),
        ({"kind": "forecast", "air_temp": "25 to 21 C", "seen_on": LATER}, "from high to low"),
        ({"kind": "forecast", "air_temp": "21 to 65 C", "seen_on": LATER}, "outside what is allowed"),
        ({"kind": "forecast", "sun": "dark", "seen_on": LATER}, "'dark' is not a choice"),
        ({"kind": "forecast", "air_temp": "9 C", "seen_on": date(2026, 11, 20)}, "older than the one"),
        ({"kind": "forecast", "air_temp": "9 C", "seen_on": date(2026, 11, 26)}, "after 2026-11-25"),
        ({"kind": "forecast", "air_temp": "9 C"}, "seen_on"),
        ({"kind": "goal"}, "the change says nothing"),
        ({"kind": "goal", "goal": "2:52"}, "not within the finish times"),
        ({"kind": "goal", "goal": "-1:52"}, "race.goal"),
        ({"kind": "wave", "own_offset": "20"}, "more than one reading"),
        ({"kind": "wave", "own_offset": "-5 min"}, "outside what is allowed"),
        ({"kind": "station serves", "station": "Brigde", "serves": ["water"]}, "Did you mean 'Bridge'?"),
        ({"kind": "station serves", "station": "Mill", "serves": ["colla"]}, "Did you mean 'cola'?"),
        ({"kind": "ban", "item": "gel-52"}, "Did you mean 'gel-25'?"),
        ({"kind": "unban", "item": "gel-25"}, "there is no 'gel-25' here"),
        ({"kind": "lift", "what": "race.heat"}, "there is no 'race.heat' here"),
        ({"kind": "override", **OVERRIDE, "by": ""}, "by"),
        ({"kind": "override", **OVERRIDE, "on": date(2026, 12, 1)}, "after 2026-11-25"),
        ({"kind": "edit", "path": "weather.air_tmp", "typed": "9 C"}, "Did you mean 'air_temp'?"),
        ({"kind": "edit", "path": "course.stations[Gat].at", "typed": "9 km"}, "Did you mean 'Gate'?"),
        ({"kind": "edit", "path": "course.stations[9].at", "typed": "9 km"}, "there is no '9' here"),
        ({"kind": "edit", "path": "race.zone.name", "typed": "x"}, "there is no key 'name' here"),
        ({"kind": "edit", "path": "course.stations[1]", "typed": "x"}, "a table, not one entry"),
        ({"kind": "edit", "path": "..", "typed": "x"}, "no path of a case"),
        ({"kind": "edit", "path": "athlete.body_mass", "typed": "140"}, "140 kg or 140 lb"),
        ({"kind": "edit", "path": "athlete.walks", "typed": "no"}, "true or false"),
        ({"kind": "edit", "path": "race.cutof", "typed": ""}, "Did you mean 'cutoff'?"),
        ({"kind": "edit", "path": "athlete.name", "typed": ""}, "'name' is missing"),
        ({"kind": "forcast"}, "forcast"),
    ],
    ids=str,
)
def test_a_change_that_cannot_be_says_what_and_where(fields: dict[str, Any], says: str) -> None:
    assert says in refused(**fields)


def test_the_old_schedule_stands_as_anchor_and_reads_back_the_same() -> None:
    schedule = (
        *SCHEDULE,
        Intake(item="gel-40", portion_frac=0.5, at_m=17_123.456),
        Intake(item="water", amount="rinse", at_m=15_000.0, got_from="station", station="Gate"),
    )
    case, _, text = change("ban", item="cola", schedule=schedule)
    assert case.wishes.anchor == schedule
    assert not [path for path in case.origins if "anchor" in path]
    again, _, _ = change("unban", item="cola", text=text, schedule=SCHEDULE)
    assert again.wishes.anchor == SCHEDULE


def test_an_anchor_whose_item_station_or_place_is_gone_is_left_out() -> None:
    _, _, text = change("ban", item="cola")
    shorter = text.replace('name = "Bridge"', 'name = "Weir"').replace(
        'item = "gel-25", at = "12.3 km"', 'item = "lost", at = "12.3 km"'
    )
    assert [intake.at_m for intake in read(tomllib.loads(shorter)).wishes.anchor] == [5000.0, 5000.0]
