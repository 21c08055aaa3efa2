"""What a live edit on a page costs, beside a solve of the same case and beside a bare page."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Any

from measure import Ratio, medians_s

AS_OF = date(2026, 11, 25)
DEMO = files("provand") / "demo" / "warm-hills"
ITEM = "hill-gel"


def live_edit(rounds: int) -> list[Ratio]:
    """Return what moving an intake costs beside solving the same case; print it beside a bare page.

    An edit is all of it: the form is sent, the change made and kept in the ledger, the schedule as given
    looked at, the page part written. The gel goes to and fro, so that nothing is known beforehand.
    """
    with tempfile.TemporaryDirectory() as folder:
        os.environ["PROVAND_LEDGER"] = str(Path(folder) / "bench.sqlite3")
        os.environ["PROVAND_TODAY"] = AS_OF.isoformat()
        page = _Page()
        tasks = {"edit": page.edit_s, "solve": page.solve_s, "bare": page.bare_s}
        taken_s = medians_s(tasks, rounds)
        page.close()
    print(f"a live edit: {taken_s['edit'] / taken_s['bare']:.0f} bare pages")
    return [Ratio("a live edit", taken_s["edit"] / taken_s["solve"], "drawing up with solving", 0.25)]


class _Page:
    """A race file of the demo, its plan's page opened by somebody who has signed in."""

    def __init__(self) -> None:
        # Importing the workspace points Django at the ledger that the environment names.
        from django.conf import settings  # noqa: PLC0415
        from django.test import Client  # noqa: PLC0415

        from provand.case.door import health_of  # noqa: PLC0415
        from provand.case.files import toml_in  # noqa: PLC0415
        from provand.plan.draw_up import draw_up  # noqa: PLC0415
        from provand.workspace import desk as desks  # noqa: PLC0415
        from provand.workspace import people, plans, web  # noqa: PLC0415
        from provand.workspace.actions import health_noted  # noqa: PLC0415
        from provand.workspace.ledger import open_ledger  # noqa: PLC0415
        from provand.workspace.models import Desk  # noqa: PLC0415

        settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
        self._ledger = open_ledger()
        web.application(self._ledger)
        owner = people.first_start(
            self._ledger, practice="Bench", contact="", name="Owner", passphrase="four invented words here"
        )
        desk = desks.opened(self._ledger, by=owner, typed=DEMO.joinpath("case.toml").read_text("utf-8"))
        track = DEMO.joinpath("course.gpx").read_bytes()
        desk = desks.attached(
            self._ledger, desk=desk, revision=1, key="course.gpx", name="course.gpx", data=track, by=owner
        )
        case = plans.case_at(desk, as_of=AS_OF)
        desks.settled(self._ledger, desk=desk, case=case, sentence=desks.TYPED, by=owner)
        told = toml_in(DEMO.joinpath("case.health.toml").read_bytes(), "health")
        health_noted(self._ledger, case=case, health=health_of(told, name="health"), by="Owner", as_of=AS_OF)
        self._desks: Any = Desk.objects.select_related("athlete").filter(pk=desk.pk)
        basis = plans.basis_of(self._desks.get(), case, as_of=AS_OF)
        self._solve: Callable[[], object] = lambda: draw_up(
            case, basis.screening, protocols=basis.protocols, as_of=AS_OF
        )
        looked = plans.looked_at(basis)
        assert looked is not None
        self._at_m = next(one.at_m for one in looked.schedule if one.item == ITEM) or 0.0
        self._moves = 0
        self._client = Client(HTTP_HOST="localhost")
        self._client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
        self._address = f"/files/{desk.pk}/plan/change"

    def edit_s(self) -> float:
        """Move the gel to a place where it never was, and return the seconds."""
        self._moves += 1
        goes_m = self._at_m + (100 * self._moves if self._moves % 2 else -100 * self._moves)
        sent = {
            "kind": "move",
            "item": ITEM,
            "at": f"{self._at_m} m",
            "to": f"{goes_m} m",
            "revision": self._desks.get().revision,
            "lanes": "2",
            "seen": "level",
        }
        start_s = time.perf_counter()
        answer = self._client.post(self._address, sent, headers={"HX-Request": "true"})
        taken_s = time.perf_counter() - start_s
        if answer.status_code != 200:
            raise RuntimeError(answer.content.decode()[:400])
        self._at_m = goes_m
        return taken_s

    def solve_s(self) -> float:
        start_s = time.perf_counter()
        self._solve()
        return time.perf_counter() - start_s

    def bare_s(self) -> float:
        """Open the page that asks before signing out, which reads nothing."""
        start_s = time.perf_counter()
        self._client.get("/leave")
        return time.perf_counter() - start_s

    def close(self) -> None:
        self._ledger.close()
