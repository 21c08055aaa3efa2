"""The plan as plain text: a message of at most 600 characters, and ordered text to be read out.

Both hold what the wrist strip and the card hold, and nothing in grams. Where a message has no room for every
line it says so and holds none: half a plan would look like a whole one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from provand.finding import CannotWork, Finding, catalogue, find
from provand.pack.letters import printable
from provand.pack.sheet import (
    DRAFT_WORDS,
    INVENTED,
    begun,
    cautions,
    foot,
    own_start,
    own_start_words,
)
from provand.pack.tongue import named, say, say_n
from provand.pack.voice import (
    day,
    has_unsaid_caffeine,
    is_fluid,
    km,
    no_weights,
    short_day,
    take_name,
    wall_clock,
)
from provand.pack.watch import alert_of, in_a_line
from provand.pack.wrist import Entry, entries, rules
from provand.phrase import to_say, trimmed_number
from provand.plan.document import Plan, Stop, Take
from provand.plan.withheld import WEIGHTS

MOST_LETTERS = 600
"""How long a message may be, in signs: the length asked of it, not that of any network."""
MOST_OF_A_NAME = 40
"""How much of a name stands in a message: our choice."""


def message(plan: Plan, *, draft: bool = False) -> bytes:
    """Return the plan as a message of at most 600 signs (UTF-8): places give way first, the intakes last."""
    for lines in _ways_to_tell(plan):
        told = "\n".join(_message(plan, lines, draft=draft)) + "\n"
        if len(told) <= MOST_LETTERS:
            no_weights([told], "message.txt")
            return told.encode("utf-8")
    raise CannotWork(find("pack.message_long", "message.txt", most=MOST_LETTERS))


def _ways_to_tell(plan: Plan) -> Iterator[list[str]]:
    """Yield the lines of intakes and rules, from the fullest way to the shortest."""
    listed, short = entries(plan), rules(plan, fewest_words=True)
    nothing = [] if listed else [say("Nothing to take in this race.")]
    alert = alert_of(plan)
    watch = [] if alert is None else [in_a_line(alert)]
    fewest = [short[0], short[-1]]
    for with_place, more in (
        (True, [*watch, *rules(plan)]),
        (True, [*watch, *short]),
        (True, short),
        (False, short),
        (True, fewest),
        (False, fewest),
    ):
        yield [*(_line(entry, with_place=with_place) for entry in listed), *nothing, *more]
    card = say("There is more to take than a message holds. Take the card that has the code below.")
    yield [card, short[0], short[-1]]
    yield [card, short[-1]]


def entry_words(entry: Entry) -> str:
    """Return what is taken, where no mark stands beside the words: caffeine is told by them."""
    return say("{take}, with caffeine", take=entry.words) if entry.has_unsaid_caffeine else entry.words


def _line(entry: Entry, *, with_place: bool) -> str:
    when, take = f"{entry.when} {entry.unit}".strip(), entry_words(entry)
    if with_place and entry.place:
        return say("{when} {take}, {place}", when=when, take=take, place=entry.place)
    return say("{when} {take}", when=when, take=take)


def _message(plan: Plan, lines: Sequence[str], *, draft: bool) -> Iterator[str]:
    case = plan.case
    race, athlete, maker = (
        _cut(printable(name, about))
        for name, about in (
            (case.race.name, "race.name"),
            (case.athlete.name, "athlete.name"),
            (case.practitioner.name, "practitioner.name"),
        )
    )
    start = own_start_words(plan, "–")
    on = short_day(case.race.gun.date())
    yield say("{race}, {day}, own start {start}", race=race, day=on, start=start)
    yield from lines
    if draft:
        yield say("For {athlete}, by {maker}. No medical advice.", athlete=athlete, maker=maker)
        yield say(DRAFT_WORDS)
    else:
        yield say(
            "For {athlete}, by {maker}. Only code {code} counts. No medical advice. Rehearse it first.",
            athlete=athlete,
            maker=maker,
            code=plan.code,
        )
    if case.invented:
        yield say("Invented example.")


def _cut(name: str) -> str:
    """Return a name as long as a message can bear, which is marked where it was cut."""
    return name if len(name) <= MOST_OF_A_NAME else f"{name[: MOST_OF_A_NAME - 1].rstrip()}…"


# To be read out.


def read_out(plan: Plan, *, draft: bool = False) -> bytes:
    """Return the race in order as text for a screen reader or a voice (UTF-8): no sign that is not read."""
    in_race = list(_in_race(plan))
    no_weights(in_race, "read-out.txt")
    told = "\n".join([*_whose(plan, draft=draft), "", *in_race, "", *_made_by(plan, draft=draft)])
    return f"{told}\n".encode()


def _whose(plan: Plan, *, draft: bool) -> Iterator[str]:
    case = plan.case
    yield say("Race plan for {athlete}.", athlete=printable(case.athlete.name, "athlete.name"))
    race = printable(case.race.name, "race.name")
    yield say("{race}, {day}.", race=race, day=day(case.race.gun.date()))
    first, last = map(wall_clock, own_start(plan))
    if first == last:
        yield say("You cross the start line at {start}.", start=first)
    else:
        yield say("You cross the start line between {first} and {last}.", first=first, last=last)
    if draft:
        yield say(DRAFT_WORDS)
    if case.invented:
        yield say(INVENTED)


def _in_race(plan: Plan) -> Iterator[str]:
    """Yield what is taken, the rules, and what the athlete should know."""
    yield say("What you take")
    stops = plan.race.stops
    if not stops:
        yield say("Nothing to take in this race.")
    elif not plan.time_struck:
        yield say("Times count from your own start, not from the gun.")
    for number, stop in enumerate(stops, 1):
        yield say(
            "Number {number} of {count}, {when}: {takes}.",
            number=number,
            count=len(stops),
            when=_when(stop, plan),
            takes=_takes(stop, plan),
        )
    if stops:
        yield say(
            "Eat nothing after kilometre {km}: it comes too late to help.", km=km(plan.race.closed_from_m)
        )
    yield ""
    yield say("Your rules")
    yield from rules(plan)
    known = things_to_know(plan)
    if known:
        yield ""
        yield say("What you should know")
        yield from known


def _made_by(plan: Plan, *, draft: bool) -> Iterator[str]:
    yield say("Who made this")
    yield foot(plan)
    if not draft:
        yield say("Only the copy with this code counts: {code}.", code=_spelled(plan.code))


def things_to_know(plan: Plan) -> list[str]:
    """Return what screening says to the athlete: the cautions that are no remark on the plan's making."""
    found = [finding for finding in cautions(plan) if finding.code.startswith("safety.")]
    told = [printable(begun(say(catalogue()[one.code].says, **_facts(one))), "plan") for one in found]
    return [text for text in told if not WEIGHTS.search(text)]


