"""Quantities as people type them: read with their unit, asked about where they have two readings."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from provand.finding import BadInput
from provand.units import (
    BARE,
    SUFFIXES,
    TYPED,
    bare_readings,
    clock,
    clock_s,
    read_number,
    read_range,
    readings,
    shown,
    shown_unit,
    unit_of,
)


def number(text: str, unit: str, low: float = -1e9, high: float = 1e9) -> float:
    return read_number(text, unit, "here", low, high)


def why(text: str, unit: str, low: float = -1e9, high: float = 1e9) -> str:
    with pytest.raises(BadInput) as caught:
        read_number(text, unit, "here", low, high)
    assert caught.value.status == 2
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("63.5 kg", "kg", 63.5),
        ("63,5 kg", "kg", 63.5),
        ("63.5kg", "kg", 63.5),
        ("140 lb", "kg", 63.5029318),
        ("140 LBS", "kg", 63.5029318),
        ("10 st", "kg", 63.5029318),
        ("9 st 4 lb", "kg", 58.9670081),
        ("7 oz", "g", 198.4466618),
        ("250 ml", "ml", 250),
        ("2.5 dl", "ml", 250),
        ("25 cl", "ml", 250),
        ("1,5 l", "ml", 1500),
        ("12 us fl oz", "ml", 354.8823548),
        ("12 imp fl oz", "ml", 340.95675),
        ("1:52:30", "s", 6750),
        ("1 h 52 min", "s", 6720),
        ("12 min 30 s", "s", 750),
        ("1h52", "s", 6720),
        ("112 min", "s", 6720),
        ("1.5 h", "min", 90),
        ("21.0975 km", "m", 21097.5),
        ("13.1 miles", "m", 21082.4064),
        ("5 ft 10 in", "m", 1.778),
        ("5'10\"", "m", 1.778),
        ("168 cm", "m", 1.68),
        ("68 F", "c", 20),
        ("68 °F", "c", 20),
        ("-5 C", "c", -5),
        ("−5 °C", "c", -5),
        ("293.15 K", "c", 20),
        ("65 %", "frac", 0.65),
        ("2/3", "frac", 2 / 3),
        ("0.65", "frac", 0.65),
        ("14 km/h", "m/s", 14 / 3.6),
        ("8.5 mph", "m/s", 3.79984),
        ("60 g/h", "g/h", 60),
        ("60 g per hour", "g/h", 60),
        ("500 mg/l", "mg/l", 500),
        ("0.5 g/l", "mg/l", 500),
        ("30 miles/week", "km/week", 48.28032),
        ("1013 mbar", "hpa", 1013),
        ("53.2 deg", "deg", 53.2),
        ("53.2", "deg", 53.2),
    ],
)
def test_a_quantity_is_read_into_the_unit_asked_for(text: str, unit: str, value: float) -> None:
    assert number(text, unit) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("NaN kg", "kg"), ("inf kg", "kg"), ("1e3 kg", "kg"), ("9**9 kg", "kg"), ("sixty kg", "kg"),
        ("", "kg"), ("kg", "kg"), ("63.5 m", "kg"), ("63.5 kgs/h", "kg"), ("60 g", "g/h"),
        ("60 g/kg", "g/h"), ("1.2.3 kg", "kg"), ("1:75", "s"), ("1/0", "frac"), ("5 kg 3", "kg"),
        ("8 g/kg", "g/kg/day"), ("14 degF", "c"),
    ],
)  # fmt: skip
def test_what_is_no_quantity_of_that_kind_is_unreadable(text: str, unit: str) -> None:
    assert "cannot be read in" in why(text, unit)


@pytest.mark.parametrize(
    ("text", "unit", "low", "high", "words"),
    [
        ("140", "kg", 25, 250, "140 kg or 140 lb"),
        ("72", "kg", 25, 250, "72 kg or 72 lb"),
        ("60", "c", -20, 70, "60 °C or 60 °F"),
        ("1:52", "s", 10, 90_000, "1 h 52 min or 1 min 52 s"),
        ("1,500 ml", "ml", 0, 5000, "1.5 ml or 1500 ml"),
        ("7 fl oz", "ml", 0, 5000, "7 US fl oz or 7 imp fl oz"),
        ("1", "frac", 0, 1, "all of it or 1 %"),
        ("10", "m/s", 1, 20, "10 m/s or 10 km/h or 10 mi/h"),
    ],
)
def test_an_entry_with_two_readings_is_asked_about_never_guessed(
    text: str, unit: str, low: float, high: float, words: str
) -> None:
    told = why(text, unit, low, high)
    assert "has more than one reading" in told
    for reading in words.split(" or "):
        assert reading in told


def test_bounds_settle_a_reading_only_where_the_unit_was_typed() -> None:
    assert number("1:52", "s", 600, 90_000) == 6720
    assert "more than one reading" in why("1.70", "m", 1.2, 2.4)


def test_a_value_outside_its_bounds_says_what_is_allowed() -> None:
    assert why("300 kg", "kg", 25, 250) == (
        "here: '300 kg' is outside what is allowed. Allowed: 25 to 250 kg."
    )


@pytest.mark.parametrize(
    ("text", "unit", "ends"),
    [
        ("14 to 21 C", "c", (14, 17.5, 21)),
        ("14-21 C", "c", (14, 17.5, 21)),
        ("14–21 °C", "c", (14, 17.5, 21)),
        ("-5 to 3 C", "c", (-5, -1, 3)),
        ("57 to 70 F", "c", (125 / 9, 17.5, 190 / 9)),
        ("1:50 to 2:10, likely 1:58", "s", (6600, 7080, 7800)),
        ("1:50 to 2:10 likely 1:58", "s", (6600, 7080, 7800)),
        ("2/3 to 3/4", "frac", (2 / 3, 17 / 24, 3 / 4)),
        ("65 to 80 %", "frac", (0.65, 0.725, 0.8)),
        ("1 km to 1500 m", "m", (1000, 1250, 1500)),
        ("30 s to 2 min", "s", (30, 75, 120)),
        ("20 C", "c", (20, 20, 20)),
    ],
)
def test_a_range_is_read_with_its_ends_and_its_likely_value(
    text: str, unit: str, ends: tuple[float, float, float]
) -> None:
    low, high = (600, 90_000) if ":" in text else (-1e6, 1e6)
    assert read_range(text, unit, "here", low, high) == pytest.approx(ends)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("21 to 14 C", "runs from high to low"),
        ("14 to 21 C, likely 25 C", "not between its ends"),
        ("14 to 16 to 21 C", "one range"),
        ("14 to C", "cannot be read"),
        ("14 to 21", "more than one reading"),
        ("14 to 99 C", "outside"),
    ],
)
def test_a_range_that_is_none_is_refused(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read_range(text, "c", "here", -20, 48)


UNITS = ["kg", "g", "mg", "ml", "m", "c", "min", "hpa", "m/s", "g/h", "mg/day", "mg/l"]


@given(value=st.floats(0.001, 99_999, allow_nan=False), unit=st.sampled_from(UNITS))
def test_what_is_written_is_read_back(value: float, unit: str) -> None:
    """In English and in German convention, with the unit that stands in the name."""
    text = f"{value:.4f}"
    named = "/".join(SUFFIXES[part].shown for part in unit.split("/"))
    expected = float(text)
    for typed in (f"{text} {named}", f"{text.replace('.', ',')} {named}"):
        found, with_unit = readings(typed, unit)
        assert with_unit
        assert any(reading.value == pytest.approx(expected, rel=1e-12, abs=1e-9) for reading in found)


@given(text=st.text(max_size=20), unit=st.sampled_from(UNITS))
def test_whatever_is_typed_is_a_number_inside_its_bounds_or_a_finding(text: str, unit: str) -> None:
    try:
        low, mid, high = read_range(text, unit, "here", 1, 100)
    except BadInput as error:
        assert str(error)
    else:
        assert 1 <= low <= mid <= high <= 100


def test_a_bare_number_has_one_reading_for_each_unit_it_could_have() -> None:
    assert [reading.words for reading in bare_readings(140, "kg")] == ["140 kg", "140 lb"]
    assert [reading.words for reading in bare_readings(0.5, "frac")] == ["0.5"]
    assert len(bare_readings(20, "l/h")) == 1


def test_every_unit_that_a_bare_number_may_have_can_be_typed() -> None:
    assert {part for options in BARE.values() for option in options for part in option.split("/")} <= set(
        TYPED
    )


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("body_mass_kg", "kg"),
        ("load.dose_g_per_kg_per_day", "g/kg/day"),
        ("sweat_ml_per_h", "ml/h"),
        ("grade_frac", "frac"),
        ("race.gels_per_race", "/race"),
        ("name", None),
        ("speed", None),
    ],
)
def test_the_unit_of_a_name_is_what_ends_it(name: str, unit: str | None) -> None:
    assert unit_of(name) == unit


def test_units_are_shown_as_readers_know_them() -> None:
    assert [shown_unit(unit) for unit in ("c", "frac", "g/h", "mosm")] == ["°C", "of 1", "g/h", "mOsm"]


@pytest.mark.parametrize(
    ("seconds", "short", "long"),
    [
        (6720, "1:52", "1:52:00"),
        (6749.9, "1:52", "1:52:30"),
        (6750, "1:53", "1:52:30"),
        (0, "0:00", "0:00:00"),
        (35_999, "10:00", "9:59:59"),
    ],
)
def test_durations_are_shown_by_the_clock(seconds: float, short: str, long: str) -> None:
    assert (clock(seconds), clock_s(seconds)) == (short, long)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (508.2, "508"),
        (1120.4, "1,120"),
        (37.96, "38"),
        (37.92, "37.9"),
        (3.14159, "3.14"),
        (0, "0"),
        (0.00012, "1.2e-04"),
        (-12.34, "-12.3"),
    ],
)
def test_numbers_are_shown_to_three_digits(value: float, text: str) -> None:
    assert shown(value, "g") == text


def test_a_bare_number_over_one_is_a_percentage_where_a_share_is_asked_for() -> None:
    assert read_number("65", "frac", "here", 0.01, 1) == 0.65


def test_a_bare_number_that_may_be_packs_or_percent_is_refused_with_both() -> None:
    with pytest.raises(BadInput, match="2 times or 2 %"):
        read_number("2", "frac", "here", 0.01, 20)
