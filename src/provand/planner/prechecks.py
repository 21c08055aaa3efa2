"""What can be said in plain words before any solving: nothing to eat, too little room, too little time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from provand.finding import Finding, find
from provand.larder.item import Item
from provand.planner.patterns import why_not
from provand.planner.places import FIRST_S, pours_water
from provand.planner.problem import Pattern, RaceInputs


def prechecks(
    inputs: RaceInputs,
    patterns: Sequence[Sequence[Pattern]],
    pockets: Sequence[Item],
) -> tuple[Finding, ...]:
    """Return what stands in the way of the target before anything is laid, and what is left out and why."""
    found = [*_left_out(inputs), *_no_water(inputs), *_at_hand(inputs)]
    if inputs.mode == "rate" and inputs.carb_target_g > 0:
        found += [*_nothing(patterns), *_pockets(inputs, patterns, pockets), *_time(inputs)]
    return tuple(found)


def _left_out(inputs: RaceInputs) -> Iterator[Finding]:
    """Yield why rehearsed items, what the stations serve and what a crew hands over are not planned."""
    known = {rehearsed.item for rehearsed in inputs.case.athlete.rehearsed}
    known |= {served.item for station in inputs.stations for served in station.serves}
    known |= {item_id for point in inputs.case.crew_points for item_id in point.serves}
    for item_id, item in sorted(inputs.items.items()):
        if item_id in known and (reason := why_not(inputs, item)):
            yield find("planner.left_out", "race.schedule", item=item.name, reason=reason)


def _at_hand(inputs: RaceInputs) -> Iterator[Finding]:
    for item_id, have_count in sorted(inputs.at_hand.items()):
        have = f"{have_count:g}"
        yield find("planner.at_hand", "athlete.stock", item=inputs.item_of(item_id).name, have=have)


def _no_water(inputs: RaceInputs) -> Iterator[Finding]:
    for n, station in enumerate(inputs.stations):
        if not pours_water(inputs, n):
            yield find("planner.no_water_there", "race.schedule", station=station.name)


def _nothing(patterns: Sequence[Sequence[Pattern]]) -> Iterator[Finding]:
    if not any(patterns):
        yield find("planner.nothing_to_eat", "race.schedule")


def _pockets(
    inputs: RaceInputs,
    patterns: Sequence[Sequence[Pattern]],
    pockets: Sequence[Item],
) -> Iterator[Finding]:
    """Pockets full of the densest item, and all that stations and crew give, against the rate's low edge."""
    room_ml = sum(pocket.room_ml for pocket in inputs.case.athlete.pockets)
    dense_g_per_ml = max((_carb_g(item) / item.pocket_ml for item in pockets if item.pocket_ml), default=0.0)
    given_g = sum(max((p.counted_mg for p in made if not p.pieces), default=0) / 1000 for made in patterns)
    most_g = room_ml * dense_g_per_ml + given_g
    if any(patterns) and most_g < inputs.carb_low_g:
        yield find(
            "planner.little_room",
            "athlete.pockets",
            most_g=round(most_g),
            low_g=round(inputs.carb_low_g),
            room_ml=round(room_ml),
        )


def _carb_g(item: Item) -> float:
    return item.holds.carb_g.mid if item.holds.carb_g else 0.0


def _time(inputs: RaceInputs) -> Iterator[Finding]:
    """A rate over the whole race is eaten in less time: say so where that is more than the gut is given."""
    goal = inputs.pace.goal
    first_s = goal.time_at_s(inputs.pace.early.place_at_m(FIRST_S))
    eating_s = max(0.0, goal.time_at_s(inputs.closed_from_m) - first_s)
    asked_g = min(inputs.carb_target_g, inputs.upper_rate_g_per_h * (eating_s / 3600 + 0.5) + 1)
    if eating_s == 0 or asked_g < inputs.carb_target_g:
        yield find(
            "planner.short_window",
            "race.schedule",
            target_g=round(inputs.carb_target_g),
            eating_min=round(eating_s / 60),
            limit_g_per_h=inputs.upper_rate_g_per_h,
        )
