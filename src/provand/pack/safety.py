"""The safety page: what anyone in a race must know; it may always be handed out, on hold too.

It takes the practitioner and the facts of the race alone. It cannot see a plan, so no personal number can
reach it.
"""

from __future__ import annotations

from datetime import date

from provand.case.case import Case, Practitioner
from provand.pack.letterhead import letterhead
from provand.pack.letters import printable
from provand.pack.plain import medics
from provand.pack.tongue import say
from provand.pack.typeset import TYPST_PAPER, Paper, pdf
from provand.pack.voice import day
from provand.record import Record
from provand.safety.page import safety_sentences


class RaceFacts(Record):
    """What the safety page may know of a race."""

    name: str
    on: date
    place: str = ""
    invented: bool = False
    medics_phone: str = ""


def race_facts(case: Case) -> RaceFacts:
    """Return the facts of a case's race that the safety page may know."""
    race = case.race
    return RaceFacts(
        name=race.name, on=race.gun.date(), invented=case.invented, medics_phone=race.medics_phone
    )


def safety_page(practitioner: Practitioner, race: RaceFacts, paper: Paper = "a4") -> bytes:
    """Return the safety page as a PDF: general words only."""
    maker, name = printable(practitioner.name, "practitioner.name"), printable(race.name, "race.name")
    on = day(race.on)
    where = say("{race}, {day}", race=name, day=on)
    if race.place:
        place = printable(race.place, "race.place")
        where = say("{race}, {place}, {day}", race=name, place=place, day=on)
    data = {
        "title": say("Stay safe: {race}", race=name),
        "made_by": maker,
        "paper": TYPST_PAPER[paper],
        "race": where,
        "foot": say(
            "Handed out by {maker} for the {race}. Words for everyone; no medical advice.",
            maker=maker,
            race=where,
        ),
        "foot_lines": 3,
        "contact": printable(practitioner.contact, "practitioner.contact"),
        "code": "",
        "invented": race.invented,
        "letterhead": letterhead(practitioner),
        "sections": [
            {"title": say(section.title), "says": [say(line) for line in section.says]}
            for section in safety_sentences()
        ],
        "numbers": [medics(race.medics_phone)] if race.medics_phone else [],
        "words": {
            "heading": say("Stay safe in the race"),
            "ask": say("Questions before the race? {name}, {contact}", name=maker, contact="{contact}"),
        },
    }
    return pdf("safety.typ", data)
