"""Later starts of the invented plan, made by hand, so that the page can be tested without a solver."""

from __future__ import annotations

from datetime import timedelta

from plans import a_plan, a_stop, a_take

from provand.finding import find
from provand.plan.delays import Carried, Delays, LaterStart, NoLaterStart
from provand.plan.document import Line, Plan

WAITS_MIN = (10, 40, 120)
NO_PLAN_MIN = 120
"""With a gel eaten there is no plan for this delay."""


def some_delays(plan: Plan | None = None, **changes: object) -> Delays:
    """Delays of 10, 40 and 120 min: a gel eaten takes the first stop away; caffeine the third and fourth."""
    plan = plan or a_plan()
    starts, without = list[LaterStart](), list[NoLaterStart]()
    for minutes in WAITS_MIN:
        for eaten in ("", "gel"):
            for caffeine in ("none", "usual", "more"):
                if eaten and minutes == NO_PLAN_MIN:
                    why = (find("plan.pin_outside", "wishes.pinned[1]", slow="2:04"),)
                    without.append(NoLaterStart(later_min=minutes, eaten=eaten, caffeine=caffeine, why=why))
                    continue
                starts.append(_start(plan, minutes, eaten, caffeine))
    made = Delays(
        plan=plan.code,
        carried=(Carried(item="gel", name="lemon gel"),),
        caffeine=("none", "usual", "more"),
        starts=tuple(starts),
        without=tuple(without),
    )
    return made.model_copy(update=changes)


def _start(plan: Plan, minutes: int, eaten: str, caffeine: str) -> LaterStart:
    later = timedelta(minutes=minutes)
    gone = 1 if eaten else 0
    stops = plan.race.stops[gone:]
    if caffeine == "more":
        stops = tuple(stop for stop in stops if not any(take.with_caffeine for take in stop.takes))
    gun = plan.case.race.gun + later
    toilet = gun - timedelta(minutes=14)
    return LaterStart(
        later_min=minutes,
        eaten=eaten,
        caffeine=caffeine,  # type: ignore[arg-type]
        gun=gun,
        own_start=plan.case.race.own_start + later,
        before=(Line(at=toilet, title="Last toilet", says="The queue takes 10 minutes."),),
        stops=stops,
        drinking=plan.race.drinking,
        as_in_hand=stops == plan.race.stops,
    )


def heavier(delays: Delays) -> Delays:
    """The same with a weight in the name of an item of the first start."""
    case = a_plan().case
    take = a_take("gel", case).model_copy(update={"name": "gel 40 g"})
    first = delays.starts[0].model_copy(update={"stops": (a_stop(4600.0, take, case=case),)})
    return delays.model_copy(update={"starts": (first, *delays.starts[1:])})
