"""An open ledger of its own for each test."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from ledgers import by_hand

from provand.workspace.ledger import Ledger, open_ledger


@pytest.fixture(scope="session")
def _fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a ledger without a row, made once."""
    path = tmp_path_factory.mktemp("fresh") / "ledger.sqlite3"
    open_ledger(path).close()
    return path


@pytest.fixture
def ledger(_fresh: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Ledger]:
    """Yield an open ledger whose actions draw up plans by hand."""
    by_hand(monkeypatch)
    path = tmp_path / "kept" / "ledger.sqlite3"
    path.parent.mkdir()
    shutil.copy(_fresh, path)
    with open_ledger(path) as opened:
        yield opened
