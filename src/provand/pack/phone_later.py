"""A later start on the page for the phone: every answer stands in the page, and a style sheet shows one.

Nothing is computed there. What was eaten and drunk is asked first; what was taken is in no list shown.
Answers that come to the same show the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple
from xml.etree.ElementTree import Element, tostring

from provand.pack.hypertext import h
from provand.pack.letters import printable
from provand.pack.night import Rung, morning
from provand.pack.phone_parts import in_race, in_race_words, ladder, rule_list
from provand.pack.plain import thirst, whom_to_ask
from provand.pack.sheet import own_start_words
from provand.pack.tongue import say
from provand.pack.voice import no_weights
from provand.pack.wrist import rules
from provand.plan.delays import Caffeine, Delays, LaterStart
from provand.plan.document import Plan

Answers = tuple[int, int, int]
"""The numbers of the answers: how late, what was eaten, which caffeine."""


class Part(NamedTuple):
    """A part of the page that some answers show: the start and the way to it, or the race."""

    kind: str
    answers: tuple[Answers, ...]
    shown: tuple[Element, ...]


def questions(plan: Plan, later: Delays) -> Element:
    """Return the questions: what was eaten, which caffeine, how much later."""
    return h(
        "details",
        h("summary", say("Is your start later?")),
        h(
            "p",
            say("This phone is too old to show a later start. Ask {maker}.", maker=whom_to_ask(plan)["name"]),
            cls="no-has",
        ),
        h("form", *_questions(plan, later), autocomplete="off", cls="asks"),
        id="later",
    )


def _questions(plan: Plan, later: Delays) -> Iterator[Element]:
    if later.carried:
        eaten = [
            say("Nothing"),
            *(say("One {item}", item=printable(one.name, "items")) for one in later.carried),
        ]
        yield _choice("e", say("What have you eaten since breakfast?"), eaten)
    if len(later.caffeine) > 1:
        had = {
            "none": say("None"),
            "usual": say("My usual coffee, no more"),
            "more": say("More, or I do not know"),
        }
        yield _choice(
            "c", say("Which other caffeine have you had today?"), [had[one] for one in later.caffeine]
        )
    waits = [say("On time"), *(say("{n} min", n=minutes) for minutes in _waits(later))]
    yield _choice("d", say("How much later do you start?"), waits, chosen=0)
    ask = whom_to_ask(plan)
    asking = say(
        "Later still, or something else eaten? This page cannot tell. Ask {maker}.", maker=ask["name"]
    )
    yield h("p", asking)
    if ask["contact"]:
        yield h("p", ask["contact"])


def _choice(name: str, asked: str, answers: list[str], *, chosen: int | None = None) -> Element:
    made = []
    for number, answer in enumerate(answers):
        ticked = {"checked": "checked"} if number == chosen else {}
        late = {"cls": "late"} if name == "d" and number else {"cls": f"{name}-said"}
        box = h("input", type="radio", name=name, id=f"{name}{number}", value=str(number), **late, **ticked)
        made.append(h("label", box, f" {answer}", for_=f"{name}{number}"))
    return h("fieldset", h("legend", asked), *made)


def _waits(later: Delays) -> list[int]:
    return sorted({*(one.later_min for one in later.starts), *(one.later_min for one in later.without)})


def _needed(later: Delays) -> list[str]:
    """Return which questions must be answered before anything is shown."""
    return [*(["e"] if later.carried else []), *(["c"] if len(later.caffeine) > 1 else [])]


def parts(plan: Plan, later: Delays) -> tuple[Part, ...]:
    """Return every part that answers may show, starts before races; CannotWork where one tells a weight.

    A race with nothing to show is the one on the strip in people's hands.
    """
    eaten = ["", *(one.item for one in later.carried)]
    found: dict[tuple[str, ...], Part] = {}
    for number, minutes in enumerate(_waits(later), 1):
        for e, item in enumerate(eaten):
            for c, caffeine in enumerate(later.caffeine):
                for part in _parts(plan, later, minutes, item, caffeine):
                    key = (part.kind, *(tostring(one, encoding="unicode") for one in part.shown))
                    answers = (*(found[key].answers if key in found else ()), (number, e, c))
                    found[key] = part._replace(answers=answers)
    return tuple(sorted(found.values(), key=lambda part: part.kind != "start"))


def _parts(plan: Plan, later: Delays, minutes: int, eaten: str, caffeine: Caffeine) -> Iterator[Part]:
    start = later.start(minutes, eaten=eaten, caffeine=caffeine)
    if start is None:
        yield Part("start", (), tuple(_without(plan, minutes)))
        return
    then = _as_later(plan, start)
    no_weights(in_race_words(then), "phone.html")
    in_hand = start.as_in_hand and start.time_struck == plan.time_struck
    yield Part("start", (), tuple(_start(then, minutes, in_hand=in_hand, was_struck=plan.time_struck)))
    yield Part("race", (), () if in_hand else tuple(_race(then)))


def _as_later(plan: Plan, start: LaterStart) -> Plan:
    """Return the plan as it is told for a later start: its clock, the way to the start, its race."""
    case = plan.case
    race = plan.race.model_copy(
        update={"stops": start.stops, "drinking": start.drinking, "rinses_m": start.rinses_m}
    )
    return plan.model_copy(
        update={
            "case": case.model_copy(update={"race": case.race.model_copy(update={"gun": start.gun})}),
            "race": race,
            "morning": start.before,
            "time_struck": start.time_struck,
        }
    )


def _start(then: Plan, minutes: int, *, in_hand: bool, was_struck: bool) -> Iterator[Element]:
    yield h("h2", say("{n} min later: you start at {start}", n=minutes, start=own_start_words(then, "–")))
    if in_hand:
        yield h("p", say("Your strip and card still hold. Only the clock has moved."))
    else:
        yield h("p", h("strong", say("Your strip and card do not hold any more. Follow this page.")))
    if then.time_struck and not was_struck:
        yield h("p", say("It is warmer by then: go by places, not by times, and start slower."))
    yield h("h3", say("Before the start"))
    yield ladder([rung if in_hand else _by_this_page(rung) for rung in morning(then)])


def _by_this_page(rung: Rung) -> Rung:
    """Return a line of the morning; at the start it is this page that counts from then on."""
    if rung.kind != "start":
        return rung
    return rung._replace(says=((say("Start your watch here. From now on this page counts."), False),))


def _race(then: Plan) -> Iterator[Element]:
    *told, _ = rules(then)
    yield h("h2", say("In the race, with your later start"))
    yield from in_race(then)
    yield h("h3", say("Your rules"))
    yield rule_list(told)


def _without(plan: Plan, minutes: int) -> Iterator[Element]:
    ask = whom_to_ask(plan)
    yield h("h2", say("{n} min later: nothing was planned", n=minutes))
    yield h("p", h("strong", say("Your strip and card do not hold. Ask {maker}.", maker=ask["name"])))
    if ask["contact"]:
        yield h("p", ask["contact"])
    yield h("p", h("em", thirst()))


def asked_for(plan: Plan, later: Delays) -> Iterator[Element]:
    """Yield what is said aloud, what asks for the answers that are missing, and every part."""
    yield h("p", cls="hidden-words", id="said", role="status")
    if _needed(later):
        title = h("h2", say("One more answer is needed"), id="more")
        first = say("Answer the questions over this one first. What was taken is not planned again.")
        yield h("section", title, h("p", first), cls="ask", aria_labelledby="more")
    for number, part in enumerate(parts(plan, later)):
        if part.shown:
            part.shown[0].set("id", f"t{number}")
            yield h("section", *part.shown, cls="state", id=f"s{number}", aria_labelledby=f"t{number}")


def shown_when(plan: Plan, later: Delays) -> str:
    """Return the rules of style that show what each set of answers comes to, and hide what it replaces."""
    needed = _needed(later)
    late = "body:has(.late:checked)"
    lines = [f"{late} .base, {late} .base-start {{ display: none; }}"]
    if needed:
        missing = ", ".join(f"{late}:not(:has(.{name}-said:checked)) .ask" for name in needed)
        lines.append(f"{missing} {{ display: block; }}")
    for number, part in enumerate(parts(plan, later)):
        target = f"#s{number}" if part.shown else ".in-hand"
        ways = ",".join(f"{_chosen(answers, needed)} {target}" for answers in part.answers)
        lines.append(f"{ways} {{ display: block; }}")
    return "\n".join(lines)


def _chosen(answers: Answers, needed: list[str]) -> str:
    wait, eaten, caffeine = answers
    numbers = {"e": eaten, "c": caffeine}
    ticked = [f"d{wait}", *(f"{name}{numbers[name]}" for name in needed)]
    return "body" + "".join(f":has(#{name}:checked)" for name in ticked)
