"""Pages served on loopback, and windows that complain where a page does."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import Page
from waitress.server import create_server
from waitress.wasyncore import close_all

from provand.workspace.ledger import Ledger
from provand.workspace.web import application


@contextmanager
def serving(ledger: Ledger) -> Iterator[str]:
    """Serve the pages of a ledger on loopback alone, and give their address."""
    sockets: dict[int, Any] = {}
    server: Any = create_server(application(ledger), map=sockets, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.effective_port}"
    finally:
        server.task_dispatcher.shutdown()  # an answer under way would write to files that are closed
        # Closed by the thread that waits on them: with the last one its loop ends.
        server.trigger.pull_trigger(lambda: close_all(sockets, ignore_all=True))
        thread.join(timeout=120)
        assert not thread.is_alive()


def listened_to(page: Page, served: str, told: list[str]) -> Page:
    """Write down what a page complains of, and what it asks of another host."""
    page.on("pageerror", lambda error: told.append(str(error)))
    page.on("console", lambda said: told.append(said.text) if "Content Security" in said.text else None)
    page.on("request", lambda asked: None if asked.url.startswith(served) else told.append(asked.url))
    return page
