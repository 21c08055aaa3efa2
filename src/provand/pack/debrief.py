"""The two-minute debrief: tick what was eaten, count what is left, symptoms from 0 to 10, the surprise.

Packs and cups are counted and nothing is weighed, so that it is the same for who is to see no weights.
"""

from __future__ import annotations

from typing import Any

from provand.pack.carried import loads
from provand.pack.letters import printable
from provand.pack.plain import BEFORE_AND_AFTER, asked, of_safety_page, whom_to_ask
from provand.pack.sheet import common, texts
from provand.pack.tongue import say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import is_fluid, km, marks_of, no_weights, take_words
from provand.plan.document import Plan, Stop, Take
from provand.units import clock

SCALE = tuple(range(11))
"""From 0, none at all, to 10, the worst I can think of."""


def debrief_card(plan: Plan, paper: Paper, *, draft: bool = False) -> bytes:
    """Return the card as a PDF."""
    data = debrief_data(plan, paper, draft=draft)
    no_weights((text for key in ("rows", "left", "feelings") for text in texts(data[key])), "debrief.pdf")
    if "grams" in plan.withheld:
        no_weights(texts(data), "debrief.pdf")
    return pdf("debrief.typ", data)


def debrief_data(plan: Plan, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the card prints."""
    return common(plan, say("Two minutes after the race"), paper, draft=draft) | {
        "heading": say("Two minutes after the race"),
        "why": say(
            "Fill it in on the day, while you still know. No answer is wrong. Each helps the next plan."
        ),
        "heads": [say("Planned"), say("Where"), say("All"), say("Part"), say("None")],
        "rows": [_row(stop, take, plan) for stop in plan.race.stops for take in stop.takes],
        "left": {
            "title": say("Left over: count the packs"),
            "rows": [{"marks": load.marks, "text": load.name} for load in loads(plan)],
            "none": say("You brought nothing, so nothing is left."),
        },
        "extra": say("Eaten or drunk that was not planned"),
        "drank": {
            "title": say("I drank"),
            "choices": [
                say("less than my thirst asked"),
                say("as my thirst asked"),
                say("more than my thirst asked"),
            ],
        },
        "feelings": {
            "title": say("How bad was it, at its worst? 0 is not at all, 10 is the worst I can think of."),
            "rows": [
                say("Felt sick"),
                say("Full or tight belly"),
                say("Cramps in the belly"),
                say("Needed a toilet"),
                say("No strength left"),
            ],
            "scale": [str(number) for number in SCALE],
        },
        "finish": say("My time, and how the weather felt"),
        "surprise": say("What surprised me"),
        "sign": of_safety_page(BEFORE_AND_AFTER)[2],
        "send": say("Give or send this to {who}.", who=asked(plan)),
        "ask": whom_to_ask(plan),
    }


def _row(stop: Stop, take: Take, plan: Plan) -> dict[str, Any]:
    station = printable(stop.station, "course.stations")
    when = say("km {km}", km=km(stop.at_m)) if plan.time_struck else clock(stop.goal_s)
    place = station or ("" if plan.time_struck else say("km {km}", km=km(stop.at_m)))
    return {
        "when": when,
        "marks": marks_of(take),
        "text": take_words(take, plan.case),
        "fluid": is_fluid(take),
        "place": place,
    }
