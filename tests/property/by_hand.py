"""The fluid ceiling once more, from the written equations alone: nothing here is imported from the program.

Sources as in the program's cards: heat balance ISO 7933 with the skin of Mehnert 2000; cost of running
Minetti 2002, of walking Looney 2019; body surface DuBois; sodium line from Nguyen-Kurtz (Weschler 2005).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise, product
from typing import NamedTuple

REST = 3.5 * (3.815 + 1.232 * 0.85) * 4184 / 60000
"""W/kg: 3.5 ml/kg/min of oxygen at the energy that Lusk gives for an exchange ratio of 0.85."""
REACH, SPREAD, REPEAT, Z = 8, 0.32, 0.13, 1.645
FADE = 0.07


class Runner(NamedTuple):
    """Mass in kg, height in m, sex as typed."""

    mass: float
    height: float
    sex: str | None

    @property
    def surface(self) -> float:
        return 0.202 * self.mass**0.425 * self.height**0.725


class Sky(NamedTuple):
    """The cool end of a forecast: C, shares of one, m/s at 10 m."""

    coolest: float
    humidity: tuple[float, float]
    wind: tuple[float, float]


class Outside(NamedTuple):
    """Air in C, share of one, m/s at 10 m; C by which the sun lifts what is round the body."""

    temp: float
    humidity: float
    wind: float
    sun: float = 0.0


class Weighed(NamedTuple):
    """A weighed hour: kg lost, m/s, and its weather."""

    lost: float
    speed: float
    outside: Outside


class Way(NamedTuple):
    """Places of a course and their heights in m."""

    xs: Sequence[float]
    heights: Sequence[float]


def vapour(temp: float) -> float:
    return 0.6105 * math.exp(17.27 * temp / (temp + 237.3))


def sweat(heat: float, surface: float, outside: Outside, past: float, ground: float) -> float:
    """Return litres an hour that keep a runner making so much heat (W/m2) in balance, air past at m/s."""
    ta, tr, pa = outside.temp, outside.temp + outside.sun, vapour(outside.temp) * outside.humidity
    v, wa, clo = min(past, 3.0), min(ground, 1.5), 0.2
    skin = 7.191 + 0.064 * ta + 0.061 * tr + 0.198 * pa - 0.348 * v + 0.616 * (36.6 + 0.0036 * heat)
    breath = 0.001516 * heat * (28.56 + 0.115 * ta + 0.641 * pa - ta)
    breath += 0.00127 * heat * (59.34 + 0.53 * ta - 11.63 * pa)
    hc, fcl = (8.7 * v**0.6 if v > 1 else 3.5 + 5.2 * v), 1 + 0.28 * clo
    kcl = min(1.0, 1.044 * math.exp((0.066 * v - 0.398) * v + (0.094 * wa - 0.378) * wa))
    kia = min(1.0, math.exp((0.047 * v - 0.472) * v + (0.117 * wa - 0.342) * wa))
    kt = ((0.6 - clo) * kia + clo * kcl) / 0.6
    it = (0.155 * clo + 0.111 / fcl) * kt
    icd = it - 0.111 * kia / fcl
    most = (vapour(skin) - pa) / (it / min(0.9, 0.38 * ((2.6 * kt - 6.5) * kt + 4.9)) / 16.7)
    cloth = skin
    for _ in range(30):
        hot, cold = cloth + 273, tr + 273
        hr = 0.97 * 0.77 * 5.67e-8 * (hot**2 + cold**2) * (hot + cold)
        cloth = (fcl * (hc * ta + hr * tr) + skin / icd) / (fcl * (hc + hr) + 1 / icd)
    need = max(0.0, heat - breath - fcl * hc * (cloth - ta) - fcl * hr * (cloth - tr))
    wet = need / max(most, 0.001)
    works = 1 - wet**2 / 2 if wet <= 1 else max(max(2 - wet, 0.0) ** 2 / 2, 0.05)
    return min(need / works, 900.0) * 2.67 / 1.8 * surface / 1000


def on_a_loop(heat: float, surface: float, outside: Outside, speed: float) -> float:
    """Return the mean over eight headings; the wind of 10 m is less at 2 m."""
    near = outside.wind * 0.2**0.2
    angles = [k * math.pi / 4 for k in range(8)]
    past = [max(0.1, math.hypot(speed + near * math.cos(a), near * math.sin(a))) for a in angles]
    return sum(sweat(heat, surface, outside, air, speed) for air in past) / 8


def run_cost(grade: float) -> float:
    return 155.4 * grade**5 - 30.4 * grade**4 - 43.3 * grade**3 + 46.3 * grade**2 + 19.5 * grade + 3.6


def power(speed: float, grade: float) -> float:
    """Return W/kg: running, and up to 1.96 m/s the lesser of running and walking."""
    running = run_cost(grade) * speed + REST
    if speed > 1.96:
        return running
    per_cent = 100 * grade
    steep = 0.34 * speed * per_cent * (1 - 1.05 ** (1 - 1.1 ** (per_cent + 32)))
    return min(running, 1.44 + 1.94 * speed**0.43 + 0.24 * speed**4 + steep)


def lost(rate: float, seconds: float) -> float:
    """Return what is lost by then at so much an hour, with ten minutes of lag."""
    minutes = seconds / 60
    return rate * (minutes - 10 * (1 - math.exp(-minutes / 10))) / 60


def cool_air(temp: float, surface: float) -> float:
    return 0.130 * min(max((20 - temp) / 10, 0.0), 1.0) * surface


class Tests(NamedTuple):
    """What weighed runs come to: how many, their offset, their mean air, the model in it."""

    count: int
    offset: float
    temp: float
    model: float

    def moved(self, model: float) -> float:
        share = self.count * SPREAD**2 / (self.count * SPREAD**2 + REPEAT**2)
        factor = math.exp(share * self.offset)
        return model * factor if factor <= 1 else model + (factor - 1) * min(model, self.model)

    def low(self, model: Callable[[float], float], temp: float) -> float:
        """Return the low end in this air, which is never below that of cooler air down to the tests'."""
        apart = math.ceil(round(abs(temp - self.temp), 6))
        ends = [self._low(model(temp), apart)]
        if temp > self.temp:
            ends += [self._low(model(self.temp + degrees), degrees) for degrees in range(apart)]
        return max(ends)

    def _low(self, model: float, apart: int) -> float:
        left = SPREAD**2 * REPEAT**2 / (self.count * SPREAD**2 + REPEAT**2) + REPEAT**2 + (0.02 * apart) ** 2
        if apart <= REACH:
            return self.moved(model) * math.exp(-Z * math.sqrt(left))
        return min(model, self.moved(model)) * math.exp(-Z * max(SPREAD, math.sqrt(left)))


