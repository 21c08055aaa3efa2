"""The race schedule: proof, and the solver beside a greedy hand, on an invented case."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from itertools import accumulate
from typing import Any

from measure import Ratio

from provand.case.case import Athlete, Case, Pocket, Practitioner, Race, Rehearsed, Weather, Wishes
from provand.case.course import Course, Served, Station
from provand.estimate.pace import PaceCase, PaceTable
from provand.figure import Range, Series
from provand.larder.item import Item
from provand.larder.shelf import shelf
from provand.planner.check import judge
from provand.planner.greedy import greedy
from provand.planner.problem import RaceInputs
from provand.planner.race import best_line, pose, solve

STEP_M = 100.0


def invented_inputs(
    *,
    distance_m: float = 21_100.0,
    goal_s: float = 7500.0,
    station_every_m: float = 5000.0,
    served: tuple[str, ...] = ("water", "sports-drink"),
    pockets_ml: tuple[float, ...] = (150.0, 150.0),
    rehearsed: tuple[str, ...] = ("gel-25", "gel-isotonic", "gel-25-caffeine"),
    items: tuple[Item, ...] = (),
    carb_g_per_h: float = 45.0,
    ceiling_ml_per_h: float = 350.0,
    wishes: Wishes | None = None,
    **changes: Any,
) -> RaceInputs:
    """Return an invented race on a rolling course: a plain pace, a straight ceiling; `changes` go last."""
    x_m = tuple(STEP_M * n for n in range(int(distance_m / STEP_M) + 1))
    elevation_m = tuple(accumulate(_grade_frac(at_m) * STEP_M for at_m in x_m))
    stations = tuple(
        Station(
            name=f"Station {n}", at_m=n * station_every_m, serves=tuple(Served(item=item) for item in served)
        )
        for n in range(1, int((distance_m - 1) / station_every_m) + 1)
    )
    case = Case(
        invented=True,
        practitioner=Practitioner(name="Nobody"),
        athlete=Athlete(
            name="Nobody at All",
            body_mass_kg=64.0,
            body_mass_on=date(2026, 11, 1),
            height_m=1.7,
            pockets=tuple(Pocket(name=f"pocket {n}", room_ml=ml) for n, ml in enumerate(pockets_ml, 1)),
            rehearsed=tuple(Rehearsed(item=item) for item in rehearsed),
        ),
        race=Race(
            name="Invented race", gun=datetime(2026, 12, 6, 9, 0), zone="Europe/Dublin", distance_m=distance_m
        ),
        course=Course(x_m=x_m, elevation_m=elevation_m, measured_m=distance_m, stations=stations),
        weather=Weather(
            air_temp_c=Range.of(10, 14),
            humidity_frac=Range.of(0.6, 0.8),
            wind_m_per_s=Range.of(1, 4),
            sun="part",
            seen_on=date(2026, 11, 30),
        ),
        wishes=wishes or Wishes(caffeine_mg=75.0),
    )
    early, slow = 0.96, 1.08
    pace = PaceTable(
        cases=(
            _even("early", x_m, goal_s * early),
            _even("goal", x_m, goal_s),
            _even("slow", x_m, goal_s * slow),
        )
    )
    ceiling_ml = tuple(ceiling_ml_per_h / 3600 * goal_s * early * at_m / distance_m for at_m in x_m)
    inputs = RaceInputs(
        case=case,
        items={item.id: item for item in (*shelf(), *items)},
        pace=pace,
        mode="rate",
        carb_low_g=(carb_g_per_h - 10) * goal_s / 3600,
        carb_target_g=carb_g_per_h * goal_s / 3600,
        carb_high_g=80.0 * goal_s / 3600,
        upper_rate_g_per_h=80.0,
        fluid_ceiling=Series(
            of="ceiling.fluid_so_far_ml", x_m=x_m, low=ceiling_ml, mid=ceiling_ml, high=ceiling_ml
        ),
        pre_start_ml=0.0,
        glucose_limit_g_per_h=60.0,
        caffeine_single_mg=200,
        caffeine_day_mg=400,
        refused={},
    )
    return replace(inputs, **changes)


def race_schedule() -> list[Ratio]:
    """Return the ratios of the schedule of an invented half: what is unproven, and the solver beside a hand.

    The second ratio is 0 where the solver's goals, in their order, are better than the greedy hand's, 1 where
    they are the same, and 2 where they are worse; both schedules are counted by the same check.
    """
    problem = pose(invented_inputs())
    solution, by_hand = solve(problem), greedy(problem)
    solved = judge(problem, solution.intakes, solution.thirst)
    hand = judge(problem, by_hand, best_line(problem, by_hand))
    gap = 0.0 if solution.proven and solution.unique and not solved.broken else 1.0
    beside = float((solved.values >= hand.values) + (solved.values > hand.values))
    print("goals of the schedule, in their order: solver / greedy hand")
    for reached, by_greedy in zip(solved.goals, hand.goals, strict=True):
        print(f"  {reached.name}: {reached.value} / {by_greedy.value} {reached.unit}")
    return [
        Ratio("the schedule, left unproven", gap, "no proof at all", 0.0),
        Ratio("the schedule, goals", beside, "the goals of a greedy hand", 1.0),
    ]


def _even(name: Any, x_m: tuple[float, ...], finish_s: float) -> PaceCase:
    return PaceCase(name=name, x_m=x_m, elapsed_s=tuple(finish_s * at_m / x_m[-1] for at_m in x_m))


def _grade_frac(at_m: float) -> float:
    """Return a slope of the invented course: long rises and falls of up to 4 %, by the place's own number."""
    return (int(at_m / 700) * 37 % 9 - 4) / 100
