"""Small grey pictures of the paper pieces of one invented plan, frozen; run this file to freeze them anew.

They are made by the typesetter that makes the PDFs, with the same fonts, and all carry one code.
"""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any
from unittest import mock

import typst
from PIL import Image

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "unit"))

from plans import a_plan

from provand.pack import typeset
from provand.pack.pieces import PIECES, Making

FOLDER = Path(__file__).with_name("pack")
DPI = 60
CODE = "P0P0-P0P0"
"""In the place of the plan's code, which moves with every figure."""
GREYS = 8
"""Levels of grey that are kept: the pictures stay small."""
NAMES = (
    *("night.pdf", "strip.pdf", "finish.pdf", "labels-24.pdf", "crew.pdf"),
    *("guide.pdf", "relay.pdf", "debrief.pdf", "large.pdf"),
)


def first_page(name: str) -> Image.Image:
    """Return the first page of a piece in grey, at 60 dots an inch."""
    made: list[bytes] = []
    plan = a_plan()

    def drawn(template: str, data: dict[str, Any], pictures: dict[str, str], **_: Any) -> bytes:
        same = json.loads(json.dumps(data).replace(plan.code, CODE))
        of = typeset._files(template, same, pictures)
        pages = typst.compile(of, font_paths=typeset.fonts(), ignore_system_fonts=True, format="png", ppi=DPI)
        made.append(pages[0] if isinstance(pages, list) else pages)
        return b""

    sheet = next(one for kind in PIECES for one in kind.sheets if one.name == name)
    with mock.patch.object(typeset, "_set", drawn):
        sheet.made(Making(plan))
    return few_greys(Image.open(io.BytesIO(made[0])).convert("L"))


def few_greys(page: Image.Image) -> Image.Image:
    """Return a picture with a few levels of grey from black to white."""
    step = 255 / (GREYS - 1)
    return page.point([round(round(level / step) * step) for level in range(256)])


def frozen(name: str) -> Image.Image:
    return Image.open(FOLDER / f"{Path(name).stem}.png").convert("L")


def freeze(name: str) -> None:
    page = first_page(name).quantize(GREYS)
    page.save(FOLDER / f"{Path(name).stem}.png", optimize=True)


if __name__ == "__main__":
    for one in NAMES:
        freeze(one)
