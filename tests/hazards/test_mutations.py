"""The controls of the hazard log are broken one at a time, and each time the test that is named fails.

A copy of the package with one piece of text replaced is put before the real one on the path of a process of
its own, which runs that test alone. The same tests pass in a copy in which nothing is broken.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "provand"
PASSED, FAILED = 0, 1
"""Statuses of pytest: any other one is a fault of the check, such as a test that is not found."""
NOT_A_BREACH = ("NameError", "SyntaxError", "ImportError", "ModuleNotFoundError", "UnboundLocalError")
"""A test that fails by one of these saw code that cannot run, and not a control that is gone."""


class Mutation(NamedTuple):
    """One control broken: in which file, which text gives way to which, and the test that must then fail."""

    control: str
    file: str
    replaces: str
    by: str
    test: str


MUTATIONS = [
    Mutation(**entry)
    for entry in tomllib.loads(Path(__file__).with_name("mutations.toml").read_text("utf-8"))["mutation"]
]


def copied(to: Path) -> Path:
    """Copy the package, with what is compiled of it, and return the folder to put on the path."""
    shutil.copytree(PACKAGE, to / "provand")
    return to


def broken(mutation: Mutation, to: Path) -> Path:
    """Copy the package with one control broken; the text to replace must stand in the file just once."""
    file = copied(to) / "provand" / mutation.file
    text = file.read_text("utf-8")
    assert text.count(mutation.replaces) == 1, f"{mutation.file} holds this not once: {mutation.replaces}"
    for compiled in (file.parent / "__pycache__").glob(f"{file.stem}.*"):
        compiled.unlink()
    file.write_text(text.replace(mutation.replaces, mutation.by), "utf-8")
    return to


def ran(tests: list[str], path: Path) -> subprocess.CompletedProcess[str]:
    """Run tests in a process of its own against the package in `path`."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "--no-header", *tests]
    return subprocess.run(
        command,
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(path)},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="module")
def outcomes(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[dict[str, Future[subprocess.CompletedProcess[str]]]]:
    """Run every broken control, as many at a time as there are processors."""

    def one(number: int, mutation: Mutation) -> subprocess.CompletedProcess[str]:
        folder = tmp_path_factory.mktemp(f"broken-{number}")
        try:
            return ran([mutation.test], broken(mutation, folder))
        finally:
            shutil.rmtree(folder)

    with ThreadPoolExecutor(os.cpu_count()) as pool:
        yield {mutation.control: pool.submit(one, at, mutation) for at, mutation in enumerate(MUTATIONS)}


def test_no_control_is_broken_twice() -> None:
    names = [mutation.control for mutation in MUTATIONS]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("mutation", MUTATIONS, ids=lambda mutation: mutation.control)
def test_a_broken_control_is_seen_by_its_test(
    mutation: Mutation, outcomes: dict[str, Future[subprocess.CompletedProcess[str]]]
) -> None:
    ended = outcomes[mutation.control].result()
    assert ended.returncode == FAILED, f"status {ended.returncode}\n{ended.stdout}{ended.stderr}"
    assert not [name for name in NOT_A_BREACH if name in ended.stdout], ended.stdout


def test_the_same_tests_pass_where_nothing_is_broken(tmp_path: Path) -> None:
    ended = ran(sorted({mutation.test for mutation in MUTATIONS}), copied(tmp_path))
    assert ended.returncode == PASSED, ended.stdout + ended.stderr


def test_text_that_is_no_longer_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match="holds this not once"):
        broken(MUTATIONS[0]._replace(replaces="what no file holds"), tmp_path)
