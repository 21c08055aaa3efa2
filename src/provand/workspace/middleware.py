"""What every answer carries, and who may ask: a page keeps to itself, and nobody comes in unsigned."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import resolve
from django.utils import timezone

from provand.finding import ProvandError
from provand.workspace import access

Answer = Callable[[HttpRequest], HttpResponse]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "frame-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'self'",
        "base-uri 'none'",
    )
)
"""Nothing from another host, and nothing written into the page itself."""
OPEN = {"enter", "start", "tokens"}
"""The pages that are there before anybody has signed in."""


def headers(answer: Answer) -> Answer:
    """Send the policy and its kin with every answer; nothing personal stays in a cache."""

    def answered(request: HttpRequest) -> HttpResponse:
        request.get_host()  # a name that is not ours is refused here
        response = answer(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("X-Content-Type-Options", "nosniff")
        response.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
        response.headers.setdefault("Referrer-Policy", "same-origin")
        if not request.path.startswith("/static/"):
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    return answered


def signed_in(answer: Answer) -> Answer:
    """Lead to the first start where nobody can sign in yet, to signing in where nobody has."""

    def answered(request: HttpRequest) -> HttpResponse:
        name = resolve(request.path_info).url_name
        if name in OPEN or request.user.is_authenticated:
            return answer(request)
        if not access.has_people():
            return redirect("start")
        if request.headers.get("HX-Request"):
            return render(request, "provand/parts/signed_out.html", status=401)
        return redirect(f"/enter?next={request.get_full_path()}")

    return answered


def by_own_clock(answer: Answer) -> Answer:
    """Tell moments by the clock of this machine, as the commands do."""

    def answered(request: HttpRequest) -> HttpResponse:
        with timezone.override(datetime.now().astimezone().tzinfo):
            return answer(request)

    return answered


def told(answer: Answer) -> Answer:
    """Answer what the library refuses in its own words: a page, or beside the part that asked."""

    def answered(request: HttpRequest) -> HttpResponse:
        return answer(request)

    def process_exception(request: HttpRequest, error: Exception) -> HttpResponse | None:
        if not isinstance(error, ProvandError):
            return None
        part = "provand/parts/findings.html" if request.headers.get("HX-Request") else "provand/refused.html"
        return render(request, part, {"findings": error.findings}, status=STATUS.get(error.status, 500))

    answered.process_exception = process_exception  # type: ignore[attr-defined]  # as Django looks for it
    return answered


STATUS = {2: 422, 3: 409, 4: 422, 5: 503}
"""From the program's exit status to the one of the web."""
