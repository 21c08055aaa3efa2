"""A file replaced: written aside, then renamed, and never over what somebody else has changed meanwhile."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from provand.finding import BadInput, CannotWork, find


def replace(path: Path, data: bytes, *, was: bytes) -> None:
    """Put new bytes in the place of a file's; its rights stay.

    BadInput where the file does not hold `was` any more; CannotWork where the disk refuses. Either way the
    file is as it was.
    """
    target = path.resolve()
    aside = ""
    try:
        with tempfile.NamedTemporaryFile(dir=target.parent, prefix=f".{target.name}-", delete=False) as file:
            aside = file.name
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        shutil.copymode(target, aside)
        if target.read_bytes() != was:
            raise BadInput(find("file.changed_meanwhile", path.name))
        Path(aside).replace(target)
        aside = ""
    except OSError as error:
        raise CannotWork(find("file.cannot_write", path.name, why=error.strerror or "unknown")) from error
    finally:
        if aside:
            Path(aside).unlink(missing_ok=True)
