"""`pack FOLDER`: the packs of many cases, each in a folder of its own; broken off, the next run goes on."""

from __future__ import annotations

import json
import os
import sys
import tomllib
from collections.abc import Collection, Iterator
from concurrent.futures import Future
from datetime import date
from hashlib import sha256
from importlib.metadata import version
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Literal, NamedTuple

from pebble import ProcessPool
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

from provand.case.case import FORMAT, Case
from provand.case.door import in_folder
from provand.case.files import read_toml
from provand.cli import say
from provand.cli.reading import case_files
from provand.finding import BadInput, NoPlanFits, OnHold, as_data, find
from provand.pack.ahead import ahead
from provand.pack.pieces import Piece
from provand.pack.typeset import Paper
from provand.pack.write import File, pack_files, safety_file, write_files
from provand.plan.draw_up import draw_up
from provand.plan.review import clear
from provand.plan.standing import Standing
from provand.protocol.own import Protocols
from provand.record import canonical
from provand.safety.screening import Screening, screen

MADE = "made.json"
"""What stands in the folder of packs, and of what it was made: with it the next run goes on."""
INTERRUPTED = 130
State = Literal["made", "stands", "held", "failed", "left"]
SAYS = {
    "made": "made",
    "stands": "stands as it is",
    "held": "on hold, the safety page alone",
    "failed": "not made",
    "left": "left",
}


class Wanted(NamedTuple):
    """What is wanted of each case."""

    pieces: Collection[Piece]
    paper: Paper | None
    draft: bool
    as_of: date


class Read(NamedTuple):
    """A case that could be read, and what tells it from every other work."""

    name: str
    path: Path
    case: Case
    screening: Screening
    protocols: Protocols
    error: OnHold | None
    key: str


class Pack(NamedTuple):
    """The files of one case, and the code of its plan; on hold the safety page alone, without one."""

    code: str
    files: tuple[File, ...]


class Outcome(NamedTuple):
    """What came of one case."""

    name: str
    state: State
    code: str = ""
    error: BadInput | OnHold | NoPlanFits | None = None


def cases_in(folder: Path) -> list[Path]:
    """Return the case files in a folder and those below it; a file that is no TOML is one, to be told."""
    found = sorted(folder.rglob("*.toml"))
    return [path for path in found if not path.name.endswith(".health.toml") and _may_be_case(path)]


def _may_be_case(path: Path) -> bool:
    try:
        told = str(tomllib.loads(path.read_text("utf-8")).get("format", ""))
    except (ValueError, OSError):
        return True
    return told.partition("/")[0] in ("", FORMAT.partition("/")[0])


def packs(folder: Path, out: Path, wanted: Wanted, *, as_json: bool) -> None:
    """Write the pack of each case of a folder; end with 2 where one failed, else 3 where one is on hold."""
    paths = cases_in(folder)
    if not paths:
        raise BadInput(find("cli.no_cases", str(folder)))
    outcomes: list[Outcome] = []
    ended = True
    try:
        with _progress(len(paths), quiet=as_json) as step:
            for outcome in _outcomes(folder, paths, out, wanted):
                outcomes.append(outcome)
                step(outcome.name)
    except KeyboardInterrupt:
        ended = False
    known = {one.name for one in outcomes}
    left = [Outcome(name, "left") for path in paths if (name := _name(folder, path)) not in known]
    _tell([*sorted(outcomes), *left], out, as_json=as_json)
    states = {one.state for one in outcomes}
    if not ended:
        sys.exit(INTERRUPTED)
    if states & {"failed", "held"}:
        sys.exit(BadInput.status if "failed" in states else OnHold.status)


class _progress:  # noqa: N801 - used as a word
    """A bar on the error stream, where a person looks on."""

    def __init__(self, count: int, *, quiet: bool) -> None:
        console = Console(stderr=True, quiet=quiet)
        columns = (
            TextColumn("{task.description:24.24}"),
            BarColumn(),
            MofNCompleteColumn(),
            TimeElapsedColumn(),
        )
        self._shown = Progress(*columns, console=console, transient=True, disable=not console.is_terminal)
        self._task = self._shown.add_task("", total=count)

    def __enter__(self) -> Any:
        self._shown.start()
        return lambda name: self._shown.update(self._task, advance=1, description=name)

    def __exit__(self, *_: object) -> None:
        self._shown.stop()


def _name(folder: Path, path: Path) -> str:
    return path.relative_to(folder).with_suffix("").as_posix()


