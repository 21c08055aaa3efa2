"""Put files into a folder: all of them or none, whatever fails, and take them back as long as it matters."""

from __future__ import annotations

import os
import shutil
import uuid
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import NamedTuple

from provand.finding import BadInput, CannotWork, Finding, find


class Placing(NamedTuple):
    """Files on their way into `out`: they wait in `aside`, beside it; what stood there goes there too.

    Every step tells from the disk how far the others came, so that another process can take all of it back.
    """

    out: Path
    aside: Path

    @property
    def _fresh(self) -> Path:
        return self.aside / "new"

    @property
    def _old(self) -> Path:
        return self.aside / "old"

    @property
    def _full(self) -> Path:
        """A file that stands once all files wait: without it, nothing was put in place."""
        return self.aside / "full"

    def fill(self, files: Mapping[str, bytes]) -> None:
        """Write files aside; CannotWork where the disk does not let them, and all is as before."""
        try:
            self.out.parent.mkdir(parents=True, exist_ok=True)
            self.aside.mkdir(mode=0o700)
            self._fresh.mkdir()
            for name, data in files.items():
                _write(self._fresh / name, data)
            _on_disk(self._fresh)
            _write(self._full, b"")
        except OSError as error:
            self.clear()
            raise CannotWork(_no_room(self.out, error)) from error

    def put(self) -> None:
        """Let the files stand in `out`; CannotWork where the disk does not let them, and all is as before."""
        try:
            if self.out.exists():
                self.out.rename(self._old)
            self._fresh.rename(self.out)
            _on_disk(self.out.parent)
        except OSError as error:
            self.take_back()
            raise CannotWork(_no_room(self.out, error)) from error

    def take_back(self) -> None:
        """Let `out` be as it was before; nothing of ours stays."""
        if self._full.exists():
            if not self._fresh.exists() and self.out.exists():
                self.out.rename(self._fresh)
            if self._old.exists():
                self._old.rename(self.out)
        self.clear()

    def clear(self) -> None:
        """Take away what waits aside: the files are in their place, or are not wanted."""
        shutil.rmtree(self.aside, ignore_errors=True)


def beside(out: Path, *, ours: Collection[str]) -> Placing:
    """Return a placing of files in `out`, which has written nothing yet.

    Raises BadInput where `out` holds a name that is not `ours`.
    """
    _refuse_foreign(out, ours)
    return Placing(out, out.with_name(f".{out.name}-{uuid.uuid4().hex}"))


def placed(files: Mapping[str, bytes], out: Path, *, ours: Collection[str]) -> tuple[Path, ...]:
    """Put files into `out` and return their paths.

    Raises BadInput where `out` holds a name that is not `ours`, CannotWork when writing fails; then nothing
    has changed.
    """
    placing = beside(out, ours=ours)
    placing.fill(files)
    placing.put()
    placing.clear()
    return tuple(out / name for name in files)


def _write(path: Path, data: bytes) -> None:
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _no_room(out: Path, error: OSError) -> Finding:
    return find("pack.disk", str(out), why=error.strerror or "unknown")


def _on_disk(folder: Path) -> None:
    """Let a folder's list of names reach the disk, where the system knows how."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _refuse_foreign(out: Path, ours: Collection[str]) -> None:
    if not out.exists() and not out.is_symlink():
        return
    if not out.is_dir() or out.is_symlink():
        raise BadInput(find("pack.not_a_folder", str(out)))
    foreign = sorted(path.name for path in out.iterdir() if path.name not in ours or not path.is_file())
    if foreign:
        raise BadInput(find("pack.not_ours", str(out), name=foreign[0]))
