"""One body through one race: stomach, gut, blood, liver, muscle and water, step by step along the course.

Everything that leaves a pool enters the next, so what was eaten equals pools plus outflow. Grams are of
glucose. The step marches on distance; stations, intakes and the finish are among its nodes.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from typing import NamedTuple

from provand.physiology.gut import (
    BODY_RATE_PER_MIN,
    FRUCTOSE_BURNED_FRAC,
    FRUCTOSE_CEILING_G_PER_MIN,
    GLUCOSE_BURNED_FRAC,
    GLUCOSE_CEILING_G_PER_MIN,
    HALF_SATURATION_G,
    neat_emptying_rate_per_min,
)

KCAL_PER_G_GLUCOSE = 3.74
KCAL_PER_G_FAT = 9.75
GLUCOSE_G_PER_MMOL = 0.18016
LIVER_HALF_G = 5.0


class Person(NamedTuple):
    """What one run needs to know of a body; masses in grams of glucose, rates per minute."""

    body_mass_kg: float
    muscle_start_g: float
    muscle_full_g: float
    muscle_floor_g: float
    liver_start_g: float
    liver_output_g_per_min: float
    new_glucose_g_per_min: float
    output_held_frac: float
    sparing_frac: float
    from_active_frac: float
    least_share_frac: float
    share_frac: float
    emptying_frac: float
    sweat_ml_per_h: float


class Step(NamedTuple):
    """A stretch of the course: where it ends, how long it takes, what it costs."""

    end_m: float
    minutes: float
    kcal_per_min: float


class Feed(NamedTuple):
    """Something swallowed at a place."""

    at_m: float
    water_ml: float
    glucose_g: float
    fructose_g: float


class Run(NamedTuple):
    """The course of one run at its nodes (the start first), and its totals."""

    x_m: tuple[float, ...]
    muscle_g: tuple[float, ...]
    liver_g: tuple[float, ...]
    waiting_g: tuple[float, ...]
    water_change_ml: tuple[float, ...]
    used_g: float
    burned_eaten_g: float
    energy_kcal: float
    fat_g: float
    short_from_m: float | None
    eaten_g: float
    unabsorbed_and_pools_g: float
    outflow_g: float


def _absorbed(before_g: float, arriving_g: float, ceiling_g_per_min: float, minutes: float) -> tuple[float, float]:
    """Return the gut content after a step and what was absorbed: trapezoid, or backward Euler if stiff."""
    half = minutes / 2
    start = ceiling_g_per_min * before_g / (HALF_SATURATION_G + before_g)
    constant = before_g + arriving_g - half * start
    weight = half * ceiling_g_per_min
    if constant < 0:
        constant, weight = before_g + arriving_g, minutes * ceiling_g_per_min
    # after + weight * after / (half_saturation + after) = constant, a quadratic with one root above zero
    middle = HALF_SATURATION_G + weight - constant
    after = (-middle + math.sqrt(middle * middle + 4 * HALF_SATURATION_G * constant)) / 2
    return after, before_g + arriving_g - after


def simulate(steps: Sequence[Step], feeds: Sequence[Feed], person: Person) -> Run:
    """Run one body over the course and return its pools at each node.

    `steps` stand in order of the course and start at 0 m; a feed is swallowed at the node at or after its
    place. Stores never go below their floor; where that stops the least carbohydrate the pace needs, the
    run is short from there on.
    """
    ends = [step.end_m for step in steps]
    at_node: list[list[Feed]] = [[] for _ in range(len(steps) + 1)]
    for feed in feeds:
        at_node[0 if feed.at_m <= 0 else min(bisect_left(ends, feed.at_m) + 1, len(steps))].append(feed)
    volume = stomach_g = stomach_f = gut_g = gut_f = blood_g = blood_f = 0.0
    muscle, liver = person.muscle_start_g, person.liver_start_g
    energy = fat = used = burned = outflow = drunk = eaten = elapsed = 0.0
    short_from: float | None = None
    track: list[tuple[float, float, float, float, float]] = []
    resting_output = person.liver_output_g_per_min

    def note(x_m: float) -> None:
        lag = elapsed - 10 * (1 - math.exp(-elapsed / 10))
        lost_ml = person.sweat_ml_per_h * lag / 60
        waiting = stomach_g + stomach_f + gut_g + gut_f
        track.append((x_m, muscle, liver, waiting, drunk - lost_ml))

    for node, step in enumerate([Step(0.0, 0.0, 0.0), *steps]):
        minutes, cost = step.minutes, step.kcal_per_min
        if minutes > 0:
            stomach = stomach_g + stomach_f
            leaving = 0.0
            if volume > 0 or stomach > 0:
                rate = person.emptying_frac * neat_emptying_rate_per_min(
                    carb_g_per_l=1000 * stomach / max(volume, 1e-9), stomach_carb_g=max(stomach, 1e-9)
                )
                leaving = 1 - math.exp(-rate * minutes)
            gut_g, taken_g = _absorbed(gut_g, stomach_g * leaving, GLUCOSE_CEILING_G_PER_MIN, minutes)
            gut_f, taken_f = _absorbed(gut_f, stomach_f * leaving, FRUCTOSE_CEILING_G_PER_MIN, minutes)
            volume, stomach_g, stomach_f = (kept * (1 - leaving) for kept in (volume, stomach_g, stomach_f))
            keep = math.exp(-BODY_RATE_PER_MIN * minutes)
            spread = (1 - keep) / (BODY_RATE_PER_MIN * minutes)
            rate_g = (blood_g * (1 - keep) + taken_g * (1 - spread)) / minutes
            rate_f = (blood_f * (1 - keep) + taken_f * (1 - spread)) / minutes
            blood_g += taken_g - rate_g * minutes
            blood_f += taken_f - rate_f * minutes
            outflow += (rate_g + rate_f) * minutes
            eaten_burned = GLUCOSE_BURNED_FRAC * rate_g + FRUCTOSE_BURNED_FRAC * rate_f

            output = max(0.0, resting_output - person.output_held_frac * rate_g)
            from_liver = max(0.0, output - person.new_glucose_g_per_min) * minutes
            from_liver = min(liver, from_liver * liver / (liver + LIVER_HALF_G))
            liver -= from_liver
            made = from_liver / minutes + min(output, person.new_glucose_g_per_min)

            need = cost / KCAL_PER_G_GLUCOSE
            plasma = min(eaten_burned + made, need)
            wanted = min(1.0, max(0.0, person.share_frac)) * need
            extra = plasma - resting_output
            demand = wanted - plasma if extra <= 0 else wanted - resting_output - person.sparing_frac * extra
            falling = person.from_active_frac * max(0.0, demand) * minutes / person.muscle_full_g
            drawn = muscle * (1 - math.exp(-falling)) / person.from_active_frac / minutes
            least = max(0.0, min(person.least_share_frac, person.share_frac) * need - plasma)
            drawn = max(min(drawn, need - plasma), least)
            room = max(0.0, muscle - person.muscle_floor_g) / person.from_active_frac / minutes
            if drawn > room:
                if least > room and short_from is None:
                    short_from = step.end_m
                drawn = room
            muscle -= person.from_active_frac * drawn * minutes
            used += (plasma + drawn) * minutes
            burned += min(eaten_burned, plasma) * minutes
            energy += cost * minutes
            fat += max(0.0, cost - KCAL_PER_G_GLUCOSE * (plasma + drawn)) * minutes / KCAL_PER_G_FAT
            elapsed += minutes
        for feed in at_node[node]:
            volume += feed.water_ml
            drunk += feed.water_ml
            stomach_g += feed.glucose_g
            stomach_f += feed.fructose_g
            eaten += feed.glucose_g + feed.fructose_g
        note(step.end_m)

    x_m, muscles, livers, waiting, water = zip(*track, strict=True)
    pools = stomach_g + stomach_f + gut_g + gut_f + blood_g + blood_f
    return Run(
        x_m, muscles, livers, waiting, water, used, burned, energy, fat, short_from, eaten, pools, outflow
    )  # fmt: skip
