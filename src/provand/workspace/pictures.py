"""What a piece looks like: the first page of its sheet as a picture, for whoever is about to hand it out.

Pictures are drawn beside the pages, one after another, when a page asks for them; the last ones are kept.
"""

from __future__ import annotations

import io
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from functools import cache
from threading import Lock

import pypdfium2
from PIL import Image

from provand.pack.pieces import PDF
from provand.pack.write import File

WIDTH_PX, HEIGHT_PX = 360, 510
"""The room of a picture, twice what a page shows of it: an A4 sheet upright fills it."""
PICTURED = (PDF, "image/png")
"""The kinds of file that have a picture."""
KEPT = 400
"""As many pictures stay in memory, some 20 kB each: those of thirty races."""
_ONE_AT_A_TIME = Lock()
"""The library that reads the PDF may be in one thread at a time alone."""
_KEPT: OrderedDict[str, Future[bytes]] = OrderedDict()
_KEPT_LOCK = Lock()


def drawn(key: str, made: Callable[[], File]) -> Future[bytes]:
    """Return the picture of a file that `made` makes, once it is drawn; the same key is drawn once.

    `made` runs in a thread of its own, so it asks no database.
    """
    with _KEPT_LOCK:
        found = _KEPT.get(key)
        if found is None or (found.done() and found.exception()):
            found = _KEPT[key] = _drawer().submit(_drawn, made)
            while len(_KEPT) > KEPT:
                _KEPT.popitem(last=False)
        _KEPT.move_to_end(key)
        return found


@cache
def _drawer() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=1, thread_name_prefix="picture")


def _drawn(made: Callable[[], File]) -> bytes:
    file = made()
    return picture(file.data, file.media_type)


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
