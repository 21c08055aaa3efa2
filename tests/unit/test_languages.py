"""Packs in other languages: what is said, how it is written, what is refused."""

from __future__ import annotations

import io
import re
import string
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any, get_args

import pytest
from babel.messages.pofile import read_po
from paper import as_drawn
from paper import said as words_of
from plans import cleared
from pypdf import PdfReader
from test_difference import drawn

from provand.finding import BadInput, OnHold, catalogue
from provand.language import ENGLISH, LANGUAGES
from provand.pack.letters import has_unprintable, lines_of, printable
from provand.pack.message import PARTS, things_to_know
from provand.pack.pieces import HELD
from provand.pack.tongue import (
    OURS,
    Tongue,
    catalogue_text,
    in_digits,
    named,
    named_n,
    said,
    say,
    say_n,
    speaking,
    tongue_of,
)
from provand.pack.voice import day, no_weights, short_day
from provand.pack.wrist import rules_at
from provand.pack.write import File, pack_files, safety_file, write_pack
from provand.phrase import phrase, rounded_number, text_of
from provand.plan.scenario_words import SICK, TOO_HOT, hotter_says, lost_title
from provand.planner.if_then import EMERGENCY, EMERGENCY_SHORT, IF_THEN, THIRST, drinking_line
from provand.planner.problem import ThirstLine
from provand.protocol.rules import Note
from provand.safety.page import safety_sentences
from provand.safety.weights import WEIGHTS

ON = date(2026, 12, 6)


def approved(tag: str) -> Tongue:
    return replace(tongue_of(tag), approved=True)


def packed(tag: str, *, pieces: tuple[str, ...] = HELD, **how: Any) -> dict[str, bytes]:
    withheld = how.pop("withheld", ())
    plan = drawn(withheld=withheld)
    files = pack_files(cleared(plan), pieces=pieces, tongue=approved(tag), **how)
    return {file.name: file.data for file in files}


def test_the_strip_in_spanish_says_what_to_do_in_spanish_words() -> None:
    words = words_of(packed("es", pieces=("strip",))["strip.pdf"])
    assert "Tira de muñeca, 240 × 28 mm." in words
    assert "Para. Llama ya al equipo médico." in words
    assert "gel con cafeína" in words, "a gel of the starter shelf has a name of ours"
    assert "hill gel" in words, "a name that was typed stays as it was typed"
    assert "km 4,8" in words, "numbers are written as the language writes them"
    assert "Not thirsty?" not in words


@pytest.mark.parametrize("tag", sorted(set(LANGUAGES) - {ENGLISH}))
def test_each_sheet_names_its_language(tag: str) -> None:
    made = packed(tag, pieces=("night", "safety"))
    for data in made.values():
        root: Any = PdfReader(io.BytesIO(data)).trailer["/Root"]
        assert str(root["/Lang"]) == tag
    assert len(made) == 2


def test_the_plan_with_its_reasons_stays_in_english() -> None:
    made = packed("es", pieces=("plan", "record"))
    assert "What to do" in words_of(made["plan.pdf"])
    assert str(PdfReader(io.BytesIO(made["plan.pdf"])).trailer["/Root"]["/Lang"]) == "en-GB"  # type: ignore[index]


def test_words_that_nobody_approved_are_refused_and_drafts_say_so(tmp_path: Any) -> None:
    plan = drawn(("[athlete]\n", '[athlete]\nlanguage = "es"\n'))
    assert plan.case.athlete.language == "es"
    with pytest.raises(OnHold, match=r"no native speaker has approved the words in Spanish"):
        pack_files(cleared(plan), pieces=("strip",))
    drafts = pack_files(cleared(plan), pieces=("strip",), draft=True)
    words = words_of(drafts[0].data)
    assert "Spanish: no native speaker has approved these words" in words
    assert plan.code not in words
    paths = write_pack(cleared(plan), tmp_path / "out", pieces=("strip", "text"))
    assert [path.name for path in paths] == ["strip.pdf", "message.txt", "read-out.txt"]
    assert all(plan.code.encode() not in path.read_bytes() for path in paths)


def test_the_safety_page_is_in_english_until_its_language_is_approved() -> None:
    case = drawn().case
    assert "Let thirst lead" in words_of(safety_file(case, tongue=tongue_of("es")).data)
    told = words_of(safety_file(case, tongue=approved("es")).data)
    assert "Que mande la sed" in told
    assert "Let thirst lead" not in told


@cache
def every_piece(tag: str) -> tuple[File, ...]:
    """Return every piece of a plan without weights, in a language."""
    return pack_files(cleared(drawn(withheld=("grams",))), pieces=HELD, tongue=approved(tag))


@pytest.mark.parametrize("tag", sorted(LANGUAGES))
def test_who_reads_no_weights_reads_none_in_any_language(tag: str) -> None:
    for file in every_piece(tag):
        told = _told(file)
        assert not WEIGHTS.search(told), (file.name, WEIGHTS.search(told))


