"""The language in which a pack is made: every word that people hold is said through here.

The pieces of a pack are made inside `speaking(tongue)`; `say` and `say_n` then answer in that language. The
words in English (UK) are the keys of the catalogues, so a text without a translation is said in English.
A catalogue is `words/<tag>/provand.po`, made by `tools/make_words.py`.
"""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date
from functools import cache
from gettext import GNUTranslations, NullTranslations
from importlib.resources import files
from typing import Any, NamedTuple
from unicodedata import bidirectional

from provand.language import ENGLISH, LANGUAGES, Language
from provand.larder.shelf import shelf
from provand.phrase import Name, Number, Part, Phrase, Unit


@dataclass(frozen=True, slots=True)
class Tongue:
    """A language: its tag (BCP 47), its catalogue, the digest of its text, and whether that is approved."""

    tag: str
    catalogue: NullTranslations
    digest: str = ""
    approved: bool = False

    @property
    def is_approved(self) -> bool:
        """Whether its words may be handed out: ours always, another's after a native speaker's word."""
        return self.approved or self.is_ours

    @property
    def is_ours(self) -> bool:
        """Whether it is the language that the texts are written in."""
        return self.tag == ENGLISH

    @property
    def language(self) -> Language:
        """What is known of the language; one that is not listed is written as English is."""
        return LANGUAGES.get(self.tag, LANGUAGES[ENGLISH])

    @property
    def locale(self) -> str:
        """The name under which its formats are found; empty for ours, which we write ourselves."""
        return "" if self.language.tag == ENGLISH else self.tag.replace("-", "_")

    @property
    def is_leftward(self) -> bool:
        """Whether it is read from right to left."""
        return self.language.is_leftward


OURS = Tongue(ENGLISH, NullTranslations())
_SPOKEN: ContextVar[Tongue] = ContextVar("spoken")


def catalogue_text(tag: str) -> bytes:
    """Return the catalogue of a language as its file has it; KeyError where there is no such language."""
    folder = files("provand.pack").joinpath("words")
    return folder.joinpath(LANGUAGES[tag].tag).joinpath("provand.po").read_bytes()


@cache
def tongue_of(tag: str) -> Tongue:
    """Return the language of a tag, its catalogue compiled in memory; KeyError where there is none."""
    if LANGUAGES[tag].tag == ENGLISH:
        return OURS
    from babel.messages.mofile import write_mo  # noqa: PLC0415 - only another language needs it
    from babel.messages.pofile import read_po  # noqa: PLC0415

    text = catalogue_text(tag)
    compiled = io.BytesIO()
    write_mo(compiled, read_po(io.BytesIO(text), locale=tag.replace("-", "_")))
    compiled.seek(0)
    return Tongue(tag, GNUTranslations(compiled), hashlib.sha256(text).hexdigest())


class Text(NamedTuple):
    """A text of a catalogue: in English (UK), and as the language says it; empty where it has no words."""

    english: str
    own: str


@cache
def texts_of(tag: str) -> tuple[Text, ...]:
    """Return every text of a language other than ours, in the order of the English."""
    from babel.messages.pofile import read_po  # noqa: PLC0415 - only who looks at languages needs it

    kept = [one for one in read_po(io.BytesIO(catalogue_text(tag))) if one.id]
    return tuple(sorted(Text(_forms(one.id), _forms(one.string)) for one in kept))


def _forms(text: str | Iterable[str] | None) -> str:
    return text if isinstance(text, str) else "\n".join(dict.fromkeys(text or ()))


def spoken() -> Tongue:
    """Return the language that is spoken now."""
    return _SPOKEN.get(OURS)


@contextmanager
def speaking(tongue: Tongue) -> Iterator[None]:
    """Say everything inside in a language."""
    before = _SPOKEN.set(tongue)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def say(template: str, /, **facts: Part) -> str:
    """Return a text in the language spoken, with its `{facts}`; the template is whole and in English (UK)."""
    return _held(spoken().catalogue.gettext(template).format(**_told(facts)))


def say_n(one: str, many: str, n: int, /, **facts: Part) -> str:
    """Return a text that depends on a whole number, which both templates may hold as `{n}`."""
    return _held(spoken().catalogue.ngettext(one, many, n).format(n=n, **_told(facts)))


def said(phrase: Phrase) -> str:
    """Return a sentence of the plan in the language spoken."""
    return say(phrase.template, **phrase.facts)


def named(name: str, kind: str = "") -> str:
    """Return a name that may be ours, as that of a food, in the language spoken; another's stays as it is.

    `kind` tells words apart that are one in English: a cup at a station and a cup of rice.
    """
    if not name:
        return ""
    catalogue = spoken().catalogue
    return _held(catalogue.pgettext(kind, name) if kind else catalogue.gettext(name))


def named_n(one: str, many: str, count: float, kind: str) -> str:
    """Return the name of a unit as it stands after a number, whole or not."""
    catalogue, locale = spoken().catalogue, spoken().locale
    if not locale:
        return one if count <= 1 else many
    return catalogue.npgettext(kind, one, many, _whole_of_kind(count, locale))


