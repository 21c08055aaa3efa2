"""What a piece looks like: the first page of its sheet as a picture, for whoever is about to hand it out."""

from __future__ import annotations

import io
from threading import Lock

import pypdfium2
from PIL import Image

from provand.pack.pieces import PDF

WIDTH_PX, HEIGHT_PX = 360, 510
"""The room of a picture, twice what a page shows of it: an A4 sheet upright fills it."""
PICTURED = (PDF, "image/png")
"""The kinds of file that have a picture."""
_ONE_AT_A_TIME = Lock()
"""The library that reads the PDF may be in one thread at a time alone."""


def picture(data: bytes, media_type: str) -> bytes:
    """Return a picture, or the first page of a PDF, as a PNG that fits into `WIDTH_PX` by `HEIGHT_PX`."""
    image = _first_page(data) if media_type == PDF else Image.open(io.BytesIO(data))
    image.thumbnail((WIDTH_PX, HEIGHT_PX))
    written = io.BytesIO()
    image.convert("RGB").quantize(64).save(written, "PNG", optimize=True)
    return written.getvalue()


def _first_page(data: bytes) -> Image.Image:
    with _ONE_AT_A_TIME:
        document = pypdfium2.PdfDocument(data)
        try:
            page = document[0]
            scale = min(WIDTH_PX / page.get_width(), HEIGHT_PX / page.get_height())
            return page.render(scale=scale).to_pil()  # type: ignore[no-any-return]  # the library has no types
        finally:
            document.close()
