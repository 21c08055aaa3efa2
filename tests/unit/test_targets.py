"""Targets: which rule leads, which number is the default, and what is left out."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from provand.case.case import Athlete, Case, Override, Practitioner, Race, Rehearsed, Weather, Wishes
from provand.case.course import Course
from provand.figure import Range, Trace
from provand.finding import BadInput
from provand.protocol.loading import first_start, load_blocks
from provand.protocol.own import Protocols, shipped
from provand.protocol.rules import read_protocol, value
from provand.protocol.targets import Targets, targets
from provand.units import unit_of

HALF_M = 21097.5
TODAY = date(2026, 11, 25)
TARGET = "race.target_carb_g_per_h"


FORGETFUL = """
[[rule]]
id = "ANYONE"
gives = "caffeine.dose"
band_mg_per_kg = [1, 2]
source = "practice"
at = "an invented rule"
mark = "practice"
since = 2026-11-01
review_by = 2027-11-01
note = "asks for no age"
"""


def case(*, athlete: dict[str, Any] | None = None, race: dict[str, Any] | None = None, **wishes: Any) -> Case:
    """Return an invented half marathon, with what a test changes."""
    one = {
        "name": "Ona Invented",
        "body_mass_kg": 62.0,
        "body_mass_on": date(2026, 11, 15),
        "height_m": 1.7,
        "sex": "female",
        **(athlete or {}),
    }
    where = {
        "name": "Invented Half",
        "gun": datetime(2026, 12, 6, 9),
        "zone": "Europe/Dublin",
        "distance_m": HALF_M,
        **(race or {}),
    }
    return Case(
        practitioner=Practitioner(name="Invented Practitioner"),
        athlete=Athlete(**one),
        race=Race(**where),
        course=Course(x_m=(0, where["distance_m"]), elevation_m=(0, 0), measured_m=where["distance_m"]),
        weather=Weather(
            air_temp_c=Range.of(10, 14),
            humidity_frac=Range.of(0.5, 0.6),
            wind_m_per_s=Range.of(1, 2),
            sun="overcast",
            seen_on=TODAY,
        ),
        wishes=Wishes(**wishes),
    )


def drawn(
    one: Case,
    race_min: float | tuple[float, float, float],
    *,
    carb_use_g_per_h: float | None = None,
    age_years: float = 30,
    minor: bool = False,
    withheld: tuple[str, ...] = (),
    as_of: date = TODAY,
    **more: Any,
) -> tuple[Targets, Trace]:
    """Return the targets of a case for a race of so many minutes, and the trace they were made in."""
    trace = Trace()
    low, mid, high = race_min if isinstance(race_min, tuple) else (race_min,) * 3
    time = Range(low=low * 60, mid=mid * 60, high=high * 60, means="bounds")
    use = None
    if carb_use_g_per_h is not None:
        use = trace.given("demand.carb_low_g_per_h", carb_use_g_per_h, "modelled")
    found = targets(
        trace,
        one,
        race_time=trace.given("race.goal_finish_s", time, "typed"),
        body_mass=trace.given("athlete.body_mass_kg", one.athlete.body_mass_kg, "typed"),
        carb_use_low=use,
        age_years=age_years,
        minor=minor,
        withheld=frozenset(withheld),
        as_of=as_of,
        **({"protocols": shipped(one.wishes.protocol)} | more),
    )
    return found, trace


def rate_g_per_h(found: Targets) -> float:
    assert found.race.carb is not None
    return found.race.carb.value.mid


def rehearsed(rate: float | None, item: str = "gel") -> dict[str, Any]:
    return {"rehearsed": (Rehearsed(item=item, rate_g_per_h=rate),)}


def override(what: str, text: str) -> Override:
    return Override(what=what, value=text, by="A. Tester", on=TODAY, why="kept down five times")


def codes(found: Targets) -> list[str]:
    return [finding.code for finding in found.findings]


class TestWhichRulesFire:
    """The rows of the table of race carbohydrate, at and round their edges."""

    @pytest.mark.parametrize(
        ("race_min", "ids"),
        [
            (44, "D1"), (45, "D2"), (60, "D2 D3"), (75, "D2 D3"), (76, "D3"),
            (150, "D3"), (151, "D3 D4"), (180, "D3 D4"), (181, "D4"),
        ],
    )  # fmt: skip
    def test_the_position_stands_overlap_as_printed(self, race_min: float, ids: str) -> None:
        found, _ = drawn(case(race={"distance_m": 10_000}, athlete={"walks": False}), race_min)
        assert [fired.id for fired in found.race.fired] == ids.split()

    @pytest.mark.parametrize(
        ("race_s", "rule", "low", "high"),
        [
            (74 * 60 + 59, "D7a", 0, 0), (75 * 60, "D7b", 30, 30), (120 * 60 - 1, "D7b", 30, 30),
            (120 * 60, "D7c", 30, 60), (150 * 60, "D7c", 30, 60), (150 * 60 + 1, "D7d", 60, 90),
        ],
    )  # fmt: skip
    def test_practice_goes_by_goal_time_in_a_half(
        self, race_s: float, rule: str, low: float, high: float
    ) -> None:
        _, trace = drawn(case(protocol="common-practice"), race_s / 60)
        band = trace[f"race.{rule}_carb_g_per_h"].value
        assert (band.low, band.high) == (low, high)
        others = {"D7a", "D7b", "D7c", "D7d"} - {rule}
        assert not [other for other in others if f"race.{other}_carb_g_per_h" in trace]

    def test_practice_by_goal_time_is_silent_at_other_distances(self) -> None:
        found, _ = drawn(case(race={"distance_m": 16_000}), 100)
        assert [fired.id for fired in found.race.fired] == ["D3"]

    def test_longer_than_a_marathon_has_its_own_rules(self) -> None:
        found, trace = drawn(case(race={"distance_m": 80_000}), 9 * 60)
        assert {"D4", "D5a"} == {fired.id for fired in found.race.fired}
        assert {"D5b", "D5c", "F5", "N3"} <= {fired.id for fired in found.fired}
        assert rate_g_per_h(found) == 30
        assert trace["race.D5a_carb_g_per_h"].value.high == 50


class TestTheDefaultRate:
    """The least of what was rehearsed, or the lowest low end, and a share of the modelled use."""

    def test_without_a_rehearsal_it_is_the_lowest_low_end_of_the_rules(self) -> None:
        found, _ = drawn(case(), 112)
        assert rate_g_per_h(found) == 30
        assert found.race.rule == "position-stands/D3"

    def test_a_rehearsed_rate_takes_its_place(self) -> None:
        found, _ = drawn(case(athlete=rehearsed(48)), 112)
        assert rate_g_per_h(found) == 48

    def test_a_rehearsal_of_an_item_that_is_refused_counts_for_nothing(self) -> None:
        found, _ = drawn(case(athlete={**rehearsed(48), "refused": ("gel",)}), 112)
        assert rate_g_per_h(found) == 30

    def test_a_share_of_the_use_holds_it_down(self) -> None:
        found, _ = drawn(case(athlete=rehearsed(80)), 112, carb_use_g_per_h=100)
        assert rate_g_per_h(found) == pytest.approx(70)

    def test_a_use_that_is_large_changes_nothing(self) -> None:
        found, _ = drawn(case(), 112, carb_use_g_per_h=150)
        assert rate_g_per_h(found) == 30

    def test_overlapping_rules_give_the_lower_one_and_say_that_time_alone_is_no_reason(self) -> None:
        found, _ = drawn(case(), 160)
        assert rate_g_per_h(found) == 30
        assert codes(found).count("target.by_time") == 2

    def test_it_is_never_between_two_rules(self) -> None:
        rates = {rate_g_per_h(drawn(case(), minutes)[0]) for minutes in range(75, 300, 5)}
        assert rates == {30, 60}

    def test_a_walker_gets_the_least_rule_whatever_was_rehearsed(self) -> None:
        found, _ = drawn(case(athlete={**rehearsed(60), "walks": True}), 160)
        assert rate_g_per_h(found) == 30

    def test_slower_than_walkers_counts_as_walking(self) -> None:
        slow_min = HALF_M / 1000 / value("walker.speed").mid * 60 + 1
        found, _ = drawn(case(athlete=rehearsed(60)), (170, slow_min, slow_min + 10))
        assert rate_g_per_h(found) == 30
        assert "walked" in found.race.why

    def test_a_walker_who_rehearsed_less_gets_less(self) -> None:
        found, _ = drawn(case(athlete={**rehearsed(22), "walks": True}), 160)
        assert rate_g_per_h(found) == 22

    def test_a_rate_outside_the_band_carries_a_caveat(self) -> None:
        found, _ = drawn(case(athlete=rehearsed(22)), 112)
        assert found.race.carb is not None
        assert [caveat.code for caveat in found.race.carb.caveats] == ["target.outside"]
        assert (found.race.carb.value.low, found.race.carb.value.high) == (22, 60)

    def test_practice_that_leads_shows_its_own_band(self) -> None:
        found, _ = drawn(case(protocol="common-practice"), 112)
        assert found.race.rule == "common-practice/D7b"
        assert rate_g_per_h(found) == 30

    def test_both_protocols_are_shown_whichever_leads(self) -> None:
        for leading in ("position-stands", "common-practice"):
            found, _ = drawn(case(protocol=leading), 112)
            assert {fired.id for fired in found.race.fired} == {"D3", "D7b"}
            assert [fired.used for fired in found.race.fired].count(True) == 1

    def test_grams_an_hour_do_not_go_by_body_mass(self) -> None:
        light, heavy = (drawn(case(athlete={"body_mass_kg": kg}), 130)[0] for kg in (50.0, 90.0))
        assert light.race.carb == heavy.race.carb

    def test_the_whole_race_is_the_rate_over_its_time(self) -> None:
        found, _ = drawn(case(athlete=rehearsed(60)), 135)
        assert found.race.carb_whole is not None
        assert found.race.carb_whole.value.mid == 135

    def test_a_race_without_any_rule_is_a_fault(self) -> None:
        empty = Protocols(read_protocol('title = "Nothing"', name="nothing"), ())
        with pytest.raises(BadInput, match="no rule"):
            drawn(case(), 112, protocols=empty)

    @given(
        low=st.floats(76, 200),
        longer=st.floats(0, 60),
        rate=st.none() | st.floats(1, 120),
        use=st.none() | st.floats(20, 200),
    )
    def test_it_passes_neither_rehearsal_nor_share_nor_the_low_end(
        self, low: float, longer: float, rate: float | None, use: float | None
    ) -> None:
        one = case(athlete={} if rate is None else rehearsed(rate), race={"distance_m": 42_195})
        found, trace = drawn(one, (low, low + longer / 2, low + longer), carb_use_g_per_h=use)
        bands = [trace[f"race.{fired.id}_carb_g_per_h"].value for fired in found.race.fired]
        lowest = min(band.low for band in bands if band.high > 0)
        limits = [lowest if rate is None else rate] + ([] if use is None else [0.7 * use])
        assert rate_g_per_h(found) == pytest.approx(min(limits))


class TestShortRaces:
    """Under 75 minutes no rate."""

    def test_a_fast_half_gets_small_amounts(self) -> None:
        found, _ = drawn(case(), 72)
        assert found.race.mode == "small"
        assert rate_g_per_h(found) == 0
        assert all(word in found.race.why for word in ("rinse", "mouthful", "rehearsed gel", "places"))

    def test_what_was_rehearsed_makes_no_rate_of_it(self) -> None:
        found, _ = drawn(case(athlete=rehearsed(60)), 74.9)
        assert (found.race.mode, rate_g_per_h(found)) == ("small", 0)

    def test_the_shortest_need_nothing(self) -> None:
        found, _ = drawn(case(race={"distance_m": 10_000}), 40)
        assert found.race.mode == "none"

    def test_from_75_minutes_on_it_is_a_rate(self) -> None:
        found, _ = drawn(case(), 75)
        assert (found.race.mode, rate_g_per_h(found)) == ("rate", 30)

    def test_a_rate_set_by_hand_is_a_rate_in_a_short_race_too(self) -> None:
        found, _ = drawn(case(overrides=(override(TARGET, "25 g/h"),)), 72)
        assert (found.race.mode, rate_g_per_h(found)) == ("rate", 25)


class TestEdges:
    """A time range across an edge shows both rows."""

    def test_the_other_row_is_named(self) -> None:
        found, _ = drawn(case(), (112, 118, 126))
        (edge,) = (finding for finding in found.findings if finding.code == "target.edge")
        assert "D7c" in edge.sentence
        assert {fired.id for fired in found.race.fired} == {"D3", "D7b", "D7c"}

    def test_a_range_inside_one_row_names_no_other(self) -> None:
        assert "target.edge" not in codes(drawn(case(), (100, 110, 119))[0])

    @pytest.mark.parametrize("edge_min", [150, 180])
    def test_a_second_over_an_edge_moves_no_default_and_shows_the_same_rows(self, edge_min: float) -> None:
        before, after = (
            drawn(case(), (edge_min - 8, edge_min + step / 60, edge_min + 8))[0] for step in (-1, 1)
        )
        assert rate_g_per_h(before) == rate_g_per_h(after)
        assert {f.id for f in before.race.fired} == {f.id for f in after.race.fired}

    def test_a_second_over_75_minutes_shows_the_same_rows(self) -> None:
        before, after = (drawn(case(), (70, 75 + step / 60, 82))[0] for step in (-1, 0))
        assert {f.id for f in before.race.fired} == {f.id for f in after.race.fired}


class TestOverrides:
    """A target set by hand keeps who, when and why, and is taken as it is if it can be meant."""

    def test_it_replaces_the_target_and_keeps_its_reason(self) -> None:
        found, _ = drawn(case(overrides=(override(TARGET, "75 g/h"),)), 112, carb_use_g_per_h=90)
        assert found.race.carb is not None
        assert (found.race.carb.value.mid, found.race.carb.how) == (75, "chosen")
        assert "A. Tester" in found.race.carb.by
        assert "kept down five times" in found.race.why
        assert [caveat.code for caveat in found.race.carb.caveats] == ["target.outside"]

    def test_none_at_all_may_be_chosen(self) -> None:
        found, _ = drawn(case(overrides=(override(TARGET, "0 g/h"),)), 112)
        assert (found.race.mode, rate_g_per_h(found)) == ("none", 0)

    @pytest.mark.parametrize("text", ["121 g/h", "-1 g/h", "40 g", "0.4 g/kg/h", "lots"])
    def test_what_cannot_be_meant_is_refused(self, text: str) -> None:
        with pytest.raises(BadInput, match=TARGET):
            drawn(case(overrides=(override(TARGET, text),)), 112)

    def test_only_targets_can_be_set(self) -> None:
        with pytest.raises(BadInput, match=r"ceiling\.fluid_ml"):
            drawn(case(overrides=(override("ceiling.fluid_ml", "900 ml"),)), 112)

    def test_no_target_is_set_twice(self) -> None:
        with pytest.raises(BadInput, match="twice"):
            drawn(case(overrides=(override(TARGET, "40 g/h"), override(TARGET, "50 g/h"))), 112)


class TestLoading:
    """Bands beside what is usual; the dose is a tick."""

    def test_without_a_tick_no_dose_is_chosen(self) -> None:
        found, _ = drawn(case(athlete={"usual_carb_g_per_day": 310.0}), 112)
        assert found.load is not None
        assert not found.load.ticked
        assert found.load.dose.how == "rule"
        assert (found.load.carb.value.low, found.load.carb.value.high) == (620, 744)
        assert found.load.usual is not None
        assert found.load.usual.value.mid == 5
        assert found.load.step is not None
        assert (found.load.step.value.low, found.load.step.value.high) == (5, 7)

    def test_what_is_not_known_of_usual_days_is_none_and_not_zero(self) -> None:
        found, trace = drawn(case(), 112)
        assert found.load is not None
        assert found.load.usual is None
        assert found.load.step is None
        assert "load.usual_g_per_kg_per_day" not in trace

    def test_a_tick_is_the_dose(self) -> None:
        ticked = override("load.dose_g_per_kg_per_day", "9 g/kg/day")
        found, _ = drawn(case(overrides=(ticked,)), 112)
        assert found.load is not None
        assert found.load.ticked
        assert found.load.carb.value.mid == 9 * 62

    def test_under_90_minutes_the_higher_band_is_silent(self) -> None:
        found, _ = drawn(case(), 84)
        assert found.load is not None
        assert found.load.dose.by == "position-stands/L2"
        assert (found.load.carb.value.low, found.load.carb.value.high) == (434, 744)
        assert "L1" not in {fired.id for fired in found.load.fired}

    def test_the_rule_for_women_is_for_women(self) -> None:
        ids = [
            {fired.id for fired in drawn(case(athlete={"sex": sex}), 112)[0].fired}
            for sex in ("female", "male", None)
        ]
        assert ["L5a" in one for one in ids] == [True, False, False]

    @pytest.mark.parametrize(("age_years", "is_loaded"), [(17.99, False), (18, True)])
    def test_nobody_under_18_is_dosed_by_the_kilogram(self, age_years: float, is_loaded: bool) -> None:
        found, trace = drawn(case(), 112, age_years=age_years)
        assert (found.load is not None) == is_loaded
        assert any(figure.unit.startswith("g/kg") for figure in trace.figures) == is_loaded
        assert ("A2" in {note.id for note in found.notes}) != is_loaded

    def test_blocks_count_back_from_the_own_start(self) -> None:
        one = case(race={"own_offset_s": Range.exact(1800.0)})
        found, _ = drawn(one, 112)
        assert found.load is not None
        starts = [block.start.replace(tzinfo=None) for block in found.load.blocks]
        assert starts == [datetime(2026, 12, 4, 9, 30), datetime(2026, 12, 5, 9, 30)]
        assert found.load.blocks[-1].end == first_start(one.race)

    def test_blocks_last_24_true_hours_over_a_clock_change(self) -> None:
        start = datetime(2026, 10, 25, 9, tzinfo=ZoneInfo("Europe/Dublin"))
        blocks = load_blocks(start, before_h=48)
        assert all(b.end.astimezone(UTC) - b.start.astimezone(UTC) == timedelta(hours=24) for b in blocks)
        assert [block.start.hour for block in blocks] == [10, 10]

    def test_hours_that_fill_no_whole_day_cut_the_earliest_block(self) -> None:
        start = datetime(2026, 12, 6, 9, tzinfo=UTC)
        first, second = load_blocks(start, before_h=36)
        assert first.end - first.start == timedelta(hours=12)
        assert second.end == start


class TestMorning:
    """Breakfast by the clock and by both habits; drinks by each rule."""

    def test_breakfast_is_three_hours_before_the_own_start(self) -> None:
        found, _ = drawn(case(), 112)
        (meal,) = found.breakfast.meals
        assert meal.at == datetime(2026, 12, 6, 6, tzinfo=ZoneInfo("Europe/Dublin"))

    def test_the_band_stands_beside_the_habit_and_nothing_is_chosen(self) -> None:
        found, trace = drawn(case(), 112)
        assert found.breakfast.dose is None
        assert trace["breakfast.M1_carb_g"].value.high == 248
        assert trace["breakfast.M2_carb_g"].value.mid == 186

    def test_a_tick_chooses_breakfast(self) -> None:
        found, _ = drawn(case(overrides=(override("breakfast.dose_g_per_kg", "2 g/kg"),)), 112)
        assert found.breakfast.carb is not None
        assert found.breakfast.carb.value.mid == 124

    @pytest.mark.parametrize(("hour", "count"), [(10, 1), (11, 2), (13, 2)])
    def test_a_late_start_has_a_meal_and_a_top_up(self, hour: int, count: int) -> None:
        found, _ = drawn(case(race={"gun": datetime(2026, 12, 6, hour)}), 112)
        assert len(found.breakfast.meals) == count

    def test_a_late_wave_makes_a_late_start(self) -> None:
        late = {"gun": datetime(2026, 12, 6, 10, 40), "own_offset_s": Range.exact(1800.0)}
        assert len(drawn(case(race=late), 112)[0].breakfast.meals) == 2

    @pytest.mark.parametrize(
        ("body_mass_kg", "outside", "scaled_ml"),
        [(45.0, {"F1", "F2a"}, 450), (60.0, {"F2a"}, 500), (74.0, set(), 500), (110.0, {"F1", "F2a"}, 550)],
    )
    def test_half_a_litre_is_fitted_to_body_mass_and_flagged(
        self, body_mass_kg: float, outside: set[str], scaled_ml: float
    ) -> None:
        found, trace = drawn(case(athlete={"body_mass_kg": body_mass_kg}), 112)
        flags = [finding for finding in found.findings if finding.code == "target.drink_fixed"]
        assert {flag.facts["row"] for flag in flags} == outside
        assert trace["drink_before.M3a_scaled_fluid_ml"].value.mid == scaled_ml


class TestRecovery:
    """Meals and water; more only by a tick."""

    def test_no_amount_of_fluid_is_an_athletes_default(self) -> None:
        found, trace = drawn(case(), 112)
        assert found.recovery.fluid is None
        assert not [figure.id for figure in trace.figures if figure.id.startswith("recovery.F7")]
        assert "F8" in {note.id for note in found.notes}

    def test_a_tick_shows_the_amount_with_its_conditions(self) -> None:
        found, _ = drawn(case(overrides=(override("recovery.fluid_l_per_kg", "1.25 l/kg"),)), 112)
        assert found.recovery.fluid is not None
        assert "target.rehydrate" in codes(found)

    def test_more_than_was_ever_published_cannot_be_ticked(self) -> None:
        with pytest.raises(BadInput):
            drawn(case(overrides=(override("recovery.fluid_l_per_kg", "2 l/kg"),)), 112)

    @pytest.mark.parametrize(("age_years", "has_masters_rule"), [(34, False), (35, True)])
    def test_protein_for_masters_is_shown_to_masters(self, age_years: float, has_masters_rule: bool) -> None:
        _, trace = drawn(case(), 112, age_years=age_years)
        assert ("recovery.P5_protein_g" in trace) == has_masters_rule


class TestCaffeine:
    """The lesser of the rule and the most at once; both printed."""

    @pytest.mark.parametrize(
        ("body_mass_kg", "low_mg", "high_mg"), [(54.0, 162, 200), (90.0, 200, 200), (30.0, 90, 180)]
    )
    def test_the_lesser_leads(self, body_mass_kg: float, low_mg: float, high_mg: float) -> None:
        found, _ = drawn(case(athlete={"body_mass_kg": body_mass_kg}), 112)
        assert found.caffeine is not None
        band = found.caffeine.target.value
        assert (band.low, band.high) == (low_mg, high_mg)
        assert found.caffeine.by_mass.value.high == 6 * body_mass_kg
        assert ("target.caffeine_below" in codes(found)) == (body_mass_kg == 90)

    def test_nobody_under_18_has_a_target(self) -> None:
        found, trace = drawn(case(), 112, age_years=17)
        assert found.caffeine is None
        assert not [figure.id for figure in trace.figures if figure.unit.startswith("mg")]

    def test_nor_by_a_rule_that_forgets_to_ask_the_age(self) -> None:
        own = read_protocol(FORGETFUL, name="own")
        assert (
            drawn(case(), 112, protocols=Protocols(own, shipped("position-stands").in_order))[0].caffeine
            is not None
        )
        found, _ = drawn(
            case(), 112, age_years=17, protocols=Protocols(own, shipped("position-stands").in_order)
        )
        assert found.caffeine is None


IN_RACE = ("D3_carb_g_per_h", "D7b_carb_g_per_h", "target_carb_g_per_h", "target_carb_g_per_race")
"""By these the portions of a race are laid, for whoever reads no weights too."""


class TestWithheld:
    """No figure of a withheld part is made, and no rule of it is shown."""

    @pytest.mark.parametrize(
        ("part", "units"),
        [
            ("grams", ("g", "g/h", "g/kg", "g/day", "g/kg/day", "g/kg/h", "g/race")),
            ("fluid", ("ml", "ml/kg", "l/kg")),
            ("caffeine", ("mg", "mg/kg")),
        ],
    )
    def test_no_figure_in_its_units(self, part: str, units: tuple[str, ...]) -> None:
        usual = {"usual_carb_g_per_day": 300.0, **rehearsed(40)}
        everything, whole = drawn(case(athlete=usual), 112)
        found, trace = drawn(case(athlete=usual), 112, withheld=(part,))
        in_race = {"athlete.rehearsed_carb_g_per_h", *(f"race.{f}" for f in IN_RACE)}
        left = [f.id for f in trace.figures if f.unit in units and f.id not in in_race]
        assert [f.id for f in whole.figures if f.unit in units]
        assert left == []
        assert len(found.fired) < len(everything.fired)

    @pytest.mark.parametrize(
        ("part", "ids"),
        [
            ("loading", {"L1", "L4", "L5a", "L5b", "L6", "L1h", "X1"}),
            ("sodium", {"N1", "N2", "N5", "M3b"}),
            ("caffeine", {"C1", "C2"}),
            ("fluid", {"F1", "F2a", "F2b", "F4", "M3a", "M3b", "N1", "N2", "N5"}),
        ],
    )
    def test_no_rule_of_it_is_shown(self, part: str, ids: set[str]) -> None:
        everything = {fired.id for fired in drawn(case(), 112)[0].fired}
        left = {fired.id for fired in drawn(case(), 112, withheld=(part,))[0].fired}
        assert ids <= everything
        assert everything - left == ids

    def test_no_sentence_of_fluid_is_left(self) -> None:
        left = {note.id for note in drawn(case(), 100, withheld=("fluid",))[0].notes}
        assert left.isdisjoint({"F3", "F8", "F9", "H2"})

    def test_without_fructose_the_rate_stays_at_one_sugar(self) -> None:
        one = case(athlete=rehearsed(85), race={"distance_m": 42_195})
        free, held = drawn(one, 185)[0], drawn(one, 185, withheld=("fructose",))[0]
        assert rate_g_per_h(free) == 85
        assert rate_g_per_h(held) == 60
        assert held.race.carb is not None
        assert held.race.carb.value.high == 60

    def test_the_way_of_fuelling_is_still_told_without_grams(self) -> None:
        modes = [drawn(case(), minutes, withheld=("grams",))[0].race.mode for minutes in (72, 112)]
        assert modes == ["small", "rate"]

    def test_the_race_is_fuelled_as_ever_by_who_reads_no_weights(self) -> None:
        free, held = (drawn(case(), 112, withheld=parts)[0].race for parts in ((), ("grams",)))
        assert held.carb == free.carb


def test_stale_rules_are_shown_and_only_those_that_were_looked_at() -> None:
    text = """
    [[rule]]
    id = "{}"
    gives = "race.carb"
    band_g_per_h = [20, 40]
    when.race_min = {{ above = {} }}
    source = "practice"
    at = "an invented rule"
    mark = "practice"
    since = 2025-01-01
    review_by = 2026-01-01
    note = "to show the form"
    """
    own = read_protocol(text.format("OLD", 60) + text.format("LONG", 600), name="own")
    found, _ = drawn(case(), 112, protocols=Protocols(own, shipped("position-stands").in_order))
    stale = [finding.facts["row"] for finding in found.findings if finding.code == "rule.stale"]
    assert stale == ["OLD"]
    assert rate_g_per_h(found) == 20


def test_nothing_shipped_is_stale_today_and_everything_shown_is_in_two_years() -> None:
    assert "rule.stale" not in codes(drawn(case(), 112)[0])
    found, _ = drawn(case(), 112, as_of=date(2028, 11, 25))
    assert codes(found).count("rule.stale") == len(found.fired) + len(found.notes)


def test_every_figure_ends_in_its_unit_and_every_rule_carries_its_source() -> None:
    _, trace = drawn(case(athlete={"usual_carb_g_per_day": 300.0}), 112, carb_use_g_per_h=100)
    for figure in trace.figures:
        assert unit_of(figure.id) == figure.unit
        if figure.how == "rule":
            assert figure.source
            assert figure.mark is not None


def test_the_chain_of_the_target_ends_at_what_was_typed() -> None:
    found, trace = drawn(case(athlete=rehearsed(80)), 112, carb_use_g_per_h=100)
    assert found.race.carb is not None
    waiting, seen = [found.race.carb.id], set()
    while waiting:
        figure = trace[waiting.pop()]
        seen.add(figure.id)
        waiting += figure.inputs
    assert {"demand.carb_low_g_per_h", "athlete.rehearsed_carb_g_per_h", "race.goal_finish_s"} <= seen
