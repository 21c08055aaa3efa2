"""A practice for the pages: Alba owns, Bo is a colleague, Cai a stranger, Dana an assistant; all invented."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth import hashers
from django.test import Client
from practice import PASSPHRASE, signed_in

from provand.workspace import people
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.web import application
from provand.workspace.where import ledger_path

QUICK = ["django.contrib.auth.hashers.MD5PasswordHasher"]
"""Argon2 takes a fifth of a second on purpose; what is tried here is not the hash."""


@pytest.fixture(autouse=True)
def _hashers_of_this_test() -> None:
    """Let each test hash as its own settings say: Django remembers the first list that it was asked for."""
    hashers.get_hashers.cache_clear()
    hashers.get_hashers_by_algorithm.cache_clear()


@pytest.fixture(scope="session")
def _practice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a ledger in which the four may sign in, made once and copied for each test."""
    place = tmp_path_factory.mktemp("practice") / "practice.sqlite3"
    usual, settings.PASSWORD_HASHERS = settings.PASSWORD_HASHERS, QUICK
    with open_ledger(place) as ledger:
        alba = people.first_start(
            ledger, practice="Invented practice", contact="", name="Alba Inventada", passphrase=PASSPHRASE
        )
        for name, role in (("Bo", "practitioner"), ("Cai", "practitioner"), ("Dana", "assistant")):
            people.person_added(ledger, name=name, passphrase=PASSPHRASE, role=role, by=alba)
    settings.PASSWORD_HASHERS = usual
    hashers.get_hashers.cache_clear()
    hashers.get_hashers_by_algorithm.cache_clear()
    return place


@pytest.fixture
def ledger(_practice: Path, monkeypatch: pytest.MonkeyPatch) -> Ledger:
    """Return the test's own copy of that ledger, opened for the pages."""
    monkeypatch.setattr(settings, "PASSWORD_HASHERS", QUICK)
    monkeypatch.setenv("PROVAND_TODAY", "2026-11-25")
    shutil.copy(_practice, ledger_path())
    opened = open_ledger()
    application(opened)
    return opened


@pytest.fixture
def alba(ledger: Ledger) -> Client:
    """Return the owner's browser."""
    return signed_in("Alba")


@pytest.fixture
def bo(ledger: Ledger) -> Client:
    """Return a colleague's browser."""
    return signed_in("Bo")


@pytest.fixture
def cai(ledger: Ledger) -> Client:
    """Return a stranger's browser."""
    return signed_in("Cai")


@pytest.fixture
def dana(ledger: Ledger) -> Client:
    """Return an assistant's browser."""
    return signed_in("Dana")


@pytest.fixture
def nobody(ledger: Ledger) -> Client:
    """Return a browser in which nobody has signed in."""
    return Client(HTTP_HOST="localhost")
