"""Sentences that can be said in another language, and the list of what a pack may hold."""

from __future__ import annotations

from gettext import NullTranslations

import pytest

from provand.pack.pieces import KINDS, PIECES, owners
from provand.pack.tongue import Tongue, said, say, say_n, speaking
from provand.phrase import phrase, text_of


class Loud(NullTranslations):
    """A catalogue that shouts what it is asked for."""

    def gettext(self, message: str) -> str:
        return message.replace("gel", "GEL")

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def test_a_sentence_keeps_its_template_and_its_facts() -> None:
    told = phrase("Take the {item} at {place}.", item="gel", place="Tollgate")
    assert told.text == "Take the gel at Tollgate."
    assert text_of([told, phrase("Then walk.")]) == "Take the gel at Tollgate. Then walk."


def test_a_sentence_without_one_of_its_facts_is_refused() -> None:
    with pytest.raises(KeyError, match="place"):
        phrase("Take the {item} at {place}.", item="gel")


def test_what_is_said_is_in_the_language_spoken_and_in_english_after_it() -> None:
    with speaking(Tongue("en-XX", Loud())):
        assert say("a gel at {place}", place="gelhill") == "a GEL at gelhill", (
            "a fact is no part of a template"
        )
        assert say_n("one gel", "{n} gels", 3) == "3 GELs"
        assert said(phrase("{n} gels", n=2)) == "2 GELs"
    assert say_n("one gel", "{n} gels", 1) == "one gel"


def test_every_file_of_a_pack_belongs_to_one_piece() -> None:
    names = [sheet.name for kind in KINDS.values() for sheet in kind.sheets]
    assert len(names) == len(set(names))
    assert set(names) < set(owners())
    assert len({kind.id for kind in PIECES}) == len(PIECES)
