"""The words of what to do if things go otherwise: whole sentences with facts, for a reading age of 9 to 11.

No weight, no volume, no time for fluid; nothing orders anybody to drink, and nothing forbids it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from provand.phrase import Name, Phrase, phrase, rounded_number, to_say, trimmed_number
from provand.plan.document import Stop, Take
from provand.planner.if_then import IF_THEN

Sentences = tuple[Phrase, ...]

LOST_ANY = phrase("Something you carry is lost")
EMPTY_ANY = phrase("A station is empty")
TOO_HOT = (phrase("Much hotter?"), phrase("Ask the event's doctor before you start."))
SICK = (
    phrase(IF_THEN[0].when),
    phrase("Eat nothing for 20 minutes."),
    phrase("Rinse and spit."),
    phrase("Then take half as much."),
)
"""The fixed line about feeling sick, sentence by sentence."""

NEVER_TWO = phrase("Never two at once.")
AS_PLANNED = phrase("Go on as planned.")
BY_LIST = phrase("Then go by your other list.")
EAT_BY_LIST = phrase("Eat by your other list.")
BY_LISTS = (BY_LIST, EAT_BY_LIST)
"""Sentences that send to the list behind the card."""
MISSED = phrase("What is missed is missed: nothing is made up later.")
NO_MORE = phrase("The line about thirst on your card stays as it is.")
SMALL_SIPS = phrase("Want water? Small sips are fine.")
CLOCKS = phrase("Times in the race count from your own start, so they stay.")

_TAKEN = {
    "cup": to_say("Take a cup of {item} at {place}."),
    "half": to_say("Take half a cup of {item} at {place}."),
    "mouthful": to_say("Take a mouthful of {item} at {place}."),
    "rinse": to_say("Rinse with {item} at {place}, and spit it out."),
    "whole": to_say("Take your {item} at {place}."),
}


def lost_title(item: str, *, km: str) -> Phrase:
    return phrase("Your {item} is lost at km {km}", item=_ours(item), km=km)


def empty_title(station: str) -> Phrase:
    return phrase("Nothing is left at {place}", place=station)


def late_title(minutes: int) -> Phrase:
    return phrase("The start is {minutes} minutes late", minutes=minutes)


def hotter_title(by_c: float) -> Phrase:
    return phrase("The day is {degrees} °C hotter than the forecast", degrees=trimmed_number(by_c, 1))


def sick_title(*, km: str) -> Phrase:
    return phrase("You feel sick at km {km}", km=km)


def lost_says(item: str, instead: Sequence[Stop], new: Sequence[Take], *, is_last: bool = False) -> Sentences:
    """Return what to do without an item; `new` is what is taken at `instead`, not planned there before.

    `is_last` says that nothing more is eaten then.
    """
    asked = phrase("Lost your {item}?", item=_ours(item))
    if not instead and is_last:
        return (asked, phrase("Leave it."), phrase("Go on without it."))
    if not instead:
        return (asked, phrase("Leave it."), AS_PLANNED, NEVER_TWO)
    return (asked, _taken(new[0], instead[0]), BY_LIST if len(instead) > 1 else NEVER_TWO)


def empty_says(
    station: str,
    following: str,
    had: Stop | None,
    instead: Sequence[Stop],
    new: Sequence[Take],
    *,
    thirst: bool,
) -> Sentences:
    """Return what to do where a station is empty; `had` is what was planned there and is not any more."""
    asked = phrase("Nothing left at {place}?", place=station)
    if instead:
        return (asked, _taken(new[0], instead[0]), BY_LIST if len(instead) > 1 else NEVER_TWO)
    sentences = [asked, *_left_there(had)]
    sentences.append(
        phrase("Go on to {place}.", place=following) if following else phrase("Go on to the finish.")
    )
    if thirst:
        sentences.append(phrase("Never two cups to make up for one."))
    return tuple(sentences)


def _left_there(had: Stop | None) -> Iterator[Phrase]:
    for take in had.takes if had else ():
        if take.got_from != "station":
            yield phrase("Leave the {item} planned there.", item=_ours(take.name))


def late_says(minutes: int, *, carries: bool, hotter: bool, in_hand: bool) -> Sentences:
    """Return what to do when the start is late; `hotter` where no goal time may stand any more."""
    return (
        phrase("Start {minutes} minutes late?", minutes=minutes),
        *([phrase("Keep your race food for the race.")] if carries else []),
        *([phrase("It may be hotter: start slower.")] if hotter else []),
        phrase("Then go as planned.") if in_hand else BY_LIST,
    )


def hotter_says(*, in_hand: bool) -> Sentences:
    eats = phrase("Eat as planned.") if in_hand else EAT_BY_LIST
    return (phrase("Much hotter?"), phrase("Start slower."), phrase("Let thirst lead."), eats)


def _taken(take: Take, stop: Stop) -> Phrase:
    if stop.station:
        return phrase(_TAKEN[take.amount], item=_ours(take.name), place=stop.station)
    return phrase(
        "Take your {item} at km {km}.", item=_ours(take.name), km=rounded_number(stop.at_m / 1000, 1)
    )


def _ours(item: str) -> Name:
    """Return the name of an item, which may be ours."""
    return Name(name=item, kind="")
