"""Runs commands in this process, as a person would type them."""

from __future__ import annotations

import sys
from collections.abc import Callable

import pytest

from provand.cli.main import run
from provand.record import Record


class Ended(Record):
    """How a command ended and what it printed."""

    status: int
    out: str
    err: str


Command = Callable[..., Ended]


@pytest.fixture
def provand(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Command:
    """Return a function that runs one command in this process."""

    def command(*words: str) -> Ended:
        monkeypatch.setattr(sys, "argv", ["provand", *words])
        capfd.readouterr()
        status = 0
        try:
            run()
        except SystemExit as ended:
            status = ended.code if isinstance(ended.code, int) else int(bool(ended.code))
        printed = capfd.readouterr()
        return Ended(status=status, out=printed.out, err=printed.err)

    return command
