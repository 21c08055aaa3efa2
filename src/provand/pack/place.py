"""Put files into a folder: all of them or none, whatever fails, and take them back as long as it matters."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import NamedTuple

from provand.finding import BadInput, CannotWork, Finding, find


class Placing(NamedTuple):
    """Files on their way into `out`: they wait in `aside`, beside it; what stood there goes there too.

    `put` and `take_back` tell from the disk how far they came, so that another process can finish either.
    """

    out: Path
    aside: Path

    @property
    def _fresh(self) -> Path:
        return self.aside / "new"

    @property
    def _old(self) -> Path:
        return self.aside / "old"

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
        if self.aside.exists():
            if not self._fresh.exists() and self.out.exists():
                self.out.rename(self._fresh)
            if self._old.exists():
                self._old.rename(self.out)
        self.clear()

    def clear(self) -> None:
        """Take away what waits aside: the files are in their place, or are not wanted."""
        shutil.rmtree(self.aside, ignore_errors=True)


def waiting(files: Mapping[str, bytes], out: Path, *, ours: Collection[str]) -> Placing:
    """Write files beside `out`, to be put there; a folder that holds a name which is not `ours` is refused.

    Raises BadInput for such a folder, CannotWork when writing fails; then nothing has changed.
    """
    _refuse_foreign(out, ours)
    placing: Placing | None = None
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        placing = Placing(out, Path(tempfile.mkdtemp(dir=out.parent, prefix=f".{out.name}-")))
        fresh = placing.aside / "new"
        fresh.mkdir()
        for name, data in files.items():
            with (fresh / name).open("wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        _on_disk(fresh)
    except OSError as error:
        if placing is not None:
            placing.clear()
        raise CannotWork(_no_room(out, error)) from error
    return placing


def placed(files: Mapping[str, bytes], out: Path, *, ours: Collection[str]) -> tuple[Path, ...]:
    """Put files into `out` and return their paths; the refusals of `waiting`."""
    placing = waiting(files, out, ours=ours)
    placing.put()
    placing.clear()
    return tuple(out / name for name in files)


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