ENGLISH_WORDS = re.compile(
    r"(?<![\w.])(?:the|and|with|your|of|from|to|take|eat|drink|you|it|is|are|not|bottle|start|finish)(?![\w.])"
)
"""Words that stand in most English sentences, and in none of another language or of a name that was typed."""
NOT_READ = re.compile(r"(?s)<(script|style)\b.*?</\1>|<[^>]*>|COMMENT:[^\r]*|orchard drink", re.IGNORECASE)
"""What nobody reads on a page or in a calendar, and a name that was typed."""


@pytest.mark.parametrize("tag", ["es", "de", "fr", "ar"])
def test_no_sentence_of_any_piece_is_left_in_english(tag: str) -> None:
    found = {}
    for file in every_piece(tag):
        if file.piece != "plan":
            told = NOT_READ.sub(" ", _told(file))
            found[file.name] = [
                told[max(0, at.start() - 30) : at.end() + 30] for at in ENGLISH_WORDS.finditer(told)
            ]
    assert {name: left for name, left in found.items() if left} == {}


def test_english_left_over_in_a_translated_sentence_is_found() -> None:
    assert ENGLISH_WORDS.search("Enjuágate. Then take half as much.")
    assert not ENGLISH_WORDS.search("Notfall: in Not, sanna.vell@practice.example, Enjuágate y escupe.")


def _told(file: File) -> str:
    if file.media_type == "application/pdf":
        return words_of(file.data)
    return file.data.decode("utf-8") if file.media_type.startswith("text/") else ""


@pytest.mark.parametrize(
    "text",
    [
        "9\u00a0g", "64 gramos", "\u206864\u2069 g", "Gramm", "300 kilocalorías", "50 غ", "غرام",
        "peso corporal", "perdu de poids", "2 tests de sueur",
    ],
)  # fmt: skip
def test_weights_are_found_in_other_languages(text: str) -> None:
    with pytest.raises(Exception, match="no weight"):
        no_weights([text], "strip.pdf")


def test_numbers_and_days_are_written_as_the_language_writes_them() -> None:
    written = {}
    for tag in LANGUAGES:
        with speaking(approved(tag)):
            written[tag] = (in_digits(rounded_number(1234.5, 1)), day(ON), short_day(ON))
    assert written["en-GB"] == ("1,234.5", "Sunday 6 December 2026", "Sun 6 Dec")
    assert written["en-US"] == ("1,234.5", "Sunday, December 6, 2026", "Sun, Dec 6")
    assert written["es"] == ("1.234,5", "domingo, 6 de diciembre de 2026", "dom, 6 dic")
    assert written["de"] == ("1.234,5", "Sonntag, 6. Dezember 2026", "So., 6. Dez.")
    assert written["fr"] == ("1\u00a0234,5", "dimanche 6 décembre 2026", "dim. 6 déc.")
    assert written["ar"][0] == "1,234.5", "in the digits of watches and of signs on the course"


def test_a_phrase_of_the_plan_writes_its_numbers_in_the_language() -> None:
    with speaking(approved("es")):
        told = phrase("{amount} g left over", amount=rounded_number(1500))
        assert say(told.template, **told.facts) == "sobran 1.500\u00a0g"
        assert say_n("{n} minute", "{n} minutes", 2) == "2 minutos"


def test_a_day_among_the_facts_of_a_sentence_is_written_as_the_language_writes_it() -> None:
    forecast, written = phrase("forecast of {day}", day=ON.isoformat()), {}
    for tag in LANGUAGES:
        with speaking(approved(tag)):
            written[tag] = said(forecast)
    assert written["en-GB"] == "forecast of 2026-12-06", "English (UK) is written as it was"
    assert written["en-US"] == "forecast of December 6, 2026"
    assert written["es"] == "previsión del tiempo del 6 de diciembre de 2026"
    assert written["de"] == "Wettervorhersage vom 6. Dezember 2026"
    assert written["fr"] == "prévisions météo du 6 décembre 2026"
    assert written["ar"] == "توقعات الطقس بتاريخ \u20686 ديسمبر 2026\u2069"


def test_a_code_or_a_name_with_figures_is_no_day() -> None:
    with speaking(approved("de")):
        assert say("{title}:", title="2026-02-30") == "2026-02-30:"
        assert say("{title}:", title="Run 2026-12-06") == "Run 2026-12-06:"


def test_a_thing_of_the_starter_shelf_is_said_in_the_language_among_facts_too() -> None:
    with speaking(approved("de")):
        assert said(lost_title("caffeine gel", km="8")) == "Koffein-Gel ist bei km\u00a08 weg"
        assert said(lost_title("my gel", km="8")) == "my gel ist bei km\u00a08 weg", "as it was typed"


