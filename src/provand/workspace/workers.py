"""Processes beside the pages: work there leaves the pages quick, and can be ended in the middle."""

from __future__ import annotations

import atexit
import os
from collections.abc import Callable
from multiprocessing import get_context
from threading import Lock
from typing import Any, TypeVar

from pebble import ProcessFuture, ProcessPool

Result = TypeVar("Result")


def count() -> int:
    """Return how many processes work: one core is left to the pages."""
    return max(1, (os.cpu_count() or 2) - 1)


class _Workers:
    """The processes, started with the first work and kept warm; they end with the program."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._pool: ProcessPool | None = None

    def pool(self) -> ProcessPool:
        with self._lock:
            if self._pool is None or not self._pool.active:
                self._pool = ProcessPool(max_workers=count(), context=get_context("spawn"))
            return self._pool

    def end(self) -> None:
        with self._lock:
            if self._pool is not None:
                self._pool.stop()  # type: ignore[no-untyped-call]
                self._pool.join()
            self._pool = None


_WORKERS = _Workers()
end = _WORKERS.end
atexit.register(end)


def begin(function: Callable[..., Result], *args: Any, **more: Any) -> ProcessFuture[Result]:
    """Let a process call a function, which must be found by its name; cancelling ends it in the middle."""
    return _WORKERS.pool().schedule(function, args=args, kwargs=more)
