"""Fetch a course that somebody really walked: a track in the source archive of gpxpy, pinned by its hash.

The track is not ours, so it is not kept in the repository. Without it, the tests that read it are skipped.
"""

from __future__ import annotations

import subprocess
import sys
import tarfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
REAL = HERE.parents[1] / "build" / "real"
ARCHIVE = REAL / "gpxpy-1.6.2.tar.gz"
INSIDE = "gpxpy-1.6.2/test_files/korita-zbevnica.gpx"
COURSE = REAL / "korita-zbevnica.gpx"

DOWNLOAD = ["-m", "pip", "download", "--quiet", "--no-deps", "--no-binary", "gpxpy", "--require-hashes"]

UNREACHED = """
**********************************************************************
  The real course could not be fetched:
{reason}
  The tests that read it are SKIPPED.
**********************************************************************"""


def fetch() -> None:
    """Put the course in `build/real`, unless it is there."""
    if COURSE.exists():
        return
    REAL.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, *DOWNLOAD, "--requirement", str(HERE / "courses.txt"), "--dest", str(REAL)]
    subprocess.run(command, check=True, capture_output=True, text=True, stdin=subprocess.DEVNULL)
    with tarfile.open(ARCHIVE) as archive:
        track = archive.extractfile(INSIDE)
        if track is None:
            raise FileNotFoundError(f"{INSIDE} is not a file of {ARCHIVE.name}")
        COURSE.write_bytes(track.read())
    ARCHIVE.unlink()


def main() -> None:
    """Fetch, and say loudly why not where it cannot be done."""
    try:
        fetch()
    except subprocess.CalledProcessError as error:
        print(UNREACHED.format(reason=error.stderr.strip() or error), file=sys.stderr)
    except (OSError, KeyError, tarfile.TarError) as error:
        print(UNREACHED.format(reason=f"  {error}"), file=sys.stderr)


if __name__ == "__main__":
    main()