@cache
def _whole_of_kind(count: float, locale: str) -> int:
    """Return a whole number that stands with the same form of a name as a number, 1.5 for one."""
    from babel import Locale  # noqa: PLC0415 - only another language needs it

    form = Locale.parse(locale).plural_form
    if count == int(count):
        return int(count)
    return next(whole for whole in range(1000) if form(whole) == form(count))


def listed(parts: Iterable[str]) -> str:
    """Return words one after the other, parted as the language spoken parts them: `rice, pasta`."""
    told = ""
    for part in parts:
        told = say("{these}, {more}", these=told, more=part) if told else part
    return told


def listed_apart(parts: Iterable[str]) -> str:
    """Return what may hold a comma itself one after the other: `2 cups of rice; an apple, peeled`."""
    told = ""
    for part in parts:
        told = say("{these}; {more}", these=told, more=part) if told else part
    return told


def in_digits(number: Number) -> str:
    """Return a number as the language spoken writes it, in the digits that watches and signs have."""
    locale = spoken().locale
    if not locale:
        return str(number)
    from babel.numbers import format_decimal  # noqa: PLC0415

    places = f".{'0' * number.places}" if number.places else ""
    return _plain(format_decimal(number.value, format=f"#,##0{places}", locale=locale))


HELD = re.compile(
    r"(?<=\d) (?=(?:%|°C|°م|[kmµ]?g|[km]?m|m?l|min|kcal|kJ|غ|كغ|كم|مم|مل|د)(?!\w))"
    r"|(?<=\d\u2069) (?=(?:%|°C|°م|غ|كغ|كم|مم|مل|د)(?!\w))"
    r"|(?<=\bkm) (?=\d)| (?=[:;?!»])|(?<=«) "
)
"""Spaces at which no line breaks: between a number and its unit, before a sign that French sets apart."""


def _held(text: str) -> str:
    """Return a text whose numbers keep their units, in another language; ours stays to the byte."""
    return HELD.sub("\u00a0", text) if spoken().locale else text


def _plain(text: str) -> str:
    """Return a text with the one space that does not break and that every font has."""
    return text.replace("\u202f", "\u00a0")


ISOLATED = "\u2068{}\u2069"
"""A fact within a line that is read from right to left: its own figures and letters keep their order."""
LEFTWARD = "\u2067{}\u2069"
"""A fact put together from facts set apart: no letter of its own says how it runs, so the language does."""
ISO_DAY = re.compile(r"\d{4}-\d\d-\d\d")
"""A day as a plan keeps it among the facts of a sentence."""
STEERS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
"""Signs that turn the direction of what follows."""


def in_order(text: str) -> str:
    """Return times or numbers with a dash between them so that they keep their order in any line."""
    return ISOLATED.format(text) if spoken().is_leftward else text


def _told(facts: Mapping[str, Part]) -> dict[str, Any]:
    is_leftward = spoken().is_leftward
    return {name: _in_line(_fact(fact), is_leftward=is_leftward) for name, fact in facts.items()}


def _fact(fact: Part) -> Any:
    match fact:
        case Number():
            return in_digits(fact)
        case Name():
            return named(fact.name, fact.kind)
        case Unit():
            return named_n(fact.one, fact.many, fact.things_count, fact.kind)
        case Phrase():
            return said(fact)
        case str():
            return _typed(fact)
        case _:
            return fact


def _typed(text: str) -> str:
    """Return a fact as it was typed, but a name of ours and a day in the language spoken."""
    if text in _of_the_shelf():
        return named(text)
    return _day(text) if ISO_DAY.fullmatch(text) else text


@cache
def _of_the_shelf() -> frozenset[str]:
    """Return the names of the starter shelf: among facts too they are ours, and said in each language."""
    return frozenset(item.name for item in shelf())


def _day(text: str) -> str:
    try:
        return day_in_words(date.fromisoformat(text))
    except ValueError:
        return text


def day_in_words(on: date) -> str:
    """Return a day as the language spoken writes it in a sentence: `24. November 2026`; ours as ISO does."""
    if not spoken().locale:
        return on.isoformat()
    from babel.dates import format_date  # noqa: PLC0415

    return _plain(format_date(on, "long", spoken().locale))


def _in_line(fact: Any, *, is_leftward: bool) -> Any:
    if not is_leftward or not isinstance(fact, str) or not fact:
        return fact
    if ISOLATED[0] not in fact:
        return ISOLATED.format(STEERS.sub("", fact))
    return (ISOLATED if _runs_rightward(fact) else LEFTWARD).format(fact)


def _runs_rightward(fact: str) -> bool:
    """Return whether the letters of a text outside its facts run from left to right, as in English."""
    kinds, depth = set(), 0
    for sign in fact:
        kind = bidirectional(sign)
        depth += (kind in ("FSI", "LRI", "RLI")) - (kind == "PDI")
        if not depth:
            kinds.add(kind)
    return "L" in kinds and not kinds & {"R", "AL"}
