"""Whole invented cases by chance, as a person would type them: the same seed gives the same case.

Beside what is typed stands what it means, reckoned here by constants of its own, so that a unit read
wrongly is seen.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from random import Random
from typing import Any, NamedTuple

from drawn_menu import drawn_menu

AS_OF = date(2026, 11, 25)
KG_PER_LB, M_PER_INCH, M_PER_MILE, ML_PER_US_FLOZ = 0.45359237, 0.0254, 1609.344, 29.5735295625

NAMES = (
    "Nela Invented",
    "Øyvind Ærlig-Ås",
    "Kateřina O’Hara",
    "A <b>Bold</b> Name",
    "Tam #let(x) Lund",
    "Noor 7",
)
RACES = (
    "Quern Half",
    "Fell & Ford Ten",
    "Race of 1,000 Steps",
    "Turkey Trot 5 kg",
    "Brook *Dash*",
    "Kiln Road Run",
)
PLACES = ("Mill", "Bridge <2>", "Gate & Go", "Kiln", "Ferry", "Top [end]", "Weir", "Dam")
ZONES = (
    "Europe/Dublin",
    "Australia/Adelaide",
    "America/St_Johns",
    "Asia/Kathmandu",
    "Africa/Johannesburg",
    "UTC",
)
PACKS = ("gel-25", "gel-25-caffeine", "gel-isotonic", "gel-40", "chews", "banana-half", "salt-capsule")
UNKNOWN = "unheard-of-brew"
POURED = ("water", "sports-drink", "cola", UNKNOWN)
ALLERGENS = ("gluten", "milk", "nuts", "peanut", "soya", "fructose")


OWN_PROTOCOL = "own.toml"
OWN_RULES = """\
title = "Our own (invented)"
edition = "1"
extends = "position-stands"
since = 2026-11-01
review_by = 2027-05-01

[[rule]]
id = "L1"
gives = "load.carb"
band_g_per_kg_per_day = [8, 10]
when.race_min = { above = 90 }
source = "practice"
at = "invented clients"
mark = "practice"
note = "to show the form"
override = { by = "Ines Practice", on = 2026-11-10, why = "four of six stopped at 9" }
"""
"""A practitioner's own protocol, invented."""


LOAD = {
    "what": "load.dose_g_per_kg_per_day", "value": "7 g/kg/day", "by": "Ines Practice", "on": AS_OF,
    "why": "as tried in training",
}  # fmt: skip
"""A load that is ticked, so that a menu has something to come to."""


class Typed(NamedTuple):
    """A number as typed, and what it means in the unit of its field."""

    text: str
    means: float


class DrawnCase(NamedTuple):
    """A case as typed; what some of its numbers mean, by their place in the case; the files it names."""

    typed: dict[str, Any]
    truth: dict[str, float]
    files: dict[str, bytes]

    def beside(self, name: str) -> bytes:
        """Return a file that the case names."""
        return self.files[name]


def mass(draw: Random, kilograms: float) -> Typed:
    """Type a body mass in kilograms, pounds, or stones and pounds."""
    pounds = kilograms / KG_PER_LB
    kind = draw.choice(["kg", "lb", "st"])
    if kind == "kg":
        text = f"{kilograms:.1f}"
        return Typed(f"{text.replace('.', draw.choice('.,'))} kg", float(text))
    if kind == "lb":
        return Typed(f"{pounds:.0f} lb", round(pounds) * KG_PER_LB)
    stones, rest = divmod(round(pounds), 14)
    return Typed(f"{stones} st {rest} lb", (14 * stones + rest) * KG_PER_LB)


def height(draw: Random, metres: float) -> Typed:
    """Type a height in metres, centimetres, or feet and inches."""
    kind = draw.choice(["m", "cm", "ft"])
    if kind == "m":
        return Typed(f"{metres:.2f} m", round(metres, 2))
    if kind == "cm":
        return Typed(f"{100 * metres:.0f} cm", round(100 * metres) / 100)
    feet, inches = divmod(round(metres / M_PER_INCH), 12)
    return Typed(f"{feet} ft {inches} in", (12 * feet + inches) * M_PER_INCH)


def volume(draw: Random, millilitres: float) -> Typed:
    """Type a small volume in millilitres, litres or fluid ounces."""
    kind = draw.choice(["ml", "l", "cl", "oz"])
    if kind == "ml":
        return Typed(f"{millilitres:.0f} ml", float(round(millilitres)))
    if kind == "l":
        return Typed(f"{millilitres / 1000:.3f} l", round(millilitres / 1000, 3) * 1000)
    if kind == "cl":
        return Typed(f"{millilitres / 10:.1f} cl", round(millilitres / 10, 1) * 10)
    return Typed(
        f"{millilitres / ML_PER_US_FLOZ:.2f} us fl oz",
        round(millilitres / ML_PER_US_FLOZ, 2) * ML_PER_US_FLOZ,
    )


