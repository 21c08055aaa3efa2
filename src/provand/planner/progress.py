"""How far a solve is, told as it goes to whoever listens; where nobody does, nothing is told."""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Any, NamedTuple, TypeVar


class Stage(NamedTuple):
    """What a solve is at: which part of the work, which goal of how many, the best of it so far.

    `of` is 0 where nobody knows beforehand how many goals there will be. `best` is the goal's value in the
    best solution found, `bound` the value under which none can lie; None while there is none. `nodes` of
    `max_nodes` are searched; 0 of 0 where the search ends with a proof alone.
    """

    part: str = ""
    goal: str = ""
    nth: int = 0
    of: int = 0
    best: int | None = None
    bound: int | None = None
    nodes: int = 0
    max_nodes: int = 0


Heard = Callable[[Stage], None]


class _Listener:
    """Who listens, and the stage that was told last."""

    def __init__(self, heard: Heard) -> None:
        self._heard, self._stage = heard, Stage()

    def tell(self, changes: Mapping[str, Any]) -> None:
        self._stage = self._stage._replace(**changes)
        self._heard(self._stage)


_LISTENER: ContextVar[_Listener | None] = ContextVar("listener", default=None)


@contextmanager
def listening(heard: Heard) -> Iterator[None]:
    """Hand every stage of what is solved inside to `heard`."""
    stands = _LISTENER.set(_Listener(heard))
    try:
        yield
    finally:
        _LISTENER.reset(stands)


def is_heard() -> bool:
    """Whether anybody listens."""
    return _LISTENER.get() is not None


def tell(**changes: Any) -> None:
    """Tell what is another now than it was; what is not named stays."""
    listener = _LISTENER.get()
    if listener is not None:
        listener.tell(changes)


def tell_part(part: str) -> None:
    """Tell that another part of the work begins; nothing is known of its goals yet."""
    tell(**Stage(part=part)._asdict())


def tell_goal(goal: str, *, max_nodes: int = 0) -> None:
    """Tell that another goal is sought; nothing is found of it yet."""
    tell(goal=goal, best=None, bound=None, nodes=0, max_nodes=max_nodes)


# From one process to another.

Result = TypeVar("Result")
EVERY_S = 0.2
"""So often at most it is told how far one goal is."""


def told_in(
    place: Path, function: Callable[..., Result], args: Sequence[Any], more: Mapping[str, Any]
) -> Result:
    """Call a function, and put what stage it is at into a file.

    The file is put there whole, so a process that is ended meanwhile leaves nothing locked or half said. The
    work goes on where nothing can be written.
    """
    aside, told, last_s = place.with_suffix(".part"), Stage(), 0.0

    def heard(stage: Stage) -> None:
        nonlocal told, last_s
        same = (stage.part, stage.goal, stage.nth) == (told.part, told.goal, told.nth)
        if same and time.monotonic() < last_s + EVERY_S:
            return
        told, last_s = stage, time.monotonic()
        with contextlib.suppress(OSError):
            aside.write_text(json.dumps(stage), "utf-8")
            aside.replace(place)

    heard(Stage(part="begun"))
    with listening(heard):
        return function(*args, **more)


def heard_in(place: Path) -> Stage | None:
    """Return the stage that was put into a file last; None where there is none."""
    try:
        return Stage(*json.loads(place.read_text("utf-8")))
    except OSError:
        return None
