"""What no file of the repository may hold, and how long it may be."""

from __future__ import annotations

import re

import pytest
from source_tree import ROOT, SRC, repository_files, text_of

MAX_LINES = 600
MEASURED = {".gpx", ".po", ".pot"}
"""Kinds of files that an instrument or a tool writes: as long as the course, or as the list of texts."""
MAX_KILOBYTES = 900


def joined(*parts: str) -> str:
    """Return a pattern put together, so that this file does not hold what it looks for."""
    return "".join(parts)


FORBIDDEN = {
    "an address of a package registry": joined(
        r"--(?:extra-)?index", r"-url|index", r"-url *=|https?://[^ ]*/sim", r"ple/|",
        r"pypi\.", r"org/|pythonhosted\.", r"org|registry\.npm", r"js|deb\.debian\.", r"org",
    ),
    "a path of one machine": joined(r"(?<![\w.}])/(?:work|far", r"m|root|home|tmp|Users)/[A-Za-z.]"),
    "a mark of unfinished work": joined(r"\b(?:TO", r"DO|FIX", r"ME|XX", r"X|HA", r"CK)\b"),
}  # fmt: skip


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_file_holds(what: str) -> None:
    pattern = re.compile(FORBIDDEN[what])
    found = [
        f"{path.relative_to(ROOT)}:{number} {line.strip()[:100]}"
        for path in repository_files()
        if (text := text_of(path)) is not None
        for number, line in enumerate(text.splitlines(), 1)
        if pattern.search(line)
    ]
    assert not found, f"{what}:\n" + "\n".join(found)


@pytest.mark.parametrize(
    ("what", "planted"),
    [
        ("an address of a package registry", joined("--index", "-url x")),
        ("an address of a package registry", joined("https://example.test/sim", "ple/")),
        ("an address of a package registry", joined("https://pypi.", "org/project")),
        ("a path of one machine", joined("see /ho", "me/ana/x")),
        ("a path of one machine", joined('open("/tm', 'p/x")')),
        ("a mark of unfinished work", joined("# TO", "DO: later")),
    ],
)
def test_what_is_forbidden_is_found(what: str, planted: str) -> None:
    assert re.search(FORBIDDEN[what], planted)


def test_no_source_file_is_too_long() -> None:
    long = [
        f"{path.relative_to(ROOT)}: {lines} lines"
        for path in repository_files()
        if SRC in path.parents and path.suffix not in MEASURED and (text := text_of(path)) is not None
        if (lines := len(text.splitlines())) >= MAX_LINES
    ]
    assert not long, "\n".join(long)


def test_no_file_is_too_large() -> None:
    large = [
        f"{path.relative_to(ROOT)}: {size:.0f} kB"
        for path in repository_files()
        if (size := path.stat().st_size / 1000) > MAX_KILOBYTES
    ]
    assert not large, "\n".join(large)
