"""The guide's card: what comes next in the athlete's order, which side of the table, what the guide carries.

For who runs with a guide. Which side a table stands on is in no case, so the card has room to tick it.
"""

from __future__ import annotations

from typing import Any

from provand.pack.carried import Load, loads
from provand.pack.letters import printable
from provand.pack.night import packed
from provand.pack.plain import for_helpers
from provand.pack.sheet import texts
from provand.pack.tongue import say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import km, no_weights, stop_marks, stop_pieces
from provand.pack.wrist import rules, short_name
from provand.plan.document import Plan, Stop
from provand.units import clock

CARD_MM = (180.0, 124.0)
"""The card, across and down: ours; it folds once."""
MOST_ROWS = 8
"""Rows on one card at most: ours."""


def guide_card(plan: Plan, paper: Paper, *, draft: bool = False) -> bytes:
    """Return the card as a PDF, to be printed in actual size."""
    data = guide_data(plan, paper, draft=draft)
    no_weights(texts(data), "guide.pdf")
    return pdf("guide.typ", data)


def guide_data(plan: Plan, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the card prints."""
    name = printable(plan.case.athlete.name, "athlete.name")
    rows = [_row(stop, plan) for stop in plan.race.stops]
    cards = [rows[at : at + MOST_ROWS] for at in range(0, len(rows), MOST_ROWS)] or [[]]
    return for_helpers(plan, say("For the guide"), paper, draft=draft) | {
        "heading": say("For the guide of {athlete}", athlete=name),
        "name": short_name(name, 11, 70),
        "card_mm": CARD_MM,
        "cards": cards,
        "heads": [say("When"), say("Take"), say("Where"), say("Table on")],
        "sides": [say("left"), say("right")],
        "nothing": say("Nothing is planned to be eaten or drunk in this race."),
        "rules": rules(plan),
        "how": [
            say("Before the race, ask on which side each table stands. Tick it on the card."),
            say("Call it out about 100 m ahead: what comes, and on which side. Say it again at the table."),
            say("Offer, and let the runner decide. Thirst leads."),
        ],
        "carries": _carries(plan),
        "eats": {
            "title": say("What you eat yourself"),
            "says": say("This plan is not about you. Bring your own food, and go by your own thirst."),
            "blanks": [say("In my pocket"), say("I eat at")],
        },
        "print_size": say("Print in actual size: the bar measures 100 mm."),
    }


def _row(stop: Stop, plan: Plan) -> dict[str, Any]:
    when = say("km {km}", km=km(stop.at_m)) if plan.time_struck else clock(stop.goal_s)
    station = printable(stop.station, "course.stations")
    return {
        "when": when,
        "marks": stop_marks(stop),
        "take": [{"text": piece.text, "fluid": piece.fluid} for piece in stop_pieces(stop, plan.case)],
        "place": station or ("" if plan.time_struck else say("km {km}", km=km(stop.at_m))),
        "table": bool(station),
    }


def _is_guide_s(load: Load) -> bool:
    return load.pocket is not None and load.pocket.carried_by not in ("", "athlete")


def _carries(plan: Plan) -> dict[str, Any]:
    """Return what is in pockets that others carry; where no pocket says so, the athlete carries it all."""
    rows = [packed(load) for load in loads(plan) if _is_guide_s(load)]
    none = say("No pocket of this plan is carried by you: the runner has it all.")
    return {"title": say("What you carry for the runner"), "rows": rows, "none": "" if rows else none}