def test_a_number_keeps_its_unit_and_french_its_signs_on_one_line() -> None:
    told = {}
    for tag in ("en-GB", "de", "fr", "ar"):
        with speaking(approved(tag)):
            told[tag] = (say("{amount} g", amount="40"), say("Ill?"))
    assert told["en-GB"] == ("40 g", "Ill?")
    assert told["de"][0] == "40\u00a0g"
    assert told["ar"][0] == "\u206840\u2069\u00a0غ"
    assert told["fr"] == ("40\u00a0g", "Malade\u00a0?")
    assert lines_of("il reste 40\u00a0g", "sans", 10, 45) == ("il reste", "40\u00a0g")


def test_a_part_that_is_withheld_is_named_in_the_language() -> None:
    assert set(PARTS) == set(get_args(Note.model_fields["part"].annotation)) - {""}
    with speaking(approved("de")):
        told = things_to_know(drawn(demo="treated-pressure"))
    assert "Dieser Plan sagt nichts zu: Koffein." in told
    assert "Dieser Plan sagt nichts zu: Natrium." in told


def test_no_sentence_of_a_scenario_is_left_in_english() -> None:
    assert text_of(SICK) == f"{IF_THEN[0].when} {IF_THEN[0].then}"
    with speaking(tongue_of("es")):
        assert [
            one.text for one in (*SICK, *TOO_HOT, *hotter_says(in_hand=True)) if said(one) == one.text
        ] == []


def test_a_name_typed_by_somebody_is_no_template() -> None:
    with speaking(approved("es")):
        assert named("{braces} and more") == "{braces} and more"
        assert named("gel") == "gel"
        assert named("") == ""
        assert named_n("odd unit", "odd units", 1.5, "portion") == "odd units"
    assert say("water") == "water"
    assert not OURS.locale


SAFETY = (
    EMERGENCY, EMERGENCY_SHORT, THIRST, *(text for line in IF_THEN for text in line),
    *(text for section in safety_sentences() for text in (section.title, *section.says)),
    catalogue()["safety.thirst_leads"].says,
)  # fmt: skip


@pytest.mark.parametrize("tag", ["es", "de", "fr", "ar"])
def test_no_line_of_safety_is_left_in_english(tag: str) -> None:
    with speaking(tongue_of(tag)):
        assert [text for text in SAFETY if say(text) == text] == []
        for amount in ("cup", "half", "mouthful", "none"):
            for station in ("", "Tollgate"):
                line = ThirstLine(first_station=None if amount == "none" else 0, amount=amount, poured_ml=0)
                told = drinking_line(line, station)
                assert said(told) != told.text


@pytest.mark.parametrize("amount", ["cup", "half", "mouthful", "none"])
@pytest.mark.parametrize("tag", sorted(LANGUAGES))
def test_the_rules_of_the_race_find_room_on_the_strip_in_every_language(tag: str, amount: Any) -> None:
    line = ThirstLine(first_station=None if amount == "none" else 0, amount=amount, poured_ml=0)
    with speaking(tongue_of(tag)):
        told = [said(drinking_line(line, "Packing shed")), *(say(one.short) for one in IF_THEN)]
        assert rules_at([*told, say(EMERGENCY_SHORT)]) is not None, "the card alone would be left"
        assert rules_at([*told, *told, say(EMERGENCY_SHORT)]) is None, "there is no room for twice as much"


@pytest.mark.parametrize("tag", sorted(set(LANGUAGES) - {ENGLISH}))
def test_a_translation_holds_the_facts_of_its_text_and_no_others(tag: str) -> None:
    texts = read_po(io.BytesIO(catalogue_text(tag)), locale=tag.replace("-", "_"))
    for one in texts:
        ids, strings = _each(one.id), _each(one.string)
        if not one.id or not all(strings):
            continue
        assert len(strings) in (1, texts.num_plurals), one.id
        for text in strings:
            if len(ids) == 1:
                assert _facts(text) == _facts(ids[0]), text
            else:
                assert _facts(text) <= _facts(ids[1]), text


def _each(text: Any) -> tuple[str, ...]:
    return tuple(text) if isinstance(text, list | tuple) else (text,)


def _facts(template: str) -> set[str | None]:
    return {name for _, name, _, _ in string.Formatter().parse(template) if name is not None}


def test_in_arabic_times_and_codes_keep_their_order_and_columns_have_numbers() -> None:
    made = packed("ar", pieces=("strip",))["strip.pdf"]
    words = as_drawn(made)
    assert "06:31–06:34" in words
    assert all(f"{n} 0:{m}" in words or f"0:{m}" in words for n, m in ((1, 25), (2, 53)))
    with speaking(approved("ar")):
        told = say("Only the copy with the code {code} counts.", code="9BCD-12FG")
    assert "\u20689BCD-12FG\u2069" in told, "a code is set apart, so that its halves never change places"


def test_names_in_arabic_letters_are_printed_and_in_hebrew_letters_refused() -> None:
    assert printable("ليلى", "athlete.name") == "ليلى"
    with pytest.raises(BadInput, match="fonts of the hand-outs lack"):
        printable("\u05e9\u05dc\u05d5\u05dd", "athlete.name")
    assert has_unprintable("a\u2068b")