PARTS = (
    to_say("caffeine"),
    to_say("fluid"),
    to_say("fructose"),
    to_say("grams"),
    to_say("loading"),
    to_say("sodium"),
)
"""The parts that may be withheld, as a sentence names them."""


def _facts(finding: Finding) -> dict[str, Any]:
    """Return the facts of a finding, with the name of a part that is withheld in the language spoken."""
    return {name: named(str(fact)) if name == "part" else fact for name, fact in finding.facts.items()}


def _when(stop: Stop, plan: Plan) -> str:
    place, at = printable(stop.station, "course.stations"), km(stop.at_m)
    if plan.time_struck:
        if not place:
            return say("at kilometre {km}", km=at)
        return say("at kilometre {km}, {place}", km=at, place=place)
    time = spoken_time(stop.goal_s)
    if not place:
        return say("after {time}, at kilometre {km}", time=time, km=at)
    return say("after {time}, at kilometre {km}, {place}", time=time, km=at, place=place)


def spoken_time(elapsed_s: float) -> str:
    """Return an elapsed time as it is said: `1 hour 10 minutes`."""
    hours, minutes = divmod(int(elapsed_s / 60 + 0.5), 60)
    if not hours:
        return say_n("{n} minute", "{n} minutes", minutes)
    in_hours = say_n("{n} hour", "{n} hours", hours)
    if not minutes:
        return in_hours
    return say("{hours} {minutes}", hours=in_hours, minutes=say_n("{n} minute", "{n} minutes", minutes))


def _takes(stop: Stop, plan: Plan) -> str:
    said = [_take(take, plan) for take in sorted(stop.takes, key=is_fluid)]
    told = said[0]
    for more in said[1:]:
        told = say("{take}, then {more}", take=told, more=more)
    return say("{take}, with caffeine", take=told) if has_unsaid_caffeine(stop) else told


def _take(take: Take, plan: Plan) -> str:
    """Return what is taken in words that are read well: no ×, no ½."""
    name = take_name(take)
    poured = _WATER if take.texture == "water" else _POURED
    if take.amount in poured:
        return say(poured[take.amount], name=name)
    item = plan.case.item(take.item)
    parts = item.divides_into if item is not None else 1
    pieces = round(take.portion_frac * parts)
    if take.texture == "chew" and parts > 1:
        return say_n("one piece of {name}", "{n} pieces of {name}", pieces, name=name)
    if pieces == parts:
        return name
    if 2 * pieces == parts:
        return say("half of {name}", name=name)
    if pieces % parts:
        return say("{n} of {parts} parts of {name}", n=pieces, parts=parts, name=name)
    return say("{count} of {name}", count=trimmed_number(take.portion_frac, 3), name=name)


_POURED = {
    "rinse": to_say("rinse with {name}, spit out"),
    "cup": to_say("one cup of {name}"),
    "half": to_say("half a cup of {name}"),
    "mouthful": to_say("one mouthful of {name}"),
}
_WATER = {
    "rinse": to_say("rinse with water, spit out"),
    "cup": to_say("one cup of water"),
    "half": to_say("half a cup of water"),
    "mouthful": to_say("one mouthful of water"),
}


def _spelled(code: str) -> str:
    """Return a code letter by letter, with a pause where it has a dash: `A B C 1, D E F 2`."""
    return ", ".join(" ".join(part) for part in code.split("-"))
