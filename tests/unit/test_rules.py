"""Rules are dated data: what the loader takes, what it refuses, and what a rule says of itself."""

from __future__ import annotations

from datetime import date

import pytest

from provand.card import sources
from provand.finding import BadInput
from provand.protocol.rules import (
    OURS,
    SHIPPED,
    TARGETS,
    Protocol,
    assumption,
    protocol,
    read_protocol,
    stale_rules,
    value,
)
from provand.units import unit_of

RULE = """
[[rule]]
id = "Q1"
gives = "race.carb"
band_g_per_h = [10, 20]
when.race_min = { at_least = 60, at_most = 180 }
source = "practice"
at = "an invented rule"
mark = "practice"
since = 2026-02-01
review_by = 2027-02-01
note = "to show the form"
"""
NOTE = """
[[note]]
id = "Q2"
says = "An invented note."
source = "practice"
at = "an invented note"
mark = "practice"
since = 2026-02-01
review_by = 2027-02-01
note = "to show the form"
"""
OVERRIDE = 'override = { by = "A. Tester", on = 2026-02-01, why = "tolerated in three rehearsals" }\n'


def faults_of(text: str, base: Protocol | None = None) -> list[str]:
    with pytest.raises(BadInput) as caught:
        read_protocol(text, name="own", base=base)
    return [finding.code for finding in caught.value.findings]


def with_line(old: str, new: str) -> str:
    assert old in RULE
    return RULE.replace(old, new)


def without(key: str) -> str:
    return "\n".join(line for line in RULE.splitlines() if not line.startswith(f"{key} "))


def test_a_rule_is_read_with_its_band_in_its_unit() -> None:
    rule = read_protocol(RULE, name="own").rule("Q1")
    assert (rule.band.low, rule.band.high, rule.band.means, rule.unit) == (10, 20, "band", "g/h")
    assert rule.shown() == "10 to 20 g/h"
    assert rule.since == date(2026, 2, 1)


@pytest.mark.parametrize("key", ["id", "gives", "source", "at", "mark", "since", "review_by", "note"])
def test_a_rule_without_one_of_its_marks_is_refused(key: str) -> None:
    assert "rule.missing" in faults_of(without(key))


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("race_min", "race_minutes", "rule.unknown_fact"),
        ("at_most", "up_to", "rule.wrong_edge"),
        ("{ at_least = 60, at_most = 180 }", '"long"', "rule.wrong_edge"),
        ("at_least = 60", 'at_least = "60"', "rule.wrong_edge"),
        ("band_g_per_h", "band_g_per_hour", "rule.unknown_unit"),
        ("band_g_per_h", "band_carb_g_per_h", "rule.unknown_unit"),
        ("band_g_per_h", "band_g_per_day", "rule.wrong_unit"),
        ("[10, 20]", "[20, 10]", "rule.reversed"),
        ("[10, 20]", "[10, 20]\nlikely_g_per_h = 25", "rule.reversed"),
        ("[10, 20]", "[10, 20]\nlikely_g = 15", "rule.unknown_key"),
        ("[10, 20]", "15", "rule.wrong_kind"),
        ("[10, 20]", "[10, nan]", "rule.wrong_kind"),
        ("[10, 20]", "[10, true]", "rule.wrong_kind"),
        ("[10, 20]", "[10, 20]\nband_g = [1, 2]", "rule.bands"),
        ("band_g_per_h = [10, 20]", "", "rule.bands"),
        ('"practice"\nat', '"nobody1999"\nat', "rule.source"),
        ('mark = "practice"', 'mark = "hearsay"', "rule.wrong_kind"),
        ("2027-02-01", '"soon"', "rule.wrong_kind"),
        ("race.carb", "race.speed", "rule.unknown_target"),
        ("race.carb", "race.gel_g_per_h", "rule.unknown_target"),
        ('id = "Q1"', 'id = "Q1"\ncolour = "red"', "rule.unknown_key"),
        ('id = "Q1"', 'id = "Q1"\n' + OVERRIDE, "rule.nothing_to_override"),
    ],
)
def test_a_rule_that_cannot_be_meant_is_refused(old: str, new: str, code: str) -> None:
    assert code in faults_of(with_line(old, new))


