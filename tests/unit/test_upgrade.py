"""Files of every older format are read; a newer one is refused in words; the frozen file is never touched."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any, get_args

import pytest

from provand.case.case import Case
from provand.case.door import case_of, health_of, in_folder
from provand.case.health import Health
from provand.case.upgrade import NEWEST, STEPS, upgrade
from provand.finding import BadInput

FORMATS = Path(__file__).resolve().parents[1] / "formats"
RECORDS = {"provand.case": Case, "provand.health": Health}


def frozen(kind: str, number: int) -> dict[str, Any]:
    """Return the file of an old format that is kept as it was written."""
    path = FORMATS / f"{kind.removeprefix('provand.')}-{number}.toml"
    return tomllib.loads(path.read_text("utf-8"))


@pytest.mark.parametrize("kind", STEPS)
def test_there_is_a_step_to_each_format_and_the_record_bears_the_newest(kind: str) -> None:
    assert f"{kind}/{len(STEPS[kind]) + 1}" == NEWEST[kind]
    assert get_args(RECORDS[kind].model_fields["format"].annotation) == (NEWEST[kind],)


@pytest.mark.parametrize(
    ("kind", "number"), [(kind, n) for kind, steps in STEPS.items() for n in range(1, len(steps) + 1)]
)
def test_a_frozen_file_of_each_older_format_is_brought_up_to_date(kind: str, number: int) -> None:
    data = frozen(kind, number)
    before = repr(data)
    assert data["format"] == f"{kind}/{number}"
    assert upgrade(data, kind, "old.toml")["format"] == NEWEST[kind]
    assert repr(data) == before


def test_the_first_health_format_is_read_whole() -> None:
    health = health_of(frozen("provand.health", 1), name="old.toml")
    assert health.format == NEWEST["provand.health"]
    assert (health.athlete, len(health.answers), len(health.medicines)) == ("Greta Hollin", 33, 1)
    assert health.medicines[0].since == date(2023, 2, 1)
    assert health.letters == health.replies == health.releases == ()


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ("provand.health/99", "file.newer"),
        ("provand.health/0", "file.other_format"),
        ("provand.case/1", "file.other_format"),
        ("provand.health/1.5", "file.other_format"),
        (2, "file.other_format"),
    ],
)
def test_a_format_that_is_newer_or_none_of_ours_is_refused_in_words(given: object, code: str) -> None:
    with pytest.raises(BadInput) as refused:
        health_of(frozen("provand.health", 1) | {"format": given}, name="new.health.toml")
    (finding,) = refused.value.findings
    assert finding.code == code
    assert "new.health.toml" in finding.about
    assert NEWEST["provand.health"] in finding.line()


def test_a_newer_case_is_refused_before_anything_else_is_said() -> None:
    with pytest.raises(BadInput) as refused:
        case_of({"format": "provand.case/7"}, beside=in_folder(Path()), as_of=date(2026, 11, 25))
    assert [finding.code for finding in refused.value.findings] == ["file.newer"]
