"""`@equation` registers where an equation comes from and returns the very same function."""

from __future__ import annotations

import inspect
import tomllib
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import Literal, TypeVar

from pydantic import Field

from provand.record import Record

Mark = Literal["read", "read2", "pkg", "computed", "memory", "estimate", "practice"]
"""How far a number can be trusted: read in the source; quoted by another text; read in a package;
computed by us from read figures; known, not read; our estimate; common practice, no source."""

F = TypeVar("F", bound=Callable[..., float])


class Source(Record):
    """A published source, by key; facts of citation only."""

    key: str
    cite: str
    year: int | None = None
    doi: str = ""
    note: str = ""


class Card(Record):
    """What is known of one equation: its source, its place there, its valid range, who was measured."""

    name: str
    subject: str
    gives: str
    parameters: tuple[str, ...]
    source: str
    at: str
    mark: Mark
    population: str
    holds: dict[str, tuple[float, float]] = Field(default_factory=dict)
    turns: tuple[str, ...] = ()
    note: str = ""
    summary: str = ""
    doc: str = ""


_registry: dict[str, tuple[Card, Callable[..., float]]] = {}


def equation(
    *,
    gives: str,
    source: str,
    at: str,
    mark: Mark,
    population: str,
    holds: dict[str, tuple[float, float]] | None = None,
    turns: tuple[str, ...] = (),
    note: str = "",
) -> Callable[[F], F]:
    """Register a card for an equation and return the same function.

    `gives` names the result with its unit suffix; `holds` maps parameters to the range of the source;
    `turns` names parameters in which the equation is not monotone, so that a range is refused there.
    """

    def register(function: F) -> F:
        signature = inspect.signature(function)
        for parameter in signature.parameters.values():
            if parameter.default is not parameter.empty or parameter.kind is not parameter.KEYWORD_ONLY:
                raise TypeError(
                    f"{function.__name__}: {parameter.name} must be keyword-only, with no default"
                )
        names = tuple(signature.parameters)
        unknown = (set(holds or {}) | set(turns)) - set(names)
        if unknown or function.__name__ in _registry:
            raise TypeError(
                f"{function.__name__}: unknown parameters {sorted(unknown)} or a second registration"
            )
        doc = inspect.getdoc(function) or ""
        card = Card(
            name=function.__name__,
            subject=function.__module__.rsplit(".", 1)[-1],
            gives=gives,
            parameters=names,
            source=source,
            at=at,
            mark=mark,
            population=population,
            holds=holds or {},
            turns=turns,
            note=note,
            summary=doc.split("\n", 1)[0],
            doc=doc,
        )
        _registry[card.name] = (card, function)
        return function

    return register


def card_of(function: Callable[..., float]) -> Card:
    """Return the card of a registered equation; KeyError for any other function."""
    return _registry[function.__name__][0]


def cards() -> dict[str, Card]:
    """Return every registered card by the equation's name."""
    return {name: card for name, (card, _) in _registry.items()}


def function_of(name: str) -> Callable[..., float]:
    """Return the equation of that name; KeyError when there is none."""
    return _registry[name][1]


@cache
def sources() -> dict[str, Source]:
    """Return every source by key, from `sources/*.toml`; a key that stands twice is refused."""
    found: dict[str, Source] = {}
    folder = files("provand").joinpath("sources")
    for path in sorted(folder.iterdir(), key=lambda p: p.name):
        if not path.name.endswith(".toml"):
            continue
        for key, entry in tomllib.loads(path.read_text("utf-8")).items():
            if key in found:
                raise ValueError(f"source {key} stands twice; {path.name} repeats it")
            found[key] = Source(key=key, **entry)
    return found
