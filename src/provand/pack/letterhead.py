"""The practitioner's own head and words on a sheet; what is computed stands apart from both."""

from __future__ import annotations

from typing import Any

from provand.case.case import Practitioner
from provand.pack.letters import printable
from provand.pack.tongue import say
from provand.plan.document import Plan
from provand.plan.withheld import WEIGHTS, speaks_of

INK = "#000000"


def letterhead(practitioner: Practitioner) -> dict[str, Any]:
    """Return what stands at the head of the first page; no lines where none were typed."""
    lines = [printable(line, "practitioner.letterhead") for line in practitioner.letterhead]
    name = [printable(practitioner.name, "practitioner.name")] if lines or practitioner.colour else []
    return {"lines": [*name, *lines], "colour": practitioner.colour or INK}


def is_left_out(plan: Plan) -> bool:
    """Return whether own words speak of what is withheld from this athlete, so that no sheet tells them."""
    says = plan.case.practitioner.says
    return speaks_of(says, plan.withheld) or ("grams" in plan.withheld and bool(WEIGHTS.search(says)))


def own_words(plan: Plan) -> dict[str, str] | None:
    """Return the practitioner's own words under their own head, or None where there are none to tell."""
    practitioner = plan.case.practitioner
    if not practitioner.says or is_left_out(plan):
        return None
    name = printable(practitioner.name, "practitioner.name")
    return {
        "head": say("In the words of {name}; nothing here is computed.", name=name),
        "says": printable(practitioner.says, "practitioner.says"),
    }
