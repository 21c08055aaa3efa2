"""A practitioner's own head and words on paper: lines under the name, a colour, a few own sentences."""

from __future__ import annotations

import re
from collections.abc import Iterator

from provand.case.case import Practitioner
from provand.finding import Finding, find

MOST_LINES, LONGEST_LINE = 3, 90
LEAST_CONTRAST = 4.5
"""Of words on white paper: WCAG 2.2, success criterion 1.4.3."""
COLOUR = re.compile(r"#[0-9a-fA-F]{6}")
DOSE = re.compile(
    r"\d[\d.,]*\s*(?:(?:k?g|mg|[mcd]?l|lit(?:re|er)s?|k?cal|kj|oz|lb|grams?|kilos?|mmol|cups?|bottles?)\b|%)",
    re.IGNORECASE,
)
"""A number with a unit of food or drink: it belongs into the plan, where it is held to limits."""

DRINKING = re.compile(
    r"\b(?:drink\w*|sip\w*|water|fluids?|hydrat\w*|beb\w+|agua|hidrat\w*|trink\w*|wasser|boi[st]|boire|eau)\b|شرب|ماء",
    re.IGNORECASE,
)
"""Words of drinking: the line about thirst is the plan's, and nothing beside it may order or forbid."""


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour such as `#97164e`, from 0 to 1 (WCAG 2.2)."""

    def linear(channel: int) -> float:
        part = channel / 255
        return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(int(colour[at : at + 2], 16)) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_on_white(colour: str) -> float:
    """Return the contrast of a colour on white paper, from 1 to 21 (WCAG 2.2)."""
    return 1.05 / (luminance(colour) + 0.05)


def _darkened(colour: str) -> str:
    """Return the lightest colour of the same kind that can be read on white."""
    channels = [int(colour[at : at + 2], 16) for at in (1, 3, 5)]
    for share in range(99, -1, -1):
        darker = "#" + "".join(f"{channel * share // 100:02x}" for channel in channels)
        if contrast_on_white(darker) >= LEAST_CONTRAST:
            return darker
    raise AssertionError("black can be read on white")


def check_practitioner(practitioner: Practitioner) -> Iterator[Finding]:
    """Yield what cannot stand in a letterhead: too many lines, a pale colour, a dose in one's own words."""
    lines = practitioner.letterhead
    if len(lines) > MOST_LINES:
        yield find("letterhead.lines", "practitioner.letterhead", count=len(lines), most=MOST_LINES)
    for number, line in enumerate(lines, 1):
        if len(line) > LONGEST_LINE:
            about = f"practitioner.letterhead[{number}]"
            yield find("letterhead.long", about, count=len(line), most=LONGEST_LINE)
    if practitioner.colour:
        yield from _colour(practitioner.colour)
    if told := DOSE.search(practitioner.says):
        yield find("letterhead.dose", "practitioner.says", dose=told[0].strip())
    elif told := DRINKING.search(practitioner.says):
        yield find("letterhead.drinking", "practitioner.says", word=told[0])


def _colour(colour: str) -> Iterator[Finding]:
    if not COLOUR.fullmatch(colour):
        yield find("letterhead.colour", "practitioner.colour", text=colour)
    elif contrast_on_white(colour) < LEAST_CONTRAST:
        yield find(
            "letterhead.pale",
            "practitioner.colour",
            text=colour,
            contrast=f"{contrast_on_white(colour):.1f}",
            least=f"{LEAST_CONTRAST:g}",
            darker=_darkened(colour),
        )
