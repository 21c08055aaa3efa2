"""Pages for this machine: a server on loopback, the secret that signs its sessions, the browser opened."""

from __future__ import annotations

import secrets
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.core.handlers.wsgi import WSGIHandler
from django.http import HttpRequest

from provand.finding import CannotWork, find
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.where import ledger_path

LOOPBACK = "127.0.0.1"
THREADS = 6


def ledger_of(request: HttpRequest) -> Ledger:
    """Return the ledger that the pages are served from."""
    return Ledger(ledger_path())


def secret_beside(path: Path) -> str:
    """Return the secret that signs sessions, made on first use beside the ledger, private to the user."""
    place = path.with_name(f"{path.name}.secret")
    try:
        if not place.exists():
            place.touch(mode=0o600, exist_ok=False)
            place.write_text(secrets.token_urlsafe(48), "ascii")
        return place.read_text("ascii")
    except OSError as error:
        raise CannotWork(find("ledger.cannot_work", str(place), why=error.strerror or "unknown")) from error


def application(ledger: Ledger, *, host: str = LOOPBACK) -> WSGIHandler:
    """Return the pages of a ledger as a WSGI application."""
    settings.SECRET_KEY = secret_beside(ledger.path)
    if host not in settings.ALLOWED_HOSTS:
        settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, host]
    return WSGIHandler()


def serve(named: Path | None, *, host: str, port: int, browser: bool, says: Callable[[str], None]) -> None:
    """Serve the pages of a ledger until interrupted; CannotWork where the port is taken."""
    from waitress.server import TcpWSGIServer, create_server  # noqa: PLC0415 - only serving needs it

    ledger = open_ledger(named)
    try:
        server = create_server(application(ledger, host=host), host=host, port=port, threads=THREADS)
    except OSError as error:
        raise CannotWork(find("workspace.port", f"{host}:{port}", why=error.strerror or "unknown")) from error
    bound = server.effective_port if isinstance(server, TcpWSGIServer) else port  # type: ignore[attr-defined]
    address = f"http://{host}:{bound}/"
    says(address)
    if browser:
        threading.Timer(0.3, webbrowser.open, (address,)).start()
    try:
        server.run()
    finally:
        server.close()
