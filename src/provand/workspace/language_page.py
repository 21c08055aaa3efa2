"""The languages of a practice as its page shows them: how far translated, approved by whom, to be read."""

from __future__ import annotations

import io
from typing import NamedTuple

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font

from provand.language import Language
from provand.pack.tongue import texts_of
from provand.workspace.languages import Word

WIDE = 70
"""The width of a column of text in a spreadsheet, in letters."""


class Row(NamedTuple):
    """A language: how far its texts are its own, and what stands about it."""

    word: Word
    own: int
    texts: int

    @property
    def language(self) -> Language:
        return self.word.language

    @property
    def is_ours(self) -> bool:
        """Whether the texts are written in it, so that nobody need approve it."""
        return self.word.is_approved and not self.word.speaker

    @property
    def is_english(self) -> bool:
        """Whether what has no words of its own is the same in English (UK) on purpose."""
        return self.language.lang == "en"

    @property
    def state(self) -> str:
        """One of `ours`, `approved`, `changed`, `not approved`."""
        if self.is_ours:
            return "ours"
        if self.word.is_changed:
            return "changed"
        return "approved" if self.word.is_approved else "not approved"


def rows_of(words: tuple[Word, ...]) -> list[Row]:
    """Return each language with how much of it is translated."""
    return [_row(word) for word in words]


def _row(word: Word) -> Row:
    if word.is_approved and not word.speaker:
        return Row(word, 0, 0)
    texts = texts_of(word.language.tag)
    return Row(word, sum(bool(one.own) for one in texts), len(texts))


def texts_to_read(language: Language) -> bytes:
    """Return every text of a language beside the English as a spreadsheet, with room for what is wrong."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = language.english
    sheet.sheet_view.rightToLeft = language.is_leftward
    sheet.append(["English (UK)", language.english, "What should stand there instead"])
    for one in texts_of(language.tag):
        sheet.append([one.english, one.own, ""])
    for column in "ABC":
        sheet.column_dimensions[column].width = WIDE
        sheet[f"{column}1"].font = Font(bold=True)
    for cells in sheet.iter_rows():
        for cell in cells:
            cell.alignment = Alignment(wrap_text=True, vertical="top")
    sheet.freeze_panes = "A2"
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()