def test_dates_may_stand_once_at_the_head_of_a_file_and_a_rule_may_have_its_own() -> None:
    bare = without("review_by").replace("Q1", "Q3")
    both = read_protocol("review_by = 2028-01-01\n" + RULE + bare, name="own")
    assert [both.rule(rule_id).review_by.year for rule_id in ("Q1", "Q3")] == [2027, 2028]


def test_an_id_may_stand_once() -> None:
    assert faults_of(RULE + RULE) == ["rule.twice"]


def test_every_fault_is_told_at_once_with_the_rule_it_is_in() -> None:
    text = with_line("[10, 20]", "[20, 10]") + RULE.replace("Q1", "Q3").replace("race_min", "race_time")
    with pytest.raises(BadInput) as caught:
        read_protocol(text, name="own")
    assert [f.about for f in caught.value.findings] == ["own: rule Q1", "own: rule Q3"]


def test_text_that_is_not_toml_is_refused_with_its_place() -> None:
    with pytest.raises(BadInput, match="line 1"):
        read_protocol("[[rule]", name="own")


@pytest.mark.parametrize("text", ["rule = 5", "[rule]\nid = 1", 'note = ["x"]'])
def test_a_rule_that_is_no_table_is_refused(text: str) -> None:
    assert faults_of(text) == ["rule.wrong_kind"]


def test_an_unknown_key_of_the_file_is_refused() -> None:
    assert faults_of('colour = "red"\n' + RULE) == ["rule.unknown_key"]


def test_a_note_needs_words_and_has_no_band() -> None:
    assert read_protocol(NOTE, name="own").notes[0].says == "An invented note."
    assert faults_of(NOTE.replace('says = "An invented note."\n', "")) == ["rule.missing"]
    assert faults_of(NOTE + "band_g = [1, 2]\n") == ["rule.unknown_key"]


class TestExtending:
    """A practitioner's own protocol on top of a shipped one."""

    base = protocol("position-stands")
    own = 'title = "Mine"\nedition = "1"\nextends = "position-stands"\n'

    def test_a_new_rule_stands_beside_those_of_the_base(self) -> None:
        mine = read_protocol(self.own + RULE, name="mine", base=self.base)
        assert len(mine.rules) == len(self.base.rules) + 1
        assert mine.extends == "position-stands"

    def test_a_known_id_needs_an_override(self) -> None:
        text = self.own + RULE.replace("Q1", "D3")
        assert faults_of(text, base=self.base) == ["rule.needs_override"]

    def test_an_override_takes_the_place_of_the_rule_and_keeps_who_and_why(self) -> None:
        text = self.own + RULE.replace('id = "Q1"\n', 'id = "D3"\n' + OVERRIDE)
        rule = read_protocol(text, name="mine", base=self.base).rule("D3")
        assert rule.band.high == 20
        assert rule.override is not None
        assert rule.override.by == "A. Tester"

    def test_an_override_without_a_reason_is_refused(self) -> None:
        half = OVERRIDE.replace(', why = "tolerated in three rehearsals"', "")
        text = self.own + RULE.replace('id = "Q1"\n', 'id = "D3"\n' + half)
        assert faults_of(text, base=self.base) == ["rule.wrong_kind"]

    def test_a_base_that_was_not_given_is_refused(self) -> None:
        assert faults_of(self.own + RULE) == ["rule.base"]


def test_conditions_open_and_close_where_they_say() -> None:
    text = RULE.replace("{ at_least = 60, at_most = 180 }", "{ above = 60, below = 180 }")
    closed, opened = (read_protocol(t, name="own").rule("Q1") for t in (RULE, text))
    assert [closed.fires({"race_min": at}) for at in (59.9, 60, 180, 180.1)] == [False, True, True, False]
    assert [opened.fires({"race_min": at}) for at in (60, 60.1, 179.9, 180)] == [False, True, True, False]


def test_a_fact_that_is_not_known_lets_no_rule_fire() -> None:
    rule = read_protocol(RULE, name="own").rule("Q1")
    assert not rule.fires({})
    assert not rule.fires({"race_min": None})


