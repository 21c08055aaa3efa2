"""The page for the phone: the plan at a glance in one file that loads nothing and works without a network.

It computes nothing. What it holds of a later start was planned beforehand; its one script compares the clock
with the day on which the page ends, and says aloud what was chosen. The letters are those of the phone: they
know every script, weigh nothing, and nobody measures a page by them.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from importlib.resources import files
from xml.etree.ElementTree import Element

from provand.pack.hypertext import Node, h, page, policy, tokens, written_in
from provand.pack.letters import printable
from provand.pack.message import entry_words, things_to_know
from provand.pack.night import Rung, morning
from provand.pack.plain import (
    BEFORE_AND_AFTER,
    GO_TO_MEDICS,
    IN_TROUBLE,
    STOP_AT_ONCE,
    of_safety_page,
    thirst,
    whom_to_ask,
)
from provand.pack.sheet import DRAFT_WORDS, INVENTED, finish, foot, own_start, own_start_words
from provand.pack.svg import DARK, LIGHT
from provand.pack.tongue import say, spoken
from provand.pack.voice import FLUID, day, km, no_weights, wall_clock
from provand.pack.wrist import Entry, entries, rules
from provand.plan.document import Plan
from provand.planner.if_then import EMERGENCY

JOINT = " + "
"""What stands between things taken at one place."""
LONGEST_WAIT = timedelta(minutes=120)
"""The latest start that the page may know of."""


def phone_page(plan: Plan, *, draft: bool = False) -> bytes:
    """Return the page (HTML, UTF-8)."""
    no_weights(_in_race_words(plan), "phone.html")
    style = written_in(_style())
    script = written_in(_text_of("phone.js"))
    return page(
        _head(plan, policy(style, script), style.text),
        _body(plan, script.text, draft=draft),
        language=spoken().tag,
        data_until=ends_at(plan).isoformat(),
    )


def ends_at(plan: Plan) -> datetime:
    """Return when the page ends: the first moment of the day after the race, at its slowest and latest."""
    last, times = own_start(plan)[1], finish(plan)
    over = last + LONGEST_WAIT + timedelta(seconds=times.high if times else 0)
    return (over + timedelta(days=1)).replace(hour=0, minute=0, second=0, microsecond=0)


def _in_race_words(plan: Plan) -> Iterator[str]:
    for entry in entries(plan):
        yield f"{entry.when} {entry.words} {entry.place}"
    yield from rules(plan)


def _text_of(name: str) -> str:
    return files("provand.pack").joinpath("templates", name).read_text("utf-8").strip()


def _style() -> str:
    dark = f"@media (prefers-color-scheme: dark) {{ :root {{ {tokens(DARK)} }} }}"
    return f":root {{ {tokens(LIGHT)} }}\n{dark}\n{_text_of('phone.css')}"


def _head(plan: Plan, allowed: str, style: str) -> Iterator[Node]:
    yield h("meta", charset="utf-8")
    yield h("meta", http_equiv="Content-Security-Policy", content=allowed)
    yield h("meta", name="viewport", content="width=device-width, initial-scale=1")
    yield h("meta", name="color-scheme", content="light dark")
    yield h("meta", name="referrer", content="no-referrer")
    yield h("meta", name="robots", content="noindex")
    yield h("title", _title(plan))
    yield h("style", style)


def _title(plan: Plan) -> str:
    athlete, race = (
        printable(plan.case.athlete.name, "athlete.name"),
        printable(plan.case.race.name, "race.name"),
    )
    return say("Race plan for {athlete}, {race}", athlete=athlete, race=race)


def _body(plan: Plan, script: str, *, draft: bool) -> Element:
    return h(
        "body",
        h("header", *_top(plan, draft=draft)),
        h(
            "main",
            _over(plan),
            h("div", _later(plan), _morning(plan), _race(plan), _rules(plan), _to_know(plan), cls="counts"),
            *_safety(plan),
            _about(plan, draft=draft),
        ),
        h("script", script),
    )


def _top(plan: Plan, *, draft: bool) -> Iterator[Node]:
    case = plan.case
    yield h("h1", printable(case.race.name, "race.name"))
    yield h(
        "p", printable(case.athlete.name, "athlete.name"), ", ", day(own_start(plan)[0].date()), cls="quiet"
    )
    if draft:
        yield h("p", say(DRAFT_WORDS), cls="mark")
    if case.invented:
        yield h("p", say(INVENTED), cls="mark")
    yield h(
        "dl",
        h("div", h("dt", say("Your own start")), h("dd", own_start_words(plan, "–")), cls="base-start"),
        h("div", h("dt", say("Code")), h("dd", say("draft") if draft else plan.code)),
        cls="box",
    )


def _section(name: str, title: str, *children: Node | None, cls: str = "") -> Element:
    return h("section", h("h2", title, id=name), *children, cls=cls, aria_labelledby=name)


def _over(plan: Plan) -> Element:
    return _section(
        "over",
        say("This plan no longer counts"),
        h("p", say("It was for {day}. Follow none of it.", day=day(own_start(plan)[0].date()))),
        h("p", say("What stands below about your health still holds.")),
        cls="over",
    )


def _later(plan: Plan) -> Element:
    ask = whom_to_ask(plan)
    return h(
        "details",
        h("summary", say("Is your start later?")),
        h("p", say("Then the times below do not hold. Ask {maker} for a new plan.", maker=ask["name"])),
        h("p", ask["contact"]) if ask["contact"] else None,
    )


def _morning(plan: Plan) -> Element:
    return _section("morning", say("Before the start"), _ladder(morning(plan)), cls="base")


def _ladder(rungs: list[Rung]) -> Element:
    made = []
    for rung in rungs:
        at = wall_clock(rung.at) if rung.at is not None else ""
        told = [h("p", _sentences(rung))] if rung.says else []
        made.append(h("li", h("span", at, cls="at"), h("div", h("strong", rung.title), *told), cls=rung.kind))
    return h("ol", *made, cls="ladder")


def _sentences(rung: Rung) -> Element:
    parts: list[Node] = []
    for text, fluid in rung.says:
        parts += [" "] if parts else []
        parts.append(h("em", text) if fluid else text)
    return h("span", *parts)


def _race(plan: Plan) -> Element:
    return _section("race", say("In the race"), *in_race(plan), cls="base")


def in_race(plan: Plan) -> Iterator[Element]:
    """Yield what is taken in the race, as the strip has it."""
    listed = entries(plan)
    if not listed:
        yield h("p", say("Nothing to take in this race."))
        return
    if not plan.time_struck:
        yield h("p", say("Times count from your own start, not from the gun."), cls="quiet")
    rows = []
    for entry in listed:
        place = h("p", entry.place, cls="quiet") if entry.place else None
        when = f"{entry.when} {entry.unit}".strip()
        rows.append(h("li", h("span", when, cls="at"), h("div", h("strong", *_taken(entry)), place)))
    yield h("ol", *rows, cls="ladder race")
    last = km(plan.race.closed_from_m)
    yield h("p", say("Eat nothing after kilometre {km}: it comes too late to help.", km=last))


def _taken(entry: Entry) -> Iterator[Node]:
    """Yield the words of an entry; what is drunk stands in italics."""
    for number, part in enumerate(entry_words(entry).split(JOINT)):
        if number:
            yield JOINT
        yield h("em", part) if FLUID.search(part) else part


def _rules(plan: Plan) -> Element:
    *told, _ = rules(plan)
    return _section("rules", say("Your rules"), rule_list(told), cls="base")


def rule_list(told: list[str]) -> Element:
    """Return the rules of the race; those about fluid stand in italics."""
    return h("ul", *(h("li", h("em", text) if FLUID.search(text) else text) for text in told))


def _to_know(plan: Plan) -> Element | None:
    known = [text for text in things_to_know(plan) if text.strip() != thirst()]
    return _section("know", say("What you should know"), rule_list(known)) if known else None


def _safety(plan: Plan) -> Iterator[Element]:
    """Yield what never ends: the emergency, the signs, thirst."""
    yield _section("emergency", say("Emergency"), h("p", h("strong", say(EMERGENCY))), cls="alarm")
    for name, title in (("medics", GO_TO_MEDICS), ("stop", STOP_AT_ONCE), ("trouble", IN_TROUBLE)):
        yield _section(name, say(title), rule_list(list(of_safety_page(title))))
    yield _section("thirst", say("Thirst"), h("p", h("em", thirst())))
    yield _section("after", say(BEFORE_AND_AFTER), rule_list(list(of_safety_page(BEFORE_AND_AFTER))))


def _about(plan: Plan, *, draft: bool) -> Element:
    ask, until = whom_to_ask(plan), ends_at(plan)
    told = [say("This copy cannot be taken back. Before the race, ask whether it still counts.")]
    if not draft:
        told.append(say("Say the code {code} to {maker}.", code=plan.code, maker=ask["name"]))
    told += [ask["contact"]] if ask["contact"] else []
    told.append(say("It stops counting on {day}.", day=day(until.date())))
    told.append(foot(plan))
    return _section("copy", say("About this copy"), *(h("p", text) for text in told), cls="quiet")
