"""Units stand in names; this module knows the suffixes, reads what people type, writes what people read.

Numbers are read by Babel in English and in German convention, so that `1,5` and `1.5` are both
understood and `1,500` is seen to have two readings. Units come from a closed list with the legal
conversion factors; nothing is guessed: a bare number has one reading for each unit it could have.
"""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from babel.numbers import NumberFormatError, parse_decimal

from provand.finding import BadInput, find


class Unit(NamedTuple):
    """A unit: its dimension, how many base units one of it is, the zero it starts from, how it is shown."""

    dimension: str
    size: float
    zero: float = 0.0
    shown: str = ""


LB_G = 453.59237
INCH_M = 0.0254
FLOZ_US_ML = 29.5735295625
FLOZ_IMPERIAL_ML = 28.4130625

SUFFIXES: dict[str, Unit] = {
    "kg": Unit("mass", 1000, shown="kg"),
    "g": Unit("mass", 1, shown="g"),
    "mg": Unit("mass", 0.001, shown="mg"),
    "l": Unit("volume", 1000, shown="l"),
    "ml": Unit("volume", 1, shown="ml"),
    "km": Unit("length", 1000, shown="km"),
    "m": Unit("length", 1, shown="m"),
    "cm": Unit("length", 0.01, shown="cm"),
    "mm": Unit("length", 0.001, shown="mm"),
    "mi": Unit("length", 1609.344, shown="mi"),
    "m2": Unit("area", 1, shown="m²"),
    "m3": Unit("volume", 1e6, shown="m³"),
    "s": Unit("time", 1, shown="s"),
    "min": Unit("time", 60, shown="min"),
    "h": Unit("time", 3600, shown="h"),
    "day": Unit("time", 86400, shown="day"),
    "week": Unit("time", 604800, shown="week"),
    "race": Unit("race", 1, shown="race"),
    "item": Unit("item", 1, shown="item"),
    "c": Unit("temperature", 1, 273.15, "°C"),
    "kelvin": Unit("temperature", 1, shown="K"),
    "frac": Unit("ratio", 1, shown="of 1"),
    "percent": Unit("ratio", 0.01, shown="%"),
    "deg": Unit("angle", 1, shown="°"),
    "rad": Unit("angle", 57.29577951308232, shown="rad"),
    "kcal": Unit("energy", 4184, shown="kcal"),
    "kj": Unit("energy", 1000, shown="kJ"),
    "j": Unit("energy", 1, shown="J"),
    "w": Unit("power", 1, shown="W"),
    "met": Unit("power_of_rest", 1, shown="MET"),
    "mol": Unit("amount", 1, shown="mol"),
    "mmol": Unit("amount", 0.001, shown="mmol"),
    "umol": Unit("amount", 1e-6, shown="µmol"),
    "mosm": Unit("osmoles", 0.001, shown="mOsm"),
    "kpa": Unit("pressure", 1000, shown="kPa"),
    "hpa": Unit("pressure", 100, shown="hPa"),
    "pa": Unit("pressure", 1, shown="Pa"),
    "mmhg": Unit("pressure", 133.322387415, shown="mmHg"),
    "clo": Unit("clothing", 1, shown="clo"),
    "count": Unit("count", 1, shown=""),
    "places": Unit("count", 1, shown="places"),
    "years": Unit("age", 1, shown="years"),
    "ratio": Unit("ratio", 1, shown=""),
    "index": Unit("index", 1, shown=""),
}
"""Every unit that may end a name. `ratio` and `index` mark pure numbers."""

