"""The template of the catalogues holds every text that is said, no other: `python tools/make_words.py`."""

from __future__ import annotations

import importlib.util
from types import ModuleType

import pytest
from babel.messages.pofile import read_po
from starter_case import SRC

from provand.language import ENGLISH, LANGUAGES

WORDS = SRC / "pack" / "words"
Key = tuple[str, str]


def made() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_words", SRC.parents[1] / "tools" / "make_words.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def keys_in(name: str) -> set[Key]:
    with (WORDS / name).open("rb") as file:
        return {(one.context or "", _first(one.id)) for one in read_po(file) if one.id}


def _first(ids: object) -> str:
    return ids if isinstance(ids, str) else str(ids[0])  # type: ignore[index]


@pytest.fixture(scope="module")
def said() -> set[Key]:
    return {(text.kind, text.ids[0]) for text in made().texts()}


def test_the_template_holds_every_text_that_is_said(said: set[Key]) -> None:
    assert keys_in("provand.pot") == said, "run: python tools/make_words.py"


@pytest.mark.parametrize("tag", sorted(set(LANGUAGES) - {ENGLISH}))
def test_a_catalogue_holds_every_text_that_is_said(tag: str, said: set[Key]) -> None:
    assert keys_in(f"{tag}/provand.po") == said, "run: python tools/make_words.py"


def test_texts_of_code_safety_page_and_larder_are_gathered(said: set[Key]) -> None:
    assert {("", "Lay out tonight"), ("", "Drinking"), ("food", "white rice"), ("portion", "slice")} <= said
