"""The records of a health file: read with names and days, and refused where they contradict each other."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from answered import BORN, NAME

from provand.case.door import health_of
from provand.case.health import Health, Score
from provand.finding import BadInput

ON = date(2026, 11, 20)


def read(**records: Any) -> Health:
    return health_of({"athlete": NAME, "born": BORN, **records}, name="ines.health.toml")


def faults(**records: Any) -> list[tuple[str, str]]:
    with pytest.raises(BadInput) as refused:
        read(**records)
    return [(finding.code, finding.about) for finding in refused.value.findings]


LETTER = {"about": ["heart"], "to": "Dr Invented", "by": "Pia Practitioner", "on": ON}
REPLY = {"about": ["heart"], "says": "cleared", "by": "Dr Invented", "on": ON, "kept_by": "Pia Practitioner"}
RELEASE = {"about": "injury", "by": "Pia Practitioner", "role": "practitioner", "on": ON, "why": "a blister"}

GUARDIAN = {"who": "guardian", "by": "Otto Inventado", "on": ON}


def test_every_record_is_read_as_typed() -> None:
    health = read(
        letters=[LETTER],
        replies=[REPLY | {"says": "cleared with limits", "limits": ["caffeine"], "until": date(2027, 1, 1)}],
        releases=[RELEASE],
        assents=[{"who": "athlete", "by": NAME, "on": ON}],
        scores=[{"questionnaire": "Invented Scale", "value": 12, "cut_off": 20, "by": "Pia", "on": ON}],
        sodium_tests=[{"serum_sodium": "138 mmol/l", "by": "Invented Laboratory", "on": ON}],
        portions=[{"portions_only": True, "by": NAME, "on": ON}],
        medicines=[{"name": "ibuprofen", "since": ON, "stopped": ON, "by": NAME, "on": ON}],
    )
    assert health.replies[0].limits == ("caffeine",)
    assert health.scores == (Score(questionnaire="Invented Scale", value=12, cut_off=20, by="Pia", on=ON),)
    assert health.sodium_tests[0].serum_sodium_mmol_per_l == 138
    assert health.portions[0].portions_only
    assert health.medicines[0].stopped == ON


@pytest.mark.parametrize("key", ["by", "why", "on", "role", "about"])
def test_an_override_needs_every_word_of_it(key: str) -> None:
    without = {name: value for name, value in RELEASE.items() if name != key}
    assert faults(releases=[without]) == [("entry.missing", f"releases[1].{key}")]


@pytest.mark.parametrize("key", ["by", "why"])
@pytest.mark.parametrize("blank", ["", "   "])
def test_an_override_without_name_or_reason_is_refused(key: str, blank: str) -> None:
    assert faults(releases=[RELEASE | {key: blank}]) == [("entry.wrong_kind", f"releases[1].{key}")]


def test_a_reply_dated_before_its_letter_is_refused_with_the_day_that_is_allowed() -> None:
    early = REPLY | {"on": date(2026, 11, 19)}
    with pytest.raises(BadInput) as refused:
        read(letters=[LETTER], replies=[early])
    (finding,) = refused.value.findings
    assert (finding.code, finding.about) == ("health.reply_before_letter", "replies[1].on")
    assert "2026-11-20" in finding.sentence
    assert read(letters=[LETTER], replies=[REPLY]).replies
    assert read(letters=[LETTER, LETTER | {"on": date(2026, 11, 28)}], replies=[REPLY]).replies


@pytest.mark.parametrize(
    ("record", "code"),
    [
        ({"replies": [REPLY | {"says": "cleared with limits"}]}, "health.limits_missing"),
        ({"replies": [REPLY | {"limits": ["caffeine"]}]}, "health.limits_extra"),
        ({"replies": [REPLY | {"until": date(2026, 11, 19)}]}, "health.until_before"),
        ({"replies": [REPLY | {"says": "perhaps"}]}, "entry.wrong_kind"),
        ({"replies": [REPLY | {"about": []}]}, "entry.wrong_kind"),
        (
            {"assents": [{"who": "guardian", "by": " ines  inventada", "on": ON}]},
            "health.guardian_is_athlete",
        ),
        (
            {"medicines": [{"name": "ibuprofen", "since": ON, "stopped": date(2026, 1, 1)}]},
            "health.stopped_before",
        ),
        (
            {"sodium_tests": [{"serum_sodium": "13.8 mmol/l", "by": "Laboratory", "on": ON}]},
            "entry.outside",
        ),
        (
            {"scores": [{"questionnaire": "Q", "value": "12", "cut_off": 20, "by": "Pia", "on": ON}]},
            "entry.wrong_kind",
        ),
    ],
)
def test_a_record_that_cannot_be_is_refused(record: dict[str, Any], code: str) -> None:
    assert [found for found, _ in faults(**record)] == [code]


def test_all_faults_of_the_records_are_told_at_once() -> None:
    wrong = REPLY | {"says": "cleared with limits", "until": date(2026, 1, 1)}
    assert faults(replies=[wrong], assents=[GUARDIAN | {"by": NAME}]) == [
        ("health.limits_missing", "replies[1].limits"),
        ("health.until_before", "replies[1].until"),
        ("health.guardian_is_athlete", "assents[1].by"),
    ]
