"""Jobs at work: threads that take a piece of one job after another in turn, as long as there is any.

What computes runs in a process (`workers`); what is kept is kept here, in one transaction with the end of
its piece. The threads end with the work, and with the program: what was not kept then was not done.
"""

from __future__ import annotations

import sys
import threading
import traceback
from collections.abc import Callable, Mapping
from concurrent.futures import CancelledError, Future
from functools import partial
from typing import Any, Protocol
from uuid import UUID

from django.db import connection

from provand.finding import CannotWork, ProvandError, find
from provand.planner.progress import Stage
from provand.workspace import jobs, workers
from provand.workspace.jobs import Gone
from provand.workspace.ledger import Ledger
from provand.workspace.models import Job, JobPiece

LOOK_S = 1.0
"""So often it is looked whether what is computed is still wanted."""


class Working(Protocol):
    """Waits for what a process computes; the job's stop ends both, and so does `still` by what it raises."""

    def __call__(self, future: Future[Any], *, still: Callable[[], object] | None = None) -> Any: ...


Work = Callable[[Ledger, JobPiece, Working], None]
"""Does one piece and keeps its end."""


class _Turns:
    """Which jobs are at work, which pieces are being done, and by what processes.

    Each job has the number of its last turn: the one that waited longest is next, a new one before it.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._turns: dict[UUID, int] = {}
        self._served = 0
        self._doing: dict[int, UUID] = {}
        self._waits: dict[int, Future[Any]] = {}
        self._threads = 0
        self._none_left = threading.Condition(self._lock)

    def add(self, ledger: Ledger, key: UUID, work: Mapping[str, Work], *, first: bool) -> None:
        with self._lock:
            self._turns.setdefault(key, -1 if first else 0)
            if self._threads < workers.count():
                self._threads += 1
                threading.Thread(target=self._run, args=(ledger, work), name="job", daemon=True).start()

    def drop(self, key: UUID) -> None:
        with self._lock:
            self._turns.pop(key, None)
            waits = [
                self._waits[pk] for pk, whose in self._doing.items() if whose == key and pk in self._waits
            ]
        for future in waits:
            future.cancel()

    def has(self, key: UUID) -> bool:
        with self._lock:
            return self._has(key)

    def _has(self, key: UUID) -> bool:
        return key in self._turns or key in self._doing.values()

    def doing(self, key: UUID) -> set[int]:
        with self._lock:
            return {pk for pk, whose in self._doing.items() if whose == key}

    def heard(self, key: UUID) -> Stage | None:
        """Return how far the work on a job's piece is; None where it waits for its turn."""
        with self._lock:
            futures = [
                self._waits[pk] for pk, whose in self._doing.items() if whose == key and pk in self._waits
            ]
        return next((stage for one in futures if (stage := workers.heard(one))), None)

    def waited_for(self, key: UUID, *, most_s: float) -> bool:
        """Wait until nothing of a job is at work any more; return whether that is so."""
        with self._none_left:
            return self._none_left.wait_for(lambda: not self._has(key), timeout=most_s)

    def waited(self, *, most_s: float) -> bool:
        with self._none_left:
            return self._none_left.wait_for(lambda: self._threads == 0, timeout=most_s)

    def _run(self, ledger: Ledger, work: Mapping[str, Work]) -> None:
        try:
            while (piece := self._next(ledger)) is not None:
                self._one(ledger, piece, work)
        finally:
            connection.close()

    def _next(self, ledger: Ledger) -> JobPiece | None:
        """Return the next piece, of the job whose turn it is; None where none is left: the thread ends."""
        while True:
            with self._lock:
                if not self._turns:
                    self._threads -= 1
                    self._none_left.notify_all()
                    return None
                key = min(self._turns, key=self._turns.__getitem__)
                busy = set(self._doing)
                piece = _open_piece(ledger, key, busy)
                if piece is None:
                    del self._turns[key]
                    self._none_left.notify_all()
                else:
                    self._served += 1
                    self._turns[key] = self._served
                    self._doing[piece.pk] = key
                    return piece

    def _one(self, ledger: Ledger, piece: JobPiece, work: Mapping[str, Work]) -> None:
        try:
            work[piece.job.kind](ledger, piece, partial(self._result, piece.pk))
        except (Gone, CancelledError):
            pass
        except CannotWork as error:
            print(error, file=sys.stderr)
            self.drop(piece.job.key)
        except Exception as error:
            self._failed(ledger, piece, error)
        finally:
            with self._lock:
                self._waits.pop(piece.pk, None)
                self._doing.pop(piece.pk, None)
                self._none_left.notify_all()

    def _result(self, pk: int, future: Future[Any], *, still: Callable[[], object] | None = None) -> Any:
        with self._lock:
            self._waits[pk] = future
        while still is not None:
            try:
                return future.result(timeout=LOOK_S)
            except TimeoutError:
                self._still(future, still)
        return future.result()

    @staticmethod
    def _still(future: Future[Any], still: Callable[[], object]) -> None:
        """Ask whether what is computed is still wanted; where it is not, end it and raise why."""
        try:
            still()
        except (ProvandError, Gone):
            future.cancel()
            raise

    def _failed(self, ledger: Ledger, piece: JobPiece, error: Exception) -> None:
        """Keep that a piece failed; what nobody foresaw is told where the program was started."""
        if not isinstance(error, ProvandError):
            traceback.print_exception(error, file=sys.stderr)
        findings = (
            error.findings if isinstance(error, ProvandError) else (find("job.broke", piece.desk.title),)
        )
        try:
            with jobs.ending(ledger, piece):
                jobs.ended(piece, "failed", says="\n".join(one.line() for one in findings))
        except Gone:
            pass
        except CannotWork as broken:
            print(broken, file=sys.stderr)
            self.drop(piece.job.key)


def _open_piece(ledger: Ledger, key: UUID, besides: set[int]) -> JobPiece | None:
    """Return a piece to do of a job; None, so that it leaves the turns, where the ledger cannot be read."""
    try:
        with ledger.reading():
            return jobs.next_piece(key, besides)
    except CannotWork as error:
        print(error, file=sys.stderr)
        return None


_TURNS = _Turns()
has, doing, heard = _TURNS.has, _TURNS.doing, _TURNS.heard
waited, waited_for = _TURNS.waited, _TURNS.waited_for


def let_work(ledger: Ledger, job: Job, work: Mapping[str, Work], *, first: bool = False) -> None:
    """Let a job that was begun or gone on with take its turns; `first` before the others."""
    _TURNS.add(ledger, job.key, work, first=first)


def let_rest(job: Job) -> None:
    """Take a job out of the turns and end the process that works on it."""
    _TURNS.drop(job.key)
