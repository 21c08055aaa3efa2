"""The gate names every limit that a schedule passes, with intake and amounts, and none that it keeps."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from answered import case_of

from provand.case.case import Case, Forbidden
from provand.case.course import Served, Station
from provand.case.intake import Intake
from provand.estimate.pace import PaceCase, PaceTable
from provand.figure import Range, Series
from provand.finding import Finding, Level
from provand.larder.item import Item
from provand.larder.label import Label
from provand.larder.shelf import shelf
from provand.safety.counting import contents, fluid_ml, max_caffeine_mg, max_glucose_g
from provand.safety.gate import gate
from provand.safety.limits import Dose, Limits, Permission, Window, ceiling_at_ml, windows_of
from provand.safety.refusals import may_hold_fructose, refused_items, withheld_parts

LENGTH_M = 21_097.5
GUN = datetime(2026, 12, 20, 9, 0, tzinfo=UTC)
NO_LINE = Permission("none")


def item(item_id: str, texture: str = "gel", **label: Any) -> Item:
    """Return an item labelled per pack, in exact figures as far as a label can be exact."""
    printed = {"convention": "EU", "basis": "pack", "carb_g": 0.0, "caffeine_mg": 0.0} | label
    return Item(id=item_id, name=item_id, texture=texture, label=Label(**printed), contains=(), diet="any")


ITEMS = {
    one.id: one
    for one in (
        item("water", "water", basis="100 ml", pack_ml=100, sodium_mg=0),
        item("gel", carb_g=25, glucose_g=16, fructose_g=9, pack_g=40, water_ml=12),
        item("maltodextrin", carb_g=30, sugars_g=0, pack_g=60, water_ml=25),
        item("mixed", carb_g=30, pack_g=60, water_ml=25),
        item(
            "clear-gel",
            carb_g=30,
            sugars_g=0,
            pack_g=60,
            water_ml=25,
            ingredients="water, maltodextrin, glucose syrup",
        ).model_copy(update={"free_from": ("fructose", "sorbitol")}),
        item("caffeine-gel", carb_g=25, sugars_g=0, pack_g=40, water_ml=12, caffeine_mg=75),
        item("drink", "drink", basis="100 ml", pack_ml=100, carb_g=6, sugars_g=0, caffeine_mg=10),
        item("salt", "capsule", pack_g=1, water_ml=0, sodium_mg=200),
        item("powder", "powder", pack_g=60, carb_g=55, sugars_g=0, water_ml=0, sodium_mg=400),
        item("electrolyte", "powder", pack_g=5, carb_g=2, sugars_g=0, water_ml=0, sodium_mg=400),
        item("unread", caffeine_mg=None, pack_g=40, water_ml=10),
        item("weightless", water_ml=None),
    )
}
CUP = Served(item="water", cup_ml=200, fill_frac=Range.exact(0.75))
STATIONS = tuple(Station(name=name, at_m=at_m, serves=(CUP,)) for name, at_m in (("A", 5000), ("B", 15_000)))


def pace(*speeds_m_per_s: float) -> PaceTable:
    """Return early, goal and slow at even speeds."""
    return PaceTable(
        cases=tuple(
            PaceCase(name=name, x_m=(0, LENGTH_M), elapsed_s=(0, LENGTH_M / speed))
            for name, speed in zip(("early", "goal", "slow"), speeds_m_per_s, strict=True)
        )
    )


PACE = pace(3.5, 3.25, 3.0)


def ceiling(*ends_ml: float, x_m: Sequence[float] = (0, LENGTH_M)) -> Series:
    return Series(of="ceiling.fluid_so_far_ml", x_m=x_m, low=ends_ml, mid=ends_ml, high=ends_ml)


def limits(**changed: Any) -> Limits:
    usual: dict[str, Any] = {
        "fluid_ceiling": ceiling(2000, 2000),
        "caffeine_once_mg": 200,
        "caffeine_day_mg": 400,
        "one_sugar_g_per_h": 60,
        "last_intake_s": LENGTH_M / 3.0 - 900,
        "refused": {},
    }
    return Limits(**(usual | changed))


def found(
    *schedule: Intake, case: Case | None = None, permission: Permission = NO_LINE, **changed: Any
) -> tuple[Finding, ...]:
    return gate(
        schedule,
        case=case or case_of(race_on=GUN.date(), stations=STATIONS),
        items=ITEMS,
        pace=PACE,
        limits=limits(**changed),
        permission=permission,
    )


def codes(*schedule: Intake, **more: Any) -> list[str]:
    return [finding.code for finding in found(*schedule, **more)]


def at(item_id: str, at_m: float, **more: Any) -> Intake:
    return Intake(item=item_id, at_m=at_m, **more)


def cup(station: Station, item_id: str = "water", amount: str = "cup") -> Intake:
    return Intake(item=item_id, amount=amount, at_m=station.at_m, got_from="station", station=station.name)


# Counting.


def test_a_cup_counts_as_poured_and_feeds_as_swallowed() -> None:
    served = Served(item="drink", cup_ml=200, fill_frac=Range.of(0.5, 0.75))
    taken = Intake(item="drink", amount="cup", at_m=1.0)
    assert fluid_ml(taken, ITEMS["drink"], served) == 150
    carb = contents(taken, ITEMS["drink"], served).carb_g
    assert carb is not None
    assert (carb.low, carb.high) == pytest.approx((0.4 * 5.95, 0.7 * 6.05))
    assert max_glucose_g(taken, ITEMS["drink"], served) == pytest.approx(1.5 * 6.05)
    assert max_caffeine_mg(taken, ITEMS["drink"], served) == pytest.approx(15)


@pytest.mark.parametrize(("amount", "poured"), [("cup", 150), ("half", 75), ("mouthful", 40), ("rinse", 40)])
def test_each_amount_is_poured_as_its_name_says(amount: str, poured: float) -> None:
    taken = Intake(item="water", amount=amount, at_m=1.0)
    assert fluid_ml(taken, ITEMS["water"], CUP) == poured
    two = Intake(item="water", amount=amount, at_m=1.0, portion_frac=2)
    assert fluid_ml(two, ITEMS["water"], CUP) == 2 * poured


def test_a_rinse_feeds_nothing_for_certain_and_counts_as_if_it_were_swallowed() -> None:
    taken = Intake(item="drink", amount="rinse", at_m=1.0)
    carb = contents(taken, ITEMS["drink"]).carb_g
    assert carb is not None
    assert (carb.low, carb.mid) == (0, 0)
    assert max_glucose_g(taken, ITEMS["drink"]) == pytest.approx(0.4 * 6.05)


def test_a_pack_counts_its_water_and_a_bottle_its_volume() -> None:
    assert fluid_ml(at("gel", 1.0, portion_frac=2), ITEMS["gel"]) == 24
    bottle = item("bottle", "drink", pack_ml=500, water_ml=460, carb_g=30)
    assert fluid_ml(at("bottle", 1.0), bottle) == 500


def test_an_unknown_split_counts_as_glucose_and_unknown_amounts_as_endless() -> None:
    assert max_glucose_g(at("mixed", 1.0), ITEMS["mixed"]) == 30
    assert max_caffeine_mg(at("unread", 1.0), ITEMS["unread"]) == float("inf")
    assert fluid_ml(at("weightless", 1.0), ITEMS["weightless"]) == float("inf")
    heavy = item("heavy", water_ml=None, carb_g=None, pack_g=45)
    assert fluid_ml(at("heavy", 1.0), heavy) == 45


# The fluid ceiling.


def test_a_schedule_that_keeps_every_limit_passes() -> None:
    assert found(at("gel", 4000), at("caffeine-gel", 9000), cup(STATIONS[1])) == ()


def test_fluid_up_to_the_ceiling_passes_and_a_millilitre_more_does_not() -> None:
    schedule = (at("gel", 4000), cup(STATIONS[0]))
    assert found(*schedule, fluid_ceiling=ceiling(162, 162)) == ()
    (breach,) = found(*schedule, fluid_ceiling=ceiling(161, 161))
    assert (breach.code, breach.about, breach.level) == ("gate.fluid", "water at 5.0 km", Level.BREACH)
    assert (breach.facts["amount_ml"], breach.facts["limit_ml"]) == (162, 161)


def test_the_ceiling_is_kept_along_the_way_and_not_only_at_the_end() -> None:
    assert codes(cup(STATIONS[0]), fluid_ceiling=ceiling(100, 2000)) == ["gate.fluid"]
    early = ceiling(100, 100, 2000, 2000, x_m=(0, 14_000, 15_000, LENGTH_M))
    assert codes(cup(STATIONS[1]), fluid_ceiling=early) == []
    assert codes(at("water", 14_500, amount="whole", portion_frac=1.5), fluid_ceiling=early) == ["gate.fluid"]


def test_between_nodes_the_lower_end_holds_and_before_the_first_nothing() -> None:
    series = ceiling(50, 100, 80, x_m=(10, 20, 30))
    places = [(0, 0), (10, 50), (15, 50), (20, 100), (25, 80), (30, 80), (40, 80)]
    assert [ceiling_at_ml(series, at_m) for at_m, _ in places] == [expected for _, expected in places]


def test_the_drink_before_the_start_counts() -> None:
    case = case_of(race_on=GUN.date(), stations=STATIONS)
    race = case.race.model_copy(update={"pre_start_drink_ml": 300.0})
    case = case.model_copy(update={"race": race})
    assert codes(case=case, fluid_ceiling=ceiling(300, 300)) == []
    assert codes(case=case, fluid_ceiling=ceiling(299, 300)) == ["gate.fluid"]
    assert codes(cup(STATIONS[0]), case=case, fluid_ceiling=ceiling(300, 449)) == ["gate.fluid"]


def test_a_permitted_cup_counts_as_drunk_and_a_planned_one_there_is_not_counted_twice() -> None:
    line = Permission("cup", from_m=5000)
    assert codes(permission=line, fluid_ceiling=ceiling(300, 300)) == []
    assert codes(permission=line, fluid_ceiling=ceiling(299, 299)) == ["gate.fluid"]
    assert codes(cup(STATIONS[0]), permission=line, fluid_ceiling=ceiling(300, 300)) == []
    half = cup(STATIONS[0], amount="half")
    assert codes(half, permission=line, fluid_ceiling=ceiling(300, 300)) == []
    assert codes(at("gel", 5000), permission=line, fluid_ceiling=ceiling(311, 311)) == ["gate.fluid"]
    later = Permission("cup", from_m=15_000)
    assert codes(permission=later, fluid_ceiling=ceiling(150, 150)) == []
    (breach,) = found(permission=line, fluid_ceiling=ceiling(200, 200))
    assert breach.about == "the drinking line at B"


@pytest.mark.parametrize(("amount", "poured"), [("cup", 300), ("half", 150), ("mouthful", 80), ("none", 0)])
def test_the_line_counts_what_its_amount_pours(amount: Any, poured: float) -> None:
    line = Permission(amount)
    assert codes(permission=line, fluid_ceiling=ceiling(poured, poured)) == []
    if poured:
        assert codes(permission=line, fluid_ceiling=ceiling(poured - 1, poured - 1)) == ["gate.fluid"]


def test_the_line_pours_known_water_and_nothing_where_there_is_none() -> None:
    big = Served(item="drink", cup_ml=400, fill_frac=Range.exact(0.75))
    strange = Served(item="whatever-it-is", cup_ml=100, fill_frac=Range.exact(1))
    for serves, poured in (((CUP, big), 150), ((big,), 0), ((big, strange), 0), ((), 0)):
        case = case_of(race_on=GUN.date(), stations=(Station(name="A", at_m=5000, serves=serves),))
        line = Permission("cup")
        assert codes(case=case, permission=line, fluid_ceiling=ceiling(poured, poured)) == []
        if poured:
            under = ceiling(poured - 1, poured - 1)
            assert codes(case=case, permission=line, fluid_ceiling=under) == ["gate.fluid"]


def test_the_line_pours_no_water_that_may_not_be_given() -> None:
    for line in (Permission("mouthful"), Permission("half"), Permission("cup")):
        assert codes(permission=line, fluid_ceiling=ceiling(0, 0)) == ["gate.fluid"]
        assert codes(permission=line, fluid_ceiling=ceiling(0, 0), refused={"water": "banned"}) == []


def test_a_planned_cup_of_another_drink_takes_nothing_from_the_water_of_the_line() -> None:
    drink = Served(item="drink", cup_ml=200, fill_frac=Range.exact(0.75))
    case = case_of(race_on=GUN.date(), stations=(Station(name="A", at_m=5000, serves=(CUP, drink)),))
    planned = cup(case.course.stations[0], "drink")
    line = Permission("cup")
    assert codes(planned, case=case, permission=line, fluid_ceiling=ceiling(300, 300)) == []
    assert codes(planned, case=case, permission=line, fluid_ceiling=ceiling(299, 299)) == ["gate.fluid"]


def test_a_product_nobody_knows_is_water_only_for_one_who_leaves_nothing_out() -> None:
    strange = Served(item="whatever-it-is", cup_ml=200, fill_frac=Range.exact(0.75))
    stations = (Station(name="A", at_m=5000, serves=(strange,)),)
    case = case_of(race_on=GUN.date(), stations=stations)
    assert codes(cup(stations[0]), case=case, refused=refused_items(case, ITEMS)) == []
    athlete = case.athlete.model_copy(update={"allergens": ("milk",)})
    careful = case.model_copy(update={"athlete": athlete})
    refused = {"whatever-it-is": refused_items(careful, ITEMS)["whatever-it-is"]}
    assert codes(cup(stations[0]), case=careful, refused=refused) == ["safety.no_cup"]


def test_of_two_stations_of_one_name_the_place_decides() -> None:
    large = Served(item="water", cup_ml=400, fill_frac=Range.exact(1))
    twins = (Station(name="A", at_m=5000, serves=(CUP,)), Station(name="A", at_m=15_000, serves=(large,)))
    case = case_of(race_on=GUN.date(), stations=twins)
    for station, poured in zip(twins, (150, 400), strict=True):
        assert codes(cup(station), case=case, fluid_ceiling=ceiling(poured, poured)) == []
        under = ceiling(poured - 1, poured - 1)
        assert codes(cup(station), case=case, fluid_ceiling=under) == ["gate.fluid"]


def test_a_cup_carried_elsewhere_takes_nothing_from_what_the_line_pours_at_its_station() -> None:
    carried = cup(STATIONS[1]).model_copy(update={"at_m": 8000.0})
    line = Permission("cup", from_m=15_000)
    assert codes(carried, permission=line, fluid_ceiling=ceiling(300, 300)) == []
    assert codes(carried, permission=line, fluid_ceiling=ceiling(299, 299)) == ["gate.fluid"]


def test_an_intake_tied_to_time_is_checked_in_each_case() -> None:
    """At 1 h the slow runner is at 10.8 km, where the ceiling still is 100 ml; the others are past 11 km."""
    steps = ceiling(100, 100, 500, 500, x_m=(0, 10_900, 11_000, LENGTH_M))
    timed = Intake(item="water", portion_frac=1.5, at_elapsed_s=3600)
    (breach,) = found(timed, fluid_ceiling=steps)
    assert (breach.code, breach.facts["case"]) == ("gate.fluid", "slow")
    assert codes(at("water", 11_700, portion_frac=1.5), fluid_ceiling=steps) == []


def test_an_intake_tied_to_the_clock_is_checked_for_the_first_and_the_last_own_start() -> None:
    steps = ceiling(100, 100, 500, 500, x_m=(0, 9000, 9100, LENGTH_M))
    case = case_of(race_on=GUN.date(), stations=STATIONS)
    timed = Intake(item="water", portion_frac=1.5, at_clock=GUN + timedelta(hours=1))
    assert codes(timed, case=case, fluid_ceiling=steps) == []
    late = case.race.model_copy(update={"own_offset_s": Range.of(0, 900)})
    assert codes(timed, case=case.model_copy(update={"race": late}), fluid_ceiling=steps) == ["gate.fluid"]


def test_a_cup_of_unknown_size_is_refused() -> None:
    bare = Intake(item="water", amount="cup", at_m=9000)
    assert codes(bare) == ["safety.no_cup"]
    assert codes(Intake(item="gel", amount="mouthful", at_m=9000)) == ["safety.no_volume"]


# Sugar and caffeine.


def test_one_sugar_never_waits_for_longer_than_half_an_hour() -> None:
    """At 60 g/h one and a half packs of 30 g at once are too much; a pack each half hour is not."""
    assert codes(at("maltodextrin", 4000, portion_frac=0.9)) == []
    (breach,) = found(at("maltodextrin", 4000, portion_frac=1.5))
    assert (breach.code, breach.facts["amount_g"], breach.facts["limit_g"]) == ("gate.one_sugar", 45, 30)
    spread = 3.5 * 1800
    assert codes(at("maltodextrin", 4000), at("maltodextrin", 4000 + spread)) == []
    (breach,) = found(at("maltodextrin", 4000), at("maltodextrin", 4000 + spread - 35))
    assert breach.facts["case"] == "early"
    assert breach.facts["amount_g"] == pytest.approx(30 + 10 / 60)


def test_a_gel_with_fructose_counts_its_glucose_only_and_an_unknown_split_everything() -> None:
    assert codes(at("gel", 4000), at("gel", 4100)) == ["gate.one_sugar"]
    assert codes(at("gel", 4000, portion_frac=1.8)) == []
    assert codes(at("mixed", 4000)) == []
    assert codes(at("mixed", 4000, portion_frac=1.1)) == ["gate.one_sugar"]


def test_caffeine_at_once_is_any_two_hours_and_counts_what_came_before_the_start() -> None:
    gels = [at("caffeine-gel", at_m) for at_m in (2000, 9000)]
    assert codes(*gels, earlier_caffeine=(Dose(-600, 50),)) == []
    (breach,) = found(*gels, earlier_caffeine=(Dose(-600, 51),))
    assert (breach.code, breach.about) == ("gate.caffeine", "caffeine-gel at 9.0 km")
    assert (breach.facts["amount_mg"], breach.facts["span_h"]) == (201, 2)
    long_before = Dose(9000 / 3.5 - 7200 - 1, 51)
    assert codes(*gels, earlier_caffeine=(long_before,)) == []
    just_within = Dose(9000 / 3.5 - 7200, 51)
    assert codes(*gels, earlier_caffeine=(just_within,)) == ["gate.caffeine"]


def test_caffeine_of_a_day_is_any_twenty_four_hours() -> None:
    morning = (Dose(-9 * 3600, 200), Dose(-4 * 3600, 150))
    (breach,) = found(at("caffeine-gel", 9000), earlier_caffeine=morning)
    assert (breach.facts["span_h"], breach.facts["amount_mg"], breach.facts["limit_mg"]) == (24, 425, 400)
    assert codes(at("caffeine-gel", 9000), earlier_caffeine=(*morning[1:], Dose(-25 * 3600, 200))) == []


def test_breakfast_alone_refuses_no_schedule_that_adds_no_caffeine() -> None:
    assert codes(at("gel", 9000), earlier_caffeine=(Dose(-600, 600),)) == []


def test_what_is_not_known_is_refused_by_name() -> None:
    (breach,) = found(at("unread", 9000))
    assert (breach.code, breach.facts["what"]) == ("gate.not_known", "caffeine")
    assert [f.facts["what"] for f in found(at("weightless", 9000))] == ["water"]
    assert codes(at("nobody-knows", 9000)) == ["gate.unknown_item"]


# Places, times, items.


def test_nothing_is_taken_in_the_last_part_of_the_slow_case_but_a_rinse() -> None:
    last_m = LENGTH_M - 3.0 * 900
    assert codes(at("gel", last_m)) == []
    assert codes(at("gel", last_m + 1)) == ["gate.too_late"]
    assert codes(Intake(item="gel", at_elapsed_s=LENGTH_M / 3.0 - 899)) == ["gate.too_late"]
    assert codes(Intake(item="drink", amount="rinse", at_m=last_m + 500)) == []


def test_nothing_stands_past_the_finish() -> None:
    assert codes(at("gel", LENGTH_M + 1), last_intake_s=1e6) == ["gate.off_course"]


def test_a_window_binds_intakes_and_line_whichever_case_may_be_in_it() -> None:
    """10 km is passed from 0:47:37 to 0:55:33; the window of a minute lies between two cases."""
    between = (Window(3000, 3060),)
    assert codes(at("gel", 10_000), windows=between) == ["gate.in_window"]
    assert codes(at("gel", 4000), windows=between) == []
    rinse = Intake(item="drink", amount="rinse", at_m=10_000)
    assert codes(rinse, windows=between) == ["gate.in_window"]
    assert codes(rinse, windows=(Window(3000, 3060, rinse_allowed=True),)) == []
    line = Permission("cup")
    early = (Window(-600, 1500, rinse_allowed=True),)
    (breach,) = found(permission=line, windows=early)
    assert (breach.code, breach.about, breach.facts["start"]) == (
        "gate.in_window",
        "the drinking line at A",
        "0:00",
    )
    assert codes(permission=Permission("cup", from_m=15_000), windows=early) == []


def test_the_windows_of_a_race_are_as_wide_as_the_own_start_is_uncertain() -> None:
    fast = Forbidden(start=GUN + timedelta(minutes=30), end=GUN + timedelta(hours=1), why="fast")
    race = case_of(race_on=GUN.date()).race.model_copy(
        update={"forbidden": (fast,), "own_offset_s": Range.of(120, 600)}
    )
    assert windows_of(race) == (Window(1200, 3480),)


def test_what_is_refused_is_refused_with_its_reason() -> None:
    (breach,) = found(at("gel", 9000), refused={"gel": "contains milk"})
    assert (breach.code, breach.facts["why"]) == ("gate.refused_item", "contains milk")


@pytest.mark.parametrize(
    ("part", "refused", "kept"),
    [
        ("caffeine", ["caffeine-gel", "drink", "unread"], ["gel", "water", "salt"]),
        ("sodium", ["salt", "electrolyte"], ["powder", "drink", "gel", "water"]),
        ("fluid", ["water", "drink"], ["gel"]),
        ("fructose", ["gel", "mixed", "maltodextrin", "drink"], ["clear-gel", "water"]),
        ("grams", [], ["gel", "salt", "water"]),
        ("loading", [], ["gel", "salt", "water"]),
    ],
)
def test_a_withheld_part_leaves_out_what_adds_to_it(part: str, refused: list[str], kept: list[str]) -> None:
    for item_id in refused:
        assert "gate.withheld_part" in codes(at(item_id, 9000, portion_frac=0.1), withheld=(part,)), item_id
    for item_id in kept:
        assert codes(at(item_id, 9000, portion_frac=0.1), withheld=(part,)) == [], item_id


@pytest.mark.parametrize(
    "changed",
    [
        {"contains": ("sorbitol",), "free_from": ("fructose",)},
        {"free_from": ("fructose",)},
        {"name": "Honey gel"},
        *(
            {"label": ITEMS["clear-gel"].label.model_copy(update=label)}
            for label in (
                {"ingredients": ""},
                {"ingredients": "Water, SUGAR"},
                {"ingredients": "maltodextrin, honey"},
                {"ingredients": "glucose-fructose syrup"},
                {"ingredients": "maltodextrin, sweetener: isomalt"},
                {"ingredients": "maltodextrin, E 420"},
                {"sugars_g": None},
                {"sucrose_g": 1.0, "sugars_g": 1.0},
                {"fructose_g": 0.1, "sugars_g": 0.1},
            )
        ),
    ],
    ids=str,
)
def test_what_is_not_known_to_be_free_of_fructose_sucrose_and_sorbitol_counts_as_holding_it(
    changed: dict[str, Any],
) -> None:
    clear = ITEMS["clear-gel"]
    assert withheld_parts(at("clear-gel", 1.0), clear, ("fructose",)) == ()
    assert withheld_parts(at("clear-gel", 1.0), clear.model_copy(update=changed), ("fructose",)) == (
        "fructose",
    )


def test_the_shelf_keeps_what_is_known_to_hold_no_fructose() -> None:
    kept = {one.id for one in shelf() if not may_hold_fructose(one)}
    assert kept == {"water", "gel-isotonic", "maltodextrin", "salt-capsule"}


def test_with_fructose_withheld_what_nobody_knows_is_no_water() -> None:
    unknown = Station(name="A", at_m=5000, serves=(Served(item="mystery"),))
    case = case_of(stations=(unknown,))
    assert refused_items(case, ITEMS) == {}
    assert refused_items(case, ITEMS, ("fructose",)) == {"mystery": "nobody knows what is in it"}


def test_exclusions_reach_every_item_and_unknown_counts_as_containing() -> None:
    free = ITEMS["gel"].model_copy(update={"free_from": ("milk",)})
    items = {"gel": free, "drink": ITEMS["drink"], "salt": free.model_copy(update={"id": "salt"})}
    case = case_of(allergens=("milk",), refused=("salt",))
    banned = case.wishes.model_copy(update={"banned": ("salt",)})
    assert refused_items(case, items) == {
        "drink": "not stated to be free from milk",
        "salt": "refused by the athlete",
    }
    case = case_of(allergens=("milk",)).model_copy(update={"wishes": banned})
    assert refused_items(case, items)["salt"] == "banned from the plan by hand"


def test_every_breach_of_a_bad_schedule_is_named_at_once() -> None:
    bad = (
        at("caffeine-gel", 9000, portion_frac=4),
        at("gel", LENGTH_M - 10),
        at("maltodextrin", 15_000, portion_frac=2),
    )
    assert set(codes(*bad, fluid_ceiling=ceiling(10, 10), refused={"gel": "refused"})) == {
        "gate.refused_item",
        "gate.too_late",
        "gate.fluid",
        "gate.one_sugar",
        "gate.caffeine",
    }
