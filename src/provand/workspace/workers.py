"""Processes beside the pages: work there leaves the pages quick, tells how far it is, and can be ended."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
import uuid
from collections.abc import Callable
from concurrent.futures import Future
from multiprocessing import get_context
from pathlib import Path
from threading import Lock
from typing import Any, TypeVar
from weakref import WeakKeyDictionary

from pebble import ProcessFuture, ProcessPool

from provand.planner.progress import Stage, heard_in, told_in

Result = TypeVar("Result")


def count() -> int:
    """Return how many processes work on jobs: one core is left to the pages."""
    return max(1, (os.cpu_count() or 2) - 1)


class _Workers:
    """Processes, started with the first work and kept warm; they end with the program.

    Each piece of work tells its stage in a file of its own.
    """

    def __init__(self, most: Callable[[], int]) -> None:
        self._most, self._lock = most, Lock()
        self._pool: ProcessPool | None = None
        self._folder: Path | None = None
        self._told: WeakKeyDictionary[Future[Any], Path] = WeakKeyDictionary()

    def begin(
        self, function: Callable[..., Result], args: tuple[Any, ...], more: dict[str, Any]
    ) -> ProcessFuture[Result]:
        with self._lock:
            if self._pool is None or not self._pool.active:
                self._pool = ProcessPool(max_workers=self._most(), context=get_context("spawn"))
            if self._folder is None:
                self._folder = Path(tempfile.mkdtemp(prefix="provand-"))
            place = self._folder / uuid.uuid4().hex
            future = self._pool.schedule(told_in, args=(place, function, args, more))
            self._told[future] = place
        future.add_done_callback(lambda _: place.unlink(missing_ok=True))
        return future

    def heard(self, future: Future[Any]) -> Stage | None:
        """Return how far the work of a future is; None where nothing of it has begun."""
        place = self._told.get(future)
        return heard_in(place) if place is not None else None

    def end(self) -> None:
        with self._lock:
            if self._pool is not None:
                self._pool.stop()  # type: ignore[no-untyped-call]
                self._pool.join()
            if self._folder is not None:
                shutil.rmtree(self._folder, ignore_errors=True)
            self._pool = self._folder = None


_JOBS, _LOOKS = _Workers(count), _Workers(lambda: 1)


def begin(function: Callable[..., Result], *args: Any, **more: Any) -> ProcessFuture[Result]:
    """Let a process call a function, which must be found by its name; cancelling ends it in the middle."""
    return _JOBS.begin(function, args, more)


def begin_for_page(function: Callable[..., Result], *args: Any, **more: Any) -> ProcessFuture[Result]:
    """Let a process call what a page waits for: it takes no turn behind long work on many race files."""
    return _LOOKS.begin(function, args, more)


def heard(future: Future[Any]) -> Stage | None:
    """Return how far what was begun is; None where it still waits for its turn, or has ended."""
    return _JOBS.heard(future) or _LOOKS.heard(future)


def end() -> None:
    """End every process, in the middle of what it does."""
    _JOBS.end()
    _LOOKS.end()


atexit.register(end)
