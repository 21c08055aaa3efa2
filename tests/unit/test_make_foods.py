"""The larder's table is what its script makes of the archive, to the byte."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def make_foods() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_foods", ROOT / "tools" / "make_foods.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_table_is_made_anew_to_the_byte(make_foods: ModuleType) -> None:
    if not make_foods.ARCHIVE.exists():
        pytest.skip(
            "the table of foods was not fetched (make test fetches it where the package index is reached)"
        )
    assert make_foods.made() == make_foods.TABLE.read_text("utf-8")


def test_names_of_makers_are_left_out(make_foods: ModuleType) -> None:
    assert make_foods.plain("Cereals, MAKER Flakes (include THING)") == "Cereals, Flakes"
    named = make_foods.TABLE.read_text("utf-8")
    assert "MAKER" not in named


def test_the_archive_is_pinned_by_the_hash_that_the_table_states(make_foods: ModuleType) -> None:
    pinned = (ROOT / "tests" / "set_up" / "foods.txt").read_text("utf-8").split("sha256:")[1].strip()
    assert f"sha256 {pinned}" in make_foods.TABLE.read_text("utf-8")