def warmth(draw: Random, low_c: float, high_c: float) -> tuple[str, float]:
    """Type a range of air temperature in °C or °F; return its low end in °C as well."""
    if draw.random() < 0.5:
        return f"{low_c:.0f} to {high_c:.0f} C", float(round(low_c))
    low_f, high_f = (round(32 + 1.8 * end) for end in (low_c, high_c))
    return f"{low_f} to {high_f} F", (low_f - 32) / 1.8


def clock(seconds: float) -> str:
    """Type a duration as hours and minutes."""
    minutes = round(seconds / 60)
    return f"{minutes // 60}:{minutes % 60:02d}"


def drawn_case(draw: Random) -> DrawnCase:
    """Draw a case: athlete, race, course, weather, items and wishes, with a schedule as given."""
    length_km = draw.choice([8.0, 10.0, 10.0, 15.0, 15.0, 21.0975])
    speed_m_per_s = draw.uniform(1.9, 4.8)
    goal_s = 60 * round(1000 * length_km / speed_m_per_s / 60)
    weight, tall = mass(draw, draw.uniform(44, 102)), height(draw, draw.uniform(1.5, 1.97))
    low_c = draw.uniform(-4, 24)
    air, air_low_c = warmth(draw, low_c, low_c + draw.uniform(0, 5))
    drink = volume(draw, draw.choice([0, 0, 0, 20, 50, 120]))
    stations = drawn_stations(draw, length_km)
    rehearsed = draw.sample([*PACKS, "sports-drink"], draw.randint(0, 5))
    athlete: dict[str, Any] = {
        "name": draw.choice(NAMES),
        "body_mass": weight.text,
        "body_mass_on": AS_OF - timedelta(days=draw.choice([3, 10, 60, 120])),
        "height": tall.text,
        "breakfast_caffeine": f"{draw.choice([0, 0, 80, 160])} mg",
        "pockets": [{"name": "belt", "room": f"{draw.choice([60, 150, 400])} ml"}],
        "rehearsed": [
            {"item": item} | ({"rate": f"{draw.choice([25, 40, 55])} g/h"} if draw.random() < 0.6 else {})
            for item in rehearsed
        ],
        "walks": draw.random() < 0.1,
    }  # fmt: skip
    born = drawn_birth(draw)
    athlete |= {"born": born} if born else {}
    athlete |= {"sex": draw.choice(["female", "male"])} if draw.random() < 0.8 else {}
    athlete |= {"usual_carb": f"{draw.randint(150, 420)} g/day"} if draw.random() < 0.5 else {}
    athlete |= {"caffeine_habit": f"{draw.choice([0, 150, 300])} mg/day"} if draw.random() < 0.6 else {}
    athlete |= {"allergens": draw.sample(ALLERGENS, draw.choice([1, 1, 2]))} if draw.random() < 0.2 else {}
    athlete |= {"excluded": ["caffeine"]} if draw.random() < 0.05 else {}
    race = {
        "name": draw.choice(RACES),
        "gun": datetime(2026, 11, 25, draw.choice([7, 9, 13]), draw.choice([0, 30]))
        + timedelta(days=draw.choice([1, 4, 9, 20, 40, 130])),
        "zone": draw.choice(ZONES),
        "own_offset": draw.choice(["0 min", "2 to 6 min", "25 to 40 min"]),
        "distance": draw.choice([f"{length_km:g} km", f"{1000 * length_km:.0f} m"])
        if length_km != 21.0975
        else "21.0975 km",
        "goal": clock(goal_s),
        "finish": f"{clock(0.94 * goal_s)} to {clock(draw.uniform(1.04, 1.3) * goal_s)}",
        "pre_start_drink": drink.text,
    }
    items = drawn_items(draw)
    wishes: dict[str, Any] = {
        "schedule": "as given",
        "pinned": drawn_intakes(
            draw, length_km, goal_s, stations, [*rehearsed, *(item["id"] for item in items)]
        ),
        "protocol": draw.choice(["position-stands", "position-stands", "common-practice", OWN_PROTOCOL]),
        "rehearsed_only": draw.random() < 0.8,
    }
    wishes |= {"caffeine": f"{draw.choice([0, 75, 150])} mg"} if draw.random() < 0.4 else {}
    wishes |= {"overrides": [drawn_override(draw)]} if draw.random() < 0.25 else {}
    typed = {
        "format": "provand.case/1",
        "invented": True,
        "practitioner": {"name": "Ines Practice", "contact": "ines@practice.example"},
        "athlete": athlete,
        "race": race,
        "course": {"points": drawn_points(draw, length_km), "stations": stations},
        "weather": {
            "air_temp": air, "humidity": draw.choice(["40 to 60 %", "70 to 95 %"]),
            "wind": draw.choice(["1 to 4 m/s", "5 to 15 km/h"]),
            "sun": draw.choice(["clear", "part", "overcast"]), "seen_on": AS_OF - timedelta(days=1),
        },
        "items": items,
        "wishes": wishes,
    }  # fmt: skip
    crew, from_crew = drawn_crew(Random(f"crew {weight.text} {tall.text}"), length_km, stations, rehearsed)
    if crew:
        typed |= {"crew": {"points": crew}}
        wishes["pinned"] += from_crew
        race["medics_phone"] = "+00 (000) 000-00"
    typed |= drawn_morning(Random(f"{weight.text} {tall.text} {drink.text}"), race["gun"])
    menu, files = drawn_menu(Random(f"menu {weight.text} {tall.text} {drink.text}"), race["gun"])
    if menu:
        typed |= {"menu": menu}
        wishes["overrides"] = [LOAD]
    if draw.random() < 0.5:
        typed["course"] |= {"latitude": "53.3 deg", "longitude": "-6.3 deg"}
    truth = {
        "athlete.body_mass_kg": weight.means,
        "athlete.height_m": tall.means,
        "race.pre_start_drink_ml": drink.means,
        "race.distance_m": 1000 * length_km,
        "race.goal_s": goal_s,
        "weather.air_temp_c": air_low_c,
    }
    return DrawnCase(typed, truth, {OWN_PROTOCOL: OWN_RULES.encode("utf-8"), **files})


