"""When not everything fits: the smallest sets of wishes, or of pins, to give up, and that it is enough."""

from __future__ import annotations

import pickle
from dataclasses import replace
from typing import Any

import pytest
from schedule import invented_inputs

from provand.case.case import Pocket, Rehearsed, Wishes
from provand.case.intake import Intake
from provand.planner import give_up, pins
from provand.planner.check import judge
from provand.planner.give_up import MAX_LOOKS, GivenUp, Looked, smallest_sets
from provand.planner.problem import RaceInputs, Solution, ThirstLine
from provand.planner.race import NearestPlan, pose, solve

FEW = ("gel-25", "gel-isotonic", "gel-40", "water")


def race(*, at_hand: tuple[str, ...] = FEW, **changes: Any) -> RaceInputs:
    """Return an invented half with few things at hand, and no wish for caffeine."""
    inputs = invented_inputs(**{"wishes": Wishes(), "ceiling_ml_per_h": 600.0, **changes})
    return replace(inputs, items={name: item for name, item in inputs.items.items() if name in at_hand})


def solved(inputs: RaceInputs) -> Solution:
    return solve(pose(inputs))


def missed(solution: Solution) -> int:
    return next(goal.value for goal in solution.goals if goal.name == "carbohydrate to 5 g")


def looked(inputs: RaceInputs) -> Looked:
    return smallest_sets(pose(inputs), 0)


def without(inputs: RaceInputs, given_up: GivenUp) -> RaceInputs:
    """Return the race after somebody did what a set says."""
    case = inputs.case
    athlete, items = case.athlete, dict(inputs.items)
    if given_up.room_ml:
        more = Pocket(name="belt", room_ml=float(given_up.room_ml))
        athlete = athlete.model_copy(update={"pockets": (*athlete.pockets, more)})
    if given_up.dry:
        items = {name: item.model_copy(update={"with_water": False}) for name, item in items.items()}
    new = [name for name, item in items.items() if item.name in given_up.unrehearsed]
    athlete = athlete.model_copy(
        update={"rehearsed": (*athlete.rehearsed, *(Rehearsed(item=name) for name in new))}
    )
    return replace(inputs, case=case.model_copy(update={"athlete": athlete}), items=items)


ONE_IS_ENOUGH = {"rehearsed": ("gel-25",), "pockets_ml": (90.0,), "carb_g_per_h": 36.0}
ONLY_A_PAIR = {
    "rehearsed": ("gel-25",), "pockets_ml": (90.0,), "carb_g_per_h": 50.0, "station_every_m": 8800.0,
}  # fmt: skip
SHORT_CASES = {
    "one is enough": ONE_IS_ENOUGH,
    "only a pair": ONLY_A_PAIR,
    "nothing rehearsed": {"rehearsed": (), "pockets_ml": (90.0,)},
}


def test_where_one_wish_is_enough_it_is_named_with_its_amount() -> None:
    inputs = race(**ONE_IS_ENOUGH)
    solution = solved(inputs)
    assert missed(solution) > 0
    said = [f for f in solution.findings if f.code == "planner.fits_with"]
    assert said[0].sentence == "with one more pocket of about 50 ml, all of the 75 g fit."
    assert looked(inputs).enough[0].wishes == ("pockets",)


def test_where_only_pairs_are_enough_every_pair_is_named_and_no_single_wish() -> None:
    inputs = race(**ONLY_A_PAIR)
    found = looked(inputs)
    assert {given_up.wishes for given_up in found.enough} == {
        ("pockets", "pairing"), ("pockets", "rehearsal"),
    }  # fmt: skip
    assert not [single for single in found.helps if single.enough]
    says = [f.sentence for f in solved(inputs).findings if f.code == "planner.fits_with"]
    assert len(says) == 2
    assert says[0].startswith("with one more pocket of about ")
    assert "without the water" in says[0]
    assert "2 more rehearsed kinds (big gel, thin gel)" in says[1]


@pytest.mark.parametrize("name", SHORT_CASES)
def test_giving_up_what_is_named_reaches_the_target(name: str) -> None:
    inputs = race(**SHORT_CASES[name])
    assert missed(solved(inputs)) > 0
    sets = looked(inputs).enough
    assert sets
    for given_up in sets:
        assert missed(solved(without(inputs, given_up))) == 0, given_up


@pytest.mark.parametrize("name", SHORT_CASES)
def test_no_set_that_is_named_holds_a_smaller_one_that_is_enough(name: str) -> None:
    inputs = race(**SHORT_CASES[name])
    for given_up in looked(inputs).enough:
        for left_out in given_up.wishes if len(given_up.wishes) > 1 else ():
            fewer = tuple(wish for wish in given_up.wishes if wish != left_out)
            assert missed(solved(give_up.eased(inputs, fewer))) > 0


def test_ten_millilitres_less_than_named_are_not_enough() -> None:
    inputs = race(**ONE_IS_ENOUGH)
    least = looked(inputs).enough[0]
    assert missed(solved(without(inputs, replace(least, room_ml=least.room_ml - 20)))) > 0


def test_where_a_limit_binds_no_set_is_named_and_the_limit_stays() -> None:
    inputs = race(rehearsed=("gel-isotonic",), ceiling_ml_per_h=110.0, pockets_ml=(400.0,), carb_g_per_h=60.0)
    solution = solved(inputs)
    codes = {finding.code for finding in solution.findings}
    assert {"planner.short", "planner.not_even_with", "planner.fluid_binds"} <= codes
    assert "planner.fits_with" not in codes
    assert judge(pose(inputs), solution.intakes, solution.thirst).broken == ()


