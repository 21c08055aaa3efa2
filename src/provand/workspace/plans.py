"""The plan of a race file as pages show it: computed once, kept in memory, solved beside the pages.

A plan is a pure function, so what was computed for the same case, screening, protocols and day is the same
plan. A schedule as given is checked while the page waits; one that must be solved is solved by one worker,
and the page asks again.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import date
from functools import cache
from threading import Lock
from typing import NamedTuple

from provand.case.case import Case
from provand.finding import BadInput, Finding, OnHold
from provand.plan.look import Looked, look
from provand.plan.protocols import protocols_of
from provand.protocol.own import Protocols
from provand.record import canonical
from provand.safety.screening import Screening, screen
from provand.workspace import desk as desks
from provand.workspace import healths
from provand.workspace.models import Desk
from provand.workspace.snapshots import digest

KEPT = 48
"""As many plans stay in memory."""


class Basis(NamedTuple):
    """All that a plan is a function of; `reasons` are for the practitioner alone."""

    case: Case
    screening: Screening
    reasons: tuple[Finding, ...]
    protocols: Protocols
    as_of: date

    @property
    def key(self) -> str:
        """What tells it from every other basis."""
        used = "".join(one.code for one in self.protocols.in_order)
        told = canonical(self.case) + canonical(self.screening)
        return digest(told + f"{used}{self.as_of}".encode())


def basis_of(desk: Desk, case: Case, *, as_of: date) -> Basis:
    """Return what the plan of a race file rests on; BadInput where its protocol cannot be read.

    Health counts where the race file is known to be of that athlete; else nothing is known, which holds.
    """
    screening, reasons = screen(case, healths.health_of(desk.athlete), as_of=as_of)
    protocols = protocols_of(case, lambda name: desks.file_of(desk, name), as_of=as_of)
    return Basis(case, screening, reasons, protocols, as_of)


def looked_at(basis: Basis, *, wait_s: float | None = None) -> Looked | None:
    """Return what stands of a case; None where its schedule is still being solved after `wait_s`.

    On hold nothing is computed: the error carries the reasons.
    """
    if not basis.screening.may_issue:
        return Looked(error=OnHold(*basis.reasons))
    found = _WORK.of(basis.key, lambda: _look(basis), at_once=basis.case.wishes.schedule == "as given")
    try:
        return found.result(timeout=wait_s)
    except TimeoutError:
        return None


def _look(basis: Basis) -> Looked:
    return look(basis.case, basis.screening, protocols=basis.protocols, as_of=basis.as_of)


class _Work:
    """What was looked at, and what is being solved: nothing is started twice."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._found: OrderedDict[str, Future[Looked]] = OrderedDict()

    def of(self, key: str, made: Callable[[], Looked], *, at_once: bool) -> Future[Looked]:
        with self._lock:
            found = self._found.get(key)
            if found is not None and not (found.done() and found.exception()):
                self._found.move_to_end(key)
                return found
            found = Future() if at_once else _solver().submit(made)
            self._found[key] = found
            while len(self._found) > KEPT:
                self._found.popitem(last=False)
        if at_once:
            try:
                found.set_result(made())
            except BaseException as error:
                found.set_exception(error)
                raise
        return found


_WORK = _Work()


@cache
def _solver() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=1, thread_name_prefix="solve")


def case_at(desk: Desk, *, as_of: date) -> Case:
    """Return the case of a race file; BadInput carries every fault. A race that is over can be looked at."""
    read = desks.read(desk, as_of=as_of)
    if read.case is None:
        raise BadInput(*read.faults)
    return read.case
