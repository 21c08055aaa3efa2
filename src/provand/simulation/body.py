"""One body through one race: stomach, gut, blood, liver, muscle and water, step by step along the course.

Everything that leaves a pool enters the next, so what was eaten equals pools plus outflow. Grams are of
glucose. The step marches on distance; stations, intakes and the finish are among its nodes.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from provand.estimate.demand import KCAL_PER_G_GLUCOSE
from provand.physiology.gut import (
    BODY_RATE_PER_MIN,
    FRUCTOSE_BURNED_FRAC,
    FRUCTOSE_CEILING_G_PER_MIN,
    GLUCOSE_BURNED_FRAC,
    GLUCOSE_CEILING_G_PER_MIN,
    HALF_SATURATION_G,
    neat_emptying_rate_per_min,
)

KCAL_PER_G_FAT = 9.75
GLUCOSE_G_PER_MMOL = 0.18016
LIVER_HALF_G = 5.0
LEAST = 1e-9


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
    """A stretch of the course: where it ends, how many minutes it takes, what it costs."""

    end_m: float
    duration_min: float
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
    drunk_ml: tuple[float, ...]
    elapsed_min: tuple[float, ...]

    def sweating(self, sweat_ml_per_h: float) -> Run:
        """Return the same run at another rate of sweat, which moves the body's water and nothing else."""
        moments = zip(self.drunk_ml, self.elapsed_min, strict=True)
        changed = tuple(
            water_change_ml(drunk_ml, after_min, sweat_ml_per_h) for drunk_ml, after_min in moments
        )
        return self._replace(water_change_ml=changed)


def water_change_ml(drunk_ml: float, elapsed_min: float, sweat_ml_per_h: float) -> float:
    """Return the fluid drunk less the sweat lost by a moment, with the lag of sweating."""
    lag_min = elapsed_min - 10 * (1 - math.exp(-elapsed_min / 10))
    return drunk_ml - sweat_ml_per_h * lag_min / 60


def _absorbed(
    before_g: float, arriving_g: float, ceiling_g_per_min: float, minutes: float
) -> tuple[float, float]:
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


@dataclass(slots=True)
class _Body:
    """The pools of a body and what has left them; grams of glucose, millilitres of water."""

    person: Person
    muscle_g: float
    liver_g: float
    volume_ml: float = 0.0
    stomach_glucose_g: float = 0.0
    stomach_fructose_g: float = 0.0
    gut_glucose_g: float = 0.0
    gut_fructose_g: float = 0.0
    blood_glucose_g: float = 0.0
    blood_fructose_g: float = 0.0
    drunk_ml: float = 0.0
    eaten_g: float = 0.0
    outflow_g: float = 0.0
    used_g: float = 0.0
    burned_eaten_g: float = 0.0
    fat_g: float = 0.0
    energy_kcal: float = 0.0
    elapsed_min: float = 0.0

    @property
    def waiting_g(self) -> float:
        """Carbohydrate swallowed and not yet absorbed."""
        return self.stomach_glucose_g + self.stomach_fructose_g + self.gut_glucose_g + self.gut_fructose_g

    def swallow(self, feed: Feed) -> None:
        self.volume_ml += feed.water_ml
        self.drunk_ml += feed.water_ml
        self.stomach_glucose_g += feed.glucose_g
        self.stomach_fructose_g += feed.fructose_g
        self.eaten_g += feed.glucose_g + feed.fructose_g

    def absorb(self, minutes: float) -> tuple[float, float]:
        """Empty stomach into gut and gut into blood; return what the blood took of each sugar."""
        leaving = self._leaving_frac(minutes)
        arriving_g = self.stomach_glucose_g * leaving, self.stomach_fructose_g * leaving
        self.gut_glucose_g, glucose_g = _absorbed(
            self.gut_glucose_g, arriving_g[0], GLUCOSE_CEILING_G_PER_MIN, minutes
        )
        self.gut_fructose_g, fructose_g = _absorbed(
            self.gut_fructose_g, arriving_g[1], FRUCTOSE_CEILING_G_PER_MIN, minutes
        )
        self.volume_ml *= 1 - leaving
        self.stomach_glucose_g *= 1 - leaving
        self.stomach_fructose_g *= 1 - leaving
        return glucose_g, fructose_g

    def _leaving_frac(self, minutes: float) -> float:
        stomach_g = self.stomach_glucose_g + self.stomach_fructose_g
        if self.volume_ml <= 0 and stomach_g <= 0:
            return 0.0
        rate_per_min = self.person.emptying_frac * neat_emptying_rate_per_min(
            carb_g_per_l=1000 * stomach_g / max(self.volume_ml, LEAST), stomach_carb_g=max(stomach_g, LEAST)
        )
        return 1 - math.exp(-rate_per_min * minutes)

    def release(self, glucose_g: float, fructose_g: float, minutes: float) -> tuple[float, float]:
        """Pass what was absorbed through the blood; return the mean rates at which each sugar leaves it."""
        keep = math.exp(-BODY_RATE_PER_MIN * minutes)
        spread = (1 - keep) / (BODY_RATE_PER_MIN * minutes)
        rate_g = (self.blood_glucose_g * (1 - keep) + glucose_g * (1 - spread)) / minutes
        rate_f = (self.blood_fructose_g * (1 - keep) + fructose_g * (1 - spread)) / minutes
        self.blood_glucose_g += glucose_g - rate_g * minutes
        self.blood_fructose_g += fructose_g - rate_f * minutes
        self.outflow_g += (rate_g + rate_f) * minutes
        return rate_g, rate_f

    def liver_output(self, blood_glucose_g_per_min: float, minutes: float) -> float:
        """Let the liver give what fed glucose does not hold back; return grams a minute, new glucose too."""
        person = self.person
        output = max(0.0, person.liver_output_g_per_min - person.output_held_frac * blood_glucose_g_per_min)
        from_store_g = max(0.0, output - person.new_glucose_g_per_min) * minutes
        from_store_g = min(self.liver_g, from_store_g * self.liver_g / (self.liver_g + LIVER_HALF_G))
        self.liver_g -= from_store_g
        return from_store_g / minutes + min(output, person.new_glucose_g_per_min)

    def muscle_draw(self, plasma: float, need: float, minutes: float) -> tuple[float, bool]:
        """Draw on the muscle's store, grams a minute; say whether the floor stopped what the pace needs."""
        person = self.person
        wanted = min(1.0, max(0.0, person.share_frac)) * need
        extra = plasma - person.liver_output_g_per_min
        demand = wanted - plasma
        if extra > 0:
            demand = wanted - person.liver_output_g_per_min - person.sparing_frac * extra
        falling = person.from_active_frac * max(0.0, demand) * minutes / person.muscle_full_g
        drawn = self.muscle_g * (1 - math.exp(-falling)) / person.from_active_frac / minutes
        least = max(0.0, min(person.least_share_frac, person.share_frac) * need - plasma)
        room = max(0.0, self.muscle_g - person.muscle_floor_g) / person.from_active_frac / minutes
        drawn = min(max(min(drawn, need - plasma), least), room)
        self.muscle_g -= person.from_active_frac * drawn * minutes
        return drawn, least > room

    def run_step(self, step: Step) -> bool:
        """Run one step; return whether the stores were short in it."""
        minutes = step.duration_min
        rate_g, rate_f = self.release(*self.absorb(minutes), minutes)
        eaten_burned = GLUCOSE_BURNED_FRAC * rate_g + FRUCTOSE_BURNED_FRAC * rate_f
        need = step.kcal_per_min / KCAL_PER_G_GLUCOSE
        plasma = min(eaten_burned + self.liver_output(rate_g, minutes), need)
        drawn, short = self.muscle_draw(plasma, need, minutes)
        self.used_g += (plasma + drawn) * minutes
        self.burned_eaten_g += min(eaten_burned, plasma) * minutes
        self.energy_kcal += step.kcal_per_min * minutes
        fat_kcal_per_min = max(0.0, step.kcal_per_min - KCAL_PER_G_GLUCOSE * (plasma + drawn))
        self.fat_g += fat_kcal_per_min * minutes / KCAL_PER_G_FAT
        self.elapsed_min += minutes
        return short