def test_what_fits_is_told_beside_what_is_missing() -> None:
    short = next(f for f in solved(race(**ONE_IS_ENOUGH)).findings if f.code == "planner.short")
    assert short.facts["fits_g"] == 50
    assert short.sentence.endswith(": 50.0 g fit.")


def test_where_the_practitioner_allows_the_unrehearsed_it_is_no_wish_to_give_up() -> None:
    inputs = race(rehearsed=(), pockets_ml=(50.0,), wishes=Wishes(rehearsed_only=False))
    found = looked(inputs)
    assert all("rehearsal" not in given_up.wishes for given_up in (*found.enough, *found.helps))


def test_each_set_is_looked_at_once_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[frozenset[str]] = []
    eased = give_up.eased

    def counted(inputs: RaceInputs, wishes: tuple[give_up.Wish, ...]) -> RaceInputs:
        seen.append(frozenset(wishes))
        return eased(inputs, wishes)

    monkeypatch.setattr(give_up, "eased", counted)
    for case in SHORT_CASES.values():
        seen.clear()
        looked(race(**case))
        assert len(seen) <= MAX_LOOKS + 1


def test_a_look_that_runs_out_of_nodes_is_said_and_names_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(give_up, "MAX_NODES", 0)
    inputs = race(rehearsed=("gel-25", "gel-40"), pockets_ml=(120.0, 90.0), carb_g_per_h=62.0)
    found = looked(inputs)
    assert not found.finished
    codes = {finding.code for finding in solved(inputs).findings}
    assert "planner.not_all_tried" in codes


# Pins.


def pinned(*places: tuple[str, float], **changes: Any) -> RaceInputs:
    wishes = Wishes(pinned=tuple(Intake(item=item, at_m=at_m) for item, at_m in places), caffeine_mg=200)
    return race(wishes=wishes, at_hand=(*FEW, "gel-25-caffeine", "rice-cake"), **changes)


def refusal(inputs: RaceInputs) -> NearestPlan:
    with pytest.raises(NearestPlan) as refused:
        solved(inputs)
    return refused.value


def test_pins_that_exclude_each_other_are_named_one_by_one_where_one_is_enough() -> None:
    """Three caffeine gels within two hours are 225 mg: any one of them may go."""
    places = [("gel-25-caffeine", 5000.0), ("gel-25-caffeine", 10_000.0), ("gel-25-caffeine", 15_000.0)]
    told = refusal(pinned(*places, pockets_ml=(400.0,)))
    codes = [finding.code for finding in told.findings]
    assert codes == ["planner.pins_conflict"] + 3 * ["planner.pins_without"]
    assert "mg of caffeine" in told.findings[0].sentence
    assert [f.facts["pins"] for f in told.findings[1:]] == [
        "caffeine gel at km 5.0", "caffeine gel at km 10.0", "caffeine gel at km 15.0",
    ]  # fmt: skip
    assert {take.at_m for take in told.nearest.intakes if take.item == "gel-25-caffeine"} == {
        5000.0,
        10_000.0,
    }


def test_what_is_told_of_pins_comes_back_whole_from_another_process() -> None:
    told = refusal(pinned(*[("gel-25-caffeine", 5000.0 * n) for n in (1, 2, 3)], pockets_ml=(400.0,)))
    came = pickle.loads(pickle.dumps(told))
    assert (came.findings, came.nearest) == (told.findings, told.nearest)


def test_a_first_pin_that_stands_in_the_way_of_all_others_goes_alone() -> None:
    """The rice cake takes the room that the two gels would share: without it both fit."""
    places = [("rice-cake", 5000.0), ("gel-isotonic", 10_000.0), ("gel-isotonic", 15_000.0)]
    told = refusal(pinned(*places, pockets_ml=(140.0,)))
    sets = [f.facts["pins"] for f in told.findings if f.code == "planner.pins_without"]
    assert sets == ["rice cake at km 5.0"]
    assert {take.at_m for take in told.nearest.intakes if take.item == "gel-isotonic"} == {10_000.0, 15_000.0}


def test_where_one_pin_is_not_enough_pairs_are_named_and_each_does_it() -> None:
    places = [("gel-isotonic", 4000.0 + 3000.0 * n) for n in range(4)]
    inputs = pinned(*places, pockets_ml=(140.0,))
    told = refusal(inputs)
    sets = [f.facts["pins"] for f in told.findings if f.code == "planner.pins_without"]
    assert len(sets) == 6
    assert all(str(names).count(" at km ") == 2 for names in sets)
    for names in sets:
        stay = tuple(
            pin
            for pin in inputs.case.wishes.pinned
            if f"at km {(pin.at_m or 0) / 1000:.1f}" not in str(names)
        )
        assert judge(pose(inputs), stay, ThirstLine()).broken == ()


def test_a_pin_that_breaks_a_limit_alone_is_refused_and_never_weighed_against_others() -> None:
    told = refusal(pinned(("gel-isotonic", 20_900.0), ("gel-isotonic", 5000.0), pockets_ml=(400.0,)))
    assert [finding.code for finding in told.findings] == ["planner.pin_refused"]
    assert {take.at_m for take in told.nearest.intakes} >= {5000.0}


def test_with_too_many_pins_the_last_ones_go_and_it_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pins, "MAX_TRIES", 0)
    places = [("gel-isotonic", 4000.0 + 3000.0 * n) for n in range(3)]
    told = refusal(pinned(*places, pockets_ml=(140.0,)))
    assert [f.code for f in told.findings] == [
        "planner.pins_conflict", "planner.pins_without", "planner.pins_untried",
    ]  # fmt: skip
    assert told.findings[1].facts["pins"] == "thin gel at km 10.0"
