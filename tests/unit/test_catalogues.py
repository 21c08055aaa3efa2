"""What the catalogues of other languages hold: the facts of a text, all forms of a plural, the emergency."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

from provand.language import ENGLISH, LANGUAGES
from provand.larder.food import foods
from provand.pack.tongue import catalogue_text, named, named_n, say, say_n, speaking, tongue_of
from provand.planner.if_then import EMERGENCY, EMERGENCY_SHORT
from provand.safety.page import safety_sentences

OTHERS = sorted(set(LANGUAGES) - {ENGLISH})
COUNT = {"n"}
"""What the form for one or for two may say as a word: an hour, two hours."""


def catalogue_of(tag: str) -> Catalog:
    return read_po(io.BytesIO(catalogue_text(tag)), locale=tag.replace("-", "_"))


def told(message: Message) -> tuple[str, ...]:
    string = message.string or ""
    return (string,) if isinstance(string, str) else tuple(text or "" for text in string)


def translated(catalogue: Catalog) -> Iterator[Message]:
    yield from (message for message in catalogue if message.id and any(told(message)))


def test_a_plural_in_english_is_one_that_english_has() -> None:
    many = {message.id[1] for message in catalogue_of("de") if isinstance(message.id, tuple)}
    assert {"boxes", "loaves", "bunches"} < many
    assert not [word for word in many if re.search(r"([sxf]|[cs]h)s$", word)]


def facts_of(text: str) -> set[str]:
    return set(re.findall(r"\{(\w+)\}", text))


def wrong_facts(message: Message) -> list[str]:
    """Return the translations of a text that leave out a fact of it, or hold another."""
    ids = (message.id,) if isinstance(message.id, str) else tuple(message.id)
    asked = set().union(*map(facts_of, ids))
    spare = COUNT if len(ids) > 1 else set()
    return [text for text in told(message) if not asked - spare <= facts_of(text) <= asked]


@pytest.mark.parametrize("tag", OTHERS)
def test_a_translation_holds_the_facts_of_its_text_and_no_other(tag: str) -> None:
    assert {str(one.id): wrong for one in translated(catalogue_of(tag)) if (wrong := wrong_facts(one))} == {}


def test_a_translation_that_lost_or_misspelt_a_fact_is_found() -> None:
    assert wrong_facts(Message("Take {one}.", "خذ {on}."))
    assert wrong_facts(Message("Take {one}.", "خذ."))
    assert wrong_facts(Message(("one of {name}", "{n} of {name}"), ("واحد", "{n} من {name}")))
    assert not wrong_facts(Message(("one of {name}", "{n} of {name}"), ("{name}", "{n} من {name}")))


@pytest.mark.parametrize("tag", OTHERS)
def test_a_plural_that_is_translated_has_every_form_of_its_language(tag: str) -> None:
    catalogue = catalogue_of(tag)
    plurals = [one for one in translated(catalogue) if not isinstance(one.id, str)]
    assert [one.id for one in plurals if len(told(one)) != catalogue.num_plurals or not all(told(one))] == []


def test_arabic_says_its_own_forms_for_one_two_three_and_eleven() -> None:
    with speaking(tongue_of("ar")):
        said = [say_n("{n} hour", "{n} hours", n) for n in (1, 2, 3, 11, 100)]
    assert said == ["ساعة", "ساعتين", "3 ساعات", "11 ساعة", "100 ساعة"]


@pytest.mark.parametrize("tag", ["ar", "es"])
def test_the_emergency_and_the_safety_page_are_said_whole(tag: str) -> None:
    page = [text for section in safety_sentences() for text in (section.title, *section.says)]
    with speaking(tongue_of(tag)):
        assert [text for text in (EMERGENCY, EMERGENCY_SHORT, *page) if say(text) == text] == []


UNREAD = {"en-US": "what differs from the English of the texts, and no more"}
"""A catalogue that is not to be whole, and why."""


@pytest.mark.parametrize("tag", [tag for tag in OTHERS if tag not in UNREAD])
def test_a_catalogue_translates_every_text(tag: str) -> None:
    catalogue = catalogue_of(tag)
    assert [one.id for one in catalogue if one.id and not all(told(one))] == []


@pytest.mark.parametrize("count", [1, 2])
@pytest.mark.parametrize(("tag", "least"), [("de", 3), ("fr", 5)])
def test_no_portion_says_its_food_twice(tag: str, least: int, count: int) -> None:
    with speaking(tongue_of(tag)):
        said = [
            (named_n(food.portion.unit, food.portion.plural, count, "portion"), named(food.name, "food"))
            for food in foods()
            if food.name != food.portion.unit
        ]
    assert [
        (unit, name)
        for unit, name in said
        if any(len(w) >= least and w.lower() in name.lower() for w in unit.split())
    ] == []
