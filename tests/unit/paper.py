"""Reading printed pieces back: words, pages, and where things stand on the paper, in millimetres."""

from __future__ import annotations

import io
from typing import Any, NamedTuple

import pdfplumber
import pypdfium2
from pypdf import PdfReader

PT_PER_MM = 72 / 25.4


class Placed(NamedTuple):
    """A box or a word on a page, from its left and upper edge."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    text: str = ""
    page: int = 1
    size_pt: float = 0.0


def page_words(data: bytes) -> list[str]:
    """Return the words of each page of a PDF, line by line, as PDFium reads them."""
    with pypdfium2.PdfDocument(data) as document:
        return [page.get_textpage().get_text_range().replace("\r\n", "\n") for page in document]


def said(data: bytes) -> str:
    """Return every word of a PDF on one line."""
    return " ".join(" ".join(page_words(data)).split())


def as_drawn(data: bytes) -> str:
    """Return the same in the order in which it is drawn: PDFium turns what runs from the right about."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages).split())


def pages(data: bytes) -> int:
    return len(PdfReader(io.BytesIO(data)).pages)


def is_tagged(data: bytes) -> bool:
    """Return whether a PDF is marked for screen readers, with its language and PDF/UA in its metadata."""
    root: Any = PdfReader(io.BytesIO(data)).trailer["/Root"]
    about = root["/Metadata"].get_data().decode("utf-8")
    return bool(root["/MarkInfo"]["/Marked"]) and "/Lang" in root and "pdfuaid:part" in about


def _placed(shape: dict[str, Any], page: int, text: str = "", size_pt: float = 0.0) -> Placed:
    left, top, right, bottom = (shape[k] / PT_PER_MM for k in ("x0", "top", "x1", "bottom"))
    return Placed(left, top, right - left, bottom - top, text, page, size_pt)


def boxes(data: bytes) -> list[Placed]:
    """Return every rectangle and closed curve."""
    with pdfplumber.open(io.BytesIO(data)) as document:
        return [
            _placed(shape, number)
            for number, page in enumerate(document.pages, 1)
            for shape in (*page.rects, *page.curves)
        ]


def words(data: bytes) -> list[Placed]:
    """Return every word with the size of its letters."""
    with pdfplumber.open(io.BytesIO(data)) as document:
        return [
            _placed(word, number, word["text"], word["size"])
            for number, page in enumerate(document.pages, 1)
            for word in page.extract_words(extra_attrs=["size"])
        ]
