"""What stands in the files of a case, read together: every fault of all of them is told at once."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import NamedTuple

from provand.case.ageing import ageing
from provand.case.case import Case
from provand.case.door import in_folder, read_case, read_health
from provand.case.health import Health
from provand.finding import BadInput, Finding
from provand.plan.protocols import protocols_of
from provand.protocol.own import Protocols
from provand.safety.screening import screen

PAST = ["race.past"]


class CaseFiles(NamedTuple):
    """A case, the health answers beside it, and its protocols."""

    case: Case
    health: Health | None
    protocols: Protocols


def case_files(path: Path, as_of: date) -> CaseFiles:
    """Read a case with its answers and protocols.

    BadInput carries the faults of every file; where the race is over, also what has aged since.
    """
    faults: list[Finding] = []
    case: Case | None = None
    health: Health | None = None
    protocols: Protocols | None = None
    try:
        case = read_case(path, as_of=as_of)
    except BadInput as error:
        faults.extend(error.findings)
        if [fault.code for fault in faults] == PAST:
            case = read_case(path, as_of=as_of, past=True)
    try:
        health = read_health(path, of=case)
    except BadInput as error:
        faults.extend(error.findings)
    if case is None:
        raise BadInput(*faults)
    try:
        protocols = protocols_of(case, in_folder(path.parent), as_of=as_of)
    except BadInput as error:
        faults.extend(error.findings)
    if faults or protocols is None:
        is_past = [fault.code for fault in faults] == PAST
        aged = (*ageing(case, as_of), *screen(case, health, as_of=as_of)[1]) if is_past else ()
        raise BadInput(*faults, *aged)
    return CaseFiles(case, health, protocols)
