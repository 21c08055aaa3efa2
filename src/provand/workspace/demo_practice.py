"""The demo practice: the invented cases that the program carries, each as a race file with its answers."""

from __future__ import annotations

from datetime import date
from importlib.resources import as_file, files

from provand.case.door import read_health
from provand.finding import BadInput
from provand.workspace import access, actions
from provand.workspace import desk as desks
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, User

CASES = ("warm-hills", "club-runner", "first-timer", "on-hold", "treated-pressure")
COURSE = "course.gpx"


def demo_loaded(ledger: Ledger, *, by: User, today: date) -> list[Desk]:
    """Open a race file for each invented case, keep its answers, and return the race files.

    An invented athlete who is here already is left as they are.
    """
    made = []
    for name in CASES:
        folder = files("provand").joinpath("demo", name)
        with as_file(folder.joinpath("case.toml")) as path:
            health = read_health(path)
        if health is None or access.athlete(health.athlete, health.born) is not None:
            continue
        desk = desks.opened(ledger, by=by, typed=folder.joinpath("case.toml").read_text("utf-8"))
        course = folder.joinpath(COURSE)
        if course.is_file():
            desk = desks.attached(
                ledger,
                desk=desk,
                revision=desk.revision,
                key="course.gpx",
                name=COURSE,
                data=course.read_bytes(),
                by=by,
            )
        read = desks.read(desk, as_of=today)
        if read.case is None:
            raise BadInput(*read.faults)
        desks.settled(ledger, desk=desk, case=read.case, sentence=desks.TYPED, by=by)
        actions.health_noted(ledger, case=read.case, health=health, by=by.name, as_of=today)
        made.append(desk)
    return made
