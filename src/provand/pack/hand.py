"""A strip under somebody's hands: intakes that slide along the course, and limits that are passed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from provand.case.course import NEAR_M
from provand.finding import Finding
from provand.pack.letters import printable
from provand.pack.shapes import Slide
from provand.pack.voice import is_rehearsed, km, stop_words
from provand.plan.document import Plan, Stop
from provand.plan.look import in_short

THIRST = "the drinking line at "


@dataclass(frozen=True, slots=True)
class Hand:
    """What a page adds to a strip. `lanes` are at least as many as were there before, so that nothing shifts.

    `passes` says of a stop, by its number, which limit it passes and by how much.
    """

    slides: bool = False
    lanes: int = 0
    passes: Mapping[int, str] = field(default_factory=dict)


NO_HAND = Hand()


def passed_at(plan: Plan, breaches: tuple[Finding, ...]) -> dict[int, str]:
    """Return in a few words which limit is passed, by the number of the stop that passes it first."""
    told: dict[int, str] = {}
    for finding in breaches:
        for number, stop in enumerate(plan.race.stops):
            labels = {f"{take.name} at {km(stop.at_m)} km" for take in stop.takes}
            if finding.about in labels or (stop.station and finding.about == THIRST + stop.station):
                told.setdefault(number, in_short(finding))
                break
    return told


def slide_of(stop: Stop, plan: Plan, passes: str = "", *, upright: bool = False) -> Slide:
    """Return a stop as something that slides: `gel with caffeine, 1 h 10 min, 12.9 km, before Kiln Top`."""
    state = passes or ("pinned" if stop.pinned else "" if is_rehearsed(stop) else "not rehearsed")
    when = "" if plan.time_struck else in_hours(stop.goal_s)
    parts = (stop_words(stop, plan.case), when, f"{km(stop.at_m)} km", where(stop.at_m, plan), state)
    says = ", ".join(part for part in parts if part)
    return Slide(stop.at_m, plan.case.course.length_m, says, upright)


def in_hours(elapsed_s: float) -> str:
    """Return an elapsed time as it is spoken: `1 h 10 min`."""
    hours, minutes = divmod(round(elapsed_s / 60), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"


def where(at_m: float, plan: Plan) -> str:
    """Return a place beside the next station: `at Kiln Top`, `before Kiln Top`, `after the last station`."""
    for station in plan.case.course.stations:
        name = printable(station.name, "course.stations")
        if abs(station.at_m - at_m) < NEAR_M:
            return f"at {name}"
        if station.at_m > at_m:
            return f"before {name}"
    return "after the last station" if plan.case.course.stations else ""
