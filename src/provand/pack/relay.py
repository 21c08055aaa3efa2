"""The relay team sheet: one leg, taken over and handed over by the clock; nothing of the runner's body.

A case is one athlete's race, so it is one leg: taken over at the own start, handed over at the finish. Other
legs are written in by hand, or come from the sheets of their runners.
"""

from __future__ import annotations

from typing import Any

from provand.pack.carried import loads
from provand.pack.letters import printable
from provand.pack.night import packed, place_words
from provand.pack.plain import GO_TO_MEDICS, STOP_AT_ONCE, at_clock, call, danger, for_helpers
from provand.pack.sheet import finish, own_start, texts
from provand.pack.tongue import say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import day, km, no_weights, wall_clock
from provand.plan.document import Plan

OTHER_LEGS = 5
"""Rows to write other legs in: ours."""


def relay_sheet(plan: Plan, paper: Paper, *, draft: bool = False) -> bytes:
    """Return the sheet as a PDF."""
    data = relay_data(plan, paper, draft=draft)
    no_weights(texts(data), "relay.pdf")
    return pdf("relay.typ", data)


def relay_data(plan: Plan, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the sheet prints."""
    name = printable(plan.case.athlete.name, "athlete.name")
    length = say("{km} km", km=km(plan.case.course.length_m))
    return for_helpers(plan, say("For the relay team"), paper, draft=draft) | {
        "heading": say("For the relay team: the leg of {athlete}", athlete=name),
        "meant": say(
            "This is one leg. It is taken over at the runner's own start and handed over at the finish."
        ),
        "day": day(own_start(plan)[0].date()),
        "heads": [
            say("Leg"),
            say("Length"),
            say("Takes over"),
            say("Hands over: early"),
            say("Likely"),
            say("Late"),
        ],
        "leg": [name, length, _taken_over(plan), *_handed_over(plan)],
        "others_count": OTHER_LEGS,
        "late": say("Is the runner before you late? Wait in the warm, and keep what you carry for the race."),
        "carries": {
            "title": say("What this runner has along"),
            "groups": _groups(plan),
            "none": say("Nothing is brought: what is taken comes from the stations."),
        },
        "hands_off": say("Give this runner nothing else, and no pain tablets."),
        "signs": [danger(GO_TO_MEDICS), danger(STOP_AT_ONCE)],
        "signs_are": say("Signs, in the words of the runner's own safety page"),
        "call": call(plan),
    }


def _taken_over(plan: Plan) -> str:
    first, last = map(wall_clock, own_start(plan))
    return first if first == last else say("{first} to {last}", first=first, last=last)


def _handed_over(plan: Plan) -> list[str]:
    """Return early, likely and late hand-over by the clock; none where times are struck."""
    times = finish(plan)
    if times is None or plan.time_struck:
        return ["", "", ""]
    return [wall_clock(moment) for moment in at_clock(plan, times.low, times.mid, times.high)]


def _groups(plan: Plan) -> list[dict[str, Any]]:
    there: dict[str, list[dict[str, Any]]] = {}
    for load in loads(plan):
        place = say("On the runner") if load.got_from == "pocket" else place_words(load)
        there.setdefault(place, []).append(packed(load))
    return [{"place": say("{title}:", title=place), "rows": rows} for place, rows in there.items()]
