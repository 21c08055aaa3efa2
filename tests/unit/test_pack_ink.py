"""Paper in black and grey: words are dark enough on white, and no meaning hangs on a colour."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from importlib.resources import files
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from beforehand import making
from PIL import Image
from plans import a_plan

from provand.pack.pieces import PDF, PIECES, Sheet
from provand.pack.svg import PRINT, ROLES

TEMPLATES = files("provand.pack").joinpath("templates")
LEAST_CONTRAST = 4.5
"""Of words on their ground (WCAG 2.2, success criterion 1.4.3)."""
COLOURED = {"plan.pdf", "plan-letter.pdf"}
"""The sheets with an accent; what it marks has a shape and a word as well."""
GREYS = [
    sheet
    for kind in PIECES
    for sheet in kind.sheets
    if sheet.media_type == PDF and sheet.is_for(a_plan()) and sheet.name not in COLOURED
]
TINT = 0.06
"""How far the parts of a grey may lie apart: the house's greys are a little warm or cool."""


def contrast_on_white(colour: str) -> float:
    """Return the contrast of `#rrggbb` on white as WCAG defines it."""
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 1.05 / (0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05)


def template_texts() -> dict[str, str]:
    return {one.name: one.read_text("utf-8") for one in TEMPLATES.iterdir() if one.name.endswith(".typ")}


def colours_of_words(text: str, named: dict[str, str]) -> list[str]:
    """Return the colours with which a template sets words; `black` and names of the house included."""
    fills = re.findall(r"\btext\((?:[^()]|\([^()]*\))*?fill: *(rgb\(\"#\w{6}\"\)|[\w.]+)", text)
    found = [re.sub(r'rgb\("(#\w{6})"\)', r"\1", fill) for fill in fills]
    return [named.get(fill, fill) for fill in found if fill != "rgb"]


def test_contrast_is_measured_as_it_is_defined() -> None:
    assert contrast_on_white("#000000") == pytest.approx(21)
    assert contrast_on_white("#ffffff") == pytest.approx(1)
    assert contrast_on_white("#767676") == pytest.approx(4.54, abs=0.01)


def test_every_colour_of_words_in_the_templates_is_dark_enough_on_white() -> None:
    house = template_texts()["house.typ"]
    named = dict(re.findall(r'#let (\w+) = rgb\("(#\w{6})"\)', house)) | {"black": "#000000"}
    found = {c for text in template_texts().values() for c in colours_of_words(text, named)}
    assert {"#444444", "#000000"} <= found, "the templates are read"
    assert not [c for c in found if c.startswith("#") and contrast_on_white(c) < LEAST_CONTRAST]
    assert {c for c in found if not c.startswith("#")} <= {"white"}


def test_a_pale_colour_of_words_would_be_found() -> None:
    pale = colours_of_words('#text(9pt, fill: rgb("#aaaaaa"), [x]) #text(fill: edge)[y]', {"edge": "#76797c"})
    assert pale == ["#aaaaaa", "#76797c"]
    assert [contrast_on_white(c) >= LEAST_CONTRAST for c in pale] == [False, False]


def test_every_word_drawn_into_a_printed_strip_is_dark_enough_on_white() -> None:
    words = {role: PRINT[style["fill"]] for role, style in ROLES.items() if "font-size" in style}
    assert len(words) > 5
    assert not [role for role, colour in words.items() if contrast_on_white(colour) < LEAST_CONTRAST]


def _parts(colour: Any) -> tuple[float, ...]:
    if colour is None:
        return ()
    return tuple(colour) if isinstance(colour, list | tuple) else (colour,)


@pytest.mark.parametrize("sheet", GREYS, ids=lambda sheet: str(sheet.name))
def test_a_sheet_is_black_and_grey_so_that_nothing_on_it_hangs_on_a_colour(sheet: Sheet) -> None:
    with pdfplumber.open(io.BytesIO(sheet.made(making(a_plan())))) as document:
        drawn = [
            (kind, _parts(shape.get(key)))
            for page in document.pages
            for kind, shapes in page.objects.items()
            for shape in shapes
            for key in ("stroking_color", "non_stroking_color")
        ]
    assert len(drawn) > 100
    assert not [one for one in drawn if len(one[1]) == 3 and max(one[1]) - min(one[1]) > TINT]


def grey_page(data: bytes, folder: Path, dpi: int) -> Image.Image:
    """Return the first page as a grey printer gives it; the test is skipped where poppler is missing."""
    if shutil.which("pdftoppm") is None:
        pytest.skip("pdftoppm is not installed (make test installs Debian's where the user may)")
    (folder / "page.pdf").write_bytes(data)
    command = ["pdftoppm", "-gray", "-r", str(dpi), "-f", "1", "-l", "1", "page.pdf", "page"]
    subprocess.run(command, cwd=folder, check=True)
    return Image.open(next(folder.glob("page*.pgm"))).convert("L")


@pytest.mark.parametrize("name", ["night.pdf", "strip.pdf", "finish.pdf", "crew.pdf", "plan.pdf"])
def test_on_a_grey_printer_every_mark_and_word_is_there(name: str, tmp_path: Path) -> None:
    sheet = next(one for kind in PIECES for one in kind.sheets if one.name == name)
    data, dpi = sheet.made(making(a_plan())), 120
    page = grey_page(data, tmp_path, dpi)
    with pdfplumber.open(io.BytesIO(data)) as document:
        first = document.pages[0]
        marks = [curve for curve in first.curves if curve["fill"] and 4 < curve["width"] < 20]
        found = [*marks, *first.extract_words()]
    assert len(found) > 50
    for one in found:
        box = [one["x0"], one["top"], one["x1"], one["bottom"]]
        seen = page.crop(tuple(round(end * dpi / 72) for end in box))
        darkest = seen.getextrema()[0]
        assert darkest < 118, f"too pale on a grey page: {one.get('text', 'a mark')}"
