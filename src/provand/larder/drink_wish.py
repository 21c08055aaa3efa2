"""What is wished of a drink: how strong, how much, mixed from what."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from provand.record import Record

How = Literal["added to", "made up to"]


def _number(doc: str, low: float, high: float) -> float | None:
    made: float | None = Field(default=None, description=doc, json_schema_extra={"bounds": [low, high]})
    return made


class DrinkWish(Record):
    """What is wished of a drink: strengths of the finished drink, its volume, what is in the cupboard."""

    carb_g_per_l: float | None = _number("carbohydrate of the finished drink", 0, 700)
    fructose_ratio: float | None = _number("fructose to 1 of glucose", 0, 3)
    sodium_mg_per_l: float | None = _number("sodium of the finished drink", 0, 5000)
    volume_ml: float = Field(
        description="the water measured, or the mark filled up to", json_schema_extra={"bounds": [50, 30_000]}
    )
    how: How = Field(default="added to", description="added to so much water, or made up to so much drink")
    sources: tuple[str, ...] = Field(min_length=1, description="ids of what goes in, as sugar and salt")
