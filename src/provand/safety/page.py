"""The words of the safety page, which may always be handed out: it knows no person, no plan and no answer."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from provand.record import Record


class Section(Record):
    """A heading of the safety page and what it says, line by line."""

    title: str
    says: tuple[str, ...]


@cache
def safety_sentences() -> tuple[Section, ...]:
    """Return the sections of the safety page, in order (data: `page.toml`)."""
    text = files("provand.safety").joinpath("page.toml").read_text("utf-8")
    return tuple(Section(**section) for section in tomllib.loads(text)["section"])
