"""The starter case, spoilt one thing at a time, and what the door says of it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from provand.case.case import Case
from provand.case.door import read_case
from provand.finding import BadInput, Level

SRC = Path(__file__).resolve().parents[2] / "src" / "provand"
STARTER = SRC / "case" / "starter.toml"
DEMOS = sorted((SRC / "demo").glob("*/case.toml"))
TODAY = date(2026, 11, 25)
STARTER_TEXT = STARTER.read_text("utf-8")

Changes = dict[str, str]


def changed(changes: Changes) -> str:
    """Return the starter case with texts replaced; each must stand in it."""
    text = STARTER_TEXT
    for old, new in changes.items():
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def opened(folder: Path, text: str | bytes, *, as_of: date = TODAY) -> Case:
    path = folder / "case.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return read_case(path, as_of=as_of)


def refused(folder: Path, text: str | bytes, *, as_of: date = TODAY) -> BadInput:
    with pytest.raises(BadInput) as caught:
        opened(folder, text, as_of=as_of)
    assert caught.value.status == 2
    assert all(finding.level is Level.FAULT for finding in caught.value.findings)
    return caught.value


def the_fault(folder: Path, changes: Changes, *, as_of: date = TODAY) -> str:
    """Return the one line that the door tells of a case with one thing wrong."""
    error = refused(folder, changed(changes), as_of=as_of)
    assert len(error.findings) == 1, str(error)
    return str(error)