def drawn_morning(draw: Random, gun: datetime) -> dict[str, Any]:
    """Draw race morning and what follows: mostly nothing; hotels, tablets, the way, breakfasts in words."""
    if draw.random() < 0.6:
        return {}

    def before(hours: float) -> str:
        return f"{gun - timedelta(hours=hours):%H:%M}"

    morning: dict[str, Any] = {}
    for key, typed in (
        ("wake_from", before(draw.choice([3, 5, 8]))),
        ("breakfast", draw.choice(["rice with honey", "80 g of oats and coffee", "toast, peanut butter"])),
        ("breakfast_from", draw.choice(["6:30", "7:00", "9:30"])),
        ("kitchen", draw.choice(["kettle", "none", "full"])),
        ("coffee_at", before(draw.choice([0.2, 2, 6]))),
        ("travel", draw.choice(["10 min", "1 h", "4 h"])),
        ("bag_drop_closes", before(draw.choice([0.5, 2]))),
        ("warm_up", "20 min"),
        ("pen_closes", before(draw.choice([0.1, 1]))),
    ):
        if draw.random() < 0.5:
            morning[key] = typed
    if draw.random() < 0.5:
        morning["tablets"] = [
            {
                "at": before(draw.choice([1.5, 3, 4])),
                "no_food_before": draw.choice(["0 min", "2 h"]),
                "no_food_after": draw.choice(["30 min", "1 h"]),
                "fixed_by": draw.choice(["clinician", "pharmacist"]),
            }
        ]
    after = {"next_session": draw.choice(["3 h", "7 h", "20 h"])}
    return ({"morning": morning} if morning else {}) | ({"after": after} if draw.random() < 0.4 else {})


def drawn_birth(draw: Random) -> date | None:
    """Draw a birth date: most adults, some under 18, some missing."""
    kind = draw.random()
    if kind < 0.03:
        return None
    if kind < 0.09:
        return date(draw.randint(2009, 2014), 6, 1)
    return date(draw.randint(1955, 2007), draw.randint(1, 12), draw.randint(1, 28))


def drawn_points(draw: Random, length_km: float) -> list[dict[str, str]]:
    """Draw heights at a few places; the grades stay such as roads have."""
    count = draw.randint(3, 7)
    places = [round(length_km * at / count, 3) for at in range(count)] + [length_km]
    return [{"at": f"{place:g} km", "height": f"{draw.uniform(0, 60):.0f} m"} for place in places]


def drawn_stations(draw: Random, length_km: float) -> list[dict[str, Any]]:
    """Draw stations in order, each with one thing or two, in cups of several sizes."""
    count = draw.randint(0, 6)
    names = draw.sample(PLACES, count)
    return [
        {
            "name": name,
            "at": f"{length_km * number / (count + 1):.1f} km",
            "serves": [
                {"item": item, "cup": draw.choice(["100 ml", "180 ml", "20 cl"]), "fill": "1/2 to 3/4"}
                for item in draw.choice(
                    [["water"], ["water", *draw.sample(POURED[1:], 1)], draw.sample(POURED, 2)]
                )
            ],
        }
        for number, name in enumerate(names, 1)
    ]


