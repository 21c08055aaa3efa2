"""`open`: the pages of the workspace, served from this machine."""

from __future__ import annotations

import signal
from pathlib import Path

from provand.workspace.web import LOOPBACK, serve

OWN = (LOOPBACK, "localhost", "::1")


def serve_pages(ledger: Path | None, *, host: str, port: int, browser: bool) -> None:
    """Serve until interrupted; say where, and warn where others can reach it."""

    def says(address: str) -> None:
        print(f"The workspace is open at {address} - end with Ctrl+C.", flush=True)
        if host not in OWN:
            print(
                "Others on the network can reach this address, and nothing on the way is encrypted.",
                flush=True,
            )

    signal.signal(signal.SIGTERM, signal.default_int_handler)  # told to end, it ends as by Ctrl+C
    serve(ledger, host=host, port=port, browser=browser, says=says)
