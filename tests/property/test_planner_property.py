"""Random short races through the real solver: what comes out keeps every limit, and beats a greedy hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from schedule import invented_inputs

from provand.case.case import Stock, Wishes
from provand.case.intake import Intake
from provand.larder.item import Item
from provand.larder.label import Label
from provand.planner.check import judge
from provand.planner.greedy import greedy
from provand.planner.problem import Problem, RaceInputs, Solution
from provand.planner.race import NearestPlan, best_line, pose, solve
from provand.safety.gate import gate
from provand.safety.limits import Dose, Limits, Permission, Window

MAY_GIVE_WAY = {"planner.uneven"}


def gel(name: str, carb_g: float, *, split: bool, **more: object) -> Item:
    """Return an invented gel; without a split all of it counts as glucose."""
    sugars = {"sugars_g": carb_g / 3, "fructose_g": carb_g / 3, "glucose_g": 2 * carb_g / 3} if split else {}
    label = Label(
        convention="EU",
        basis="pack",
        pack_g=1.6 * carb_g,
        carb_g=carb_g,
        caffeine_mg=more.pop("mg", 0),
        **sugars,
    )
    return Item(id=name, name=name, texture="gel", label=label, **{"pocket_ml": 1.5 * carb_g, **more})


ITEMS = (
    gel("small", 18, split=False),
    gel("middle", 24, split=True, with_water=True),
    gel("large", 36, split=True, divides_into=2),
    gel("wake", 22, split=True, mg=60),
    gel("pieces", 40, split=True, divides_into=8).model_copy(update={"texture": "chew"}),
)


KNOBS = st.fixed_dictionaries(
    {
        "distance_km": st.integers(8, 20),
        "goal_min": st.integers(40, 120),
        "station_every_m": st.sampled_from([2500.0, 4000.0, 6000.0]),
        "served": st.sampled_from([("water",), ("water", "sports-drink"), ("sports-drink",)]),
        "pockets_ml": st.lists(st.sampled_from([40.0, 60.0, 110.0, 160.0]), max_size=2).map(tuple),
        "rehearsed": st.sets(st.sampled_from([*(item.id for item in ITEMS), "sports-drink"]), max_size=4),
        "carb_g_per_h": st.sampled_from([0.0, 20.0, 35.0, 50.0, 70.0]),
        "ceiling_ml_per_h": st.sampled_from([60.0, 150.0, 300.0, 600.0]),
        "caffeine_wish_mg": st.sampled_from([None, 50.0, 60.0, 150.0]),
        "pre_start_ml": st.sampled_from([0.0, 30.0]),
        "upper_rate_g_per_h": st.sampled_from([60.0, 80.0]),
        "caffeine_single_mg": st.sampled_from([0, 100, 200]),
        "earlier_caffeine": st.sampled_from([(), (Dose(-3600.0, 60.0),)]),
        "glucose_waiting_g": st.sampled_from([0.0, 0.0, 20.0, 45.0, 80.0]),
        "at_hand": st.sampled_from([None, None, 0.0, 1.0, 2.5]),
        "withheld": st.sets(st.sampled_from(["caffeine", "fructose", "fluid"]), max_size=1),
        "refused": st.sampled_from([{}, {"middle": "contains milk"}, {"sports-drink": "contains gluten"}]),
        "window_from_min": st.one_of(st.none(), st.integers(10, 100)),
        "mode": st.sampled_from(["rate", "rate", "rate", "small", "rinse"]),
        "pins": st.lists(st.tuples(st.sampled_from(ITEMS), st.integers(5, 95)), max_size=2).map(tuple),
        "anchor": st.lists(st.tuples(st.sampled_from(ITEMS), st.integers(5, 95)), max_size=2).map(tuple),
    }
)


def race(knobs: dict[str, Any], *, slot_s: float = 300.0) -> RaceInputs:
    """Return the invented race of 40 min to 2 h that these knobs make."""
    left = dict(knobs)
    start_min = left.pop("window_from_min")
    window = () if start_min is None else ((60.0 * start_min, 60.0 * start_min + 900, True),)
    distance_m = 1000.0 * left.pop("distance_km")
    pins, anchor = (
        tuple(
            Intake(item=item.id, at_m=round(distance_m * percent / 100, -2))
            for item, percent in left.pop(name)
        )
        for name in ("pins", "anchor")
    )
    packs = left.pop("at_hand")
    stock = () if packs is None else tuple(Stock(item=item.id, packs_count=packs) for item in ITEMS)
    inputs = invented_inputs(
        distance_m=distance_m,
        goal_s=60.0 * left.pop("goal_min"),
        rehearsed=tuple(sorted(left.pop("rehearsed"))),
        withheld=frozenset(left.pop("withheld")),
        wishes=Wishes(caffeine_mg=left.pop("caffeine_wish_mg"), pinned=pins, anchor=anchor),
        forbidden_s=window,
        items=ITEMS,
        slot_s=slot_s,
        **left,
    )
    athlete = inputs.case.athlete.model_copy(update={"stock": stock})
    return replace(inputs, case=inputs.case.model_copy(update={"athlete": athlete}))


@settings(max_examples=120)
@given(KNOBS)
def test_a_schedule_keeps_every_limit_passes_the_gate_and_is_no_worse_than_a_greedy_hand(
    knobs: dict[str, Any],
) -> None:
    inputs = race(knobs)
    problem = pose(inputs)
    solution = solved(problem)
    verdict = judge(problem, solution.intakes, solution.thirst)
    assert verdict.broken == ()
    assert {finding.code for finding in verdict.strained} <= MAY_GIVE_WAY or inputs.case.wishes.pinned
    assert all(finding in solution.findings for finding in verdict.strained)
    assert at_gate(inputs, solution) == []
    if solution.proven:
        assert solution.unique
        assert solution.goals == verdict.goals
        by_hand = greedy(problem)
        hand = judge(problem, by_hand, best_line(problem, by_hand))
        assert hand.broken == ()
        assert verdict.values <= hand.values


def solved(problem: Problem) -> Solution:
    """Return the schedule; where pinned intakes were refused, the nearest one."""
    try:
        return solve(problem)
    except NearestPlan as refusal:
        assert refusal.findings
        return refusal.nearest


def at_gate(inputs: RaceInputs, solution: Solution) -> list[str]:
    """Return what the gate finds, which counts by itself; the drink before the start is not the planner's."""
    stations, line = inputs.case.course.stations, solution.thirst
    before = inputs.case.race.model_copy(update={"pre_start_drink_ml": inputs.pre_start_ml})
    found = gate(
        solution.intakes,
        case=inputs.case.model_copy(update={"race": before}),
        items=inputs.items,
        pace=inputs.pace,
        limits=Limits(
            fluid_ceiling=inputs.fluid_ceiling,
            caffeine_once_mg=inputs.caffeine_single_mg,
            caffeine_day_mg=inputs.caffeine_day_mg,
            one_sugar_g_per_h=inputs.glucose_limit_g_per_h,
            last_intake_s=inputs.closed_from_slow_s,
            refused=inputs.refused,
            withheld=tuple(inputs.withheld),
            windows=tuple(Window(*window) for window in inputs.forbidden_s),
            earlier_caffeine=tuple(Dose(*dose) for dose in inputs.earlier_caffeine),
            glucose_waiting_g=inputs.glucose_waiting_g,
        ),
        permission=Permission(
            amount=line.amount,
            from_m=0.0 if line.first_station is None else stations[line.first_station].at_m,
        ),
    )
    return [finding.line() for finding in found if "before the start" not in finding.about]


def test_the_drawn_races_are_not_all_alike() -> None:
    """Guards the test above: it sees meals, rinses, empty pages, every drinking line, stations left out."""
    seen: set[str] = set()

    @settings(max_examples=60)
    @given(KNOBS)
    def look(knobs: dict[str, Any]) -> None:
        solution = solved(pose(race(knobs, slot_s=600.0)))
        seen.add("meals" if any(take.amount == "whole" for take in solution.intakes) else "no meals")
        seen.add(f"line {solution.thirst.amount}")
        seen.update("rinses" for take in solution.intakes if take.amount == "rinse")
        seen.update("late line" for _ in [1] if (solution.thirst.first_station or 0) > 0)

    look()
    assert seen >= {
        "meals",
        "no meals",
        "line none",
        "line mouthful",
        "line half",
        "line cup",
        "rinses",
        "late line",
    }
