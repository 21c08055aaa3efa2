"""How a command ended, and the type of the fixture that runs one."""

from __future__ import annotations

from collections.abc import Callable

from provand.record import Record


class Ended(Record):
    """How a command ended and what it printed."""

    status: int
    out: str
    err: str


Command = Callable[..., Ended]
