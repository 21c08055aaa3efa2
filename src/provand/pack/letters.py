"""How wide words are, and which letters can be printed: read from the fonts themselves."""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Literal, NamedTuple

from fontTools.ttLib import TTFont

from provand.finding import BadInput, CannotWork, find

Face = Literal["sans", "sans-bold", "sans-italic", "condensed", "condensed-bold", "condensed-italic", "serif"]

_FILES: dict[Face, tuple[str, str]] = {
    "sans": ("fontpkg_fira_sans", "FiraSans-Regular.ttf"),
    "sans-bold": ("fontpkg_fira_sans", "FiraSans-SemiBold.ttf"),
    "sans-italic": ("fontpkg_fira_sans", "FiraSans-Italic.ttf"),
    "condensed": ("fontpkg_fira_sans_condensed", "FiraSansCondensed-Regular.ttf"),
    "condensed-bold": ("fontpkg_fira_sans_condensed", "FiraSansCondensed-SemiBold.ttf"),
    "condensed-italic": ("fontpkg_fira_sans_condensed", "FiraSansCondensed-Italic.ttf"),
    "serif": ("fontpkg_spectral", "Spectral-Regular.ttf"),
}
_ARABIC: dict[Face, str] = {
    face: "IBMPlexSansArabic-SemiBold.ttf" if face.endswith("bold") else "IBMPlexSansArabic-Regular.ttf"
    for face in _FILES
}
"""What sets Arabic letters beside each face: it has no condensed and no italic."""
_PACKAGES = (
    "fontpkg_fira_sans",
    "fontpkg_fira_sans_condensed",
    "fontpkg_spectral",
    "fontpkg_ibm_plex_sans_arabic",
)
_DIGITS = "0123456789"
_MISSING = "n"
ISOLATES = ("\u2067", "\u2068", "\u2069")
"""What keeps the order of a fact within a line that is read from right to left; it has no width."""
SPACES = re.compile(r"[^\S\u00a0]+")
"""Spaces at which a line may break; one that does not break is kept."""


class _Widths(NamedTuple):
    units_per_em: int
    advances: dict[str, int]


def font_folders() -> tuple[Path, ...]:
    """Return the folders of the installed fonts; CannotWork when a package is not there."""
    folders = []
    for package in _PACKAGES:
        try:
            folders.append(Path(str(files(package).joinpath("files"))))
        except ModuleNotFoundError:
            raise CannotWork(find("pack.no_font", package)) from None
    return tuple(folders)


@cache
def _widths(face: Face) -> _Widths:
    own = _read(*_FILES[face])
    arabic = _read(_PACKAGES[-1], _ARABIC[face])
    scale = own.units_per_em / arabic.units_per_em
    others = {sign: round(scale * width) for sign, width in arabic.advances.items() if is_arabic(sign)}
    widest = max(own.advances[digit] for digit in _DIGITS)
    steering = dict.fromkeys(ISOLATES, 0)
    return _Widths(own.units_per_em, others | own.advances | dict.fromkeys(_DIGITS, widest) | steering)


def _read(package: str, name: str) -> _Widths:
    folder = next(folder for folder in font_folders() if folder.parent.name == package)
    with TTFont(str(folder / name), lazy=True) as font:
        glyphs, metrics = font.getBestCmap(), font["hmtx"].metrics
        advances = {chr(point): metrics[glyph][0] for point, glyph in glyphs.items()}
        return _Widths(font["head"].unitsPerEm, advances)


def is_arabic(letter: str) -> bool:
    """Return whether a letter or sign is one of the Arabic script."""
    return "\u0600" <= letter <= "\u06ff" or "\u0750" <= letter <= "\u077f"


def width_of(text: str, face: Face, size: float) -> float:
    """Return the width of a line of text, in the unit of `size`; figures are tabular, kerning none.

    Arabic letters count as they stand alone, which is as wide as they get or wider.
    """
    units_per_em, advances = _widths(face)
    return size / units_per_em * sum(advances.get(letter, advances[_MISSING]) for letter in text)


def cut_to(text: str, face: Face, size: float, room: float) -> str:
    """Return the text, shortened with an ellipsis to what fits into `room`, in the unit of `size`."""
    if width_of(text, face, size) <= room:
        return text
    for end in range(len(text) - 1, 0, -1):
        short = text[:end].rstrip(" ,+") + "…"
        if width_of(short, face, size) <= room:
            return short
    return ""


def lines_of(text: str, face: Face, size: float, room: float) -> tuple[str, ...]:
    """Return the text broken between words into lines no wider than `room`; one long word stays whole."""
    lines: list[str] = []
    for word in filter(None, SPACES.split(text)):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, face, size) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def balanced_lines(text: str, face: Face, size: float, room: float) -> tuple[str, ...]:
    """Return the text in as few lines as `lines_of` needs, of lengths as even as words allow."""
    fewest = lines_of(text, face, size, room)
    for share in (0.5, 0.6, 0.7, 0.8, 0.9):
        lines = lines_of(text, face, size, share * room)
        if len(lines) == len(fewest):
            return lines
    return fewest


def printable(text: str, about: str) -> str:
    """Return the text as it can be printed: composed, signs that no font has left out.

    Raises BadInput for a letter or figure that no font has: a name is never printed with a hole in it.
    """
    composed = unicodedata.normalize("NFC", text)
    advances = _widths("sans").advances
    lost = sorted({letter for letter in composed if letter not in advances and letter.isalnum()})
    if lost:
        raise BadInput(find("pack.no_glyph", about, letters=" ".join(lost), text=text))
    kept = "".join(letter if letter in advances and not _is_control(letter) else " " for letter in composed)
    return " ".join(word for word in SPACES.split(kept) if word)


def has_unprintable(text: str) -> bool:
    """Return whether a text holds a sign that `printable` leaves out."""
    advances = _widths("sans").advances
    signs = [one for one in unicodedata.normalize("NFC", text) if not one.isspace()]
    return any(sign not in advances or sign in ISOLATES for sign in signs)


def _is_control(letter: str) -> bool:
    """Return whether a letter only steers others: joiners, direction marks, variation selectors."""
    if letter in ISOLATES:
        return False
    return unicodedata.category(letter)[0] == "C" or "\ufe00" <= letter <= "\ufe0f"