def tests_of(who: Runner, weighed: Sequence[Weighed]) -> Tests | None:
    """Return the tests that count, in air where the model asks for 0.1 L/h; no loss is the least there is."""
    kept, widest = [], Z * math.sqrt(SPREAD**2 + REPEAT**2)
    for one in weighed:
        made = who.mass * (3.6 * one.speed + REST) / who.surface
        balance = on_a_loop(made, who.surface, one.outside, one.speed)
        temp = one.outside.temp
        burned = 0.0002 * who.mass * 3.6 * one.speed * 3600 / 4184
        if balance >= 0.1:
            model = balance + cool_air(temp, who.surface)
            apart = math.log((one.lost - burned) / model) if one.lost > burned else -widest
            kept.append((apart, model, temp))
    if not kept:
        return None
    offset = sum(apart for apart, *_ in kept) / len(kept)
    model = math.exp(sum(math.log(model) for _, model, _ in kept) / len(kept))
    held = min(max(offset, -widest), widest)
    return Tests(len(kept), held, sum(temp for *_, temp in kept) / len(kept), model)


def fade(share: float) -> float:
    return math.log((1 + FADE) / (1 + FADE - 2 * FADE * share)) / math.log((1 + FADE) / (1 - FADE))


class Care(NamedTuple):
    """What the screening asks for: serum sodium at the start, and whether half of the allowance is left."""

    sodium: float
    half: bool


def ceilings_ml(
    who: Runner, sky: Sky, tests: Tests | None, way: Way, finishes: Sequence[float]
) -> Callable[[Care], list[float]]:
    """Return the ceiling at each place for a care: the least of the cases, in ml."""
    xs = way.xs
    grades = [(b - a) / (y - x) for (x, y), (a, b) in zip(pairwise(xs), pairwise(way.heights), strict=True)]
    clock = [fade(x / xs[-1]) for x in xs]
    parts = [(b - a) * run_cost(grade) for (a, b), grade in zip(pairwise(clock), grades, strict=True)]
    cases, middles = [], []
    for finish in finishes:
        took = [finish * part / sum(parts) for part in parts]
        speeds = [(y - x) / seconds for (x, y), seconds in zip(pairwise(xs), took, strict=True)]
        mean = sum(power(v, g) * s for v, g, s in zip(speeds, grades, took, strict=True)) / finish
        made, speed = mean * who.mass / who.surface, xs[-1] / finish

        def model(temp: float, made: float = made, speed: float = speed) -> float:
            skies = product(sky.humidity, sky.wind)
            return min(on_a_loop(made, who.surface, Outside(temp, *one), speed) for one in skies)

        low = tests.low(model, sky.coolest) if tests else model(sky.coolest) * math.exp(-Z * SPREAD)
        cooler = [sky.coolest, *(float(t) for t in range(10, 21) if t <= sky.coolest)]
        middles.append(max(lost(_middle(model(t), tests) + cool_air(t, who.surface), finish) for t in cooler))
        cases.append((low, [sum(took[:n]) for n in range(len(xs))]))
    allowed = 1000 * min(0.005 * who.mass, *middles)
    water = who.mass * (0.6 if who.sex == "male" else 0.5)

    def under(care: Care) -> list[float]:
        return [
            min(_ceiling(lost(low, elapsed[n]), elapsed[n], allowed, water, care) for low, elapsed in cases)
            for n in range(len(xs))
        ]

    return under


def _middle(model: float, tests: Tests | None) -> float:
    return min(model, tests.moved(model)) if tests else model


def _ceiling(gone: float, elapsed: float, allowed: float, water: float, care: Care) -> float:
    early = 0.0 if care.half else min(allowed, 150.0)
    may = allowed * (0.5 if care.half else 1)
    so_far = early if elapsed < (2700 if care.half else 1800) else may
    line = gone + ((care.sodium - 135) * water - 1.03 * gone * (36 + Z * 10 + 4)) / (135 + 23.8)
    return min(max(1000 * gone, so_far), max(0.0, 1000 * line))
