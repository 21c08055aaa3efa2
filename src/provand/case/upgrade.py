"""Files of older formats, brought up to date as they are read: plain data in, plain data out.

A format is `KIND/NUMBER`. Each step makes the next number of the one before and touches nothing else. The
file itself stays as it is. A format newer than this program knows is refused in words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from provand.case.case import FORMAT as CASE
from provand.case.health import FORMAT as HEALTH
from provand.finding import BadInput, find

Step = Callable[[Mapping[str, Any]], dict[str, Any]]


def _health_2(data: Mapping[str, Any]) -> dict[str, Any]:
    """Letters, replies, releases, consents, scores, sodium tests and choices may stand from here on."""
    return dict(data)


STEPS: dict[str, tuple[Step, ...]] = {"provand.case": (), "provand.health": (_health_2,)}
"""By kind, the step to each format after the first."""

NEWEST = {"provand.case": CASE, "provand.health": HEALTH}


def upgrade(data: Mapping[str, Any], kind: str, name: str) -> dict[str, Any]:
    """Return the plain data of a file as the newest format of its kind; `name` is the file's.

    Data without a format counts as the newest. BadInput for the format of another kind of file, and for one
    newer than this program knows.
    """
    given = data.get("format", NEWEST[kind])
    newest, steps = NEWEST[kind], STEPS[kind]
    read = re.fullmatch(rf"{re.escape(kind)}/([1-9]\d{{0,5}})", given) if isinstance(given, str) else None
    if read is None:
        raise BadInput(find("file.other_format", f"{name}: format", given=str(given)[:60], allowed=newest))
    number = int(read[1])
    if number > len(steps) + 1:
        raise BadInput(find("file.newer", f"{name}: format", given=given, newest=newest))
    stepped = dict(data)
    for step in steps[number - 1 :]:
        stepped = step(stepped)
    return stepped | ({"format": newest} if "format" in data else {})
