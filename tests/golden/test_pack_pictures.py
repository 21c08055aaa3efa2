"""The paper pieces look as they did when last looked at; a picture moves on purpose, and is looked at."""

from __future__ import annotations

import pytest
from pack_pictures import NAMES, first_page, frozen
from PIL import Image, ImageChops

FAR = 96
"""Levels of grey, of 255, from which a dot counts as another: letters are smoothed a little differently."""
MOST_FRAC = 0.001
"""Part of the dots that may be others. A word that moves is more: see the last tests."""


def moved_frac(one: Image.Image, other: Image.Image) -> float:
    """Return which part of two pictures differs; 1 where they have not the same size."""
    if one.size != other.size:
        return 1.0
    levels = ImageChops.difference(one, other).histogram()
    return sum(levels[FAR:]) / (one.width * one.height)


@pytest.mark.parametrize("name", NAMES)
def test_a_piece_looks_as_it_did(name: str) -> None:
    assert moved_frac(first_page(name), frozen(name)) <= MOST_FRAC, (
        f"{name} looks different: look at it, then run python tests/golden/pack_pictures.py"
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_page_that_moves_by_a_millimetre_is_seen(name: str) -> None:
    page = frozen(name)
    moved = ImageChops.offset(page, 0, 2)
    assert moved_frac(page, moved) > MOST_FRAC


def test_a_line_that_is_missing_is_seen_and_a_little_smoothing_is_not() -> None:
    page = frozen("night.pdf")
    gone = page.copy()
    gone.paste(255, (0, page.height // 3, page.width, page.height // 3 + 16))
    assert moved_frac(page, gone) > MOST_FRAC
    assert moved_frac(page, page.point([min(255, level + 40) for level in range(256)])) <= MOST_FRAC
    assert moved_frac(page, page.resize((10, 10))) == 1.0
