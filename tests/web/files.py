"""Race files for the pages: an invented case of the library's own, its health entries, who may see it."""

from __future__ import annotations

from datetime import date
from importlib.resources import files

from practice import person

from provand.case.case import Case
from provand.case.door import health_of
from provand.case.files import toml_in
from provand.workspace import desk as desks
from provand.workspace.actions import health_noted
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, Share
from provand.workspace.trail import trail

AS_OF = date(2026, 11, 25)
STARTER = files("provand.case").joinpath("starter.toml").read_text("utf-8")
HEALTH = files("provand.case").joinpath("starter.health.toml").read_text("utf-8")


def race_file(
    ledger: Ledger, *, typed: str = STARTER, health: str = HEALTH, seen_by: tuple[str, ...] = ("Bo", "Dana")
) -> Desk:
    """Return a race file of Alba's, read and kept, its athlete's answers noted, shared with some."""
    alba = person("Alba")
    desk = desks.opened(ledger, by=alba, typed=typed)
    case = case_at(desk)
    desks.settled(ledger, desk=desk, case=case, sentence=desks.TYPED, by=alba)
    if health:
        noted = health_of(toml_in(health.encode(), "health"), name="health")
        health_noted(ledger, case=case, health=noted, by="Alba", as_of=AS_OF)
    desk = Desk.objects.get(pk=desk.pk)
    with ledger.writing():
        audit = trail("shared", "a test", by="Alba")
        for name in seen_by:
            Share.objects.create(audit=audit, athlete=desk.athlete, user=person(name), kind="shared")
    return desk


def case_at(desk: Desk) -> Case:
    """Return the case of a race file that the door reads."""
    read = desks.read(desk, as_of=AS_OF)
    assert read.case, read.faults
    return read.case


def spoilt(text: str, *pairs: tuple[str, str]) -> str:
    """Return a text with parts replaced, each of which must be there."""
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text
