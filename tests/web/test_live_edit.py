"""The measure of a live edit runs, and an edit costs less than solving."""

from __future__ import annotations

import pytest
from django.conf import settings
from live_edit import live_edit


def test_a_live_edit_can_be_measured_and_is_quicker_than_solving(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROVAND_TODAY", "2026-11-25")
    monkeypatch.setenv("PROVAND_LEDGER", "set by the measure")
    monkeypatch.setattr(settings, "PASSWORD_HASHERS", settings.PASSWORD_HASHERS)
    (ratio,) = live_edit(rounds=3)
    assert ratio.name == "a live edit"
    assert 0 < ratio.ratio < 1
