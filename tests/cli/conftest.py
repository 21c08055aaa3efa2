"""Runs commands in this process, as a person would type them."""

from __future__ import annotations

import sys

import pytest
from ended import Command, Ended

from provand.cli.main import run


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
