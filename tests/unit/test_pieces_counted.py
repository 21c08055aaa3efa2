"""How many of a thing are taken, as an athlete reads it: nothing is rounded away."""

from __future__ import annotations

import pytest
from plans import a_plan

from provand.pack.voice import take_words
from provand.plan.document import Take


def taken(portion: float) -> str:
    plan = a_plan()
    (gel, *_) = (take for stop in plan.race.stops for take in stop.takes if take.texture == "gel")
    return take_words(Take.model_validate(gel.model_dump() | {"portion_frac": portion}), plan.case)


@pytest.mark.parametrize(
    ("portion", "said"),
    [
        (1, "lemon gel"),
        (0.125, "⅛ lemon gel"),
        (1 / 3, "⅓ lemon gel"),
        (0.5, "½ lemon gel"),
        (0.875, "⅞ lemon gel"),
        (0.2, "0.2 lemon gel"),
        (2, "2 × lemon gel"),
        (1.75, "1¾ × lemon gel"),
    ],
)
def test_a_part_is_said_as_the_fraction_it_is(portion: float, said: str) -> None:
    assert taken(portion) == said
