"""The crew sheet: where and when, what to hand over, what never to give, danger signs and whom to call.

No word of health stands on it, and no weight. A drink is held out, and taken only by who is thirsty.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from provand.case.crew import CrewPoint
from provand.figure import Range
from provand.pack.carried import loads
from provand.pack.hotel import left_out
from provand.pack.letters import printable
from provand.pack.night import packed
from provand.pack.otherwise import ahead_of
from provand.pack.plain import (
    GO_TO_MEDICS,
    IN_TROUBLE,
    STOP_AT_ONCE,
    at_clock,
    call,
    danger,
    for_helpers,
    times_at,
)
from provand.pack.sheet import finish, texts
from provand.pack.tongue import listed, named, say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import if_then_words, is_fluid, km, marks_of, no_weights, take_words, wall_clock
from provand.phrase import to_say
from provand.plan.document import Plan, Stop, Take
from provand.plan.scenarios import Scenario, ScenarioId, Scenarios
from provand.safety.cups import AT_STATION_M

FOR_A_CREW: tuple[ScenarioId, ...] = ("lost", "empty")
_HAPPENED = {
    "lost": to_say("The runner lost the {item} by km {km}?"),
    "empty": to_say("Nothing left at {place}?"),
}


def crew_sheet(plan: Plan, paper: Paper, *, scenarios: Scenarios | None = None, draft: bool = False) -> bytes:
    """Return the sheet as a PDF."""
    data = crew_data(plan, paper, scenarios=scenarios, draft=draft)
    no_weights(texts(data), "crew.pdf")
    return pdf("crew.typ", data)


def crew_data(
    plan: Plan, paper: Paper, *, scenarios: Scenarios | None = None, draft: bool = False
) -> dict[str, Any]:
    """Return everything that the sheet prints."""
    name = printable(plan.case.athlete.name, "athlete.name")
    return for_helpers(plan, say("For the crew"), paper, draft=draft) | {
        "heading": say("For the crew of {athlete}", athlete=name),
        "how": _how(plan),
        "bring": _bring(plan),
        "heads": _heads(plan),
        "points": list(_points(plan)),
        "give": {"title": say("When you hand over"), "says": _when_handing(plan)},
        "never": {"title": say("Never give"), "says": list(_never(plan))},
        "otherwise": {"title": say("If things go otherwise"), "says": list(_otherwise(plan, scenarios))},
        "signs": [danger(GO_TO_MEDICS), danger(STOP_AT_ONCE), danger(IN_TROUBLE, most=3)],
        "signs_are": say("Signs, in the words of the runner's own safety page"),
        "call": call(plan),
    }


def _how(plan: Plan) -> str:
    if plan.case.crew_points:
        return say("Stand at these places and nowhere else. Times are by the clock of the race.")
    if _crew_stops(plan):
        return say(
            "Ask the race where crew may stand, and go nowhere else. Times are by the clock of the race."
        )
    return say(
        "Nothing in this plan comes from a crew. These are the stations, if you want to see the runner pass. "
        "Ask the race where crew may stand."
    )


def _bring(plan: Plan) -> str:
    """Return what a crew brings for the runner, or nothing."""
    things = [packed(load)["text"] for load in loads(plan) if load.got_from == "crew"]
    return say("Bring for the runner: {things}.", things=listed(things)) if things else ""


def _heads(plan: Plan) -> list[str]:
    times = [say("Be there by")] if plan.time_struck else [say("Be there by"), say("Likely"), say("Latest")]
    return [say("Where"), *times, say("Hand over")]


def _crew_stops(plan: Plan) -> list[Stop]:
    return [stop for stop in plan.race.stops if any(take.got_from == "crew" for take in stop.takes)]


def _points(plan: Plan) -> Iterator[dict[str, Any]]:
    """Yield the crew's places; else where the plan takes from one, else all stations; then the finish."""
    stops = _crew_stops(plan)
    if plan.case.crew_points:
        yield from _places(plan)
    elif stops:
        for stop in stops:
            name = printable(stop.station, "course.stations")
            times = Range(low=stop.early_s, mid=stop.goal_s, high=stop.slow_s)
            yield _point(plan, name, stop.at_m, times, hand=_hand(plan, stop))
    else:
        for station in plan.case.course.stations:
            name = printable(station.name, "course.stations")
            yield _point(plan, name, station.at_m, times_at(plan, station.at_m))
    dry = [{"marks": (), "text": say("Dry clothes, and food if it is wanted"), "fluid": False}]
    yield _point(plan, say("Finish"), plan.case.course.length_m, finish(plan), hand=dry)


def _places(plan: Plan) -> Iterator[dict[str, Any]]:
    """Yield each place where the crew stands, with what the runner eats from there to the next one."""
    points = plan.case.crew_points
    placed_m = [plan.case.crew_place_m(point) for point in points]
    ends_m = [*placed_m[1:], plan.case.course.length_m]
    for point, from_m, until_m in zip(points, placed_m, ends_m, strict=True):
        here = [stop for stop in _crew_stops(plan) if abs(stop.at_m - from_m) < AT_STATION_M]
        hand = [entry for stop in here for entry in _hand(plan, stop)]
        name, times = printable(point.name, "crew.points"), times_at(plan, from_m)
        yield _point(plan, name, from_m, None if point.out_of_reach else times, hand=hand) | {
            "way": printable(point.way, "crew.points"),
            "note": _note(point, is_empty=not hand),
            "next": "" if point.out_of_reach else _until_next(plan, from_m, until_m),
        }


