"""A case as typed, changed in memory and read again by the door."""

from __future__ import annotations

import tomllib
from datetime import date
from typing import Any

import pytest
import tomlkit
from starter_case import SRC, STARTER_TEXT, TODAY

from provand.case.case import Case
from provand.case.change import apply, change_of
from provand.case.door import case_of, in_folder
from provand.case.intake import Intake
from provand.case.typed import plain
from provand.finding import BadInput

SCHEDULE = (
    Intake(item="gel-25", at_m=5000.0, got_from="pocket"),
    Intake(item="water", amount="half", at_m=5000.0, got_from="station", station="Mill"),
    Intake(item="gel-25", at_m=12_300.0),
    Intake(item="sports-drink", amount="cup", at_m=10_000.0, got_from="station", station="Bridge"),
)
"""A schedule of the starter case, made by hand."""


def read(data: Any, *, as_of: date = TODAY) -> Case:
    return case_of(plain(data), beside=in_folder(SRC / "case"), as_of=as_of)


def change(
    kind: str, *, text: str = STARTER_TEXT, schedule: tuple[Intake, ...] = SCHEDULE, **fields: Any
) -> tuple[Case, str, str]:
    """Return the case after one change of a case file's text, the sentence, and the text of the new file."""
    document = tomlkit.parse(text)
    one = change_of({"kind": kind, **fields})
    changed = apply(one, document, read(document), anchor=schedule)
    as_data = apply(one, tomllib.loads(text), read(document), anchor=schedule)
    assert document.as_string() == text
    assert plain(changed.typed) == as_data.typed
    return read(changed.typed), changed.sentence, changed.typed.as_string()  # type: ignore[attr-defined]


def refused(kind: str, *, text: str = STARTER_TEXT, **fields: Any) -> str:
    """Return what is said of a change that cannot be."""
    with pytest.raises(BadInput) as error:
        change(kind, text=text, **fields)
    return str(error.value)
