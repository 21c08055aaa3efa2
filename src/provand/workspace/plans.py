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
from typing import Generic, NamedTuple, TypeVar

from provand.case.case import Case
from provand.case.typed import Document, document_of
from provand.finding import BadInput, Finding, OnHold, find
from provand.plan.document import Cleared
from provand.plan.look import Looked, look
from provand.plan.protocols import protocols_of
from provand.plan.scenarios import Scenarios, scenarios
from provand.plan.standing import Standing
from provand.protocol.own import Protocols
from provand.record import canonical
from provand.safety.screening import Screening, screen
from provand.workspace import desk as desks
from provand.workspace import healths
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
    found = _OTHERWISE.of(basis.key, lambda: scenarios(standing), at_once=False)
    try:
        return found.result(timeout=wait_s)
    except TimeoutError:
        return None


class _Work(Generic[Found]):
    """What was looked at, and what is being solved: nothing is started twice."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._found: _Lately[str, Future[Found]] = _Lately(KEPT)

    def of(self, key: str, made: Callable[[], Found], *, at_once: bool) -> Future[Found]:
        with self._lock:
            found = self._found.get(key)
            if found is not None and not (found.done() and found.exception()):
                return found
            found = self._found.keep(key, Future() if at_once else _solver().submit(made))
        if at_once:
            try:
                found.set_result(made())
            except BaseException as error:
                found.set_exception(error)
                raise
        return found


_WORK: _Work[Looked] = _Work()
_OTHERWISE: _Work[Scenarios] = _Work()


@cache
def _solver() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=1, thread_name_prefix="solve")


def case_at(desk: Desk, *, as_of: date) -> Case:
    """Return the case of a race file; BadInput carries every fault. A race that is over can be looked at."""
    read = read_at(desk, as_of=as_of)
    if read.case is None:
        raise BadInput(*read.faults)
    return read.case
