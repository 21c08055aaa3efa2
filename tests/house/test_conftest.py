"""The guards around every test hold."""

from __future__ import annotations

import socket

import pytest
from hypothesis import settings


def test_no_test_reaches_another_machine() -> None:
    with socket.socket() as speaker, pytest.raises(RuntimeError, match="tests use no network"):
        speaker.connect(("192.0.2.1", 80))


def test_a_test_may_speak_to_its_own_machine() -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener, socket.socket() as speaker:
        speaker.connect(listener.getsockname())


def test_properties_are_tried_with_the_same_examples_every_time() -> None:
    assert settings.default is not None
    assert settings.default.derandomize
