"""What may stand in for a lost item: only what the athlete may have, and often nothing."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from paper import said

from provand.case.case import Case
from provand.case.course import Served, Station
from provand.case.door import read_case
from provand.case.intake import Intake
from provand.finding import NoPlanFits
from provand.larder.item import Item
from provand.larder.shelf import shelf
from provand.pack.write import write_pack
from provand.plan.difference import difference
from provand.plan.document import Plan, StandIn
from provand.plan.draw_up import draw_up
from provand.plan.review import clear, review
from provand.plan.substitutes import SPARE
from provand.plan.withheld import WEIGHTS
from provand.safety.screening import Screening

DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo" / "warm-hills" / "case.toml"
DAY = date(2026, 11, 25)
CLEAR = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)
SHELF = {item.id: item for item in shelf()}


@cache
def a_case() -> Case:
    return read_case(DEMO, as_of=DAY)


def withholding(*parts: Any) -> Screening:
    return CLEAR.model_copy(update={"outcome": "withheld", "withheld": parts})


def with_athlete(**changes: Any) -> Case:
    case = a_case()
    return case.model_copy(update={"athlete": case.athlete.model_copy(update=changes)})


def typed(name: str, **changes: Any) -> Item:
    """Return an item of the case like the hill gel, with another id and name."""
    gel = a_case().item("hill-gel")
    assert gel is not None
    return gel.model_copy(update={"id": name.replace(" ", "-"), "name": name, **changes})


def with_items(*items: Item, **athlete: Any) -> Case:
    case = with_athlete(**athlete)
    return case.model_copy(update={"items": (*items, *case.items)})


def stand_in(plan: Plan, item_id: str) -> StandIn:
    (found,) = [one for one in plan.stand_ins if one.item == item_id]
    return found


@cache
def usual() -> Plan:
    return draw_up(a_case(), CLEAR, as_of=DAY)


def test_every_kind_that_is_planned_has_its_line_and_water_has_none() -> None:
    kinds = {take.item for stop in usual().race.stops for take in stop.takes if take.texture != "water"}
    assert {one.item for one in usual().stand_ins} == kinds


def test_a_stand_in_is_alike_in_texture_carbohydrate_and_holds_no_more_caffeine() -> None:
    at_hand = SHELF | {item.id: item for item in a_case().items}
    named = [(at_hand[one.item], at_hand[other]) for one in usual().stand_ins for other in one.instead]
    assert named
    for item, other in named:
        assert item.holds.carb_g is not None
        assert other.holds.carb_g is not None
        assert other.texture == item.texture
        assert 0.8 <= other.holds.carb_g.mid / item.holds.carb_g.mid <= 1.25
        assert (other.label.caffeine_mg or 0) <= (item.label.caffeine_mg or 0)


def test_a_generic_item_is_named_with_its_carbohydrate_and_as_not_rehearsed() -> None:
    says = stand_in(usual(), "hill-gel").says
    assert says == "Bag lost, no hill gel? Take thin gel with about 22 g of carbohydrate (not rehearsed)."


def test_what_was_rehearsed_is_named_first() -> None:
    assert stand_in(usual(), "gel-25-caffeine").instead[0] == "hill-gel"


@pytest.mark.parametrize(
    "changes",
    [{"allergens": ("nuts",)}, {"allergens": ("gluten",)}, {"excluded": ("sucralose",)}],
    ids=str,
)
def test_to_who_leaves_something_out_an_unread_pack_is_never_named(changes: dict[str, Any]) -> None:
    found = stand_in(draw_up(with_athlete(**changes), CLEAR, as_of=DAY), "hill-gel")
    assert not set(found.instead) & set(SHELF)
    assert found.says == f"Bag lost, no hill gel? {SPARE}"


def test_a_pack_that_was_read_and_is_free_of_it_is_named_to_them_and_no_other() -> None:
    twin = typed("twin gel")
    unread = typed("unread gel", free_from=())
    holding = typed("nut gel", free_from=(), contains=("nuts",))
    case = with_items(twin, unread, holding, allergens=("nuts",))
    assert stand_in(draw_up(case, CLEAR, as_of=DAY), "hill-gel").instead == ("twin-gel",)


@pytest.mark.parametrize("where", ["refused", "banned"])
def test_what_the_athlete_refuses_or_a_hand_bans_is_never_named(where: str) -> None:
    case = with_items(typed("twin gel"))
    assert "twin-gel" in stand_in(draw_up(case, CLEAR, as_of=DAY), "hill-gel").instead
    if where == "refused":
        case = with_items(typed("twin gel"), refused=("twin-gel",))
    else:
        wishes = case.wishes.model_copy(update={"banned": ("twin-gel",)})
        case = case.model_copy(update={"wishes": wishes})
    assert "twin-gel" not in stand_in(draw_up(case, CLEAR, as_of=DAY), "hill-gel").instead


def test_a_diet_reaches_it() -> None:
    case = with_items(typed("meat gel", diet="any"), diet="vegan")
    assert "meat-gel" not in stand_in(draw_up(case, CLEAR, as_of=DAY), "hill-gel").instead


def test_with_fructose_withheld_nothing_that_may_hold_it_is_named() -> None:
    safe = SHELF["gel-isotonic"].model_copy(update={"id": "own-thin", "name": "own thin gel"})
    athlete = a_case().athlete
    case = with_items(
        safe, rehearsed=(*athlete.rehearsed, athlete.rehearsed[0].model_copy(update={"item": "own-thin"}))
    )
    plan = draw_up(case, withholding("fructose"), as_of=DAY)
    assert stand_in(plan, "own-thin").says == f"Bag lost, no own thin gel? {SPARE}"


def test_nothing_that_would_pass_a_limit_is_named() -> None:
    """A gel that is mostly water would break the fluid ceiling in the place of the other."""
    label = typed("x").label.model_copy(update={"water_ml": 400.0})
    case = with_items(typed("watery gel", label=label))
    plan = draw_up(case, CLEAR, as_of=DAY)
    assert "watery-gel" not in stand_in(plan, "hill-gel").instead
    for one in plan.stand_ins:
        for other in one.instead:
            at_hand = {item.id: item for item in (*shelf(), *case.items)}
            swapped = tuple(
                take.model_copy(update={"item": other}) if take.item == one.item else take
                for take in plan.race.intakes
            )
            having = case.model_copy(update={"items": tuple(at_hand.values())})
            race = plan.race.model_copy(update={"intakes": swapped})
            assert review(plan.model_copy(update={"race": race}), having, CLEAR) == ()


def test_nothing_too_large_for_the_pockets_is_named() -> None:
    case = with_items(typed("huge gel", pocket_ml=900.0), typed("boundless gel", pocket_ml=None))
    found = stand_in(draw_up(case, CLEAR, as_of=DAY), "hill-gel").instead
    assert not {"huge-gel", "boundless-gel"} & set(found)


def test_to_who_reads_no_weights_none_is_told(tmp_path: Path) -> None:
    case = with_items(typed("gel of 30 g"), typed("twin gel"))
    plan = draw_up(case, withholding("grams"), as_of=DAY)
    assert stand_in(plan, "hill-gel").instead[0] == "twin-gel"
    assert not [one.says for one in plan.stand_ins if WEIGHTS.search(one.says)]
    write_pack(clear(plan, case, withholding("grams")), tmp_path / "held")
    words = said((tmp_path / "held" / "plan.pdf").read_bytes())
    assert "Bag lost, no hill gel? Take twin gel (not rehearsed)" in words


def test_the_sheet_says_it(tmp_path: Path) -> None:
    write_pack(clear(usual(), a_case(), CLEAR), tmp_path / "held")
    words = said((tmp_path / "held" / "plan.pdf").read_bytes())
    assert stand_in(usual(), "hill-gel").says in words


def station(item: str, *, water: bool = True) -> Case:
    case = a_case()
    first = case.course.stations[0]
    cups = (Served(item=item), *([Served(item="water")] if water else []))
    named = Station(name="Sluice", at_m=first.at_m, serves=cups)
    course = case.course.model_copy(update={"stations": (named, *case.course.stations[1:])})
    athlete = case.athlete.model_copy(update={"allergens": ("milk",)})
    milky = typed("milk drink", texture="drink", free_from=(), contains=("milk",))
    return case.model_copy(update={"course": course, "athlete": athlete, "items": (milky, *case.items)})


def test_a_station_without_a_safe_item_has_water_alone() -> None:
    for item in ("milk-drink", "mystery"):
        told = [one.says for one in draw_up(station(item), CLEAR, as_of=DAY).stand_ins if not one.item]
        assert told == ["Sluice: water there, and nothing else."], item
    told = [one.says for one in draw_up(station("mystery", water=False), CLEAR, as_of=DAY).stand_ins]
    assert "Sluice: nothing there is known to be safe for you." in told


def test_with_fluid_withheld_no_station_is_spoken_of() -> None:
    plan = draw_up(station("milk-drink"), withholding("fluid"), as_of=DAY)
    assert not [one for one in plan.stand_ins if not one.item]


def test_a_change_of_a_stand_in_is_told_and_without_a_weight_to_who_reads_none() -> None:
    after = usual().model_copy(update={"stand_ins": usual().stand_ins[1:]})
    found = difference(usual(), after)
    assert any('No longer there: "Bag lost, no hill gel?' in line for line in found.lines())
    held = found.model_copy(update={"portions_only": True}).for_holder()
    assert "What may stand in for an item has changed." in held
    assert not [line for line in held if WEIGHTS.search(line)]


@pytest.mark.parametrize("got_from", ["pocket", "bag", "crew", "table"])
@pytest.mark.parametrize("why", ["allergen", "refused", "banned", "withheld"])
def test_an_exclusion_holds_wherever_an_item_comes_from(got_from: Any, why: str) -> None:
    milky = typed("milk gel", free_from=(), contains=("milk",), label=typed("x").label)
    salty = SHELF["salt-capsule"]
    pin = Intake(item="milk-gel", at_m=9000.0, got_from=got_from)
    athlete: dict[str, Any] = {
        "allergen": {"allergens": ("milk",)},
        "refused": {"refused": ("milk-gel",)},
    }.get(why, {})
    case, screening = with_items(milky, salty, **athlete), CLEAR
    banned: tuple[str, ...] = ("milk-gel",) if why == "banned" else ()
    if why == "withheld":
        screening, pin = withholding("sodium"), pin.model_copy(update={"item": "salt-capsule"})
    wishes = case.wishes.model_copy(update={"pinned": (pin,), "banned": banned})
    pinned = case.model_copy(update={"wishes": wishes})
    with pytest.raises(NoPlanFits) as stopped:
        draw_up(pinned, screening, as_of=DAY)
    assert "planner.pin_refused" in {finding.code for finding in stopped.value.findings}
    plan = draw_up(case, screening, as_of=DAY)
    race = plan.race.model_copy(update={"intakes": (*plan.race.intakes, pin)})
    codes = {finding.code for finding in review(plan.model_copy(update={"race": race}), pinned, screening)}
    assert codes & {"gate.refused_item", "gate.withheld_part"}