TYPED: dict[str, Unit] = {
    "kg": SUFFIXES["kg"], "kilo": SUFFIXES["kg"], "kilos": SUFFIXES["kg"],
    "g": SUFFIXES["g"], "gram": SUFFIXES["g"], "grams": SUFFIXES["g"],
    "mg": SUFFIXES["mg"],
    "lb": Unit("mass", LB_G, shown="lb"), "lbs": Unit("mass", LB_G, shown="lb"),
    "st": Unit("mass", 14 * LB_G, shown="st"), "oz": Unit("mass", LB_G / 16, shown="oz"),
    "l": SUFFIXES["l"], "litre": SUFFIXES["l"], "litres": SUFFIXES["l"], "liter": SUFFIXES["l"],
    "dl": Unit("volume", 100, shown="dl"), "cl": Unit("volume", 10, shown="cl"), "ml": SUFFIXES["ml"],
    "us fl oz": Unit("volume", FLOZ_US_ML, shown="US fl oz"),
    "imp fl oz": Unit("volume", FLOZ_IMPERIAL_ML, shown="imp fl oz"),
    "km": SUFFIXES["km"], "m": SUFFIXES["m"], "cm": SUFFIXES["cm"], "mm": SUFFIXES["mm"],
    "mi": SUFFIXES["mi"], "mile": SUFFIXES["mi"], "miles": SUFFIXES["mi"],
    "yd": Unit("length", 36 * INCH_M, shown="yd"),
    "ft": Unit("length", 12 * INCH_M, shown="ft"), "in": Unit("length", INCH_M, shown="in"),
    "c": SUFFIXES["c"], "f": Unit("temperature", 5 / 9, 459.67 * 5 / 9, "°F"),
    "k": SUFFIXES["kelvin"],
    "s": SUFFIXES["s"], "sec": SUFFIXES["s"], "min": SUFFIXES["min"], "mins": SUFFIXES["min"],
    "h": SUFFIXES["h"], "hour": SUFFIXES["h"], "hours": SUFFIXES["h"],
    "day": SUFFIXES["day"], "days": SUFFIXES["day"],
    "week": SUFFIXES["week"], "weeks": SUFFIXES["week"],
    "%": SUFFIXES["percent"],
    "kcal": SUFFIXES["kcal"], "kj": SUFFIXES["kj"],
    "mmol": SUFFIXES["mmol"],
    "hpa": SUFFIXES["hpa"], "mbar": SUFFIXES["hpa"], "kpa": SUFFIXES["kpa"],
    "deg": SUFFIXES["deg"],
}  # fmt: skip
"""Units that people may type, in lower case. `fl oz` alone is ambiguous and so is absent."""

SPELLED = {"mph": "mi/h", "kph": "km/h", "kmh": "km/h", "kcals": "kcal", "fl oz": "us fl oz|imp fl oz"}
BARE = {
    "kg": ("kg", "lb"),
    "g": ("g", "oz"),
    "mg": ("mg", "g"),
    "ml": ("ml", "l"),
    "m": ("m", "km", "cm", "ft", "mi"),
    "km": ("km", "mi"),
    "c": ("c", "f"),
    "s": ("min", "h", "s"),
    "min": ("min", "h", "s"),
    "frac": ("%",),
    "hpa": ("hpa", "kpa"),
    "m/s": ("m/s", "km/h", "mi/h"),
}
"""What a number without its unit may mean, by the unit asked for."""


class Reading(NamedTuple):
    """One way to read a typed entry: the value in the asked unit, and the reading in words."""

    value: float
    words: str


@cache
def unit_of(name: str) -> str | None:
    """Return the unit that ends a name (`dose_g_per_kg_per_day` -> `g/kg/day`), or None without one."""
    words = name.rsplit(".", 1)[-1].split("_")
    at = len(words) - 1
    if words[at] not in SUFFIXES:
        return None
    while at >= 2 and words[at - 1] == "per" and words[at - 2] in SUFFIXES:
        at -= 2
    if at >= 1 and words[at - 1] == "per":
        at -= 1
    return re.sub(r"_?per_", "/", "_".join(words[at:]))


def shown_unit(unit: str) -> str:
    """Return a unit as readers see it: `g/kg/day` stays, `c` becomes `°C`."""
    return "/".join(SUFFIXES[part].shown if part else "" for part in unit.split("/"))


def _numbers(text: str) -> set[float]:
    """Return the values that a numeral can have in English and in German convention."""
    found = set()
    for locale in ("en", "de"):
        try:
            found.add(float(parse_decimal(text, locale=locale, strict=True)))
        except (NumberFormatError, ValueError):
            continue
    return {number for number in found if number - number == 0}


NUMBER = r"[+\-−]?\d[\d.,]*"
DASH = re.compile(r"(?<=[\d%°a-zA-Z])\s*(?:–|-|\bto\b)\s*(?=[+\-−]?\d)", re.IGNORECASE)
CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?::([0-5]\d))?")
RATIO = re.compile(rf"({NUMBER})\s*(?::|\bto\b)\s*({NUMBER})", re.IGNORECASE)
FRACTION = re.compile(r"(\d{1,2})/(\d{1,2})")
HOURS = re.compile(r"(\d{1,3})\s*h\s*([0-5]?\d)(?:\s*min)?", re.IGNORECASE)
MINUTES = re.compile(r"(\d{1,3})\s*min\s*([0-5]?\d)\s*s", re.IGNORECASE)
STONES = re.compile(r"(\d{1,2})\s*st\s*(\d{1,2})(?:\s*lbs?)?", re.IGNORECASE)
FEET = re.compile(r"(\d)\s*(?:ft|')\s*(\d{1,2})\s*(?:in|\"|'')?")


