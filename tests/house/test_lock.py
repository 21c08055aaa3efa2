"""The lock: every package pinned and hashed, no address, and nothing that the project needs left out."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from source_tree import ROOT

BOOTSTRAP = ROOT / "requirements" / "bootstrap.txt"
ALL = ROOT / "requirements" / "all.txt"
HASH = re.compile(r"--hash=sha256:[0-9a-f]{64}")


def entries(lock: Path) -> list[str]:
    """Return the entries of a lock, each on one line."""
    return lock.read_text("utf-8").replace("\\\n", " ").splitlines()


def pinned(lock: Path) -> dict[str, list[Requirement]]:
    """Return what a lock pins, by name; a name stands twice where another Python needs another version."""
    found: dict[str, list[Requirement]] = {}
    for entry in entries(lock):
        requirement = Requirement(entry.split("--hash")[0].strip())
        found.setdefault(canonicalize_name(requirement.name), []).append(requirement)
    return found


def wanted() -> list[Requirement]:
    """Return what the project says it needs: to run, to be built, to be tested."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    extras = project["project"]["optional-dependencies"].values()
    groups = [project["build-system"]["requires"], project["project"]["dependencies"], *extras]
    return [Requirement(line) for line in sorted({line for group in groups for line in group})]


@pytest.mark.parametrize("lock", [BOOTSTRAP, ALL], ids=lambda path: path.name)
def test_the_lock_holds_no_address(lock: Path) -> None:
    assert "://" not in lock.read_text("utf-8")


@pytest.mark.parametrize("lock", [BOOTSTRAP, ALL], ids=lambda path: path.name)
def test_every_entry_is_one_version_with_a_hash_and_no_option(lock: Path) -> None:
    assert entries(lock)
    for entry in entries(lock):
        assert re.match(r"[a-z0-9-]+==[^ ]+ ", entry), entry
        assert HASH.search(entry), entry
        assert "--" not in HASH.sub("", entry), entry


def test_the_bootstrap_is_one_package() -> None:
    assert list(pinned(BOOTSTRAP)) == ["uv"]


@pytest.mark.parametrize("requirement", wanted(), ids=str)
def test_the_lock_meets_what_the_project_needs(requirement: Requirement) -> None:
    locked = pinned(ALL)[canonicalize_name(requirement.name)]
    versions = [next(iter(entry.specifier)).version for entry in locked]
    assert all(requirement.specifier.contains(version) for version in versions)
