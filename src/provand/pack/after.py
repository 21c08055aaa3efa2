"""The safety and finish card: what comes after the finish, the danger signs, whom to call.

A card to carry, folded once, and the same larger for a fridge. Signs and calls are the safety page's own.
"""

from __future__ import annotations

from typing import Any

from provand.pack.letters import printable
from provand.pack.plain import (
    BEFORE_AND_AFTER,
    GO_TO_MEDICS,
    STOP_AT_ONCE,
    call,
    danger,
    of_safety_page,
    thirst,
)
from provand.pack.sheet import common, texts
from provand.pack.tongue import listed, say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import no_weights, short_day, title_of, told
from provand.pack.wrist import short_name
from provand.plan.document import Line, Plan

SIDE_MM = (90.0, 70.0)
"""One side of the card to carry, across and down: ours."""


def finish_card(plan: Plan, paper: Paper, *, draft: bool = False) -> bytes:
    """Return the card as a PDF, to be printed in actual size; with weights withheld none stands on it."""
    data = finish_data(plan, paper, draft=draft)
    if "grams" in plan.withheld:
        no_weights(texts(data), "finish.pdf")
    return pdf("finish.typ", data)


def finish_data(plan: Plan, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the card prints."""
    name = printable(plan.case.athlete.name, "athlete.name")
    return common(plan, say("After the finish"), paper, draft=draft) | {
        "side_mm": SIDE_MM,
        "heading": say("After the finish"),
        "whose": listed((short_name(name, 9, 42), short_day(plan.case.race.gun.date()))),
        "after": [_line(entry) for entry in plan.recovery],
        "thirst": {"title": say("{title}:", title=say("Thirst")), "says": thirst()},
        "signs": [danger(GO_TO_MEDICS), danger(STOP_AT_ONCE)],
        "still": of_safety_page(BEFORE_AND_AFTER)[2],
        "pain": of_safety_page(BEFORE_AND_AFTER)[1],
        "call": call(plan),
        "to_carry": say("To carry: cut round the edge, fold in the middle."),
        "to_hang": say("To hang up at home"),
        "print_size": say("Print in actual size: the bar measures 100 mm."),
    }


def _line(entry: Line) -> dict[str, Any]:
    said = told(entry.says, entry.words)
    return {"title": title_of(entry), "says": [{"text": text, "fluid": fluid} for text, fluid in said]}
