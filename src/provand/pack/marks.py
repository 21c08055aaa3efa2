"""The marks of what is taken, drawn by us on a square of 16 units; no line under 1.3 units."""

from __future__ import annotations

from typing import Literal, NamedTuple

UNITS = 16


class Stroke(NamedTuple):
    """One path of a mark: filled, or drawn as a line of that many units."""

    kind: Literal["fill", "line"]
    path: str
    units: float = 0.0


_CUP = "M3 1.6H13L11.7 14.4H4.3Z"
_FLASK = (
    "M6.2 4.2H9.8C9.8 5.6 12.6 6.4 12.6 9.2V13.4Q12.6 14.7 11.3 14.7H4.7Q3.4 14.7 3.4 13.4V9.2"
    "C3.4 6.4 6.2 5.6 6.2 4.2Z"
)

MARKS: dict[str, tuple[Stroke, ...]] = {
    # a packet with crimped ends, a drop left open
    "gel": (
        Stroke(
            "fill",
            "M3.4 2.9 5 .8 6.5 2.5 8 .8 9.5 2.5 11 .8 12.6 2.9V13.1"
            "L11 15.2 9.5 13.5 8 15.2 6.5 13.5 5 15.2 3.4 13.1Z"
            "M8 4.6C6.8 6.4 5.7 7.6 5.7 9.1A2.3 2.3 0 0 0 10.3 9.1C10.3 7.6 9.2 6.4 8 4.6Z",
        ),
    ),
    # an open cup, one wave
    "water": (Stroke("line", _CUP, 1.5), Stroke("line", "M3.7 6C5.2 4.7 6.6 4.9 8 6S10.8 7.3 12.3 6", 1.4)),
    # the same cup, filled
    "drink": (Stroke("line", _CUP, 1.5), Stroke("fill", "M3.5 5.4H12.5L11.7 14.4H4.3Z")),
    # two blocks, apart
    "chew": (Stroke("fill", "M1 8.2H7.6V14.8H1Z"), Stroke("fill", "M10.2 .8 15.4 3.4 12.8 8.6 7.6 6Z")),
    # three pieces in a row
    "solid": (Stroke("fill", "M.8 4H4.6V12H.8ZM6.1 4H9.9V12H6.1ZM11.4 4H15.2V12H11.4Z"),),
    # a round body, a cap, half full
    "flask": (
        Stroke("fill", "M5.6 .7H10.4V2.7H5.6Z"),
        Stroke("line", _FLASK, 1.4),
        Stroke("fill", "M3.4 9.4H12.6V13.4Q12.6 14.7 11.3 14.7H4.7Q3.4 14.7 3.4 13.4Z"),
    ),
    # two halves of one capsule
    "capsule": (
        Stroke("line", "M6.8 2.6A3.9 3.9 0 0 1 13.4 9.2L9.2 13.4A3.9 3.9 0 0 1 2.6 6.8Z", 1.4),
        Stroke("fill", "M6.8 2.6A3.9 3.9 0 0 1 13.4 9.2L11.2 11.3 4.7 4.8Z"),
    ),
    # a bean; only after an item
    "caffeine": (
        Stroke(
            "fill",
            "M2.3 13.7C-.4 11 1 6 4.5 3.2S12.1-.2 14 2.2C16.4 5 15 9.7 11.6 12.7S4.6 16 2.3 13.7Z"
            "M3.2 12.9C5.4 12.7 6 10.7 7.6 9.2S12.4 7.2 13.4 3C11.2 3.4 10.6 5.2 8.8 6.8S4 8.6 3.2 12.9Z",
        ),
    ),
    # an open drop, an arrow out
    "rinse": (
        Stroke("line", "M5.6 1.8C4 4.6 1.6 7.2 1.6 10.2A4 4 0 0 0 9.6 10.2C9.6 7.2 7.2 4.6 5.6 1.8Z", 1.5),
        Stroke("line", "M9.4 4.6H14.6M12.2 2.2 14.7 4.6 12.2 7", 1.5),
    ),
    # a hatched square
    "hold": (
        Stroke("line", "M1.2 1.2H14.8V14.8H1.2Z", 1.5),
        Stroke("line", "M1.4 7.8 7.8 1.4M1.4 14.2 14.2 1.4M8 14.6 14.6 8", 1.5),
    ),
}  # fmt: skip
"""Every mark by name, as paths on the square; filled paths leave open what they cover twice."""
