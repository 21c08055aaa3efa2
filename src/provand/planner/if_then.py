"""The fixed lines that go with every schedule, and the line about thirst, which never orders or forbids."""

from __future__ import annotations

from typing import NamedTuple

from provand.planner.problem import ThirstLine

AMOUNTS = {"cup": "a cup of water", "half": "half a cup of water", "mouthful": "a mouthful of water"}

EMERGENCY = (
    "Throwing up, mixed up, a bad headache, puffy hands or face? Stop. Get the medical team now. "
    "They decide what you drink."
)


EMERGENCY_SHORT = "Throwing up, mixed up, bad headache, puffy? Stop. Get the medical team now."
"""The same where there is little room."""


THIRST = "Thirsty? Drink, and no more than that. Not thirsty? Run past."
"""The line about thirst where no amount may be told."""


class IfThenLine(NamedTuple):
    """If this happens, then do that; `short` is the whole line where there is little room."""

    when: str
    then: str
    short: str


IF_THEN = (
    IfThenLine(
        when="Feel sick?",
        then="Eat nothing for 20 minutes. Rinse and spit. Then take half as much.",
        short="Feel sick? Eat nothing for 20 min. Then half.",
    ),
    IfThenLine(
        when="Lost one, or missed one?",
        then="Leave it. Take the next one as planned. Never two at once.",
        short="Lost one? Take the next. Never two at once.",
    ),
)
"""Nausea and a lost item, in the words of the page."""


def drinking_sentence(line: ThirstLine, first_station: str) -> str:
    """Return the line about thirst, from a named station on; where nothing fits it names no amount."""
    if line.first_station is None or line.amount == "none":
        return "Let thirst lead. Very thirsty? Tell the medical team."
    says = f"hirsty? Drink: {AMOUNTS[line.amount]}. Not thirsty? Run past."
    return f"From {first_station} on: t{says}" if first_station else f"T{says}"
