"""Make the template of the catalogues from the code and its data, and merge it into each language.

`python tools/make_words.py` writes `src/provand/pack/words`. What was translated stays; what is new is empty
and said in English; what is no longer said is dropped.
"""

from __future__ import annotations

import ast
import io
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

from provand.finding import catalogue
from provand.language import ENGLISH, LANGUAGES
from provand.larder.food import foods, many_packs
from provand.larder.ingredient import ingredients
from provand.larder.raw import raw_foods
from provand.larder.shelf import shelf
from provand.plan.brought import SPORTS_FOOD
from provand.safety.page import safety_sentences

ROOT = Path(__file__).parents[1]
SRC = ROOT / "src" / "provand"
WORDS = SRC / "pack" / "words"
TEMPLATE = WORDS / "provand.pot"
CALLS = {"say": 1, "phrase": 1, "to_say": 1, "either": 2, "named": 1}
"""Calls that say a text, and how many of their first arguments are texts."""
HEADER = """\
# What people hold, in other words: the texts of Provand's packs.
# Made by tools/make_words.py. Names in braces are facts and stay as they are."""
UNREAD = """\
# {language}. No native speaker has read it yet: it can be previewed as a draft and is not handed out.
# Made by tools/make_words.py. Names in braces are facts and stay as they are."""
MADE = datetime(2026, 1, 1, tzinfo=UTC)


class Text(NamedTuple):
    """A text to be translated: one, or one and many; where it stands; what tells it from its like."""

    ids: tuple[str, ...]
    place: str
    kind: str = ""


def texts() -> Iterator[Text]:
    """Yield every text that people hold: of the code, then of the data."""
    yield from of_code()
    yield from of_data()


def of_code() -> Iterator[Text]:
    """Yield the texts that are said in the code, module by module."""
    for path in sorted(SRC.rglob("*.py")):
        place = path.relative_to(SRC).as_posix()
        calls = [one for one in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(one, ast.Call)]
        for node in sorted(calls, key=lambda call: (call.lineno, call.col_offset)):
            yield from _of_call(node, place)


def _of_call(node: ast.Call, place: str) -> Iterator[Text]:
    name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
    if name == "say_n":
        one, many = (_text(argument) for argument in node.args[:2])
        yield Text((one, many), place)
    for argument in node.args[: CALLS.get(name, 0)]:
        if isinstance(argument, ast.IfExp):
            yield from (
                Text((_text(side),), place) for side in (argument.body, argument.orelse) if _text(side)
            )
        elif text := _text(argument):
            yield Text((text,), place)


def _text(node: ast.expr) -> str:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def of_data() -> Iterator[Text]:
    """Yield the texts of the safety page, of screening, of the shelf and of the larder."""
    for section in safety_sentences():
        yield Text((section.title,), "safety/page.toml")
        yield from (Text((line,), "safety/page.toml") for line in section.says)
    for code, kind in catalogue().items():
        if code.startswith("safety."):
            yield from (Text((text,), "findings.toml") for text in (kind.says, kind.next) if text)
    yield from (Text((item.name,), "larder/shelf.toml") for item in shelf())
    for raw in raw_foods().values():
        yield Text((raw.bought.name,), "larder/raw.toml", "food")
        yield Text((raw.bought.aisle,), "larder/raw.toml", "aisle")
    for powder in ingredients():
        yield Text((powder.name,), "larder/ingredients.toml", "food")
    yield Text((SPORTS_FOOD,), "plan/brought.py", "aisle")
    yield Text(("tablet", "tablets"), "plan/brought.py", "pack")
    for food in foods():
        yield Text((food.name,), "larder/foods", "food")
        yield Text((food.bought.name,), "larder/foods", "food")
        yield Text((food.bought.aisle,), "larder/foods", "aisle")
        yield Text((food.portion.unit, food.portion.plural), "larder/foods", "portion")
        yield Text((food.bought.pack_word, many_packs(food.bought.pack_word)), "larder/foods", "pack")


def template() -> Catalog:
    """Return the template: every text once, with the files in which it stands."""
    made = Catalog(
        project="Provand", version="0", header_comment=HEADER, creation_date=MADE, revision_date=MADE,
        msgid_bugs_address="none", last_translator="nobody", language_team="none", fuzzy=False,
    )  # fmt: skip
    for text in texts():
        made.add(
            text.ids if len(text.ids) > 1 else text.ids[0],
            locations=[(text.place, None)],
            flags=["python-brace-format"] if "{" in text.ids[0] else [],
            context=text.kind or None,
        )
    return made


def merged(tag: str) -> Catalog:
    """Return the catalogue of a language with every text of the template, and none that is no longer said."""
    locale = tag.replace("-", "_")
    path = WORDS / tag / "provand.po"
    if path.exists():
        with path.open("rb") as file:
            kept = read_po(file, locale=locale)
    else:
        kept = Catalog(locale=locale, revision_date=MADE)
        kept.header_comment = UNREAD.format(language=LANGUAGES[tag].english)
    kept.project, kept.version, kept.creation_date = "Provand", "0", MADE
    kept.update(template(), no_fuzzy_matching=True, update_header_comment=False, keep_user_comments=False)
    kept.obsolete.clear()
    kept.last_translator, kept.language_team, kept.msgid_bugs_address = "nobody yet", "none", "none"
    return kept


def written(made: Catalog) -> bytes:
    """Return a catalogue as the text of its file."""
    out = io.BytesIO()
    write_po(out, made, width=110, ignore_obsolete=True)
    return out.getvalue()


def main() -> None:
    WORDS.mkdir(exist_ok=True)
    TEMPLATE.write_bytes(written(template()))
    for tag in LANGUAGES:
        if tag != ENGLISH:
            made = merged(tag)
            (WORDS / tag).mkdir(exist_ok=True)
            (WORDS / tag / "provand.po").write_bytes(written(made))
            done = sum(1 for one in made if one.id and all(_strings(one.string)))
            print(f"{tag}: {done} of {len(made)} texts")


def _strings(string: str | tuple[str, ...] | list[str] | None) -> tuple[str, ...]:
    return (string or "",) if isinstance(string, str | None) else tuple(string)


if __name__ == "__main__":
    sys.exit(main())
