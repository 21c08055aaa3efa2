"""A ledger for tests, and plans made by hand, so that issuing needs no solver."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import answered
from plans import a_case, a_plan, cleared

from provand.case.case import Case
from provand.case.health import Answer, Health, Medicine
from provand.pack import made as making
from provand.pack.write import Piece
from provand.plan.document import Cleared, Line, Plan
from provand.protocol.own import shipped
from provand.safety.screening import Screening
from provand.workspace import actions
from provand.workspace.ledger import Ledger
from provand.workspace.records import Issued, Recipient, Snapshot

BY = "Ines Halloway"
CASE_FILE = Path("tove.toml")
AS_OF = date(2026, 11, 25)
TOVE = Recipient(person="Tove Askerby", role="athlete")
CREW = Recipient(person="Odd Rask", role="crew")
GUIDE = Recipient(person="Siv Lund", role="guide")


def a_snapshot(typed: str = "air_temp = '18 to 24 C'\n", **changes: Any) -> Snapshot:
    """Return an invented case as it stands in a file; the text is not what the case was read from."""
    return Snapshot(typed=typed, case=a_case(**changes))


def pinned(at_km: int, typed: str = "") -> Snapshot:
    """Return a case whose plan differs from the others': a first race only counts in its words."""
    case = a_case()
    athlete = case.athlete.model_copy(update={"training_km_per_week": float(at_km)})
    return Snapshot(
        typed=typed or f"training = '{at_km} km'\n", case=case.model_copy(update={"athlete": athlete})
    )


def answers(
    *changed: Answer, medicines: Sequence[Medicine] = (), case: Case | None = None, **more: Any
) -> Health:
    """Return answers of the invented athlete: no to every question, some of them changed."""
    person = (case or a_case()).athlete
    whole = answered.health_of(*changed, medicines=medicines)
    named = {"athlete": person.name, "born": person.born}
    own = {
        kind: tuple(one.model_copy(update={"by": person.name}) for one in getattr(whole, kind))
        for kind in ("answers", "medicines")
    }
    return whole.model_copy(update={**named, **own, **more})


def drawn_by_hand(case: Case, screening: Screening, **_: Any) -> Plan:
    """Return a plan as made by hand, under a screening."""
    return a_plan(case, withheld=screening.withheld)


def cleared_by_hand(plan: Plan, *_: object) -> Cleared:
    return cleared(plan)


def by_hand(patch: Any) -> None:
    """Let the actions draw up plans by hand."""
    patch.setattr(making, "draw_up", drawn_by_hand)
    for module in (making, actions):
        patch.setattr(module, "clear", cleared_by_hand)


def issued(
    ledger: Ledger,
    out: Path,
    *,
    snapshot: Snapshot | None = None,
    to: Sequence[Recipient] = (TOVE,),
    pieces: Sequence[Piece] = ("calendar",),
    health: Health | None = None,
) -> Issued:
    return actions.issue(
        ledger,
        snapshot=snapshot or a_snapshot(),
        health=health or answers(),
        protocols=shipped("position-stands"),
        to=to,
        out=out,
        by=BY,
        as_of=AS_OF,
        pieces=pieces,
    )


def without_breakfast(plan: Plan) -> Plan:
    """Return a plan whose morning has one line less."""
    morning: tuple[Line, ...] = tuple(line for line in plan.morning if line.title != "Breakfast")
    return plan.model_copy(update={"morning": morning})


def later(case: Case, days: int) -> Case:
    race = case.race.model_copy(update={"gun": case.race.gun + timedelta(days=days)})
    return case.model_copy(update={"race": race})


def rows(ledger: Ledger) -> dict[str, int]:
    """Return how many rows each table has, as another program reads the file."""
    with closing(sqlite3.connect(ledger.path)) as file:
        found = file.execute(
            "SELECT name FROM sqlite_master WHERE name LIKE 'workspace_%' AND type = 'table'"
        )
        return {
            name: file.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for (name,) in found.fetchall()
        }


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()} if folder.exists() else {}


@contextmanager
def unchanged(ledger: Ledger, out: Path, *, but: Sequence[str] = ()) -> Iterator[None]:
    """Hold that rows and files are afterwards as before, and that nothing lies about beside them."""
    before = rows(ledger), contents(out)
    yield
    after = rows(ledger), contents(out)
    left_out = {f"workspace_{name}" for name in but}
    assert {k: v for k, v in after[0].items() if k not in left_out} == {
        k: v for k, v in before[0].items() if k not in left_out
    }
    assert after[1] == before[1]
    strays = [path.name for folder in {out.parent, ledger.path.parent} for path in folder.iterdir()]
    assert not [name for name in strays if name.startswith(".") or ".placing-" in name]
