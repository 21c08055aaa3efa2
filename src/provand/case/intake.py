"""One thing eaten or drunk, at one place or time; a schedule is a tuple of them."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal, Self

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


def as_typed(intake: Intake) -> dict[str, Any]:
    """Return an intake as it is typed in a case file; what is taken when left out is left out."""
    row: dict[str, Any] = {"item": intake.item, **_moment(intake)}
    if intake.portion_frac != 1:
        row["portion"] = intake.portion_frac
    for name, usual in (("amount", "whole"), ("got_from", "pocket"), ("station", "")):
        if getattr(intake, name) != usual:
            row[name] = getattr(intake, name)
    return row


def _moment(intake: Intake) -> dict[str, Any]:
    if intake.at_m is not None:
        return {"at": place_as_typed(intake.at_m)}
    if intake.at_elapsed_s is not None:
        return {"at_elapsed": f"{intake.at_elapsed_s:.4f} s"}
    return {"at_clock": intake.at_clock}


def place_as_typed(at_m: float) -> str:
    """Return a place as it is typed: `4.2 km`, or in metres where that would not be exact."""
    if at_m % 100 == 0:
        return f"{at_m / 1000:.1f} km"
    return f"{at_m:.0f} m" if at_m == round(at_m) else f"{at_m:.4f} m"
