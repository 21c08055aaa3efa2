"""If things go otherwise: a card with one line for each scenario, and the list that stands behind it.

Everything on it was planned beforehand. The fixed lines of strip and card stay as they are; these are for who
has time to read: at home, at the start, beside the course.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from provand.pack.letters import printable
from provand.pack.sheet import common, texts
from provand.pack.tongue import listed, said, say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import (
    drinking_words,
    km,
    no_weights,
    short_day,
    stop_words,
    title_of,
    told,
    wall_clock,
)
from provand.pack.wrist import CARD_MM, short_name
from provand.phrase import Phrase
from provand.plan.document import DrinkingLine, Line, Plan, Stop
from provand.plan.scenario_words import BY_LISTS
from provand.plan.scenarios import NoScenario, Scenario, ScenarioId, Scenarios
from provand.planner.if_then import EMERGENCY
from provand.units import clock


def otherwise_sheet(plan: Plan, made: Scenarios, paper: Paper, *, draft: bool = False) -> bytes:
    """Return card and list as a PDF; with weights withheld none stands on it."""
    data = otherwise_data(plan, made, paper, draft=draft)
    if "grams" in plan.withheld:
        no_weights(texts(data), "otherwise.pdf")
    return pdf("otherwise.typ", data)


def otherwise_data(plan: Plan, made: Scenarios, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the sheet prints; ValueError for scenarios of another plan."""
    if made.plan != plan.code:
        raise ValueError("these scenarios are of another plan")
    name = printable(plan.case.athlete.name, "athlete.name")
    return common(plan, say("If things go otherwise"), paper, draft=draft) | {
        "heading": say("If things go otherwise"),
        "how": say("Each line was planned before the race. Your strip holds in all other cases."),
        "card_mm": CARD_MM,
        "whose": listed((short_name(name, 9, 42), short_day(plan.case.race.gun.date()))),
        "card": [_line(one) for one in made.each if one.says],
        "emergency": printable(say(EMERGENCY), "race"),
        "list": [_entry(plan, one) for one in made.scenarios],
        "without": [printable(said(one.title), "plan") for one in made.without if not _is_no_matter(one)],
        "without_says": say("Not planned beforehand. Ask whoever made your plan:"),
        "cut": say("To carry: cut round the edge."),
        "print_size": say("Print in actual size: the bar measures 100 mm."),
    }


def ahead_of(plan: Plan, made: Scenarios | None, ids: Collection[ScenarioId]) -> list[Scenario | NoScenario]:
    """Return the scenarios that have something to say, in the order of `ids`.

    ValueError for scenarios of another plan.
    """
    if made is None:
        return []
    if made.plan != plan.code:
        raise ValueError("these scenarios are of another plan")
    return [one for wanted in ids for one in made.each if one.id == wanted and one.says]


def asked_and_then(one: Scenario | NoScenario) -> tuple[str, str, bool]:
    """Return what a line asks, what is done then, and whether that leaves the rest to another list."""
    asked, *then = one.says
    kept = [phrase for phrase in then if phrase not in BY_LISTS]
    return sentences_of([asked])[0], " ".join(sentences_of(kept)), len(kept) < len(then)


def _line(one: Scenario | NoScenario) -> dict[str, str]:
    """Return the line of a card: what is asked, and what is done then."""
    asked, *then = sentences_of(one.says)
    return {"asked": asked, "then": " ".join(then)}


def _is_no_matter(one: NoScenario) -> bool:
    """Return whether a scenario cannot happen, or is told on the card all the same."""
    return bool(one.says) or all(finding.code.startswith("otherwise.") for finding in one.why)


def _entry(plan: Plan, one: Scenario) -> dict[str, Any]:
    return {
        "title": printable(said(one.title), "plan"),
        "line": _line(one),
        "also": sentences_of(one.also),
        "lines": list(schedule_words(plan, one)),
    }


def sentences_of(phrases: Iterable[Phrase]) -> list[str]:
    """Return sentences in the language spoken."""
    return [printable(said(one), "plan") for one in phrases]


def schedule_words(plan: Plan, one: Scenario) -> Iterator[str]:
    """Yield the lines that a scenario changes: of the morning, of the race, about thirst."""
    for line in one.before:
        yield _morning(line)
    if one.as_in_hand:
        yield say("In the race: all as on your strip.")
        return
    ahead = [stop for stop in one.stops if stop.at_m >= one.from_m]
    for stop in ahead:
        yield _stop(stop, plan, struck=one.time_struck or one.id == "sick")
    if not ahead:
        yield say("From there on: nothing more to eat.")
    if one.drinking != plan.race.drinking:
        yield drinking_words(_with_line(plan, one.drinking))


def _with_line(plan: Plan, line: DrinkingLine) -> Plan:
    return plan.model_copy(update={"race": plan.race.model_copy(update={"drinking": line})})


def _morning(line: Line) -> str:
    at = wall_clock(line.at) if line.at else ""
    says = " ".join(text for text, _ in told(line.says, line.words))
    return say("{at} {title}: {says}", at=at, title=title_of(line), says=says)


def _stop(stop: Stop, plan: Plan, *, struck: bool) -> str:
    what = stop_words(stop, plan.case)
    place = printable(stop.station, "course.stations")
    facts = {"km": km(stop.at_m), "time": clock(stop.goal_s), "place": place, "what": what}
    if struck:
        return say("km {km}, {place}: {what}", **facts) if place else say("km {km}: {what}", **facts)
    if place:
        return say("{time}, {place}, km {km}: {what}", **facts)
    return say("{time}, km {km}: {what}", **facts)