def _outcomes(folder: Path, paths: list[Path], out: Path, wanted: Wanted) -> Iterator[Outcome]:
    """Yield what came of each case; what is not yielded was not written, or was written whole."""
    made = _made(out)
    pool = ProcessPool(max_workers=os.cpu_count() or 1, context=get_context("spawn"))
    try:
        waiting: list[tuple[Read, Future[Pack]]] = []
        for path in paths:
            name = _name(folder, path)
            try:
                read = _read(path, name, wanted)
            except BadInput as error:
                yield Outcome(name, "failed", error=error)
                continue
            stands = made.get(name, {})
            if stands.get("key") == read.key and all((out / name / f).exists() for f in stands["files"]):
                yield Outcome(name, "held" if read.error else "stands", stands["code"], read.error)
            elif read.error is not None:
                yield _kept(out, made, read, _safety(read))
            else:
                words = (path, read.case, read.screening, read.protocols, wanted)
                waiting.append((read, pool.schedule(pack_of, args=words)))
        for read, future in waiting:
            yield _ended(out, made, read, future)
    finally:
        pool.stop()  # type: ignore[no-untyped-call]
        pool.join()


def _ended(out: Path, made: dict[str, Any], read: Read, future: Future[Pack]) -> Outcome:
    try:
        return _kept(out, made, read, future.result())
    except OnHold as error:
        return _kept(out, made, read._replace(error=error), _safety(read))
    except (BadInput, NoPlanFits) as error:
        return Outcome(read.name, "failed", error=error)


def _read(path: Path, name: str, wanted: Wanted) -> Read:
    case, health, protocols = case_files(path, wanted.as_of)
    screening, reasons = screen(case, health, as_of=wanted.as_of)
    told = (
        version("provand"), wanted.as_of.isoformat(), *sorted(wanted.pieces), wanted.paper, wanted.draft,
        *(one.code for one in protocols.in_order),
    )  # fmt: skip
    key = sha256(case.as_bytes + canonical(screening) + repr(told).encode("utf-8")).hexdigest()
    return Read(
        name, path, case, screening, protocols, None if screening.may_issue else OnHold(*reasons), key
    )


def pack_of(path: Path, case: Case, screening: Screening, protocols: Protocols, wanted: Wanted) -> Pack:
    """Return the pack of a case, made in another process."""
    pieces, as_of = wanted.pieces, wanted.as_of
    plan = draw_up(case, screening, protocols=protocols, as_of=as_of)
    cleared = clear(plan, case, screening)

    def standing() -> Standing:
        return Standing(cleared, read_toml(path), case, screening, protocols, in_folder(path.parent), as_of)

    found = ahead(standing, pieces, draft=wanted.draft)
    files = pack_files(cleared, pieces=pieces, paper=wanted.paper, draft=wanted.draft, **found._asdict())
    return Pack(plan.code, files)


def _safety(read: Read) -> Pack:
    return Pack("", (safety_file(read.case),))


def _kept(out: Path, made: dict[str, Any], read: Read, pack: Pack) -> Outcome:
    """Write the files of one case whole, then say so in the list of what is made."""
    try:
        write_files(pack.files, out / read.name)
    except BadInput as fault:
        return Outcome(read.name, "failed", error=fault)
    made[read.name] = {"key": read.key, "code": pack.code, "files": [one.name for one in pack.files]}
    aside = out / f".{MADE}"
    aside.write_text(json.dumps(made, indent=1, sort_keys=True, ensure_ascii=False) + "\n", "utf-8")
    aside.replace(out / MADE)
    return Outcome(read.name, "held" if read.error else "made", pack.code, read.error)


def _made(out: Path) -> dict[str, Any]:
    """Return what the list says that stands; a list that cannot be read says nothing."""
    try:
        told = json.loads((out / MADE).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return told if isinstance(told, dict) else {}


def _tell(outcomes: list[Outcome], out: Path, *, as_json: bool) -> None:
    if as_json:
        rows = [
            {
                "case": one.name,
                "state": one.state,
                "code": one.code,
                "findings": as_data(one.error.findings) if one.error else [],
            }
            for one in outcomes
        ]
        say.data({"out": str(out), "cases": rows})
        return
    rows_shown = say.columns("case", "stands", "code")
    for one in outcomes:
        rows_shown.add_row(one.name, SAYS[one.state], one.code)
    say.table(rows_shown)
    for one in outcomes:
        if one.error is not None:
            print(f"{one.name}: {SAYS[one.state]}", file=sys.stderr)
            for finding in one.error.findings:
                print(f"  {finding.line()}", file=sys.stderr)
    counts = ", ".join(
        f"{count} {SAYS[state]}" for state in SAYS if (count := sum(o.state == state for o in outcomes))
    )
    print(f"{out}: {counts}.")
    if any(one.state == "left" for one in outcomes):
        print("Broken off; the same command goes on with what is left.")
