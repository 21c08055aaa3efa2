"""What every test may use, and what none may do."""

from __future__ import annotations

import shutil
import socket
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

settings.register_profile("same every time", derandomize=True, deadline=None, print_blob=False)
settings.load_profile("same every time")

REAL = Path(__file__).resolve().parents[1] / "build" / "real"
COURSE, GPX_SCHEMA = REAL / "korita-zbevnica.gpx", REAL / "gpx-1.1.xsd"
LOOPBACK = {"127.0.0.1", "::1", "localhost"}


class NetworkUsedError(RuntimeError):
    """A test spoke to another machine."""


@pytest.fixture(autouse=True)
def _no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """Refuse every connection but those inside this machine."""
    connect = socket.socket.connect

    def inside_only(self: socket.socket, address: Any) -> None:
        if self.family != socket.AF_UNIX and address[0] not in LOOPBACK:
            raise NetworkUsedError(f"a test tried to reach {address[0]}; tests use no network")
        connect(self, address)

    monkeypatch.setattr(socket.socket, "connect", inside_only)


@pytest.fixture(scope="session")
def _ledgers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("ledgers")


@pytest.fixture(autouse=True)
def _own_ledger(_ledgers: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Give each test a ledger of its own, which is there only if the test makes one; close it after."""
    monkeypatch.setenv("PROVAND_LEDGER", str(_ledgers / f"{uuid.uuid4().hex}.sqlite3"))
    yield
    if "provand.workspace.ledger" in sys.modules:
        sys.modules["django.db"].connections.close_all()


@pytest.fixture(scope="session")
def real_course() -> Path:
    """Return the path of a track that somebody really walked; skip where it was not fetched."""
    if not COURSE.exists():
        pytest.skip(
            "the real course was not fetched (make test fetches it where the package index is reached)"
        )
    return COURSE


@pytest.fixture(scope="session")
def gpx_schema() -> Path:
    """Return the path of the schema of GPX 1.1; skip where it was not fetched."""
    if not GPX_SCHEMA.exists():
        pytest.skip(
            "the schema of GPX was not fetched (make test fetches it where the package index is reached)"
        )
    return GPX_SCHEMA


def _program(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        pytest.skip(f"{name} is not installed (make test installs Debian's where the user may)")
    return found


@pytest.fixture(scope="session")
def chromium() -> str:
    """Return the path of Chromium; the test is skipped where it is missing."""
    return _program("chromium")


@pytest.fixture(scope="session")
def soffice() -> str:
    """Return the path of LibreOffice, which counts spreadsheets; the test is skipped where it is missing."""
    found = shutil.which("soffice")
    if found is None:
        pytest.skip("soffice is not installed (Debian: apt-get install libreoffice-calc)")
    return found


@pytest.fixture(scope="session")
def pdftotext() -> str:
    """Return the path of poppler's `pdftotext`; the test is skipped where it is missing."""
    return _program("pdftotext")
