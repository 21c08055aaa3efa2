"""Reads the rows of published numbers, and runs the equation or the experiment that a row names.

A row is one number that a paper prints, or that follows from what it prints. Where `expected` and inputs
are lists of one length, a row stands for that many, lettered a, b, c.

`anchor` says whose number `expected` is: read in the source; read2, quoted by another text; pkg, given by
somebody's package; memory, known and not read; computed, our own arithmetic, which proves the typing alone;
set, looked at while a constant was chosen, or given back as it went in, which proves nothing.
"""

from __future__ import annotations

import importlib
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from string import ascii_lowercase
from typing import Literal, TypeVar

from pydantic import Field

from provand.card import function_of
from provand.record import Record

FOLDER = Path(__file__).resolve().parent

Anchor = Literal["read", "read2", "pkg", "memory", "computed", "set"]
ANCHORED = frozenset({"read", "read2", "pkg", "memory"})

F = TypeVar("F", bound=Callable[..., float])

_experiments: dict[str, Callable[..., float]] = {}


def experiment(function: F) -> F:
    """Register a set-up of several equations under the function's name and return the same function."""
    if function.__name__ in _experiments:
        raise ValueError(f"experiment {function.__name__} stands twice")
    _experiments[function.__name__] = function
    return function


class Row(Record):
    """One compared number, or one a letter where inputs and `expected` are lists."""

    id: str
    equation: str = ""
    experiment: str = ""
    source: str
    at: str = Field(min_length=1)
    input: dict[str, float | tuple[float, ...]]
    expected: float | tuple[float, ...]
    tolerance: float = Field(gt=0)
    why: str = Field(min_length=1)
    anchor: Anchor
    known_failure: str = ""

    def singly(self) -> Iterator[Row]:
        """Yield the row itself, or one row for each number of its lists."""
        if not isinstance(self.expected, tuple):
            yield self
            return
        columns = {name: value for name, value in self.input.items() if isinstance(value, tuple)}
        if not columns or {len(column) for column in columns.values()} != {len(self.expected)}:
            raise ValueError(f"row {self.id}: lists must be as long as `expected`")
        for at, number in enumerate(self.expected):
            inputs = {
                name: columns[name][at] if name in columns else value for name, value in self.input.items()
            }
            yield self.model_copy(
                update={"id": self.id + ascii_lowercase[at], "input": inputs, "expected": number}
            )

    def value(self) -> float:
        """Return what the equation or the experiment gives; KeyError where there is none of that name."""
        if bool(self.equation) == bool(self.experiment):
            raise ValueError(f"row {self.id} must name an equation or an experiment, and not both")
        function = function_of(self.equation) if self.equation else experiments()[self.experiment]
        return function(**self.input)


@cache
def experiments() -> dict[str, Callable[..., float]]:
    """Import every `experiments_*.py` of this folder and return the experiments by name."""
    for path in sorted(FOLDER.glob("experiments_*.py")):
        importlib.import_module(path.stem)
    return _experiments


@cache
def rows() -> tuple[Row, ...]:
    """Return every row of `*.toml` in this folder, one for each compared number."""
    found: list[Row] = []
    for path in sorted(FOLDER.glob("*.toml")):
        for entry in tomllib.loads(path.read_text("utf-8")).get("row", []):
            found.extend(Row(**entry).singly())
    return tuple(found)
