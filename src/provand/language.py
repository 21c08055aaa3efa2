"""The languages that a pack can be made in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple

Tag = Literal["en-GB", "en-US", "es", "de", "fr", "ar"]
"""The tag of a language (BCP 47)."""
ENGLISH: Tag = "en-GB"


class Language(NamedTuple):
    """A language: its tag, its name in English and in itself, and whether it is read from right to left."""

    tag: Tag
    english: str
    itself: str
    is_leftward: bool = False

    @property
    def lang(self) -> str:
        """The part of the tag that names the language."""
        return self.tag.partition("-")[0]

    @property
    def region(self) -> str:
        """The part of the tag that names a country, or an empty string."""
        return self.tag.partition("-")[2]


LANGUAGES: Mapping[str, Language] = {
    one.tag: one
    for one in (
        Language(ENGLISH, "English (UK)", "English (UK)"),
        Language("en-US", "English (US)", "English (US)"),
        Language("es", "Spanish", "español"),
        Language("de", "German", "Deutsch"),
        Language("fr", "French", "français"),
        Language("ar", "Arabic", "العربية", is_leftward=True),
    )
}
"""Every one of them; English (UK) is the one that our texts are written in."""
