"""A sentence as it was put together, template and facts, so that it can be said in another language."""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import Field

from provand.record import Record

Fact = str | int | float


class Number(Record):
    """A number in a sentence: each language writes it its own way, with so many decimals."""

    value: float
    places: int = Field(default=0, ge=0, le=3)

    def __str__(self) -> str:
        return f"{self.value:,.{self.places}f}"


class Phrase(Record):
    """A whole sentence, or a name within one: `template` holds `{facts}` and is what a catalogue translates.

    A fact may be a phrase too, where what stands in a sentence has words of its own.
    """

    template: str
    facts: dict[str, Part] = Field(default_factory=dict)

    @property
    def text(self) -> str:
        """The sentence in English."""
        return self.template.format(**self.facts)

    def __str__(self) -> str:
        return self.text


class Name(Record):
    """A name in a sentence that may be ours, as that of a food; `kind` tells apart what is one in English."""

    name: str
    kind: str

    def __str__(self) -> str:
        return self.name


class Unit(Record):
    """The name of a unit as it stands after a number, whole or not: `teaspoons` after 1.5."""

    one: str
    many: str
    things_count: float
    kind: str

    def __str__(self) -> str:
        return self.one if self.things_count <= 1 else self.many


Part = Fact | Number | Name | Unit | Phrase
"""What a template may hold."""
Phrase.model_rebuild()


def phrase(template: str, /, **facts: Part) -> Phrase:
    """Return a sentence of a template, refusing facts that the template misses."""
    made = Phrase(template=template, facts=facts)
    _ = made.text
    return made


def to_say(template: str) -> str:
    """Return a text as it is: marks for the catalogues what `say` is given elsewhere."""
    return template


def text_of(phrases: Iterable[Phrase]) -> str:
    """Return sentences as one text in English."""
    return " ".join(one.text for one in phrases)


def rounded_number(value: float, places: int = 0) -> Number:
    """Return a number rounded as it will be written: `440`, `1.5`."""
    return Number(value=float(f"{value:.{places}f}"), places=places)


def trimmed_number(value: float, most_places: int) -> Number:
    """Return a number with as many decimals as it has, up to a limit: `5`, `2.5`, `0.25`."""
    text = f"{value:.{most_places}f}"
    decimals = text.partition(".")[2].rstrip("0")
    return Number(value=float(text), places=len(decimals))
