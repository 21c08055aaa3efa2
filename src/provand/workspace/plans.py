"""The plan of a race file as pages show it: computed once, kept in memory, solved beside the pages.

A plan is a pure function, so what was computed for the same case, screening, protocols and day is the same
plan. A schedule as given is checked while the page waits; one that must be solved is solved in a process,
and the page asks again. What comes back from there is no cleared plan: it is cleared here.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from datetime import UTC, date, datetime
from functools import cache
from threading import Lock
from typing import Any, Generic, NamedTuple, TypeVar
from uuid import UUID

from provand.case.case import Case
from provand.case.typed import Document, document_of
from provand.finding import BadInput, Finding, OnHold, ProvandError, find
from provand.plan.document import Cleared, Plan
from provand.plan.look import Looked, drawn, looked
from provand.plan.protocols import protocols_of
from provand.plan.scenarios import Scenarios, scenarios
from provand.plan.standing import Standing
from provand.protocol.own import Protocols
from provand.record import canonical
from provand.safety.screening import Screening, screen
from provand.workspace import desk as desks
from provand.workspace import healths, workers
from provand.workspace.models import Desk, DeskFile
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
    desk: UUID
    """Whose case it is; no plan depends on it."""

    @property
    def key(self) -> str:
        """What tells it from every other basis."""
        used = "".join(one.code for one in self.protocols.in_order)
        told = f"{used}{self.as_of}".encode()
        return digest(self.case.as_bytes + canonical(self.screening) + told)


Key = TypeVar("Key")
Found = TypeVar("Found")


class _Lately(Generic[Key, Found]):
    """The last few things that were made, by key; several threads may ask."""

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, Lock()
        self._kept: OrderedDict[Key, Found] = OrderedDict()

    def get(self, key: Key) -> Found | None:
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
            return found

    def keep(self, key: Key, found: Found) -> Found:
        with self._lock:
            self._kept[key] = found
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
            return found

    def pop(self, key: Key) -> None:
        with self._lock:
            self._kept.pop(key, None)


_DOCUMENTS: _Lately[str, Document] = _Lately(KEPT)
_READ: _Lately[tuple[object, ...], desks.Read] = _Lately(KEPT)


def read_at(desk: Desk, *, as_of: date) -> desks.Read:
    """Return what the door makes of a race file; the same text with the same files is read once."""
    key = _key_of(desk, desk.typed, as_of)
    known = _READ.get(key)
    return known if known is not None else _READ.keep(key, desks.read(desk, as_of=as_of))


def was_read(desk: Desk, typed: Document, case: Case, *, as_of: date) -> None:
    """Remember what the door made of a document whose text is now the race file's."""
    _READ.keep(_key_of(desk, desk.typed, as_of), desks.Read(case))
    _DOCUMENTS.keep(digest(desk.typed.encode("utf-8")), typed)


def document_at(desk: Desk) -> Document:
    """Return a race file's text as a document, which no change alters: each makes its own."""
    key = digest(desk.typed.encode("utf-8"))
    known = _DOCUMENTS.get(key)
    return known if known is not None else _DOCUMENTS.keep(key, document_of(desk.typed, "race file"))


def _key_of(desk: Desk, typed: str, as_of: date) -> tuple[object, ...]:
    last = DeskFile.objects.filter(desk=desk).order_by("-id").values_list("pk", flat=True).first()
    return desk.pk, digest(typed.encode("utf-8")), last, as_of


def basis_of(desk: Desk, case: Case, *, as_of: date) -> Basis:
    """Return what the plan of a race file rests on; BadInput where its protocol cannot be read.

    Health counts where the race file is known to be of that athlete; else nothing is known, which holds.
    """
    screening, reasons = screen(case, healths.health_of(desk.athlete), as_of=as_of)
    protocols = protocols_of(case, lambda name: desks.file_of(desk, name), as_of=as_of)
    return Basis(case, screening, reasons, protocols, as_of, desk.pk)


def looked_at(basis: Basis, *, wait_s: float | None = None) -> Looked | None:
    """Return what stands of a case; None where its schedule is still being solved after `wait_s`.

    None too where somebody stops it meanwhile; a look with an end does not begin anew what was stopped. On
    hold nothing is computed: the error carries the reasons.
    """
    if not basis.screening.may_issue:
        return Looked(error=OnHold(*basis.reasons))
    key = basis.key
    known = _LOOKED.get(key)
    if known is not None:
        return known
    if basis.case.wishes.schedule == "as given":
        plan = drawn(basis.case, basis.screening, protocols=basis.protocols, as_of=basis.as_of)
        return solved(basis, plan)
    if wait_s is not None and stopped_by(basis):
        return None
    try:
        return solved(basis, solving(basis).future.result(timeout=wait_s))
    except (TimeoutError, CancelledError):
        return None


