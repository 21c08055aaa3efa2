"""Runs the blocks of a page as a reader would: commands, changes to a file, lines added to one."""

from __future__ import annotations

import re
import shlex
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from provand.cli import main

ROOT = Path(__file__).resolve().parents[2]
BLOCK = re.compile(r"^```(console|diff|toml)(?: ([^\n]+))?\n(.*?)^```$", re.MULTILINE | re.DOTALL)


class Block(NamedTuple):
    """A fenced block: `console`, with the status that its commands end in; `diff` or `toml`, with a file."""

    kind: str
    about: str
    lines: list[str]


class Step(NamedTuple):
    """A command and the lines that must appear in what it prints."""

    command: list[str]
    expected: list[str]


def blocks(page: str) -> Iterator[Block]:
    """Yield the blocks of a page that a reader carries out, in order."""
    for kind, about, body in BLOCK.findall((ROOT / page).read_text("utf-8")):
        yield Block(kind, about, body.splitlines())


def steps(lines: list[str]) -> Iterator[Step]:
    """Yield each `$ provand ...` of a block with the lines under it."""
    starts = [at for at, line in enumerate(lines) if line.startswith("$ ")]
    for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
        program, *command = shlex.split(lines[start][2:])
        assert program == "provand", lines[start]
        yield Step(
            command, [line.strip() for line in lines[start + 1 : end] if line.strip() not in ("", "...")]
        )


def run(
    command: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> tuple[int, str]:
    """Run the program in this process and return its status and everything it printed."""
    monkeypatch.setattr(sys, "argv", ["provand", *command])
    monkeypatch.setenv("COLUMNS", "200")
    status = 0
    try:
        main.run()
    except SystemExit as left:
        status = int(left.code or 0)
    printed = capsys.readouterr()
    return status, printed.out + printed.err


def missing(expected: list[str], printed: str) -> list[str]:
    """Return the expected lines that do not appear in what was printed, in this order."""
    rest = iter([line.strip() for line in printed.splitlines()])
    return [line for line in expected if line not in rest]


def change(file: Path, lines: list[str]) -> None:
    """Apply the hunks of a diff, set apart by `...`; what is to be changed must stand in the file once."""
    text = file.read_text("utf-8")
    for hunk in "\n".join(lines).split("\n...\n"):
        marked = [(line[:1], line[1:]) for line in hunk.splitlines()]
        old = "\n".join(text for mark, text in marked if mark in " -")
        new = "\n".join(text for mark, text in marked if mark in " +")
        assert text.count(old) == 1, f"{file.name} must hold this once:\n{old}"
        text = text.replace(old, new)
    file.write_text(text, "utf-8")
