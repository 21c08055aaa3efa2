"""What alters a case: a closed union of changes, each edits as typed and a sentence in plain words.

A change edits the document that people type, never the case: the door reads it again and stays the only
reader. So a change that the door refuses changes nothing, and undo is the document before.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, NamedTuple

from pydantic import Field, TypeAdapter, ValidationError

from provand.case.by_hand import Ban, Edit, Lift, Override, Unban
from provand.case.case import Case
from provand.case.happened import Forecast, Goal, StationServes, Wave
from provand.case.intake import Intake, as_typed
from provand.case.scene import Made, Scene
from provand.case.typed import Document, Step, drop, edited, plain, put
from provand.finding import BadInput, find

__all__ = [
    "Ban",
    "Change",
    "Changed",
    "Edit",
    "Forecast",
    "Goal",
    "Lift",
    "Override",
    "StationServes",
    "Unban",
    "Wave",
    "apply",
    "change_of",
]

Change = Annotated[
    Forecast | Goal | Wave | StationServes | Ban | Unban | Edit | Override | Lift,
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
    steps = (*made.steps, *_schedule_steps(made, plain(typed).get("wishes", {}), anchor))
    return Changed(edited(typed, steps), made.sentence)


def _schedule_steps(made: Made, wishes: Any, anchor: tuple[Intake, ...]) -> Iterator[Step]:
    """Yield how the schedule goes on: the old one as anchor."""
    if anchor:
        yield put("wishes.anchor", [as_typed(intake) for intake in anchor])
    elif "anchor" in wishes:
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
