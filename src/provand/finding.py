"""One idea for caveat, caution, flag, breach and fault; the catalogue that words them; the errors."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from enum import StrEnum
from functools import cache
from importlib.resources import files
from typing import Any

from pydantic import Field

from provand.phrase import Fact
from provand.record import Record


class Level(StrEnum):
    """How far a finding reaches, from a remark on one figure to a fault that stops everything."""

    CAVEAT = "caveat"
    NOTE = "note"
    WARN = "warn"
    WITHHELD = "withheld"
    HOLD = "hold"
    REFER = "refer"
    BREACH = "breach"
    FAULT = "fault"


class Entry(Record):
    """A catalogue entry: the level, the sentence with its `{facts}`, and the next step."""

    level: Level
    says: str
    next: str = ""


@cache
def catalogue() -> dict[str, Entry]:
    """Return every finding the program can make, by code (data: `findings.toml`)."""
    text = files("provand").joinpath("findings.toml").read_text("utf-8")
    return {
        f"{group}.{name}": Entry(**entry)
        for group, entries in tomllib.loads(text).items()
        for name, entry in entries.items()
    }


class Finding(Record):
    """Something that a person must know, about one place; level and sentence come from the catalogue."""

    code: str
    about: str = ""
    facts: dict[str, Fact] = Field(default_factory=dict)
    rule: str = ""

    @property
    def level(self) -> Level:
        return catalogue()[self.code].level

    @property
    def sentence(self) -> str:
        return catalogue()[self.code].says.format(**self.facts)

    @property
    def next_step(self) -> str:
        return catalogue()[self.code].next.format(**self.facts)

    def line(self) -> str:
        """Return the finding in one line: where, what, what next."""
        where = f"{self.about}: " if self.about else ""
        return f"{where}{self.sentence}" + (f" {self.next_step}" if self.next_step else "")


def find(code: str, about: str = "", *, rule: str = "", **facts: Fact) -> Finding:
    """Return a finding, refusing a code that the catalogue lacks or facts that its sentence misses."""
    finding = Finding(code=code, about=about, facts=facts, rule=rule)
    _ = (finding.sentence, finding.next_step)
    return finding


class ProvandError(Exception):
    """An error that carries findings; `status` is the exit status of the program."""

    status = 1

    def __init__(self, *findings: Finding) -> None:
        self.findings = findings
        super().__init__("\n".join(finding.line() for finding in findings))

    def __reduce__(self) -> tuple[type[ProvandError], tuple[Finding, ...]]:
        """Let it come back from another process as itself."""
        return type(self), self.findings


class BadInput(ProvandError):  # noqa: N818 - reads as a sentence at the raise
    """What was given cannot be read, or cannot be true."""

    status = 2


class OnHold(ProvandError):  # noqa: N818
    """Screening, a refusal or a breach stands in the way of issuing."""

    status = 3


class NoPlanFits(ProvandError):  # noqa: N818
    """No schedule keeps every limit and wish; the findings name which to give up."""

    status = 4


class CannotWork(ProvandError):  # noqa: N818
    """The machine failed us: disk, font, renderer."""

    status = 5


def worst(findings: Iterable[Finding]) -> Level | None:
    """Return the gravest level among findings, or None without any."""
    order = list(Level)
    return max((f.level for f in findings), key=order.index, default=None)


def as_data(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """Return findings as plain data, with their level and sentence, for `--json`."""
    return [
        {**f.model_dump(mode="json"), "level": f.level.value, "sentence": f.sentence, "next": f.next_step}
        for f in findings
    ]
