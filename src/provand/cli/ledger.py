"""`issue`, `held`, `whose`, `withdraw`, `undo`: commands that only translate between terminal and ledger."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path

from provand.case.case import Case
from provand.case.door import in_folder
from provand.case.files import MAX_TOML_BYTES, read_bytes, read_toml, text_in
from provand.cli import say
from provand.cli.packing import pieces_of
from provand.cli.reading import case_files
from provand.finding import BadInput, Level, OnHold, as_data, find
from provand.pack.write import write_files
from provand.workspace import actions, asked
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.records import (
    Act,
    Held,
    Holding,
    Issued,
    Noted,
    Recipient,
    Snapshot,
    Standing,
    StillHolds,
    Withdrawn,
)
from provand.workspace.times import moment

PERSON = re.compile(r"\s*(?P<person>[^()]*[^()\s])\s*\(\s*(?P<role>[^()]*[^()\s])\s*\)\s*")


def recipients(texts: Sequence[str]) -> tuple[Recipient, ...]:
    """Return whom pieces are given to, from texts such as `Imke Loam (athlete)`; BadInput for others."""
    read = {text: PERSON.fullmatch(text) for text in texts}
    wrong = [find("ledger.no_recipient", text) for text, found in read.items() if found is None]
    if wrong:
        raise BadInput(*wrong)
    found = (
        Recipient(**{k: " ".join(v.split()) for k, v in one.groupdict().items()})
        for one in read.values()
        if one
    )
    return tuple(dict.fromkeys(found))


# Issue.


def issue(
    path: Path,
    to: Sequence[str],
    out: Path,
    as_of: date,
    *,
    pieces: str | None,
    by: str | None,
    ledger: Path | None,
    as_json: bool,
) -> None:
    """Issue the plan of a case; on hold hand out the safety page alone, status 3."""
    wanted, people = pieces_of(pieces), recipients(to)
    read = case_files(path, as_of)
    typed = text_in(read_bytes(path, most=MAX_TOML_BYTES), path.name)
    maker = by or read.case.practitioner.name
    with open_ledger(ledger) as opened:
        try:
            issued = actions.issue(
                opened,
                snapshot=Snapshot(typed=typed, case=read.case),
                health=read.health,
                protocols=read.protocols,
                to=people,
                out=out,
                by=maker,
                as_of=as_of,
                pieces=wanted,
                beside=in_folder(path.parent),
            )
        except OnHold:
            _hand_safety(opened, read.case, people, out, maker, as_json=as_json)
            raise
    if as_json:
        say.data({**issued.model_dump(mode="json"), "findings": as_data(issued.findings)})
        return
    _tell_issued(issued)


def _hand_safety(
    ledger: Ledger, case: Case, to: Sequence[Recipient], out: Path, by: str, *, as_json: bool
) -> None:
    written = actions.safety_page_given(ledger, case=case, to=to, out=out, by=by)
    if not as_json:
        print(f"{out}: the safety page, and nothing else.")
        _list_files(written)


def _list_files(paths: Iterable[Path]) -> None:
    for path in paths:
        print(f"  {path}")


def _people(people: Iterable[Recipient]) -> str:
    return ", ".join(f"{one.person} ({one.role})" for one in people)


def _tell_issued(issued: Issued) -> None:
    head = "the same plan as before" if issued.unchanged else "issued"
    print(f"{issued.athlete}, {issued.race}: number {issued.n}, {issued.code}, {head}")
    if issued.given:
        print(f"  given to {_people(issued.given)}: {', '.join(issued.pieces)}")
    if issued.held_already:
        print(f"  held already by {_people(issued.held_already)}")
    if issued.former_n is not None:
        print(f"  number {issued.former_n}, {issued.former_code}, no longer counts")
        print("  what differs:")
        for line in issued.difference:
            print(f"    {line}")
    tell_noted(issued.noted)
    _tell_people(issued.tell, issued.for_holders)
    for finding in issued.findings:
        if finding.level in (Level.WARN, Level.WITHHELD) or finding.code.startswith("ledger."):
            print(f"  {finding.level.value}: {finding.line()}")
    _list_files(issued.files)


def tell_noted(noted: Noted) -> None:
    """Say which plans no longer stand after health entries were noted."""
    for one in noted.withdrawn:
        _tell_withdrawn(one)
        print(f"  Next: provand withdraw {one.code} --out FOLDER writes what goes with it.")


def _tell_people(people: Iterable[StillHolds], lines: Iterable[str] = ()) -> None:
    told = [
        f"{one.person} ({one.role}): {', '.join(one.pieces)} of number {one.n}, {one.code}" for one in people
    ]
    if not told:
        return
    print("  to be told, for they hold what no longer counts:")
    for line in told:
        print(f"    {line}")
    for line in lines:
        print(f"    > {line}")


# Withdraw.


def withdraw(
    code: str, out: Path, *, why: str | None, by: str | None, ledger: Path | None, as_json: bool
) -> None:
    """Withdraw the issue of a code; write the calendar that cancels, and the safety page."""
    with open_ledger(ledger) as opened:
        standing = asked.whose(opened, code).issues[0]
        gone: Withdrawn | None = None
        if standing.withdrawn is None:
            missing = [
                find("ledger.needed", name) for name, said in (("--why", why), ("--by", by)) if not said
            ]
            if missing:
                raise BadInput(*missing)
            gone = actions.withdraw(opened, code=standing.code, why=why or "", by=by or "")
        files = actions.taken_back(opened, code=standing.code, out=out, by=by or _by(standing))
    if as_json:
        withdrawn = gone.model_dump(mode="json") if gone else None
        say.data(
            {"withdrawn": withdrawn, "standing": _data(standing), "files": [str(path) for path in files]}
        )
        return
    if gone is None:
        print(_state(standing))
    else:
        _tell_withdrawn(gone)
    _list_files(files)


def _by(standing: Standing) -> str:
    return standing.withdrawn.by if standing.withdrawn else ""


def _tell_withdrawn(gone: Withdrawn) -> None:
    print(f"{gone.athlete}, {gone.race}: number {gone.n}, {gone.code}, withdrawn: {gone.why}")
    _tell_people(gone.tell)


# Asking.


def whose(code: str, *, ledger: Path | None, as_json: bool) -> None:
    """Say whether a code counts, and whose it is."""
    with open_ledger(ledger) as opened:
        found = asked.whose(opened, code)
    if as_json:
        say.data({"read_as": found.read_as, "issues": [_data(one) for one in found.issues]})
        return
    if found.read_as != code.strip():
        print(f"read as {found.read_as}")
    for one in found.issues:
        print(_state(one))
        print(f"  issued {_act(one.issued)}; given to {', '.join(one.holders)}")


def _data(standing: Standing) -> dict[str, object]:
    return {**standing.model_dump(mode="json"), "counts": standing.is_current}


def _state(one: Standing) -> str:
    born = f" (born {one.born.isoformat()})" if one.born else ""
    head = f"{one.code}: number {one.n} for {one.athlete}{born}, {one.race}, {one.race_day.isoformat()}: "
    if one.is_current:
        return head + "it counts"
    return head + "; ".join(_ended(one))


def _ended(one: Standing) -> list[str]:
    ended = []
    if one.withdrawn:
        ended.append(f"withdrawn {_act(one.withdrawn)}: {one.why}")
    if one.superseded:
        ended.append(
            f"number {one.superseded_by_n}, {one.superseded_by_code}, came after it {_act(one.superseded)}"
        )
    return ended


def _act(act: Act) -> str:
    return f"on {moment(act.at)} by {act.by}"


def held(
    person: str, on: date, *, born: date | None, out: Path | None, ledger: Path | None, as_json: bool
) -> None:
    """Say what somebody held on a day; with `out`, write the very bytes again."""
    with open_ledger(ledger) as opened:
        found = asked.held(opened, person, on=on, born=born)
        files = asked.copies(opened, found.own) if out else {}
    written = [path for name, one in files.items() if out for path in write_files(one, out / name)]
    if as_json:
        say.data({**found.model_dump(mode="json"), "written": [str(path) for path in written]})
        return
    _tell_held(found)
    _list_files(written)


def _tell_held(found: Held) -> None:
    print(
        f"{found.person}, on {found.on.isoformat()}, at the end of that day (before {moment(found.until)}):"
    )
    if not found.own:
        print("  nothing was given to them by then")
    for one in found.own:
        _tell_holding(one, "")
    for one in found.others:
        _tell_holding(one, f"{one.person} ({one.role}) held ")


def _tell_holding(one: Holding, who: str) -> None:
    pieces = ", ".join(one.pieces)
    if one.standing is None:
        print(f"  {who}{pieces} for {one.race}, given {_act(one.given)}")
        return
    state = "counted then" if one.counted_then else "no longer counted then"
    print(f"  {who}number {one.standing.n}, {one.standing.code}, for {one.athlete}, {one.race}: {state}")
    print(f"    {pieces}; given {_act(one.given)}")
    for line in _ended(one.standing):
        print(f"    {line}")


# Undo.


def undo(path: Path, *, by: str | None, ledger: Path | None) -> None:
    """Put the case before the last change back into its file."""
    maker = by or str(read_toml(path).get("practitioner", {}).get("name", "the practitioner"))
    with open_ledger(ledger) as opened:
        undone = actions.case_undone(opened, path=path, by=maker)
    print(f"{path}: taken back: {undone.sentence}")
    print(f"  the file is as it was kept {moment(undone.kept_at)}")
