"""The packs of sixty athletes as one job of the workspace, beside as many packs in a bare loop."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from importlib.resources import files
from pathlib import Path

from django.conf import settings
from measure import Ratio

from provand.case.door import health_of
from provand.case.files import toml_in
from provand.pack.made import made
from provand.pack.pieces import DEFAULT
from provand.workspace import actions, at_work, jobs, people, plans
from provand.workspace import desk as desks
from provand.workspace.kinds import WORK
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.models import Desk, Issue, User

DAY = date(2026, 11, 25)
ATHLETES = 60
NAME = "Alex Sample"
LIMIT = 1.25


def many_packs(build: Path) -> list[Ratio]:
    """Return what a job of sixty issues costs beside making sixty packs one after another and keeping none.

    Each is done once: it takes minutes, and sixty of a kind even out.
    """
    with _ledger(build) as (ledger, alba):
        started = [_race_file(ledger, alba, number) for number in range(ATHLETES)]
        bare_s = _bare_s(started)
        start_s = time.perf_counter()
        given = {"pieces": list(DEFAULT)}
        job = jobs.begun(ledger, kind="issue", desks=started, given=given, by=alba, on=DAY)
        at_work.let_work(ledger, job, WORK)
        assert at_work.waited(most_s=3600)
        job_s = time.perf_counter() - start_s
        assert Issue.objects.count() == ATHLETES
    return [Ratio("60 packs as one job", job_s / bare_s, "60 packs made in a bare loop", LIMIT)]


def _bare_s(started: list[Desk]) -> float:
    start_s = time.perf_counter()
    for desk in started:
        basis = plans.basis_of(desk, plans.case_at(desk, as_of=DAY), as_of=DAY)
        made(basis.case, basis.screening, protocols=basis.protocols, as_of=DAY, pieces=DEFAULT)
    return time.perf_counter() - start_s


def _race_file(ledger: Ledger, by: User, number: int) -> Desk:
    """Return a race file of an invented athlete: the starter's case and answers under another name."""
    name = f"Runner {number} (invented)"
    texts = [
        files("provand.case").joinpath(file).read_text("utf-8").replace(NAME, name)
        for file in ("starter.toml", "starter.health.toml")
    ]
    desk = desks.opened(ledger, by=by, typed=texts[0])
    case = plans.case_at(desk, as_of=DAY)
    desks.settled(ledger, desk=desk, case=case, sentence=desks.TYPED, by=by)
    health = health_of(toml_in(texts[1].encode("utf-8"), "health"), name="health")
    actions.health_noted(ledger, case=case, health=health, by=by.name, as_of=DAY)
    return Desk.objects.get(pk=desk.pk)


@contextmanager
def _ledger(build: Path) -> Iterator[tuple[Ledger, User]]:
    """Yield a new ledger with somebody in it; the environment names it as long as it is open."""
    build.mkdir(parents=True, exist_ok=True)
    path = build / "many.sqlite3"
    for old in build.glob("many.sqlite3*"):
        if old.is_file():
            old.unlink()
    before = os.environ.get("PROVAND_LEDGER"), settings.PASSWORD_HASHERS
    os.environ["PROVAND_LEDGER"] = str(path)
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    try:
        with open_ledger(path) as ledger:
            alba = people.first_start(
                ledger,
                practice="Invented",
                contact="",
                name="Alba Inventada",
                passphrase="four invented words",
            )
            yield ledger, alba
    finally:
        settings.PASSWORD_HASHERS = before[1]
        if before[0] is None:
            del os.environ["PROVAND_LEDGER"]
        else:
            os.environ["PROVAND_LEDGER"] = before[0]
