"""A letter to a clinician: what is asked, for whom, before which race, and a form to reply on.

It takes the practitioner, the person, the facts of the race and neutral questions. It cannot see a plan, and
tells of the person's answers only what it is about.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from provand.case.case import Case, Practitioner
from provand.case.health import Part
from provand.pack.letterhead import letterhead
from provand.pack.letters import printable
from provand.pack.typeset import TYPST_PAPER, Paper, pdf
from provand.pack.voice import day
from provand.record import Record
from provand.safety.flags import LetterAsks
from provand.units import clock

LIMITS: dict[Part, str] = {
    "caffeine": "caffeine",
    "sodium": "salt (sodium)",
    "fluid": "advice on fluid",
    "grams": "weights and energy",
    "fructose": "fructose",
    "loading": "loading with carbohydrate",
}
"""What a clinician may limit, by the part that a reply then names."""


class Person(Record):
    """Whom a letter is about: name and birth date, and nothing else."""

    name: str
    born: date | None


class RaceAhead(Record):
    """What a clinician needs of the race: its name, day and length, and about how long it takes."""

    name: str
    on: date
    distance_m: float
    goal_s: float | None = None
    invented: bool = False


def person_of(case: Case) -> Person:
    """Return the athlete of a case as a letter names them."""
    return Person(name=case.athlete.name, born=case.athlete.born)


def race_ahead(case: Case) -> RaceAhead:
    """Return the facts of a case's race that a letter tells."""
    race = case.race
    return RaceAhead(
        name=race.name,
        on=race.gun.date(),
        distance_m=race.distance_m,
        goal_s=race.goal_s,
        invented=case.invented,
    )


def letter(
    practitioner: Practitioner,
    person: Person,
    race: RaceAhead,
    asks: Sequence[LetterAsks],
    *,
    to: str,
    on: date,
    held: bool = True,
    paper: Paper = "a4",
) -> bytes:
    """Return a letter as a PDF, ready to sign, with the form for the reply on a page of its own.

    `held` says that nothing personal is handed out before the reply. BadInput for a name with a letter that
    no font has.
    """
    maker = printable(practitioner.name, "practitioner.name")
    name = printable(person.name, "athlete.name")
    goal = f", in about {clock(race.goal_s)}" if race.goal_s is not None else ""
    data = {
        "title": f"Letter about {name}",
        "made_by": maker,
        "contact": printable(practitioner.contact, "practitioner.contact"),
        "paper": TYPST_PAPER[paper],
        "to": printable(to, "to"),
        "on": day(on),
        "person": name,
        "born": day(person.born).split(" ", 1)[1] if person.born else "not known",
        "race": f"{printable(race.name, 'race.name')}, {day(race.on)}",
        "course": f"{race.distance_m / 1000:.4g} km on foot{goal}",
        "asks": [{"about": _line(one.about), "asks": [_line(asked) for asked in one.asks]} for one in asks],
        "held": held,
        "limits": list(LIMITS.values()),
        "foot": f"From {maker} about {name}. In confidence. Food and fluid in sport: no diagnosis.",
        "foot_lines": 3,
        "code": "",
        "invented": race.invented,
        "letterhead": letterhead(practitioner),
    }
    return pdf("letter.typ", data)


def _line(text: str) -> str:
    return printable(text, "letter")