def simulate(steps: Sequence[Step], feeds: Sequence[Feed], person: Person) -> Run:
    """Run one body over the course and return its pools at each node.

    `steps` stand in order of the course and start at 0 m; a feed is swallowed at the node at or after its
    place. Stores never go below their floor; where that stops the least carbohydrate the pace needs, the
    run is short from there on.
    """
    at_node = _by_node(steps, feeds)
    body = _Body(person, person.muscle_start_g, person.liver_start_g)
    short_from_m: float | None = None
    track = []
    for node, end_m in enumerate([0.0, *(step.end_m for step in steps)]):
        if node and body.run_step(steps[node - 1]) and short_from_m is None:
            short_from_m = end_m
        for feed in at_node[node]:
            body.swallow(feed)
        track.append((end_m, body.muscle_g, body.liver_g, body.waiting_g, body.drunk_ml, body.elapsed_min))
    x_m, muscle_g, liver_g, waiting_g, drunk_ml, elapsed_min = zip(*track, strict=True)
    moments = zip(drunk_ml, elapsed_min, strict=True)
    return Run(
        x_m=x_m,
        muscle_g=muscle_g,
        liver_g=liver_g,
        waiting_g=waiting_g,
        water_change_ml=tuple(water_change_ml(drunk, at, person.sweat_ml_per_h) for drunk, at in moments),
        used_g=body.used_g,
        burned_eaten_g=body.burned_eaten_g,
        energy_kcal=body.energy_kcal,
        fat_g=body.fat_g,
        short_from_m=short_from_m,
        eaten_g=body.eaten_g,
        unabsorbed_and_pools_g=body.waiting_g + body.blood_glucose_g + body.blood_fructose_g,
        outflow_g=body.outflow_g,
        drunk_ml=drunk_ml,
        elapsed_min=elapsed_min,
    )


def _by_node(steps: Sequence[Step], feeds: Sequence[Feed]) -> list[list[Feed]]:
    """Return the feeds of each node, the start being node 0."""
    ends = [step.end_m for step in steps]
    at_node: list[list[Feed]] = [[] for _ in range(len(steps) + 1)]
    for feed in feeds:
        node = 0 if feed.at_m <= 0 else min(bisect_left(ends, feed.at_m) + 1, len(steps))
        at_node[node].append(feed)
    return at_node
