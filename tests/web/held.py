"""Processes that compute nothing until a test says what came of it, and tell what stage they are at."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any

import pytest

from provand.planner.progress import Stage
from provand.workspace import plans, workers


class Held:
    """Every process of the pages, and nothing known yet; `future` is what the last work comes to."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.patch = patch
        self.begun, self.future = threading.Event(), Future[Any]()
        self.count, self.stage = 0, None
        self.asked: tuple[Callable[..., Any], tuple[Any, ...], dict[str, Any]] | None = None
        for known in ("_LOOKED", "_SOLVING", "_STOPPED", "_LAST"):
            patch.setattr(plans, known, type(getattr(plans, known))(plans.KEPT))
        patch.setattr(workers, "begin", self._begin)
        patch.setattr(workers, "begin_for_page", self._begin)
        patch.setattr(workers, "heard", lambda _: self.stage)

    stage: Stage | None

    def _begin(self, function: Callable[..., Any], *args: Any, **more: Any) -> Future[Any]:
        self.count += 1
        self.future, self.asked = Future(), (function, args, more)
        self.begun.set()
        return self.future

    def done(self) -> None:
        """Do here what was asked for."""
        assert self.asked is not None
        function, args, more = self.asked
        self.future.set_result(function(*args, **more))
