"""The files of the repository, as the house tests read them."""

from __future__ import annotations

import ast
import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SRC = ROOT / "src" / "provand"


@cache
def repository_files() -> tuple[Path, ...]:
    """Return every file that is tracked or would be: what git ignores is left out."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
        text=True,
    ).stdout
    return tuple(path for name in listed.split("\0") if name and (path := ROOT / name).is_file())


@cache
def modules() -> dict[str, ast.Module]:
    """Return the syntax tree of every module of the package, by its path in the package."""
    return {
        path.relative_to(SRC).as_posix(): ast.parse(path.read_text("utf-8"), filename=str(path))
        for path in sorted(SRC.rglob("*.py"))
    }


def text_of(path: Path) -> str | None:
    """Return the text of a file, or None for a picture, a font or another binary."""
    data = path.read_bytes()
    return None if b"\0" in data else data.decode("utf-8")
