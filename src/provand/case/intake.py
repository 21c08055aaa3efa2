"""One thing eaten or drunk, at one place or time; a schedule is a tuple of them."""

from __future__ import annotations

from datetime import datetime
from typing import Literal, Self

from pydantic import Field, model_validator

from provand.case.fields import number, optional, text
from provand.record import Record

Source = Literal["pocket", "station", "bag", "crew", "table"]
Amount = Literal["whole", "cup", "half", "mouthful", "rinse"]


class Intake(Record):
    """An item at a place along the course, at an elapsed time, or at a clock time: exactly one of them.

    Its list says whether it is planned, pinned or eaten. `portion_frac` counts packs (2.0 is two, 0.5 half
    of one); for something poured into a cup, `amount` says how much of the cup.
    """

    item: str = text("id of the item", longest=40)
    portion_frac: float = number("how many packs, or which part of one", 0.05, 20, default=1.0)
    amount: Amount = Field(default="whole", description="whole, or for a cup: cup, half, mouthful, rinse")
    at_m: float | None = optional("place along the course", 0, 1_000_000)
    at_elapsed_s: float | None = optional("time since the own start", 0, 1_000_000)
    at_clock: datetime | None = Field(default=None, description="clock time, with its zone offset")
    got_from: Source = Field(default="pocket", description="pocket, station, bag, crew or table")
    station: str = text("name of the station it comes from", default="")

    @model_validator(mode="after")
    def _one_moment(self) -> Self:
        if sum(moment is not None for moment in (self.at_m, self.at_elapsed_s, self.at_clock)) != 1:
            raise ValueError("an intake needs exactly one of at (place), at_elapsed and at_clock")
        return self