# Solved beside the pages.


class Solving(NamedTuple):
    """A schedule that is being solved, and since when."""

    future: Future[Plan | ProvandError]
    since: datetime

    @property
    def failed(self) -> bool:
        """Whether it ended without anything."""
        return self.future.done() and (self.future.cancelled() or self.future.exception() is not None)


def solving(basis: Basis, begin: Callable[..., Future[Any]] | None = None) -> Solving:
    """Return the solve of a case: nothing is solved twice at once.

    `begin` says by which processes; without it what the page of the race file waited for before is ended.
    """
    key = basis.key
    with _LOCK:
        _STOPPED.pop(key)
        found = _SOLVING.get(key)
        if found is None or found.failed:
            if begin is None:
                _end_before(basis.desk, key)
            begun = (begin or workers.begin_for_page)(
                drawn, basis.case, basis.screening, protocols=basis.protocols, as_of=basis.as_of
            )
            found = _SOLVING.keep(key, Solving(begun, datetime.now(UTC)))
        return found


def _end_before(desk: UUID, key: str) -> None:
    """End the solve of a race file as it stood before it was changed: nobody waits for it any more."""
    before = _SOLVING.get(_LAST.get(desk) or "")
    if before is not None:
        before.future.cancel()
    _LAST.keep(desk, key)


def going_on(basis: Basis) -> Solving | None:
    """Return the solve of a case while it is not at its end."""
    found = _SOLVING.get(basis.key)
    return None if found is None or found.future.done() else found


def solved(basis: Basis, plan: Plan | ProvandError) -> Looked:
    """Return what stands of a plan that was drawn up, wherever: here it is cleared, or not, and kept."""
    found = _LOOKED.keep(basis.key, looked(plan, basis.case, basis.screening))
    _SOLVING.pop(basis.key)
    return found


def stop(basis: Basis, *, by: str) -> bool:
    """End the solve of a case, which is not begun again unless somebody asks; False where there is none."""
    with _LOCK:
        found = _SOLVING.get(basis.key)
        if found is None or found.future.done() or not found.future.cancel():
            return False
        _STOPPED.keep(basis.key, by)
        return True


def stopped_by(basis: Basis) -> str:
    """Return who stopped the solve of a case, nobody having asked for it since."""
    return _STOPPED.get(basis.key) or ""


def otherwise_at(
    desk: Desk, basis: Basis, cleared: Cleared, *, wait_s: float | None = None
) -> Scenarios | None:
    """Return what to do if things go otherwise; None where it is still being planned after `wait_s`.

    What the race file names is read before, so that the worker asks no database.
    """
    files = {row.name: bytes(row.data) for row in DeskFile.objects.filter(desk=desk).order_by("id")}

    def beside(name: str) -> bytes:
        if name not in files:
            raise BadInput(find("file.missing", name))
        return files[name]

    standing = Standing(
        cleared, document_at(desk), basis.case, basis.screening, basis.protocols, beside, basis.as_of
    )
    with _LOCK:
        found = _OTHERWISE.get(basis.key)
        if found is None or (found.done() and found.exception()):
            found = _OTHERWISE.keep(basis.key, _solver().submit(scenarios, standing))
    try:
        return found.result(timeout=wait_s)
    except TimeoutError:
        return None


_LOCK = Lock()
_LOOKED: _Lately[str, Looked] = _Lately(KEPT)
_SOLVING: _Lately[str, Solving] = _Lately(KEPT)
_STOPPED: _Lately[str, str] = _Lately(KEPT)
_LAST: _Lately[UUID, str] = _Lately(KEPT)
_OTHERWISE: _Lately[str, Future[Scenarios]] = _Lately(KEPT)


@cache
def _solver() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=1, thread_name_prefix="solve")


def case_at(desk: Desk, *, as_of: date) -> Case:
    """Return the case of a race file; BadInput carries every fault. A race that is over can be looked at."""
    read = read_at(desk, as_of=as_of)
    if read.case is None:
        raise BadInput(*read.faults)
    return read.case
