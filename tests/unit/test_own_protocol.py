"""A practitioner's own protocol: what it replaces, what it is refused for, and what it never reaches."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from starter_case import STARTER_TEXT, TODAY, opened, refused

from provand.case.checks import SHIPPED_PROTOCOLS
from provand.case.door import in_folder
from provand.finding import BadInput
from provand.pack.sheet import plan_data
from provand.plan.body_work import limits_of, work_out
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.plan.explain import lines
from provand.plan.protocols import protocols_of
from provand.plan.review import clear
from provand.protocol.own import Protocols, most_given, own, shipped
from provand.protocol.rules import SHIPPED, TARGETS, protocol
from provand.record import canonical
from provand.safety.screening import Screening

HEAD = """title = "House"
edition = "1"
extends = "position-stands"
since = 2026-11-01
review_by = 2027-05-01
"""
RULE = """
[[rule]]
id = "L1"
gives = "load.carb"
band_g_per_kg_per_day = [8, 10]
when.race_min = { above = 90 }
source = "practice"
at = "invented clients"
mark = "practice"
note = "to show the form"
override = { by = "Robin Example", on = 2026-11-10, why = "four of six stopped at 9" }
"""
NEW = RULE.replace('"L1"', '"Own1"').split("override")[0]
DOSE = "load.dose_g_per_kg_per_day"
CLEAR = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)
OWN_CASE = STARTER_TEXT.replace('protocol = "position-stands"', 'protocol = "house.toml"')


def read(text: str, *, as_of: date = TODAY) -> Protocols:
    return own(tomllib.loads(text), name="house.toml", as_of=as_of)


def faults_of(text: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        read(text)
    assert all(finding.about.startswith("house.toml") for finding in caught.value.findings)
    return [finding.code for finding in caught.value.findings]


def planned(folder: Path, text: str, *, as_of: date = TODAY, case: str = OWN_CASE) -> Plan:
    (folder / "house.toml").write_text(text, "utf-8")
    one = opened(folder, case, as_of=as_of)
    protocols = protocols_of(one, in_folder(folder), as_of=as_of)
    return draw_up(one, CLEAR, protocols=protocols, as_of=as_of)


def test_the_names_that_the_door_knows_are_those_of_the_shipped_protocols() -> None:
    assert SHIPPED_PROTOCOLS == SHIPPED


class TestReading:
    def test_it_leads_and_the_protocol_that_it_does_not_extend_stands_beside(self) -> None:
        found = read(HEAD + RULE)
        assert [one.id for one in found.in_order] == ["house.toml", "common-practice"]
        assert found.lead.rule("L1").band.high == 10
        assert found.lead.rule("L2") == protocol("position-stands").rule("L2")

    def test_a_replaced_rule_keeps_its_rank_unless_it_names_one(self) -> None:
        assert read(HEAD + RULE).lead.rule("L1").rank == protocol("position-stands").rule("L1").rank
        assert read(HEAD + RULE + "rank = 7\n").lead.rule("L1").rank == 7

    def test_its_code_changes_with_its_rules_and_not_with_a_comment(self) -> None:
        codes = {read(HEAD + text).lead.code for text in (RULE, RULE + "# a remark\n")}
        assert len(codes) == 1
        assert read(HEAD + RULE.replace("10]", "9]")).lead.code not in codes

    def test_texts_are_put_on_one_line(self) -> None:
        text = HEAD + RULE.replace('"four of six stopped at 9"', '"""four of\nsix\tstopped"""')
        override = read(text).lead.rule("L1").override
        assert override is not None
        assert override.why == "four of six stopped"


class TestBadInput:
    @pytest.mark.parametrize(
        ("old", "new", "code"),
        [
            ('extends = "position-stands"\n', "", "rule.extends"),
            ('extends = "position-stands"', 'extends = "assumptions"', "rule.extends"),
            ('id = "L1"', 'id = "Own9"', "rule.nothing_to_override"),
            (RULE.splitlines()[-1], "", "rule.needs_override"),
            ('by = "Robin Example", ', "", "rule.wrong_kind"),
            ('by = "Robin Example"', 'by = ""', "rule.wrong_kind"),
            (', why = "four of six stopped at 9"', "", "rule.wrong_kind"),
            (", on = 2026-11-10", "", "rule.wrong_kind"),
            ("on = 2026-11-10", "on = 2026-11-26", "entry.future"),
            ("since = 2026-11-01", "since = 2026-12-01", "entry.future"),
            ("review_by = 2027-05-01\n", "", "rule.missing"),
            ("band_g_per_kg_per_day", "band_g_per_day", "rule.wrong_unit"),
            ("[8, 10]", "[10, 8]", "rule.reversed"),
            ("[8, 10]", "[8, 20]", "rule.outside"),
            ("[8, 10]", "[-1, 10]", "rule.outside"),
            ('"load.carb"', '"ceiling.fluid_ml_per_race"', "rule.out_of_reach"),
            ('"load.carb"', '"caffeine.single_mg"', "rule.out_of_reach"),
            ('"load.carb"', '"cup.mouthful_ml"', "rule.out_of_reach"),
            ('id = "L1"', 'id = "ceiling.cool_share"', "rule.out_of_reach"),
            ('title = "House"', '[[flag]]\nid = "lithium"\n', "rule.out_of_reach"),
            ('title = "House"', "ceilings = 5", "rule.out_of_reach"),
            ('title = "House"', "colour = 5", "rule.unknown_key"),
            ('gives = "load.carb"', 'gives = "race.carb"', "rule.wrong_unit"),
            ('source = "practice"', 'source = ["practice"]', "rule.source"),
        ],
    )
    def test_a_file_that_cannot_be_meant_is_refused(self, old: str, new: str, code: str) -> None:
        text = HEAD + RULE
        assert old in text
        text = text.replace(old, new)
        if new.startswith("[["):
            text = HEAD + RULE + new
        assert code in faults_of(text)

    @pytest.mark.parametrize(
        ("rule_id", "code"),
        [
            ("L6", "rule.id_taken"),
            ("target", "rule.id"),
            ("Own 1", "rule.id"),
            ("rate.one_sugar", "rule.out_of_reach"),
            ("A" * 13, "rule.id"),
        ],
    )
    def test_a_new_rule_needs_an_id_of_its_own(self, rule_id: str, code: str) -> None:
        assert faults_of(HEAD + NEW.replace("Own1", rule_id)) == [code]

    def test_a_rule_that_replaces_another_gives_the_same_target(self) -> None:
        text = HEAD + RULE.replace('id = "L1"', 'id = "L1h"')
        assert faults_of(text) == ["rule.other_target"]

    def test_all_faults_are_told_at_once(self) -> None:
        text = HEAD + RULE.replace("[8, 10]", "[8, 90]") + NEW.replace("Own1", "L6")
        assert faults_of(text) == ["rule.outside", "rule.id_taken"]

    @pytest.mark.parametrize(
        ("name", "words"),
        [
            ("position-stand", "Did you mean 'position-stands'?"),
            ("house", "A protocol of your own is a file beside the case"),
            ("../house.toml", "is not beside the case file"),
            ("/etc/house.toml", "is not beside the case file"),
            ("..\\\\house.toml", "is not beside the case file"),
            ("case.health.toml", "names no protocol"),
        ],
    )
    def test_the_case_names_a_shipped_protocol_or_a_file_beside_it(
        self, tmp_path: Path, name: str, words: str
    ) -> None:
        error = refused(tmp_path, OWN_CASE.replace("house.toml", name))
        assert [finding.about for finding in error.findings] == ["wishes.protocol"]
        assert words in str(error)

    @pytest.mark.parametrize(
        ("data", "code"),
        [
            (None, "file.missing"),
            (b"[[rule]", "file.toml"),
            ("ü".encode("latin-1"), "file.not_utf8"),
            (HEAD.encode("utf-16"), "file.utf16"),
            (b"a = " + b"[" * 5000, "file.too_deep"),
            (b"#" * 1_000_001, "file.too_large"),
            (STARTER_TEXT.encode("utf-8"), "rule.extends"),
        ],
    )
    def test_a_file_that_cannot_be_read_is_told_with_its_name(
        self, tmp_path: Path, data: bytes | None, code: str
    ) -> None:
        if data is not None:
            (tmp_path / "house.toml").write_bytes(data)
        case = opened(tmp_path, OWN_CASE)
        with pytest.raises(BadInput) as caught:
            protocols_of(case, in_folder(tmp_path), as_of=TODAY)
        assert [(f.code, f.about) for f in caught.value.findings] == [(code, "house.toml")]

    def test_a_byte_order_mark_is_no_fault(self, tmp_path: Path) -> None:
        (tmp_path / "house.toml").write_text(HEAD + RULE, "utf-8-sig")
        case = opened(tmp_path, OWN_CASE)
        assert protocols_of(case, in_folder(tmp_path), as_of=TODAY).lead.title == "House"

    def test_a_plan_is_not_drawn_up_by_other_rules_than_the_case_wishes_for(self, tmp_path: Path) -> None:
        case = opened(tmp_path, OWN_CASE)
        for protocols in (None, shipped("position-stands")):
            with pytest.raises(BadInput, match=r"house\.toml"):
                draw_up(case, CLEAR, protocols=protocols, as_of=TODAY)


class TestInThePlan:
    def test_the_replaced_rule_gives_the_target_and_says_who_when_and_why(self, tmp_path: Path) -> None:
        plan = planned(tmp_path, HEAD + RULE)
        dose = plan.figure(DOSE)
        assert dose is not None
        assert (dose.value.low, dose.value.high, dose.by) == (8, 10, "house.toml/L1")
        told = "instead of the shipped rule: Robin Example, 2026-11-10: four of six stopped at 9"
        assert told in [line.strip() for line in lines(plan, DOSE)]
        assert "Robin Example, 2026-11-10: four of six stopped at 9" in str(plan_data(plan, "a4")["rules"])

    def test_it_is_listed_with_its_edition_and_the_code_of_its_text(self, tmp_path: Path) -> None:
        first, second = (planned(tmp_path, HEAD + text) for text in (RULE, RULE.replace("10]", "9]")))
        use = first.protocols[0]
        assert (use.id, use.title, use.edition) == ("house.toml", "House", "1")
        assert use.code != second.protocols[0].code
        assert first.code != second.code

    def test_a_rule_past_its_review_is_told_and_one_that_does_not_fire_is_not(self, tmp_path: Path) -> None:
        late = date(2026, 11, 30)
        old = HEAD.replace("2027-05-01", "2026-11-29")
        silent = NEW.replace("above = 90", "above = 900")
        found = planned(tmp_path, old + RULE + silent, as_of=late).findings
        assert [f.facts["row"] for f in found if f.code == "rule.stale"] == ["L1"]

    def test_no_dose_that_is_withheld_comes_back_by_it(self, tmp_path: Path) -> None:
        (tmp_path / "house.toml").write_text(HEAD + RULE, "utf-8")
        case = opened(tmp_path, OWN_CASE)
        protocols = protocols_of(case, in_folder(tmp_path), as_of=TODAY)
        screening = Screening(outcome="withheld", withheld=("loading",), sodium_line_mmol_per_l=140.0)
        plan = draw_up(case, screening, protocols=protocols, as_of=TODAY)
        assert plan.figure(DOSE) is None
        assert not [rule for rule in plan.rules if rule.gives.startswith("load.")]


def extreme() -> dict[str, str]:
    """Return a protocol that replaces every shipped rule, each at one end of what it may give."""
    made = {}
    for end in ("least", "most"):
        text = HEAD
        for rule in protocol("position-stands").rules:
            at = {"least": 0.0, "most": most_given(rule)}[end]
            unit = rule.unit.replace("/", "_per_")
            text += (
                f'[[rule]]\nid = "{rule.id}"\ngives = "{rule.gives}"\nband_{unit} = [{at}, {at}]\n'
                'source = "practice"\nat = "invented"\nmark = "practice"\nnote = "an end"\n'
                'override = { by = "R", on = 2026-11-10, why = "a test" }\n'
            )
        made[end] = text
    return made


@pytest.mark.parametrize("screening", [CLEAR, CLEAR.model_copy(update={"fluid_care": "half"})], ids=str)
@pytest.mark.parametrize("end", ["least", "most"])
def test_no_protocol_moves_a_ceiling_by_a_bit_and_what_it_gives_is_cleared(
    tmp_path: Path, end: str, screening: Screening
) -> None:
    (tmp_path / "house.toml").write_text(extreme()[end], "utf-8")
    usual, case = opened(tmp_path, STARTER_TEXT), opened(tmp_path, OWN_CASE)
    protocols = protocols_of(case, in_folder(tmp_path), as_of=TODAY)
    one = draw_up(usual, screening, as_of=TODAY)
    other = draw_up(case, screening, protocols=protocols, as_of=TODAY)
    assert ceilings(one) == ceilings(other)
    limits = [limits_of(each, work_out(each, screening), screening) for each in (usual, case)]
    assert limits[0] == limits[1]
    assert clear(other, case, screening).plan == other


def ceilings(plan: Plan) -> list[bytes]:
    found: list[Any] = [one for one in plan.figures if one.id.startswith(("ceiling.", "sweat.", "sodium."))]
    found += [one for one in plan.series if one.of.startswith("ceiling.")]
    assert len(found) > 5
    return [canonical(one) for one in found]


def test_every_target_may_be_given_in_every_unit_that_it_is_listed_with() -> None:
    for name in SHIPPED:
        for rule in protocol(name).rules:
            assert most_given(rule) >= rule.band.high
    units = {(rule.gives, rule.unit) for name in SHIPPED for rule in protocol(name).rules}
    assert units == {(target, unit) for target, allowed in TARGETS.items() for unit in allowed}
