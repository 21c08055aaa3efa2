"""`change`: the next case into the same file, the plan made again, and what lies between the two plans."""

from __future__ import annotations

from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from provand.case.change import change_of
from provand.case.door import case_of, in_folder, read_health
from provand.case.files import MAX_TOML_BYTES, read_bytes, text_in, toml_in
from provand.case.replace import replace
from provand.case.typed import document_of, text_of
from provand.cli import say
from provand.finding import as_data
from provand.plan.changing import Next, next_of
from provand.plan.difference import Difference, difference
from provand.safety.screening import screen
from provand.workspace.actions import case_changed
from provand.workspace.ledger import open_ledger
from provand.workspace.records import Snapshot

BOM = b"\xef\xbb\xbf"


def change(
    path: Path,
    data: dict[str, Any],
    as_of: date,
    *,
    dry_run: bool,
    ledger: Path | None,
    as_json: bool,
) -> None:
    """Make a change of a case file, tell it, and tell what it does to the plan.

    The file stays as it is where the change is refused, where the ledger cannot keep it, and on a dry run.
    """
    was = read_bytes(path, most=MAX_TOML_BYTES)
    toml_in(was, path.name)
    text = text_in(was, path.name)
    health, beside = read_health(path), in_folder(path.parent)
    screened = partial(screen, health=health, as_of=as_of)
    made = next_of(change_of(data), document_of(text, path.name), screened, beside=beside, as_of=as_of)
    read_health(path, of=made.case)
    found = difference(made.before, made.after) if made.before and made.after else None
    if not dry_run:
        before = Snapshot(typed=text, case=case_of(toml_in(was, path.name), beside=beside, as_of=as_of))
        by = str(data.get("by") or made.case.practitioner.name)
        _keep(path, made, before, was=was, by=by, ledger=ledger)
    _tell(path, made, found, dry_run=dry_run, as_json=as_json)


def _keep(path: Path, made: Next, before: Snapshot, *, was: bytes, by: str, ledger: Path | None) -> None:
    """Write the new file, and keep the change; where the ledger cannot keep it, the old file is back."""
    new = _bytes(made, was)
    after = Snapshot(typed=text_in(new, path.name), case=made.case)
    with open_ledger(ledger) as opened:
        replace(path, new, was=was)
        try:
            case_changed(opened, path=path, before=before, after=after, sentence=made.sentence, by=by)
        except BaseException:
            replace(path, was, was=new)
            raise


def _bytes(made: Next, was: bytes) -> bytes:
    """Return the bytes of the new file, with the line ends and the byte-order mark of the old one."""
    text = text_of(made.typed)
    if b"\r\n" in was:
        text = text.replace("\r\n", "\n").replace("\n", "\r\n")
    return (BOM if was.startswith(BOM) else b"") + text.encode("utf-8")


def _tell(path: Path, made: Next, found: Difference | None, *, dry_run: bool, as_json: bool) -> None:
    status = made.error.status if made.error else 0
    if as_json:
        say.data(
            {
                "sentence": made.sentence,
                "written": not dry_run,
                "status": status,
                "code": made.after.code if made.after else None,
                "difference": found.model_dump(mode="json") if found else None,
                "lines": list(found.lines()) if found else [],
                "findings": as_data(made.error.findings if made.error else made.after.findings),  # type: ignore[union-attr]
            }
        )
        raise SystemExit(status)
    print(made.sentence)
    print(f"{path}: " + ("a dry run, nothing was written." if dry_run else "written."))
    if made.error:
        raise made.error
    assert made.after is not None
    for line in found.lines() if found else (f"There was no plan before; now it is {made.after.code}.",):
        print(f"  {line}")