def drawn_items(draw: Random) -> list[dict[str, Any]]:
    """Draw packs of our own: a split that is printed or not, caffeine, marks, a name that tells a weight."""
    if draw.random() < 0.5:
        return []
    carb = draw.randint(15, 40)
    label: dict[str, Any] = {
        "convention": draw.choice(["EU", "US"]), "basis": "pack", "pack": f"{round(1.8 * carb)} g",
        "carb": f"{carb} g", "fibre": "0 g", "sodium": f"{draw.choice([0, 40, 200])} mg",
        "caffeine": f"{draw.choice([0, 0, 50, 100])} mg", "seen_on": AS_OF - timedelta(days=20),
    }  # fmt: skip
    if draw.random() < 0.6:
        label |= {
            "sugars": f"{carb // 2} g",
            "fructose": f"{carb // 3} g",
            "glucose": f"{carb - carb // 3} g",
        }
    if draw.random() < 0.15:
        del label["caffeine"]
    item = {
        "id": "own-gel", "name": draw.choice(["Own gel", "Own gel 40 g", "Ωμ gel", "Plum & Co"]),
        "texture": "gel",
        "with_water": draw.random() < 0.3, "pocket": "40 ml", "label": label, "diet": "vegan",
        "free_from": list(ALLERGENS) if draw.random() < 0.4 else [],
    }  # fmt: skip
    return [item]


def drawn_intakes(
    draw: Random, length_km: float, goal_s: float, stations: list[dict[str, Any]], packs: list[str]
) -> list[dict[str, Any]]:
    """Draw a schedule: packs at even places or times, and here and there what a station pours."""
    found: list[dict[str, Any]] = []
    fitting = max(1, int(goal_s / 1800))
    count = draw.choice([0, 1, 1, fitting, fitting, fitting, fitting + 3]) if packs else 0
    until = 0.95 if draw.random() < 0.08 else max(0.1, 1 - 1300 / goal_s)
    for number in range(1, count + 1):
        share = until * number / count
        at = {"at": f"{length_km * share:.1f} km"}
        if draw.random() < 0.2:
            at = {"at_elapsed": f"{int(goal_s * share // 3600)}:{int(goal_s * share % 3600 // 60):02d}:00"}
        found.append({"item": draw.choice(packs), "got_from": "pocket"} | at)
    for station in stations:
        poured = [served["item"] for served in station["serves"] if served["item"] != UNKNOWN]
        if poured and draw.random() < 0.15:
            amount = draw.choice(["mouthful", "mouthful", "half", "cup"])
            here = {"at": station["at"], "got_from": "station", "station": station["name"]}
            found.append({"item": draw.choice(poured), "amount": amount} | here)
    return found


def drawn_crew(
    draw: Random, length_km: float, stations: list[dict[str, Any]], rehearsed: list[str]
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Draw where a crew stands, mostly nowhere, and what is pinned from it, mostly where help is allowed."""
    if draw.random() < 0.65:
        return [], []
    points, pinned = [], []
    for number in range(1, draw.choice([1, 1, 2]) + 1):
        at = draw.choice(
            [f"{length_km * number * draw.uniform(0.2, 0.28):.1f} km", *(s["at"] for s in stations)]
        )
        hands = draw.sample([*PACKS, "sports-drink"], draw.randint(0, 3)) + rehearsed[:1]
        points.append(
            {"name": f"Crew {number}", "at": at, "way": "by the lane; park in the yard"}
            | ({"hands": [*dict.fromkeys(hands)]} if hands else {})
            | draw.choice([{"allowed": True}, {"allowed": True}, {"allowed": False}, {}])
            | ({"out_of_reach": True} if draw.random() < 0.1 else {})
        )
        helps = points[-1].get("allowed") and not points[-1].get("out_of_reach")
        if hands and (helps or draw.random() < 0.05) and draw.random() < 0.8:
            pinned.append({"item": draw.choice(hands), "got_from": "crew", "at": at})
    return points, pinned


def drawn_override(draw: Random) -> dict[str, Any]:
    """Draw a target set by hand, with name, day and reason."""
    what, value = draw.choice(
        [
            ("race.target_carb_g_per_h", f"{draw.choice([20, 45, 90])} g/h"),
            ("load.dose_g_per_kg_per_day", f"{draw.choice([6, 9])} g/kg/day"),
            ("race.heat", "run it"),
        ]
    )
    return {"what": what, "value": value, "by": "Ines Practice", "on": AS_OF, "why": "as tried in training"}
