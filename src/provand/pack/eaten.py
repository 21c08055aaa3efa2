"""What is eaten at a stop, for whatever rings or points the way: nothing that is drunk is named there."""

from __future__ import annotations

from provand.case.case import Case
from provand.pack.tongue import say
from provand.pack.voice import FLUID, FLUID_ELSEWHERE, MARK_WORDS, mark_of_texture, take_words
from provand.plan.document import Stop, Take

EATEN = ("gel", "chew", "solid", "capsule")
"""Textures that are no fluid; powder is drunk out of a bottle."""


def eaten_at(stop: Stop) -> tuple[Take, ...]:
    """Return what is eaten at a stop: no drink, no water, nothing that is spat out again."""
    return tuple(take for take in stop.takes if take.texture in EATEN and take.amount == "whole")


def eaten_words(takes: tuple[Take, ...], case: Case) -> str:
    """Return in words what is eaten; its kind stands for a name that sounds like a drink (`cola chews`)."""
    return " + ".join(_words(take, case) for take in takes)


def _words(take: Take, case: Case) -> str:
    words = take_words(take, case)
    return say(MARK_WORDS[mark_of_texture(take.texture)]) if names_fluid(words) else words


def names_fluid(text: str) -> bool:
    """Return whether a text names anything to drink; rather once too often."""
    return FLUID.search(text) is not None or FLUID_ELSEWHERE.search(text) is not None
