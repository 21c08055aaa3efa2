"""The safety page: what it must say, what it must not, and that a child of eleven can read it."""

from __future__ import annotations

import re

import pytest

from provand.finding import catalogue
from provand.safety.flags import flags
from provand.safety.page import safety_sentences

LINES = [line for section in safety_sentences() for line in (section.title, *section.says)]
PAGE = " ".join(LINES).casefold()

MUST_SAY = [
    "thirst",
    "not safe",
    "ring",
    "watch",
    "shoes",
    "belly",
    "head hurts",
    "medics",
    "emergency number",
    "stop",
]
MUST_NOT_SAY = ["weigh", "weight", "kilo", "gram", "calor", "fat", "litre", " ml", "well done", "congratul"]


def syllables(word: str) -> int:
    """Return the syllables of an English word, near enough: groups of vowels, without a silent e."""
    groups = re.findall(r"[aeiouy]+", re.sub(r"e$", "", word)) or ["e"]
    return len(groups)


def school_grade(text: str) -> float:
    """Return the Flesch-Kincaid grade of a text (Kincaid and others 1975); age is about grade plus 5."""
    sentences = max(1, len(re.findall(r"[.?!]", text)))
    words = re.findall(r"[a-z']+", text.casefold())
    return 0.39 * len(words) / sentences + 11.8 * sum(map(syllables, words)) / len(words) - 15.59


@pytest.mark.parametrize("word", MUST_SAY)
def test_the_page_says(word: str) -> None:
    assert word in PAGE


@pytest.mark.parametrize("word", MUST_NOT_SAY)
def test_the_page_does_not_say(word: str) -> None:
    assert word not in PAGE


def test_the_only_number_on_the_page_is_an_emergency_number() -> None:
    assert re.findall(r"\d+", PAGE) == ["112"]


def test_the_page_orders_nobody_to_drink_and_forbids_nobody_to() -> None:
    assert not re.search(r"do not drink|don't drink|never drink|keep drinking|must drink", PAGE)


def test_the_page_reads_at_eleven_or_younger() -> None:
    whole = ". ".join(line.rstrip(".,") for line in LINES) + "."
    assert school_grade(whole) <= 6
    assert max(len(line.split()) for line in LINES) <= 20


@pytest.mark.parametrize("code", sorted({flag.sentence for flag in flags() if flag.sentence}))
def test_what_screening_tells_the_athlete_reads_at_eleven_or_younger(code: str) -> None:
    assert school_grade(catalogue()[code].says) <= 6


def test_the_grade_tells_hard_words_from_plain_ones() -> None:
    assert school_grade("The cat sat on the mat.") < 2
    hard = "Exercise-associated hyponatraemia necessitates immediate individualised medical intervention."
    assert school_grade(hard) > 12
