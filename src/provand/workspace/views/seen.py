"""What every view begins with: who asks, and what they may see; a stranger finds nothing there."""

from __future__ import annotations

from typing import TypeVar
from uuid import UUID

from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponse

from provand.workspace.access import Seen
from provand.workspace.models import Desk, User

Row = TypeVar("Row", bound=Model)


def user_of(request: HttpRequest) -> User:
    """Return who asks; the middleware lets nobody else come so far."""
    assert isinstance(request.user, User)
    return request.user


def seen_by(request: HttpRequest) -> Seen:
    return Seen(user_of(request))


def desk_of(request: HttpRequest, key: UUID) -> tuple[Desk, User]:
    """Return a race file that the person may see, and the person; Http404 for any other."""
    return one_of(seen_by(request).desks(), key), user_of(request)


def file_shown(data: bytes, media_type: str, name: str) -> HttpResponse:
    """Return a file: a PDF opens in the browser, anything else is put among the downloads."""
    shown = "inline" if media_type == "application/pdf" else "attachment"
    headers = {
        "Content-Disposition": f'{shown}; filename="{name}"',
        "Content-Security-Policy": "default-src 'none'; frame-ancestors 'self'",
    }
    return HttpResponse(data, content_type=media_type, headers=headers)


def one_of(rows: QuerySet[Row], key: object) -> Row:
    """Return the row of that key among those seen; Http404 where there is none."""
    found = rows.filter(pk=key).first()
    if found is None:
        raise Http404
    return found
