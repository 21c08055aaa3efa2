"""Changes of a drawn case by chance: what happens in the last weeks, and what a hand moves about."""

from __future__ import annotations

from random import Random

from drawn_case import AS_OF

from provand.case.change import (
    Ban,
    Change,
    CrewCannotReach,
    Edit,
    Forecast,
    Goal,
    Move,
    Override,
    Pin,
    Portions,
    Swap,
    SwapFood,
    Wave,
)
from provand.plan.document import Plan


def drawn_change(draw: Random, plan: Plan) -> Change:
    """Draw one change; those by hand leave the schedule as it is given, the others have it solved again."""
    packs = [intake for intake in plan.race.intakes if intake.at_m is not None and intake.amount == "whole"]
    laid = plan.case.menu.laid if plan.case.menu is not None else ()
    if laid and draw.random() < 0.5:
        one = draw.choice(laid)
        place = {"on": one.on, "meal": one.meal, "food": one.food}
        other = draw.choice(["banana", "cola", "own-bar", "peanut-butter", "low-fat-milk"])
        return draw.choice(
            [SwapFood(**place, other=other), Portions(**place, portions=draw.choice(["0", "2,5"]))]
        )
    somewhere = f"{draw.uniform(0.1, 0.8) * plan.case.race.distance_m / 1000:.1f} km"
    items = [item.id for item in plan.case.items]
    reached = [point for point in plan.case.crew_points if not point.out_of_reach]
    if reached and draw.random() < 0.3:
        return CrewCannotReach(point=draw.choice(reached).name)
    if packs and draw.random() < 0.85:
        one = draw.choice(packs)
        here = f"{(one.at_m or 0) / 1000:.1f} km"
        by_hand: list[Change] = [
            Move(item=one.item, at=here, to=somewhere),
            Swap(item=one.item, at=here, other=draw.choice(items)),
            Pin(item=one.item, at=somewhere),
        ]
        return draw.choice(by_hand)
    others: list[Change] = [
        Pin(item=draw.choice(items), at=somewhere),
        Pin(item=draw.choice(items), at=somewhere),
        Forecast(air_temp="14 to 23 C", humidity="70 to 90 %", seen_on=AS_OF),
        Goal(goal="1:04", finish="1:01 to 1:20"),
        Wave(own_offset="18 to 22 min"),
        Ban(item=draw.choice(items)),
        Edit(path="athlete.body_mass", typed="150 lb"),
        Override(
            what="race.target_carb_g_per_h", value="30 g/h", by="Ines Practice", on=AS_OF, why="as she asked"
        ),
    ]
    return draw.choice(others)
