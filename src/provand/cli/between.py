"""`differs`: what lies between two plans, each made anew from its case file or read back from its own."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Literal

from provand.case.files import read_bytes
from provand.cli import say
from provand.cli.food import cleared_plan
from provand.plan.difference import difference
from provand.plan.document import Plan, read_plan

MAX_PLAN_BYTES = 20_000_000


def differs(
    old: Path, new: Path, as_of: date, *, reader: Literal["practitioner", "holder"], as_json: bool
) -> None:
    """Print what differs, in sentences; with `as_json` causes and effects whole."""
    found = difference(_plan_in(old, as_of), _plan_in(new, as_of))
    if as_json:
        say.data(found.model_dump(mode="json"))
        return
    print("\n".join(found.for_holder() if reader == "holder" else found.for_practitioner()))


def _plan_in(path: Path, as_of: date) -> Plan:
    """Return the plan of a case file, cleared, or the plan that a plan file holds."""
    if path.suffix.lower() == ".json":
        return read_plan(read_bytes(path, most=MAX_PLAN_BYTES), path.name)
    return cleared_plan(path, as_of)