def _unit_parts(unit: str) -> list[Unit | None]:
    return [None if part == "" else SUFFIXES.get(part) for part in unit.split("/")]


def _split_unit(text: str) -> list[str]:
    """Return the spellings of a typed unit as `a/b/c` in lower case; `fl oz` gives two."""
    plain = text.lower().replace("°", "").replace("per ", "/").replace(" / ", "/").strip()
    plain = re.sub(r"\s*/\s*", "/", plain)
    head, *rest = plain.split("/")
    return ["/".join([choice, *rest]) for choice in SPELLED.get(head, head).split("|")]


def _convert(number: float, typed: str, unit: str) -> float | None:
    """Return `number` of the typed unit in `unit`, or None where the dimensions differ."""
    typed_parts = [TYPED.get(part) for part in typed.split("/")]
    parts = _unit_parts(unit)
    if len(typed_parts) != len(parts):
        return None
    value = number
    for place, (a, b) in enumerate(zip(typed_parts, parts, strict=True)):
        if a is None or b is None or a.dimension != b.dimension:
            return None
        first = place == 0
        value = (value * a.size + a.zero - b.zero) / b.size if first else value * b.size / a.size
    return value


def _clock_readings(text: str, unit: str) -> list[Reading]:
    if SUFFIXES[unit].dimension != "time":
        return []
    size = SUFFIXES[unit].size
    if hours := HOURS.fullmatch(text):
        return [Reading((int(hours[1]) * 3600 + int(hours[2]) * 60) / size, f"{hours[1]} h {hours[2]} min")]
    if minutes := MINUTES.fullmatch(text):
        return [Reading((int(minutes[1]) * 60 + int(minutes[2])) / size, f"{minutes[1]} min {minutes[2]} s")]
    match = CLOCK.fullmatch(text)
    if match is None:
        return []
    first, second = int(match[1]), int(match[2])
    if match[3]:
        return [
            Reading(
                (first * 3600 + second * 60 + int(match[3])) / size, f"{first} h {second} min {match[3]} s"
            )
        ]
    return [
        Reading((first * 3600 + second * 60) / size, f"{first} h {second} min"),
        Reading((first * 60 + second) / size, f"{first} min {second} s"),
    ]


def _ratio_readings(first: str, second: str) -> list[Reading]:
    """Return what the second of two is to one of the first: `2:1` is 0.5."""
    pairs = [(one, other) for one in sorted(_numbers(first)) for other in sorted(_numbers(second))]
    return [Reading(other / one, f"{one:g} to {other:g}") for one, other in pairs if one > 0]


def _two_part_readings(text: str, unit: str) -> list[Reading]:
    """Read `5 ft 10 in`, `9 st 4 lb`; for a part of something, `2/3`; for one thing to another, `1:0.8`."""
    if unit == "ratio" and (pair := RATIO.fullmatch(text)):
        return _ratio_readings(pair[1], pair[2])
    dimension = SUFFIXES[unit].dimension
    if dimension == "length" and (feet := FEET.fullmatch(text)):
        metres = (int(feet[1]) * 12 + int(feet[2])) * INCH_M
        return [Reading(metres / SUFFIXES[unit].size, f"{feet[1]} ft {feet[2]} in")]
    if dimension == "mass" and (stones := STONES.fullmatch(text)):
        grams = (int(stones[1]) * 14 + int(stones[2])) * LB_G
        return [Reading(grams / SUFFIXES[unit].size, f"{stones[1]} st {stones[2]} lb")]
    if unit == "frac" and (part := FRACTION.fullmatch(text)) and int(part[2]):
        return [Reading(int(part[1]) / int(part[2]), text)]
    return []


def bare_readings(number: float, unit: str) -> list[Reading]:
    """Return what a number without its unit may mean where `unit` is asked for; one reading is no doubt."""
    head, *rest = unit.split("/")
    dimension = SUFFIXES[head].dimension if head else ""
    if unit == "ratio":
        return [Reading(number, f"1 to {number:g}")]
    if dimension in ("count", "index", "age") or (dimension == "ratio" and 0 <= number < 1):
        return [Reading(number, f"{number:g}")]
    if dimension == "ratio" and number == 1:
        return [Reading(1.0, "all of it"), Reading(0.01, "1 %")]
    if dimension == "ratio" and number > 1:
        return [Reading(number, f"{number:g} times"), Reading(number / 100, f"{number:g} %")]
    tail = "".join(f"/{part}" for part in rest)
    found = []
    for option in BARE.get(unit) or [option + tail for option in BARE.get(head, (head,))]:
        value = _convert(number, option, unit)
        if value is not None:
            named = "/".join(TYPED[part].shown for part in option.split("/"))
            found.append(Reading(value, f"{number:g} {named}"))
    return found


