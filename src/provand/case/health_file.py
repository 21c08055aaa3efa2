"""The health file beside a case, written to by adding entries: comments and all that stands there stay."""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

import tomlkit
from tomlkit.items import AoT

from provand.case.case import Case
from provand.case.door import health_of, health_path
from provand.case.files import MAX_TOML_BYTES, read_bytes, text_in, toml_in
from provand.case.health import FORMAT, Health
from provand.case.replace import replace
from provand.case.typed import plain
from provand.finding import BadInput, CannotWork, find
from provand.record import Record

TOUCHING = re.compile(r"^(?!#)(.+)\n(?=\[\[)", re.MULTILINE)
"""A line of an entry with the head of the next one right under it."""
BOM = b"\xef\xbb\xbf"
HEAD = (
    "# Health answers. They stand apart: nothing of them enters the case, a plan or what is handed out.\n\n"
)


class Entry(NamedTuple):
    """One entry to add: the list it belongs to, and its record."""

    kind: str
    record: Record

    def typed(self) -> dict[str, Any]:
        """Return the entry as it is typed: without what was not said, numbers with a unit in words."""
        said = self.record.model_dump(exclude_defaults=True)
        if "serum_sodium_mmol_per_l" in said:
            said = {"serum_sodium": f"{said.pop('serum_sodium_mmol_per_l'):g} mmol/l", **said}
        return {key: list(value) if isinstance(value, tuple) else value for key, value in said.items()}


class HealthFile:
    """A health file as it was read; `health` is what stands in it now."""

    def __init__(self, case_path: Path, case: Case) -> None:
        """Read the file beside a case, or start an empty one; BadInput for another person's."""
        self.path = health_path(case_path)
        self.case = case
        self.was: bytes | None = None
        self.health = Health(athlete=case.athlete.name, born=case.athlete.born)
        if self.path.exists():
            self.was = read_bytes(self.path, most=MAX_TOML_BYTES)
            self.health = health_of(toml_in(self.was, self.path.name), name=self.path.name, of=case)

    def would_be(self, entries: Iterable[Entry]) -> Health:
        """Return what the file would hold with entries added; BadInput tells every fault of the whole."""
        return self._with(tuple(entries))[1]

    def add(self, entries: Iterable[Entry]) -> None:
        """Add entries and write the file at once: aside, then renamed.

        BadInput where an entry does not fit, or somebody else changed the file meanwhile; then nothing is
        written. An entry that stands there already is not added again.
        """
        fresh = [entry for entry in entries if entry.record not in getattr(self.health, entry.kind)]
        if not fresh:
            return
        text, health = self._with(fresh)
        if self.was is not None and b"\r\n" in self.was:
            text = text.replace("\r\n", "\n").replace("\n", "\r\n")
        data = (BOM if self.was is not None and self.was.startswith(BOM) else b"") + text.encode("utf-8")
        if self.was is None:
            self._create()
        replace(self.path, data, was=self.was or b"")
        self.was, self.health = data, health

    def _create(self) -> None:
        try:
            with self.path.open("xb"):
                pass
        except FileExistsError:
            raise BadInput(find("file.changed_meanwhile", self.path.name)) from None

    def _with(self, entries: Iterable[Entry]) -> tuple[str, Health]:
        """Return the text and the health file with entries added; read again, it must say just that."""
        document = self._document()
        expected = copy.deepcopy(plain(document))
        if "format" in document:
            document["format"] = expected["format"] = FORMAT
        for entry in entries:
            typed = entry.typed()
            expected.setdefault(entry.kind, []).append(typed)
            _append(document, entry.kind, typed)
        text = TOUCHING.sub(r"\1\n\n", document.as_string())
        if tomllib.loads(text) != expected:
            raise CannotWork(find("change.layout", self.path.name))
        return text, health_of(expected, name=self.path.name, of=self.case)

    def _document(self) -> tomlkit.TOMLDocument:
        if self.was is not None:
            return _parsed(text_in(self.was, self.path.name), self.path.name)
        head: Mapping[str, str | date | None] = {
            "format": FORMAT,
            "athlete": self.case.athlete.name,
            "born": self.case.athlete.born,
        }
        document = tomlkit.parse(HEAD)
        for key, value in head.items():
            if value is not None:
                document.add(key, tomlkit.item(value))
        return document


def _append(document: tomlkit.TOMLDocument, kind: str, typed: Mapping[str, Any]) -> None:
    """Add a block at the end of a list, or a row where the list stands in brackets."""
    if kind in document and not isinstance(document[kind], AoT):
        row = tomlkit.inline_table()
        row.update(typed)
        document[kind].append(row)
        return
    block = tomlkit.table()
    block.update(typed)
    if kind in document:
        document[kind].append(block)
    else:
        blocks = tomlkit.aot()
        blocks.append(block)
        document.add(kind, blocks)


def _parsed(text: str, name: str) -> tomlkit.TOMLDocument:
    """Return the document of a text, which may lose spaces as it is written again and nothing else."""
    document = tomlkit.parse(text)
    again = document.as_string()
    if "".join(again.split()) != "".join(text.split()) or plain(document) != tomllib.loads(text):
        raise CannotWork(find("change.layout", name))
    return document
