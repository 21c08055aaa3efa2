"""Any schedule judged, whoever made it: which limits it breaks, what the goals come to.

It adds up the intakes again, stop by stop, and shares with the model only what a goal counts. What the
solver finds must pass here, or it is our fault.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from provand.case.intake import Intake
from provand.finding import Finding
from provand.planner.limits import Stop, added, broken, gaps_between, stops_of, strained, uneven_gaps
from provand.planner.lost import anchored
from provand.planner.patterns import handling, kind_cost, lines_by_place, road, up
from provand.planner.points import carb_grams_off, carb_misses, gap_points, in_order, target_mg
from provand.planner.problem import Goal, Problem, RaceInputs, ThirstLine
from provand.safety.counting import max_caffeine_mg


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """What a schedule breaks: limits that never give way, rules that may; and its goals in order."""

    broken: tuple[Finding, ...]
    strained: tuple[Finding, ...]
    goals: tuple[Goal, ...]

    @property
    def holds(self) -> bool:
        return not self.broken and not self.strained

    @property
    def values(self) -> tuple[int, ...]:
        return tuple(goal.value for goal in self.goals)


def judge(problem: Problem, schedule: Sequence[Intake], thirst: ThirstLine) -> Verdict:
    """Return what a schedule with its drinking line breaks, and what the goals come to, in integers."""
    stops = stops_of(problem.inputs, schedule)
    return Verdict(
        broken=broken(problem, stops, thirst),
        strained=strained(problem, stops),
        goals=_goals(problem, stops, thirst),
    )


def _goals(problem: Problem, stops: Sequence[Stop], thirst: ThirstLine) -> tuple[Goal, ...]:
    inputs = problem.inputs
    counted = sum(stop.counted_mg for stop in stops)
    target = target_mg(inputs)
    caffeine = sum(up(min(1e6, added(inputs, stop, max_caffeine_mg))) for stop in stops)
    takes = [take for stop in stops for take in stop.takes]
    first = thirst.first_station
    values = (
        ("thirst, stations left out", len(inputs.stations) if first is None else first, "stations"),
        ("carbohydrate to 5 g", carb_misses(target, counted), "steps of 5 g"),
        ("evenness", _uneven(problem, stops), "gaps"),
        ("thirst, amount", _levels_below(problem, thirst), "levels"),
        ("caffeine wish", round(inputs.case.wishes.caffeine_mg or 0) - caffeine, "mg"),
        ("lines changed", _changed(inputs, takes), "lines"),
        ("handling", _handling(inputs, stops), "points"),
        ("carbohydrate to 1 g", carb_grams_off(target, counted), "g"),
        ("road", _road(problem, stops), "tenths"),
    )
    goals = {name: Goal(name=name, value=value, unit=unit) for name, value, unit in values}
    return tuple(goals[name] for name in in_order(list(goals), anchored=bool(inputs.case.wishes.anchor)))


def _uneven(problem: Problem, stops: Sequence[Stop]) -> int:
    """Return how many gaps are uneven, but for those that a lost intake leaves."""
    earlier = anchored(problem.inputs)
    return sum(
        not earlier.is_left(gap.before.place.at_m if gap.before else 0.0, gap.stop.place.at_m)
        for gap in uneven_gaps(problem.strict, stops)
    )


def _levels_below(problem: Problem, thirst: ThirstLine) -> int:
    amounts = [line.amount for line in problem.levels]
    return len(amounts) - (1 + amounts.index(thirst.amount) if thirst.amount in amounts else 0)


def _changed(inputs: RaceInputs, takes: Sequence[Intake]) -> int:
    anchor = lines_by_place(inputs, inputs.case.wishes.anchor)
    if not anchor:
        return 0
    now = lines_by_place(inputs, takes)
    return sum(now.get(x_m) != anchor.get(x_m) for x_m in {*now, *anchor})


def _handling(inputs: RaceInputs, stops: Sequence[Stop]) -> int:
    kinds = {
        take.item
        for stop in stops
        for take in stop.takes
        if inputs.item_of(take.item).texture != "water" or take.got_from == "pocket"
    }
    return sum(handling(inputs, stop.takes) for stop in stops) + sum(
        kind_cost(inputs, kind) for kind in kinds
    )


def _road(problem: Problem, stops: Sequence[Stop]) -> int:
    inputs, best_s = problem.inputs, problem.gaps.best_s
    points = sum(
        road(inputs, stop.place, stop.takes, caffeine_mg=up(min(1e6, added(inputs, stop, max_caffeine_mg))))
        for stop in stops
    )
    gaps = gaps_between(stops)
    points += sum(gap_points(gap_s, best_s) for gap_s, _, _ in gaps)
    if gaps:
        last_s = inputs.pace.goal.time_at_s(inputs.closed_from_m) - gaps[-1].stop.place.goal_s
        points += gap_points(max(last_s, best_s), best_s)
    return points
