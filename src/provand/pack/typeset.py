"""Typst from Python: our templates, the installed fonts, no warning let pass, the same bytes every time."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from provand.finding import CannotWork, find
from provand.pack.letters import font_folders
from provand.pack.marks import MARKS
from provand.pack.speech import speech
from provand.pack.svg import mark_svg

Paper = Literal["a4", "letter"]
TYPST_PAPER = {"a4": "a4", "letter": "us-letter"}


@cache
def fonts() -> Any:
    import typst  # noqa: PLC0415 - heavy, and only the making of a PDF needs it

    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(folder) for folder in font_folders()],
    )


def _files(template: str, data: dict[str, Any], pictures: dict[str, str]) -> dict[str, bytes]:
    folder = files("provand.pack").joinpath("templates")
    told = data | {"speech": speech()}
    return {
        "main.typ": folder.joinpath(template).read_bytes(),
        **{name: folder.joinpath(name).read_bytes() for name in ("house.typ", "cards.typ")},
        "data.json": json.dumps(told, ensure_ascii=False, sort_keys=True).encode("utf-8"),
        **{f"marks/{name}.svg": mark_svg(name).encode("utf-8") for name in MARKS},
        **{name: text.encode("utf-8") for name, text in pictures.items()},
    }


def pdf(template: str, data: dict[str, Any], *, pictures: dict[str, str] | None = None) -> bytes:
    """Return the PDF that a template makes of data, tagged for screen readers (PDF/UA-1).

    Raises CannotWork when the typesetter fails or warns: a missing font is only a warning to it.
    """
    return _set(template, data, pictures or {}, pdf_standards="ua-1")


def png(template: str, data: dict[str, Any], *, pixels_per_pt: int) -> bytes:
    """Return the picture that a template of one page makes of data; CannotWork as `pdf`."""
    return _set(template, data, {}, format="png", ppi=72 * pixels_per_pt)


def _set(template: str, data: dict[str, Any], pictures: dict[str, str], **how: Any) -> bytes:
    import typst  # noqa: PLC0415

    try:
        made, warnings = typst.compile_with_warnings(
            _files(template, data, pictures), font_paths=fonts(), ignore_system_fonts=True, **how
        )
    except (typst.TypstError, RuntimeError) as error:
        raise CannotWork(find("pack.typeset", template, why=str(error).splitlines()[0])) from error
    if warnings:
        raise CannotWork(find("pack.typeset", template, why=str(warnings[0]).splitlines()[0]))
    if not isinstance(made, bytes):
        raise CannotWork(find("pack.typeset", template, why="it gave no single file"))
    return made
