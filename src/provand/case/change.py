"""What alters a case: a closed union of changes, each edits as typed and a sentence in plain words.

A change edits the document that people type, never the case: the door reads it again and stays the only
reader. So a change that the door refuses changes nothing, and undo is the document before.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, NamedTuple

from pydantic import Field, TypeAdapter, ValidationError

from provand.case.by_hand import Ban, Edit, Lift, Override, Unban
from provand.case.case import Case, Wishes
from provand.case.happened import CrewCannotReach, Delay, Forecast, Goal, Missing, StationServes, Wave
from provand.case.intake import Intake, as_typed
from provand.case.laid import Move, Pin, Solve, Swap, Unpin
from provand.case.menu_hand import LayMenu, Portions, StayFood, SwapFood
from provand.case.scene import Made, Scene
from provand.case.typed import Document, Step, drop, edited, plain, put
from provand.finding import BadInput, find

__all__ = [
    "Ban",
    "Change",
    "Changed",
    "CrewCannotReach",
    "Delay",
    "Edit",
    "Forecast",
    "Goal",
    "LayMenu",
    "Lift",
    "Missing",
    "Move",
    "Override",
    "Pin",
    "Portions",
    "Solve",
    "StationServes",
    "StayFood",
    "Swap",
    "SwapFood",
    "Unban",
    "Unpin",
    "Wave",
    "apply",
    "change_of",
]

Change = Annotated[
    Forecast
    | Goal
    | Delay
    | Wave
    | Missing
    | StationServes
    | CrewCannotReach
    | Pin
    | Unpin
    | Move
    | Swap
    | Solve
    | Ban
    | Unban
    | Edit
    | Override
    | Lift
    | LayMenu
    | Portions
    | SwapFood
    | StayFood,
    Field(discriminator="kind"),
]


class Changed(NamedTuple):
    """The document after a change, and the change in plain words."""

    typed: Document
    sentence: str


def apply(change: Change, typed: Document, case: Case, *, anchor: tuple[Intake, ...] = ()) -> Changed:
    """Return the document of a case with a change made; the given one stays as it is.

    `case` is what the door read of `typed`, `anchor` the schedule of its plan, which the next plan stays
    near. BadInput where the change cannot be; whether the new document can be read, the door says.
    """
    made = change.made(Scene(case, anchor))
    standing = plain(typed).get("wishes", {})
    steps = (*made.steps, *_schedule_steps(made, case.wishes, standing, anchor))
    solved = case.wishes.schedule == "as given" and made.follows == "near" and change.kind != "solve"
    told = f"{made.sentence} The schedule is solved again." if solved else made.sentence
    return Changed(edited(typed, steps), told)


def _schedule_steps(
    made: Made, wishes: Wishes, standing: Mapping[str, Any], anchor: tuple[Intake, ...]
) -> Iterator[Step]:
    """Yield how the schedule goes on: laid by hand, as given before, or solved with the old one as anchor."""
    is_as_it_was = made.follows == "as before" and wishes.schedule == "as given"
    if is_as_it_was or made.follows == "not touched":
        return
    if made.follows == "given":
        yield put("wishes.schedule", "as given")
        yield put("wishes.given", [as_typed(intake) for intake in made.given])
    else:
        yield from (drop(f"wishes.{key}") for key in ("schedule", "given") if key in standing)
    if anchor and made.follows in ("as before", "near"):
        yield put("wishes.anchor", [as_typed(intake) for intake in anchor])
    elif "anchor" in standing:
        yield drop("wishes.anchor")


def change_of(data: Any) -> Change:
    """Return the change that plain data describes; BadInput names the kind and the key that do not fit."""
    try:
        return TypeAdapter[Change](Change).validate_python(data)
    except ValidationError as error:
        raise BadInput(
            *(
                find(
                    "entry.impossible",
                    ".".join(str(part) for part in fault["loc"]),
                    problem=str(fault["msg"]),
                )
                for fault in error.errors()
            )
        ) from None
