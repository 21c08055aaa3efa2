"""Entries are added to a health file: comments stay, faults write nothing, nobody is overwritten."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest
from answered import BORN, NAME, answer, case_of

from provand.case.door import read_health
from provand.case.health import ClinicianReply, Letter, Medicine, SodiumTest
from provand.case.health_file import Entry, HealthFile
from provand.finding import BadInput, CannotWork

ON = date(2026, 11, 24)
OLD = f"""\
# kept by hand
format = "provand.health/1"
athlete = "{NAME}"  # as in the case
born = {BORN.isoformat()}

answers = [
    {{ question = "heart",  reply = "no",  by = "{NAME}", on = 2026-11-20 }},  # asked twice
]

[[medicines]]
# the blue ones
name = "ibuprofen"
"""
LETTER = Entry("letters", Letter(about=("heart",), to="Dr Invented", by="Pia", on=ON))
TEST = Entry("sodium_tests", SodiumTest(serum_sodium_mmol_per_l=138.5, by="Invented Laboratory", on=ON))
MEDICINE = Entry("medicines", Medicine(name="codeine", since=ON, by=NAME, on=ON))


@pytest.fixture
def case_path(tmp_path: Path) -> Path:
    return tmp_path / "ines.toml"


def write(case_path: Path, text: str) -> Path:
    path = case_path.with_name("ines.health.toml")
    path.write_bytes(text.encode())
    return path


def test_entries_are_added_and_what_stood_there_stays(case_path: Path) -> None:
    path = write(case_path, OLD)
    file = HealthFile(case_path, case_of())
    file.add([Entry("answers", answer("heart", "yes")), MEDICINE, LETTER])
    file.add([TEST])
    text = path.read_text()
    for kept in ("# kept by hand", "# as in the case", "# asked twice", "# the blue ones"):
        assert kept in text
    assert 'format = "provand.health/2"' in text
    health = read_health(case_path, of=case_of())
    assert health == file.health
    assert health is not None
    assert [one.reply for one in health.answers] == ["no", "yes"]
    assert [one.name for one in health.medicines] == ["ibuprofen", "codeine"]
    assert (health.letters, health.sodium_tests) == ((LETTER.record,), (TEST.record,))
    assert "\n\n[[letters]]" in text


def test_a_file_is_begun_where_there_is_none(case_path: Path) -> None:
    file = HealthFile(case_path, case_of())
    assert not file.path.exists()
    file.add([Entry("answers", answer("heart", "no")), LETTER])
    file.add([Entry("answers", answer("kidney", "no"))])
    health = read_health(case_path, of=case_of())
    assert health is not None
    assert [one.question for one in health.answers] == ["heart", "kidney"]
    assert (health.athlete, health.born) == (NAME, BORN)


def test_the_same_entry_is_not_added_twice(case_path: Path) -> None:
    file = HealthFile(case_path, case_of())
    file.add([LETTER])
    before = file.path.read_bytes()
    file.add([LETTER])
    assert file.path.read_bytes() == before


def test_what_the_door_refuses_is_not_written(case_path: Path) -> None:
    path = write(case_path, OLD)
    file = HealthFile(case_path, case_of())
    file.add([LETTER])
    before = path.read_bytes()
    early = ClinicianReply(
        about=("heart",), says="cleared", by="Dr Invented", on=date(2026, 11, 23), kept_by="Pia"
    )
    with pytest.raises(BadInput) as refused:
        file.add([Entry("replies", early)])
    assert [finding.code for finding in refused.value.findings] == ["health.reply_before_letter"]
    assert path.read_bytes() == before


def test_a_file_changed_meanwhile_is_told_and_not_overwritten(case_path: Path) -> None:
    path = write(case_path, OLD)
    file = HealthFile(case_path, case_of())
    theirs = OLD + "# somebody else was here\n"
    path.write_text(theirs)
    with pytest.raises(BadInput) as refused:
        file.add([LETTER])
    assert [finding.code for finding in refused.value.findings] == ["file.changed_meanwhile"]
    assert path.read_text() == theirs
    fresh = HealthFile(case_path.with_name("new.toml"), case_of())
    fresh.path.write_text(OLD)
    with pytest.raises(BadInput):
        fresh.add([LETTER])
    assert fresh.path.read_text() == OLD


def test_line_ends_and_the_byte_order_mark_stay(case_path: Path) -> None:
    path = case_path.with_name("ines.health.toml")
    path.write_bytes(b"\xef\xbb\xbf" + OLD.replace("\n", "\r\n").encode())
    HealthFile(case_path, case_of()).add([LETTER])
    data = path.read_bytes()
    assert data.startswith(b"\xef\xbb\xbf#")
    assert data.count(b"\n") == data.count(b"\r\n")


def test_a_layout_that_would_not_come_back_is_left_alone(case_path: Path) -> None:
    scattered = OLD + '\n[[letters]]\nabout = ["heart"]\nto = "Dr"\nby = "Pia"\non = 2026-11-20\n'
    path = write(case_path, scattered + '\n[[medicines]]\nname = "codeine"\n')
    before = path.read_bytes()
    try:
        HealthFile(case_path, case_of()).add([TEST])
    except CannotWork:
        assert path.read_bytes() == before
    else:
        data = tomllib.loads(path.read_text())
        assert [one["name"] for one in data["medicines"]] == ["ibuprofen", "codeine"]


def test_another_persons_file_is_refused(case_path: Path) -> None:
    write(case_path, OLD)
    with pytest.raises(BadInput):
        HealthFile(case_path, case_of(name="Otto Other"))