def test_a_yes_or_no_fact_is_written_as_true_or_false() -> None:
    text = RULE.replace("{ at_least = 60, at_most = 180 }", "{ above = 0 }\nwhen.walks = false")
    rule = read_protocol(text, name="own").rule("Q1")
    assert rule.fires({"race_min": 1, "walks": 0.0})
    assert not rule.fires({"race_min": 1, "walks": 1.0})


def test_a_rule_is_stale_the_day_after_its_review() -> None:
    rule = read_protocol(RULE, name="own").rule("Q1")
    assert stale_rules([rule], date(2027, 2, 1)) == ()
    (finding,) = stale_rules([rule], date(2027, 2, 2))
    assert finding.code == "rule.stale"
    assert "Q1" in finding.sentence
    assert "2027-02-01" in finding.sentence


def test_an_open_end_is_shown_as_open() -> None:
    stands = protocol("position-stands")
    assert stands.rule("L5a").shown() == "over 8 g/kg/day"
    assert stands.rule("D4").shown().startswith("up to 90 g/h")


def test_the_code_of_a_protocol_changes_with_a_number_and_with_nothing_else() -> None:
    first, again = (read_protocol(RULE, name="own").code for _ in range(2))
    assert first == again
    assert read_protocol(RULE.replace("[10, 20]", "[10, 21]"), name="own").code != first


@pytest.mark.parametrize("name", [*SHIPPED, *OURS])
def test_shipped_rules_name_a_source_and_are_fresh_on_the_day_they_were_written(name: str) -> None:
    shipped = protocol(name)
    assert shipped.title
    assert shipped.edition
    for rule in (*shipped.rules, *shipped.notes):
        assert rule.source in sources()
        assert rule.since < rule.review_by
        assert rule.stale(rule.since) is None


def test_common_practice_claims_no_source() -> None:
    shipped = protocol("common-practice")
    assert {(r.source, r.mark) for r in (*shipped.rules, *shipped.notes)} == {("practice", "practice")}


@pytest.mark.parametrize("names", [SHIPPED, OURS])
def test_files_that_are_read_together_share_no_id(names: tuple[str, ...]) -> None:
    ids = [rule.id for name in names for rule in (*protocol(name).rules, *protocol(name).notes)]
    assert len(ids) == len(set(ids))


def test_every_target_that_a_rule_may_give_is_given_by_one() -> None:
    given = {rule.gives for name in SHIPPED for rule in protocol(name).rules}
    assert given == set(TARGETS)


def test_an_estimate_is_nobody_elses() -> None:
    for rule in (rule for name in OURS for rule in protocol(name).rules):
        assert rule.mark != "estimate" or rule.source == "estimate"


def test_a_protocol_reaches_no_ceiling() -> None:
    assert not [
        target for target in TARGETS if target.startswith(("ceiling.", "caffeine.single", "caffeine.day"))
    ]


def test_every_assumption_gives_what_its_id_names_in_the_unit_of_its_name() -> None:
    for rule in (rule for name in OURS for rule in protocol(name).rules):
        assert rule.gives.startswith(f"{rule.id}_")
        assert unit_of(rule.gives) == rule.unit


@pytest.mark.parametrize(
    ("rule_id", "low", "mid", "high", "unit"),
    [
        ("cup.swallowed", 40, 55, 70, "ml"),
        ("intake.last_before_finish", 15, 15, 15, "min"),
        ("rate.share_of_use", 0.7, 0.7, 0.7, "frac"),
        ("share.offset", -0.21, 0.15, 0.51, "frac"),
        ("caffeine.single", 200, 200, 200, "mg"),
        ("caffeine.minor_day", 3, 3, 3, "mg/kg/day"),
        ("heat.slowdown", 0.19, 0.38, 0.57, "percent/c"),
    ],
)
def test_an_assumption_is_read_by_id(rule_id: str, low: float, mid: float, high: float, unit: str) -> None:
    band = value(rule_id)
    assert (band.low, band.mid, band.high) == pytest.approx((low, mid, high))
    assert assumption(rule_id).unit == unit


def test_an_assumption_that_does_not_exist_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        assumption("cup.broken")


def test_a_draw_keeps_its_mean_inside_its_bounds_and_its_spread_apart() -> None:
    rule = assumption("store.rested")
    assert (rule.band.mid, rule.sd) == (135, 28)
    assert assumption("muscle.sparing").sd is None
