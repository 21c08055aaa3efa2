"""The language in which a pack is made: every word that people hold is said through here.

The pieces of a pack are made inside `speaking(tongue)`; `say` and `say_n` then answer in that language. The
words in English (UK) are the keys of the catalogues, so a text without a translation is said in English.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from gettext import NullTranslations

from provand.phrase import Part, Phrase

ENGLISH = "en-GB"


@dataclass(frozen=True, slots=True)
class Tongue:
    """A language: its tag (BCP 47) and its catalogue."""

    tag: str
    catalogue: NullTranslations


OURS = Tongue(ENGLISH, NullTranslations())
_SPOKEN: ContextVar[Tongue] = ContextVar("spoken")


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
    return spoken().catalogue.gettext(template).format(**_told(facts))


def say_n(one: str, many: str, n: int, /, **facts: Part) -> str:
    """Return a text that depends on a whole number, which both templates may hold as `{n}`."""
    return spoken().catalogue.ngettext(one, many, n).format(n=n, **_told(facts))


def said(phrase: Phrase) -> str:
    """Return a sentence of the plan in the language spoken."""
    return say(phrase.template, **phrase.facts)


def named(name: str) -> str:
    """Return a name that may be ours, as that of a food, in the language spoken; another's stays as it is."""
    return spoken().catalogue.gettext(name) if name else ""


def _told(facts: Mapping[str, Part]) -> dict[str, Part]:
    return {name: said(fact) if isinstance(fact, Phrase) else fact for name, fact in facts.items()}