def _note(point: CrewPoint, *, is_empty: bool) -> str:
    if point.out_of_reach:
        return say("Nobody gets there. Go on to the next place.")
    if point.allowed is None:
        return say("Ask the race if help is allowed here. If nobody knows, only cheer.")
    if not point.allowed:
        return say("The race allows no help here. Only cheer.")
    return say("Nothing is handed over here.") if is_empty else ""


def _until_next(plan: Plan, from_m: float, until_m: float) -> str:
    """Return what the runner eats of their own after a place and before the next one; no word of a drink."""
    eaten = [
        say("{what} ({where})", what=take_words(take, plan.case), where=_where(stop))
        for stop in plan.race.stops
        if from_m + AT_STATION_M < stop.at_m < until_m - AT_STATION_M
        for take in stop.takes
        if not is_fluid(take) and take.amount != "rinse"
    ]
    if not eaten:
        return ""
    things = listed(eaten)
    if until_m == plan.case.course.length_m:
        return say("Before the finish the runner eats: {things}.", things=things)
    return say("Before the next place the runner eats: {things}.", things=things)


def _where(stop: Stop) -> str:
    return printable(stop.station, "course.stations") or say("km {km}", km=km(stop.at_m))


def _point(
    plan: Plan, name: str, at_m: float, times: Range | None, *, hand: Sequence[dict[str, Any]] = ()
) -> dict[str, Any]:
    """Return a line of the table; `times` are early, goal and slow, in seconds from the own start."""
    moments = () if times is None else at_clock(plan, times.low, times.mid, times.high)
    shown = [wall_clock(moment) for moment in moments] or [""] * 3
    return {
        "name": name or say("On the course"),
        "km": say("km {km}", km=km(at_m)),
        "times": shown[:1] if plan.time_struck else shown,
        "hand": list(hand),
        "way": "",
        "note": "",
        "next": "",
    }


def _hand(plan: Plan, stop: Stop) -> list[dict[str, Any]]:
    return [_handed(take, plan) for take in stop.takes if take.got_from == "crew"]


def _handed(take: Take, plan: Plan) -> dict[str, Any]:
    words = take_words(take, plan.case)
    text = say("Hold out: {what}. Taken only if thirsty.", what=words) if is_fluid(take) else words
    return {"marks": marks_of(take), "text": text, "fluid": is_fluid(take)}


def _when_handing(plan: Plan) -> list[str]:
    missed = [f"{line.when} {line.then}" for line in map(if_then_words, plan.if_then[1:2])]
    return [
        say("Hold it out, say what it is, and let the runner decide."),
        *missed,
        say("Nobody came by the latest time? Ask the medics or the race office."),
    ]


def _otherwise(plan: Plan, scenarios: Scenarios | None) -> Iterator[dict[str, str]]:
    """Yield what a crew hands over where something is lost or a station is empty, as planned beforehand."""
    if not _crew_stops(plan):
        return
    for one in ahead_of(plan, scenarios, FOR_A_CREW):
        if isinstance(one, Scenario) and any(
            _handed_by_place(stops, one.from_m, plan) for stops in (plan.race.stops, one.stops)
        ):
            told = [*_handed_instead(plan, one)] or [say("Hand over as planned.")]
            asked = say(_HAPPENED[one.id], **one.title.facts)
            yield {"asked": asked, "then": " ".join([*told, say("Never two at once.")])}


def _handed_instead(plan: Plan, one: Scenario) -> Iterator[str]:
    """Yield what is handed over otherwise than planned, place by place."""
    planned, now = (_handed_by_place(stops, one.from_m, plan) for stops in (plan.race.stops, one.stops))
    for at_m in sorted({*planned, *now}):
        if planned.get(at_m) == now.get(at_m):
            continue
        place = _place_name(plan, at_m)
        if at_m in now:
            yield say("{place}: hand over {what}.", place=place, what=listed(now[at_m]))
        else:
            yield say("{place}: hand over nothing.", place=place)


def _handed_by_place(stops: Sequence[Stop], from_m: float, plan: Plan) -> dict[float, list[str]]:
    return {
        stop.at_m: [take_words(take, plan.case) for take in takes]
        for stop in stops
        if stop.at_m >= from_m and (takes := [take for take in stop.takes if take.got_from == "crew"])
    }


def _place_name(plan: Plan, at_m: float) -> str:
    case = plan.case
    here = [point for point in case.crew_points if abs(case.crew_place_m(point) - at_m) < AT_STATION_M]
    return printable(here[0].name, "crew.points") if here else say("km {km}", km=km(at_m))


def _never(plan: Plan) -> Iterator[str]:
    """Yield what no crew gives; what the athlete leaves out is named, with no reason.

    The first line covers what a withheld part leaves unsaid.
    """
    yield say("Anything that is not on this sheet.")
    if not {"caffeine", "fluid"} & set(plan.withheld):
        yield say("Coffee, cola or energy drinks, unless they are on it.")
    yield say("Food that the runner never tried in training.")
    yield say("More to drink than the runner asks for.")
    yield say("Pain tablets, or any other medicine.")
    for what in left_out(plan):
        yield say("Anything with {what}.", what=what)
    for item_id in plan.case.athlete.refused:
        item = plan.case.item(item_id)
        if item is not None:
            yield say(
                "{item}: the runner will not take it.", item=printable(named(item.name), "items").capitalize()
            )
