"""A full practice beside the emptiest one: 500 athletes, 2,000 races, 10,000 issues; each page's median."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from time import perf_counter
from typing import NamedTuple

from django.conf import settings
from django.test import Client
from measure import Ratio, medians_s

from provand.record import SYMBOLS
from provand.workspace import access, people
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.models import (
    Athlete,
    Audit,
    CaseVersion,
    Desk,
    Holder,
    Issue,
    PlanText,
    Race,
    Share,
    User,
)
from provand.workspace.web import application

DAY = date(2026, 11, 25)
ATHLETES, RACES, ISSUES = 500, 4, 5
"""Athletes; races of each; issues of each race."""
ROUNDS = 9
SYLLABLES = ("Al", "Ber", "Cor", "Dun", "El", "Fen", "Gil", "Har", "In", "Jor", "Kel", "Lor", "Mar", "Nel")
PAGE_LIMIT, SEARCH_LIMIT = 2.0, 3.0


class Practice(NamedTuple):
    """A ledger, somebody signed in, and the addresses of its pages by name."""

    ledger: Ledger
    client: Client
    pages: dict[str, str]


def _name(number: int) -> str:
    """Return an invented name for each number."""
    first, rest = divmod(number, len(SYLLABLES))
    return f"{SYLLABLES[rest]}{SYLLABLES[first % len(SYLLABLES)].lower()} Inventada {number}"


def _code(number: int) -> str:
    symbols = []
    for _ in range(8):
        number, place = divmod(number, len(SYMBOLS))
        symbols.append(SYMBOLS[place])
    return "".join(symbols[:4]) + "-" + "".join(symbols[4:])


def filled(user: User, *, athletes: int = ATHLETES) -> None:
    """Add invented athletes, races and issues, as copies of the demo's first case under other names."""
    pattern = CaseVersion.objects.order_by("id").first()
    desk = Desk.objects.order_by("race_day").first()
    assert pattern is not None
    assert desk is not None
    audit = Audit.objects.create(
        key="filled",
        at=datetime.now(UTC),
        by=user.name,
        what="filled",
        says="an invented practice",
        program="",
    )
    people_made = Athlete.objects.bulk_create(
        Athlete(audit=audit, name=_name(n), name_key=access.key_of(_name(n)), born=date(1980, 1, 1))
        for n in range(athletes)
    )
    Share.objects.bulk_create(Share(audit=audit, athlete=one, user=user, kind="own") for one in people_made)
    races = Race.objects.bulk_create(
        Race(
            audit=audit, athlete=one, name=f"Race {k} (invented)", name_key=f"race {k} (invented)", year=2026
        )
        for one in people_made
        for k in range(RACES)
    )
    cases = CaseVersion.objects.bulk_create(_cases(audit, pattern, races))
    Desk.objects.bulk_create(_desks(user, desk, races, cases))
    _issued(audit, races, cases)


def _cases(audit: Audit, pattern: CaseVersion, races: list[Race]) -> Iterator[CaseVersion]:
    for number, race in enumerate(races):
        yield CaseVersion(
            audit=audit, race=race, n=1, format=pattern.format, text=pattern.text, typed=pattern.typed,
            typed_digest=f"{number:064x}", code=_code(number), race_day=pattern.race_day,
            sentence="The race file as typed.",
        )  # fmt: skip


def _desks(user: User, pattern: Desk, races: list[Race], cases: list[CaseVersion]) -> Iterator[Desk]:
    for number, (race, case) in enumerate(zip(races, cases, strict=True)):
        title = f"{race.athlete.name}, {race.name}"
        yield Desk(
            owner=user, athlete=race.athlete, race=race, standing=case, typed=pattern.typed, revision=1,
            changed_by=user, changed_at=datetime.now(UTC), title=title, title_key=access.key_of(title),
            race_day=DAY + timedelta(days=number % 365 - 30),
        )  # fmt: skip


def _issued(audit: Audit, races: list[Race], cases: list[CaseVersion]) -> None:
    before: list[Issue | None] = [None] * len(races)
    for n in range(1, ISSUES + 1):
        plans = PlanText.objects.bulk_create(
            PlanText(audit=audit, code=_code(10**6 * n + k), format="provand.plan/1", text="{}")
            for k in range(len(races))
        )
        made = Issue.objects.bulk_create(
            Issue(
                audit=audit, race=race, n=n, plan=plan, case=case, screening="{}", as_of=DAY, supersedes=last,
                difference="", for_holders="",
            )
            for race, case, plan, last in zip(races, cases, plans, before, strict=True)
        )  # fmt: skip
        before = list(made)
    Holder.objects.bulk_create(
        Holder(
            audit=audit, race=one.race, issue=one, person=one.race.athlete.name,
            person_key=one.race.athlete.name_key, role="athlete",
        )
        for one in before
        if one is not None
    )  # fmt: skip


def practice(folder: Path, name: str, *, full: bool) -> Practice:
    """Return a practice with the demo's athletes, and with a great many more where it is full."""
    os.environ["PROVAND_LEDGER"] = str(folder / f"{name}.sqlite3")
    os.environ["PROVAND_TODAY"] = DAY.isoformat()
    Path(os.environ["PROVAND_LEDGER"]).unlink(missing_ok=True)
    ledger = open_ledger()
    user = people.first_start(
        ledger,
        practice="Invented practice",
        contact="",
        name="Alba Inventada",
        passphrase="long invented words",
    )
    demo_loaded(ledger, by=user, today=DAY)
    if full:
        with ledger.writing():
            filled(user)
    application(ledger)
    settings.SECRET_KEY = "one secret for both practices"
    client = Client(HTTP_HOST="localhost")
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    desk = Desk.objects.filter(title__startswith="Imke").get()
    pages = {
        "the day": "/",
        "athletes": "/athletes",
        "an athlete": f"/athletes/{desk.athlete_id}",
        "a race file": f"/files/{desk.pk}",
        "a plan": f"/files/{desk.pk}/plan",
        "issuing": f"/files/{desk.pk}/issue",
        "notes": f"/athletes/{desk.athlete_id}/notes",
        "search": "/find?q=imk",
    }
    return Practice(ledger, client, pages)


def _visit(one: Practice, page: str) -> float:
    os.environ["PROVAND_LEDGER"] = str(one.ledger.path)
    with one.ledger.reading():
        start_s = perf_counter()
        answer = one.client.get(one.pages[page])
        taken_s = perf_counter() - start_s
    assert answer.status_code == 200, (page, answer.status_code)
    return taken_s


def full_practice(folder: Path) -> list[Ratio]:
    """Return each page's median in a full practice, beside the same page in the emptiest."""
    folder.mkdir(parents=True, exist_ok=True)
    small, large = practice(folder, "small", full=False), practice(folder, "large", full=True)
    ratios = []
    for page in small.pages:
        tasks: dict[str, Callable[[], float]] = {
            "large": lambda page=page: _visit(large, page),  # type: ignore[misc]
            "small": lambda page=page: _visit(small, page),  # type: ignore[misc]
        }
        taken_s = medians_s(tasks, ROUNDS)
        limit = SEARCH_LIMIT if page == "search" else PAGE_LIMIT
        of = f"{ATHLETES} athletes, {ATHLETES * RACES:,} races, {ATHLETES * RACES * ISSUES:,} issues"
        ratios.append(
            Ratio(f"{page}, {of}", taken_s["large"] / taken_s["small"], "the same page, five athletes", limit)
        )
    return ratios
