"""`languages`: which languages a practice hands out, and the word of a native speaker for each."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from provand.cli import say
from provand.finding import BadInput, find
from provand.workspace.languages import Word, approve, take_back, words
from provand.workspace.ledger import open_ledger

ACTIONS = ("approve", "withdraw")


def languages(
    action: str | None, tag: str | None, *, by: str | None, on: date, ledger: Path | None, as_json: bool
) -> None:
    """List the languages; or keep, or take back, the word of a native speaker for one."""
    if action is not None and action not in ACTIONS:
        raise BadInput(
            find("cli.unknown_name", action, kind="action", near=f"There are {', '.join(ACTIONS)}.")
        )
    missing = [] if action is None else [name for name, said in (("TAG", tag), ("--by", by)) if not said]
    if missing:
        raise BadInput(*(find("ledger.needed", name) for name in missing))
    with open_ledger(ledger) as opened:
        if action == "approve":
            approve(opened, tag=tag or "", speaker=by or "", on=on, as_of=date.today())
        elif action == "withdraw":
            take_back(opened, tag=tag or "", by=by or "", on=on)
        told = words(opened)
    if as_json:
        say.data([_data(one) for one in told])
        return
    for one in told:
        print(f"{one.language.tag:6} {one.language.english:13} {_state(one)}")


def _state(word: Word) -> str:
    if not word.speaker:
        return "ours" if word.is_approved else "not approved: drafts alone"
    read = f"read by {word.speaker} on {word.on}"
    return f"{read}; its text has changed since: drafts alone" if word.is_changed else f"approved, {read}"


def _data(word: Word) -> dict[str, object]:
    return {
        "tag": word.language.tag,
        "language": word.language.english,
        "approved": word.is_approved,
        "changed_since": word.is_changed,
        "by": word.speaker,
        "on": word.on.isoformat() if word.on else "",
    }
