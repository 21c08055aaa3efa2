"""Invented cases for property tests: any athlete, any half-like race, any forecast, on a made-up course."""

from __future__ import annotations

import math
from copy import deepcopy
from datetime import UTC, date, datetime
from typing import NamedTuple

from hypothesis import strategies as st

from provand.case.case import Athlete, Case, Practitioner, Race, SweatTest, Weather
from provand.case.course import Course, Served, Station
from provand.estimate.demand import demand_of
from provand.estimate.finish import Finish
from provand.estimate.heat import heat_of
from provand.estimate.pace import PaceTable, pace_table
from provand.estimate.sweat import Sweat, sweat_of
from provand.figure import Range, Trace
from provand.larder.shelf import shelf
from provand.plan.body_work import given_figures
from provand.safety.ceilings import Ceilings, ceilings_of
from provand.safety.screening import Screening

LENGTH_M = 21097.5
NODES = 106


def course(climb_m: float = 30.0, length_m: float = LENGTH_M) -> Course:
    """Return a rolling course with four stations of water."""
    xs = tuple(i * length_m / (NODES - 1) for i in range(NODES))
    return Course(
        x_m=xs,
        elevation_m=tuple(50 + climb_m * math.sin(x / 2500) for x in xs),
        measured_m=length_m,
        latitude_deg=-33.5,
        longitude_deg=19.5,
        stations=tuple(
            Station(name=f"Station {i}", at_m=length_m * i / 5, serves=(Served(),)) for i in range(1, 5)
        ),
    )


def case(
    *,
    mass_kg: float = 63.5,
    height_m: float = 1.68,
    sex: str | None = "female",
    goal_s: float = 6720.0,
    spread: tuple[float, float] = (0.955, 1.107),
    air_c: tuple[float, float] = (18.0, 24.0),
    humidity: tuple[float, float] = (0.5, 0.7),
    wind: tuple[float, float] = (1.0, 3.0),
    sun: str = "part",
    climb_m: float = 30.0,
    tests: tuple[SweatTest, ...] = (),
    length_m: float = LENGTH_M,
) -> Case:
    """Return an invented case, as the door would."""
    return Case.model_validate(
        {
            "invented": True,
            "practitioner": Practitioner(name="Practice (invented)"),
            "athlete": Athlete.model_validate(
                {
                    "name": "Runner (invented)",
                    "born": date(1990, 3, 4),
                    "sex": sex,
                    "body_mass_kg": mass_kg,
                    "body_mass_on": date(2026, 11, 15),
                    "height_m": height_m,
                    "sweat_tests": tests,
                }
            ),
            "race": Race(
                name="Race (invented)",
                gun=datetime(2026, 12, 6, 5, 0, tzinfo=UTC),
                zone="UTC",
                distance_m=length_m,
                goal_s=goal_s,
                finish_s=Range(low=goal_s * spread[0], mid=goal_s, high=goal_s * spread[1]),
            ),
            "course": course(climb_m, length_m),
            "items": tuple(item for item in shelf() if item.id == "water"),
            "weather": Weather.model_validate(
                {
                    "air_temp_c": Range.of(*air_c),
                    "humidity_frac": Range.of(*humidity),
                    "wind_m_per_s": Range.of(*wind),
                    "sun": sun,
                    "seen_on": date(2026, 11, 24),
                }
            ),
        }
    )


class AtPace(NamedTuple):
    """Sweat at three finish times that are given, whatever the heat, and the ceilings that follow."""

    case: Case
    trace: Trace
    pace: PaceTable
    sweat: Sweat

    def ceilings(self, screening: Screening) -> Ceilings:
        """Return the ceilings, in a trace of their own."""
        trace = deepcopy(self.trace)
        return ceilings_of(trace, self.case, self.pace, self.sweat, screening, age_years=36)


def at_pace(one: Case, finish_s: float, *, shares: tuple[float, float, float] = (0.95, 1.0, 1.1)) -> AtPace:
    """Return the sweat of a case whose pace the heat does not move; `shares` are early, goal and slow."""
    trace = Trace()
    given_figures(trace, one)
    heat = heat_of(trace, one)
    times = zip(("early", "goal", "slow"), shares, strict=True)
    figures = [trace.given(f"race.{name}_finish_s", finish_s * share, "given") for name, share in times]
    pace = pace_table(one.course, Finish(*figures, findings=()), fade_frac=0.07)
    sweat = sweat_of(trace, one, pace, demand_of(trace, one, pace, loaded="ordinary"), heat)
    return AtPace(one, trace, pace, sweat)


@st.composite
def bodies(draw: st.DrawFn) -> dict[str, object]:
    """Draw an athlete and a goal."""
    return {
        "mass_kg": draw(st.floats(42, 110)),
        "height_m": draw(st.floats(1.5, 2.0)),
        "sex": draw(st.sampled_from(["female", "male", None])),
        "goal_s": draw(st.floats(4200, 10800)),
        "climb_m": draw(st.floats(0, 50)),
        "sun": draw(st.sampled_from(["clear", "part", "overcast"])),
    }


@st.composite
def weighed_runs(draw: st.DrawFn) -> SweatTest:
    """Draw a sweat test: any weather, far below the model or far above it."""
    return SweatTest.model_validate(
        {
            "on": date(2026, 10, 10),
            "mass_before_kg": 70.0,
            "mass_after_kg": 70.0 - draw(st.floats(0.05, 3.0)),
            "drunk_ml": 0.0,
            "urine_ml": 0.0,
            "duration_s": 3600.0,
            "speed_m_per_s": draw(st.floats(1.2, 5.0)),
            "air_temp_c": draw(st.floats(-5, 35)),
            "humidity_frac": draw(st.floats(0.1, 1.0)),
            "wind_m_per_s": draw(st.floats(0, 6)),
            "sun": draw(st.sampled_from(["clear", "part", "overcast"])),
        }
    )


@st.composite
def air(draw: st.DrawFn) -> dict[str, object]:
    """Draw humidity and wind, each with its range."""
    humid, wind = draw(st.floats(0.1, 0.95)), draw(st.floats(0, 6))
    return {
        "humidity": (humid, min(1.0, humid + draw(st.floats(0, 0.3)))),
        "wind": (wind, wind + draw(st.floats(0, 3))),
    }
