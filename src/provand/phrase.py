"""A sentence as it was put together, template and facts, so that it can be said in another language."""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import Field

from provand.record import Record

Fact = str | int | float


class Phrase(Record):
    """A whole sentence: `template` holds `{facts}` by name and is what a catalogue translates."""

    template: str
    facts: dict[str, Fact] = Field(default_factory=dict)

    @property
    def text(self) -> str:
        """The sentence in English."""
        return self.template.format(**self.facts)


def phrase(template: str, /, **facts: Fact) -> Phrase:
    """Return a sentence of a template, refusing facts that the template misses."""
    made = Phrase(template=template, facts=facts)
    _ = made.text
    return made


def text_of(phrases: Iterable[Phrase]) -> str:
    """Return sentences as one text in English."""
    return " ".join(one.text for one in phrases)
