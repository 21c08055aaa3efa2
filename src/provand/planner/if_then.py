"""The fixed lines that go with every schedule, and the line about thirst, which never orders or forbids."""

from __future__ import annotations

from typing import NamedTuple

from provand.phrase import Phrase, phrase, to_say
from provand.planner.problem import ThirstLine

EMERGENCY = to_say(
    "Throwing up, mixed up, a bad headache, puffy hands or face? Stop. Get the medical team now. "
    "They decide what you drink."
)


EMERGENCY_SHORT = to_say("Throwing up, mixed up, bad headache, puffy? Stop. Get the medical team now.")
"""The same where there is little room."""


THIRST = to_say("Thirsty? Drink, and no more than that. Not thirsty? Run past.")
"""The line about thirst where no amount may be told."""


class IfThenLine(NamedTuple):
    """If this happens, then do that; `short` is the whole line where there is little room."""

    when: str
    then: str
    short: str


IF_THEN = (
    IfThenLine(
        when=to_say("Feel sick?"),
        then=to_say("Eat nothing for 20 minutes. Rinse and spit. Then take half as much."),
        short=to_say("Feel sick? Eat nothing for 20 min. Then half."),
    ),
    IfThenLine(
        when=to_say("Lost one, or missed one?"),
        then=to_say("Leave it. Take the next one as planned. Never two at once."),
        short=to_say("Lost one? Take the next. Never two at once."),
    ),
)
"""Nausea and a lost item, in the words of the page."""


_FROM_THE_FIRST = {
    "cup": phrase("Thirsty? Drink: a cup of water. Not thirsty? Run past."),
    "half": phrase("Thirsty? Drink: half a cup of water. Not thirsty? Run past."),
    "mouthful": phrase("Thirsty? Drink: a mouthful of water. Not thirsty? Run past."),
}
_FROM_A_STATION = {
    "cup": to_say("From {station} on: thirsty? Drink: a cup of water. Not thirsty? Run past."),
    "half": to_say("From {station} on: thirsty? Drink: half a cup of water. Not thirsty? Run past."),
    "mouthful": to_say("From {station} on: thirsty? Drink: a mouthful of water. Not thirsty? Run past."),
}


def drinking_line(line: ThirstLine, first_station: str) -> Phrase:
    """Return the line about thirst, from a named station on; where nothing fits it names no amount."""
    if line.first_station is None or line.amount == "none":
        return phrase("Let thirst lead. Very thirsty? Tell the medical team.")
    if first_station:
        return phrase(_FROM_A_STATION[line.amount], station=first_station)
    return _FROM_THE_FIRST[line.amount]


def drinking_sentence(line: ThirstLine, first_station: str) -> str:
    """Return the line about thirst in English."""
    return drinking_line(line, first_station).text
