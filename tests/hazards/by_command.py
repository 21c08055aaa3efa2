"""One drawn case by the command line: typed into files, planned by the solver, set on paper, read back."""

from __future__ import annotations

import contextlib
import io
import re
import sys
import traceback
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest import mock

import tomlkit
from drawn_case import AS_OF
from paper import page_words
from pypdf import PdfReader
from pypdf.generic import ArrayObject, ByteStringObject, DictionaryObject, IndirectObject
from through import Outcome, drawn, health_of

from provand.case.door import case_of
from provand.cli.main import run
from provand.finding import BadInput, ProvandError
from provand.plan.document import Plan
from provand.safety.screening import screen

IDS = re.compile(r"<xmpMM:\w+>[^<]*</xmpMM:\w+>")
"""Digests by which readers tell documents apart: letters by chance."""
ENDS = {0: "issued", 2: "refused", 3: "held", 4: "refused", 5: "stopped"}


def by_command(seed: int, folder: Path) -> Outcome:
    """Take the case of a seed through `provand plan`; half of them with the schedule solved."""
    outcome = drawn(seed)
    typed = outcome.drawn.typed
    if seed % 2:
        typed["wishes"] |= {"schedule": "solve", "pinned": []}
    here = folder / f"by-command-{seed}"
    here.mkdir()
    file, out = here / "case.toml", here / "out"
    file.write_text(tomlkit.dumps(typed), "utf-8")
    for name, data in outcome.drawn.files.items():
        (here / name).write_bytes(data)
    if outcome.health.typed is not None:
        (here / "case.health.toml").write_text(tomlkit.dumps(outcome.health.typed), "utf-8")
    outcome.withheld_too = ()
    status, told = ran("plan", str(file), "--out", str(out), "--as-of", AS_OF.isoformat())
    outcome.end, outcome.codes = ENDS.get(status, "crash"), (told,)
    with contextlib.suppress(ProvandError):
        outcome.case = case_of(typed, beside=outcome.drawn.beside, as_of=AS_OF)
        if status != BadInput.status:  # answers bound to another birth date are read by nobody
            outcome.screening, _ = screen(outcome.case, health_of(outcome.health.typed), as_of=AS_OF)
    if out.exists():
        outcome.files = {path.name: read_back(path) for path in sorted(out.iterdir())}
    if "plan.json" in outcome.files:
        outcome.plan = Plan.model_validate_json(outcome.files["plan.json"])
    return outcome


def ran(*words: str) -> tuple[int, str]:
    """Run a command in this process; return its status and all that it printed."""
    printed = io.StringIO()
    with (
        mock.patch.object(sys, "argv", ["provand", *words]),
        contextlib.redirect_stdout(printed),
        contextlib.redirect_stderr(printed),
    ):
        try:
            run()
        except SystemExit as ended:
            return ended.code if isinstance(ended.code, int) else int(bool(ended.code)), printed.getvalue()
        except Exception:
            return 1, traceback.format_exc()
    return 0, printed.getvalue()


def read_back(path: Path) -> bytes:
    """Return a file as it is, but of a PDF its words, and every other piece of text it holds."""
    if path.suffix != ".pdf":
        return path.read_bytes()
    reader = PdfReader(path)
    words = page_words(path.read_bytes())
    words += list(strings(reader.trailer, set()))
    xmp = reader.xmp_metadata
    words += [] if xmp is None else [IDS.sub("", xmp.stream.get_data().decode("utf-8"))]
    return "\n".join(words).encode("utf-8")


def strings(value: Any, seen: set[tuple[int, int]]) -> Iterator[str]:
    """Yield every string that a PDF holds outside its drawings: titles, alternative texts, bookmarks."""
    if isinstance(value, IndirectObject):
        key = (value.idnum, value.generation)
        if key not in seen:
            seen.add(key)
            yield from strings(value.get_object(), seen)
    elif isinstance(value, DictionaryObject):
        for name, inner in value.items():
            if name != "/ID":
                yield from strings(inner, seen)
    elif isinstance(value, ArrayObject):
        for inner in value:
            yield from strings(inner, seen)
    elif isinstance(value, str) and not isinstance(value, ByteStringObject):
        yield value
