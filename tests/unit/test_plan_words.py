"""Sentences of a plan are kept as they were put together, so that each can be said in another language."""

from __future__ import annotations

from collections.abc import Iterator
from gettext import NullTranslations
from typing import ClassVar

import pytest
from plans import a_plan
from pydantic import ValidationError
from test_difference import drawn

from provand.pack.tongue import Tongue, speaking
from provand.pack.voice import drinking_words, if_then_words, title_of, told
from provand.phrase import Phrase, phrase, rounded_number, text_of, trimmed_number
from provand.plan.document import IfThen, Line, Plan, StandIn, plan_of, read_plan


class Turned(NullTranslations):
    """A catalogue that puts what it knows into other words, facts in another order."""

    KNOWN: ClassVar = {
        "In time for breakfast.": "(breakfast)",
        "{hours} hours of carbohydrate": "carbohydrate: {hours} hours",
        "Take {one} or {other}.": "{other}, or else {one}.",
        "gel": "GEL",
    }  # fmt: skip

    def gettext(self, message: str) -> str:
        return self.KNOWN.get(message, message)


TURNED = Tongue("en-XX", Turned())


@pytest.fixture(scope="module")
def plan() -> Plan:
    return drawn()


def lines_of(plan: Plan) -> Iterator[Line]:
    yield from (*plan.loading, *plan.morning, *plan.recovery)


def test_every_sentence_of_a_plan_is_kept_as_it_was_put_together(plan: Plan) -> None:
    for line in lines_of(plan):
        assert line.says == text_of(line.words), line.title
    assert plan.race.drinking.words, "the line about thirst names a station"
    assert plan.race.drinking.sentence == text_of(plan.race.drinking.words)
    assert plan.stand_ins
    assert all(one.says == text_of(one.words) != "" for one in plan.stand_ins)
    assert plan.basis == ", ".join(one.text for one in plan.rests_on) != ""


@pytest.mark.parametrize(
    "made",
    [
        lambda: Line(title="Leave", says="Now.", words=(phrase("Later."),)),
        lambda: Line(title="Leave", says="", titled=(phrase("Stay"),)),
        lambda: StandIn(what="gel", says="Take chews.", words=(phrase("Take {one}.", one="a bar"),)),
        lambda: IfThen(when="Ill?", then="Stop.", short="Stop.", words=(phrase("Ill?"),)),
    ],
)  # fmt: skip
def test_words_that_do_not_say_the_text_are_refused(made: object) -> None:
    with pytest.raises(ValidationError, match="not what its words say"):
        made()  # type: ignore[operator]


def test_a_plan_written_before_words_were_kept_reads_and_keeps_its_bytes() -> None:
    older = a_plan()
    assert b'"words"' not in older.as_bytes
    assert b'"rests_on"' not in older.as_bytes
    assert read_plan(older.as_bytes, "plan.json").code == older.code
    line = older.morning[1]
    assert " ".join(text for text, _ in told(line.says, line.words)) == line.says


def test_a_plan_keeps_numbers_and_phrases_within_phrases_through_its_file(plan: Plan) -> None:
    again = plan_of(plan.as_bytes)
    assert again.stand_ins == plan.stand_ins
    assert any(
        isinstance(fact, Phrase)
        for one in again.stand_ins
        for said in one.words
        for fact in said.facts.values()
    )


def test_numbers_are_written_with_the_decimals_that_they_were_given() -> None:
    assert str(rounded_number(1100.4)) == "1,100"
    assert str(rounded_number(5.04, 1)) == "5.0"
    assert [str(trimmed_number(value, 2)) for value in (5.0, 2.5, 0.254)] == ["5", "2.5", "0.25"]


def test_a_line_is_said_in_the_language_spoken_and_what_is_drunk_stays_known() -> None:
    line = Line.of(
        phrase("{hours} hours of carbohydrate", hours=rounded_number(24)),
        phrase("In time for breakfast."),
        phrase("Drink as thirst asks."),
    )
    assert line.title == "24 hours of carbohydrate"
    with speaking(TURNED):
        assert title_of(line) == "carbohydrate: 24 hours"
        assert told(line.says, line.words) == [("(breakfast)", False), ("Drink as thirst asks.", True)]


def test_a_phrase_within_a_phrase_is_said_too() -> None:
    one = phrase("Take {one} or {other}.", one=phrase("gel"), other="Ana’s bar {x}")
    assert one.text == "Take gel or Ana’s bar {x}."
    with speaking(TURNED):
        assert told(one.text, [one]) == [("Ana’s bar {x}, or else GEL.", False)]


def test_lines_of_the_race_are_said_in_the_language_spoken(plan: Plan) -> None:
    with speaking(TURNED):
        assert drinking_words(plan) == plan.race.drinking.sentence
        line = IfThen.of(phrase("In time for breakfast."), phrase("gel"), phrase("Stop."))
        assert if_then_words(line) == ("(breakfast)", "GEL", "Stop.")
