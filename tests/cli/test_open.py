"""`provand open` as a program: it serves on loopback, says where, and ends when told."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest


def opened(folder: Path, *words: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "provand.cli.main", "open", "--no-browser", *words],
        env=os.environ | {"PROVAND_LEDGER": str(folder / "ledger.sqlite3")},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


def test_it_serves_on_loopback_and_ends_when_told(tmp_path: Path) -> None:
    with opened(tmp_path) as program:
        assert program.stdout is not None
        line = program.stdout.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+/", line)
        assert address, line
        with urllib.request.urlopen(address[0], timeout=60) as answer:
            assert "First start" in answer.read().decode()
        program.send_signal(signal.SIGTERM)
        assert program.wait(timeout=60) in (0, 130)


def test_a_port_that_is_taken_is_told(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with opened(tmp_path, "--port", str(taken.getsockname()[1])) as program:
            said, _ = program.communicate(timeout=60)
    assert program.returncode == 5
    assert "no pages can be served there" in said


@pytest.mark.parametrize("port", ["-1", "70000", "x"])
def test_a_port_that_is_none_is_refused(tmp_path: Path, port: str) -> None:
    with opened(tmp_path, "--port", port) as program:
        said, _ = program.communicate(timeout=60)
    assert program.returncode == 2
    assert "port" in said.lower()
