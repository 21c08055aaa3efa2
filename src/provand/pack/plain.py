"""What several pieces share: the safety page's sentences, whom to call, clock times, a helper's sheet."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from provand.figure import Range
from provand.finding import catalogue
from provand.pack.letters import printable
from provand.pack.rulers import ELAPSED
from provand.pack.scale import between
from provand.pack.sheet import common, foot_lines, own_start
from provand.pack.tongue import listed, named, say
from provand.pack.typeset import Paper
from provand.pack.voice import day
from provand.plan.document import Plan
from provand.safety.page import safety_sentences

GO_TO_MEDICS = "Go to the medics if"
STOP_AT_ONCE = "Stop at once and get help if"
IN_TROUBLE = "When a runner is in trouble"
BEFORE_AND_AFTER = "Before and after"


def of_safety_page(title: str) -> tuple[str, ...]:
    """Return the lines under a heading of the safety page; KeyError where it has no such heading."""
    sections = {section.title: section.says for section in safety_sentences()}
    return tuple(named(line) for line in sections[title])


def danger(title: str, *, most: int | None = None) -> dict[str, Any]:
    """Return a heading of the safety page and its lines, or so many at most, for a template."""
    return {"title": named(title), "says": list(of_safety_page(title)[:most])}


def thirst() -> str:
    """Return the sentence about thirst outside a race: it never orders and never forbids."""
    return named(catalogue()["safety.thirst_leads"].says)


def whom_to_ask(plan: Plan) -> dict[str, str]:
    """Return who made the plan and how to reach them; no contact where none is known."""
    practitioner = plan.case.practitioner
    return {
        "name": printable(practitioner.name, "practitioner.name"),
        "contact": printable(practitioner.contact, "practitioner.contact"),
    }


def medics(phone: str) -> dict[str, str]:
    """Return how the event's medics are called, for a template; without a number there is room to write."""
    return _number(say("Medics of the race"), printable(phone, "race.medics_phone"))


def _number(label: str, value: str) -> dict[str, str]:
    return {"label": label, "leads": say("{title}:", title=label), "value": value}


def asked(plan: Plan) -> str:
    """Return whom to ask as words: the name, then the contact where one is known."""
    return listed(part for part in whom_to_ask(plan).values() if part)


def call(plan: Plan) -> dict[str, Any]:
    """Return whom to call: medics and the emergency number, or room to write them; then who made the plan."""
    about = say("About the plan, and never in an emergency")
    return {
        "title": say("Whom to call"),
        "says": of_safety_page(IN_TROUBLE)[3],
        "numbers": [
            medics(plan.case.race.medics_phone),
            _number(say("Emergency number here"), ""),
        ],
        "ask": whom_to_ask(plan) | {"says": say("{title}: {who}", title=about, who=asked(plan))},
    }


def for_helpers(plan: Plan, title: str, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return what every sheet of a plan needs, for crew, guide and team: nothing of the athlete's body.

    What the plan rests on is left out; the practitioner's own words go to the athlete alone.
    """
    shared = common(plan, title, paper, draft=draft)
    foot = say(
        "Made by {maker} for whoever helps {athlete} in the {race}, {day}, from the plan with this code. "
        "Food and drink for sport; no medical advice.",
        maker=shared["made_by"],
        athlete=printable(plan.case.athlete.name, "athlete.name"),
        race=printable(plan.case.race.name, "race.name"),
        day=day(plan.case.race.gun.date()),
    )
    return shared | {"foot": foot, "foot_lines": foot_lines(foot), "own": None}


def at_clock(plan: Plan, early_s: float, goal_s: float, slow_s: float) -> tuple[datetime, datetime, datetime]:
    """Return when the athlete is somewhere by the clock: at the earliest, as planned, at the latest.

    Elapsed times are in seconds from the own start, which may itself be earlier or later.
    """
    first, last = own_start(plan)
    middle = first + (last - first) / 2
    return (
        first + timedelta(seconds=early_s),
        middle + timedelta(seconds=goal_s),
        last + timedelta(seconds=slow_s),
    )


def times_at(plan: Plan, at_m: float) -> Range | None:
    """Return early, goal and slow elapsed time at a place, in seconds; None where the plan has no times."""
    series = plan.series_of(ELAPSED)
    if series is None:
        return None
    low, mid, high = (between(at_m, series.x_m, ends) for ends in (series.low, series.mid, series.high))
    return Range(low=low, mid=mid, high=high)
