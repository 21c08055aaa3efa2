"""Who works in the invented practice of the tests, and their browsers."""

from __future__ import annotations

from django.test import Client

from provand.workspace.models import User

PASSPHRASE = "four invented words here"


def person(name: str) -> User:
    """Return somebody of the practice by the beginning of the name."""
    return User.objects.get(name__startswith=name)


def signed_in(name: str) -> Client:
    """Return a browser in which somebody has signed in."""
    client = Client(HTTP_HOST="localhost")
    client.force_login(person(name), backend="django.contrib.auth.backends.ModelBackend")
    return client
