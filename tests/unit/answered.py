"""An invented athlete and the answers that let everything through, to be spoilt one at a time."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime
from typing import Any

from provand.case.case import Athlete, Case, Practitioner, Race, Weather
from provand.case.course import Course, Station
from provand.case.health import Answer, Health, Medicine, Reply
from provand.figure import Range
from provand.safety.flags import Flag, flags
from provand.safety.screening import Screening, screen

AS_OF = date(2026, 11, 25)
ANSWERED_ON = date(2026, 11, 20)
BORN = date(1990, 3, 14)
NAME = "Ines Inventada"
BY_ID = {flag.id: flag for flag in flags()}

MEDICINE_FOR = {
    "low_sodium_medicine": "Sertraline 50 mg",
    "slow_caffeine_medicine": "ciprofloxacin",
    "lithium": "lithium carbonate",
    "anti_inflammatory": "Ibuprofen 400 mg tablets",
    "heart_pressure_medicine": "bisoprolol fumarate 2.5 mg",
    "stimulant": "methylphenidate",
    "empty_stomach": "levothyroxine sodium",
}


def case_of(
    *, race_on: date = date(2026, 12, 20), stations: tuple[Station, ...] = (), **athlete: Any
) -> Case:
    """Return an invented case; keywords change the athlete."""
    person: dict[str, Any] = {
        "name": NAME,
        "born": BORN,
        "body_mass_kg": 63.0,
        "body_mass_on": ANSWERED_ON,
        "height_m": 1.7,
    }
    return Case(
        invented=True,
        practitioner=Practitioner(name="Practitioner Invented"),
        athlete=Athlete(**(person | athlete)),
        race=Race(
            name="Invented Half",
            gun=datetime(race_on.year, race_on.month, race_on.day, 9, 0, tzinfo=UTC),
            zone="UTC",
            distance_m=21_097.5,
        ),
        course=Course(x_m=(0, 21_097.5), elevation_m=(10, 10), measured_m=21_097.5, stations=stations),
        weather=Weather(
            air_temp_c=Range.of(10, 14),
            humidity_frac=Range.of(0.5, 0.7),
            wind_m_per_s=Range.of(1, 3),
            sun="part",
            seen_on=ANSWERED_ON,
        ),
    )


def answer(question: str, reply: Reply, *, by: str = NAME, on: date | None = ANSWERED_ON) -> Answer:
    return Answer(question=question, reply=reply, by=by, on=on)


def medicine(name: str, *, since: date | None = date(2024, 5, 1), by: str = NAME) -> Medicine:
    return Medicine(name=name, since=since, by=by, on=ANSWERED_ON)


def health_of(
    *changed: Answer, medicines: Iterable[Medicine] = (), left_out: str = "", **fields: Any
) -> Health:
    """Return answers of "no" to every question, some of them changed; medicines answer their own question."""
    listed = tuple(medicines)
    replies = {flag.id: answer(flag.id, "no") for flag in flags()}
    if listed:
        replies["medicines"] = answer("medicines", "yes")
    replies |= {one.question: one for one in changed}
    replies.pop(left_out, None)
    whole: dict[str, Any] = {
        "athlete": NAME,
        "born": BORN,
        "answers": tuple(replies.values()),
        "medicines": listed,
    }
    return Health(**(whole | fields))


STEADY = (
    answer("blood_pressure", "yes"),
    answer("blood_pressure_treated", "yes"),
    answer("blood_pressure_steady", "yes"),
    answer("blood_pressure_symptoms", "no"),
)


def screened(
    health: Health | None, case: Case | None = None, as_of: date = AS_OF
) -> tuple[Screening, set[str]]:
    """Return the screening, and the codes of its reasons."""
    screening, reasons = screen(case or case_of(), health, as_of=as_of)
    return screening, {reason.code for reason in reasons}


def said_yes(flag: Flag) -> tuple[Health, Case]:
    """Return answers with one "yes", and with all that must go with it."""
    steps = tuple(answer(step.id, step.must_be) for step in flag.follow_up)
    listed = [medicine(MEDICINE_FOR[flag.id])] if flag.by_medicine else []
    case = case_of(allergens=("gluten",)) if flag.exclusions else case_of()
    return health_of(answer(flag.id, "yes"), *steps, medicines=listed), case