def readings(text: str, unit: str) -> tuple[list[Reading], bool]:
    """Return every reading of one typed quantity in `unit`, and whether its unit was typed.

    A quantity with its unit has one reading, or two where the numeral has (`1,500 ml`); a clock time
    (`1:52`) may be hours and minutes or minutes and seconds; a bare number has one for each unit it
    could have. Nothing readable gives an empty list.
    """
    text = text.strip()
    if unit in SUFFIXES and (special := _clock_readings(text, unit) or _two_part_readings(text, unit)):
        return special, True
    match = re.fullmatch(rf"({NUMBER})\s*(.*)", text, re.DOTALL)
    if match is None:
        return [], False
    numbers = sorted(_numbers(match[1].replace("−", "-")))
    typed = match[2].strip()
    if not typed:
        return [reading for number in numbers for reading in bare_readings(number, unit)], False
    found = []
    for number in numbers:
        for spelling in _split_unit(typed):
            value = _convert(number, spelling, unit)
            if value is not None:
                named = "/".join(TYPED[part].shown for part in spelling.split("/"))
                found.append(Reading(value, f"{number:g} {named}"))
    return found, True


def _one(text: str, unit: str, about: str, low: float, high: float) -> float:
    """Return the single reading of `text` inside its bounds, or raise what is wrong with it."""
    allowed = f"{low:g} to {high:g} {shown_unit(unit)}".strip()
    found, with_unit = readings(text, unit)
    inside = [reading for reading in found if low <= reading.value <= high]
    if unit == "frac" and inside:
        found = inside
    if not found:
        raise BadInput(find("entry.unreadable", about, text=text, unit=shown_unit(unit), allowed=allowed))
    if not inside:
        raise BadInput(find("entry.outside", about, text=text, allowed=allowed))
    if len(found) > 1 and (not with_unit or len(inside) > 1):
        words = " or ".join(reading.words for reading in (inside if len(inside) > 1 else found))
        raise BadInput(find("entry.ambiguous", about, text=text, readings=words))
    return inside[0].value


def read_number(text: str, unit: str, about: str, low: float, high: float) -> float:
    """Read one typed quantity into `unit`; BadInput names the text, what is allowed and its readings."""
    return _one(text, unit, about, low, high)


LIKELY = re.compile(r"^(.*?),?\s*likely\s+(.*)$", re.IGNORECASE)


def read_range(text: str, unit: str, about: str, low: float, high: float) -> tuple[float, float, float]:
    """Read `14 to 21 °C`, `1:50 to 2:10, likely 1:58` or one quantity as low, mid and high in `unit`."""
    likely = LIKELY.match(text.strip())
    body = likely[1] if likely else text.strip()
    ends = DASH.split(body)
    if len(ends) == 1:
        value = _one(body, unit, about, low, high)
        return value, value, value
    if len(ends) > 2:
        raise BadInput(
            find(
                "entry.unreadable", about, text=text, unit=shown_unit(unit), allowed="one range, as 14 to 21"
            )
        )
    tail = re.fullmatch(rf"{NUMBER}\s*(.*)", ends[1].strip(), re.DOTALL)
    if tail and tail[1] and re.fullmatch(NUMBER, ends[0].strip()):
        ends[0] = f"{ends[0].strip()} {tail[1]}"
    first, last = (_one(end, unit, about, low, high) for end in ends)
    if first > last:
        raise BadInput(find("entry.reversed", about, text=text))
    mid = _one(likely[2], unit, about, low, high) if likely else (first + last) / 2
    if not first <= mid <= last:
        raise BadInput(find("entry.likely_outside", about, text=text))
    return first, mid, last


def clock(elapsed_s: float) -> str:
    """Return a duration as `h:mm`, rounded to the nearest minute: 6,720 s is `1:52`."""
    minutes = int(elapsed_s / 60 + 0.5)
    return f"{minutes // 60}:{minutes % 60:02d}"


def clock_s(elapsed_s: float) -> str:
    """Return a duration as `h:mm:ss`."""
    seconds = int(elapsed_s + 0.5)
    return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def shown(value: float, unit: str) -> str:
    """Return a number as readers see it in its unit: three significant digits, thousands by comma."""
    if unit == "s":
        return clock_s(value)
    size = abs(value)
    if size >= 100:
        return f"{value:,.0f}"
    if size >= 10:
        return f"{value:.1f}".removesuffix(".0")
    return f"{value:.3g}" if size >= 0.001 or size == 0 else f"{value:.1e}"
