"""Parts of the page for the phone: a ladder of the morning, the intakes of a race, its rules."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from provand.pack.hypertext import Node, h
from provand.pack.message import entry_words
from provand.pack.night import Rung
from provand.pack.tongue import say
from provand.pack.voice import FLUID, km, wall_clock
from provand.pack.wrist import Entry, entries, rules
from provand.plan.document import Plan

JOINT = " + "
"""What stands between things taken at one place."""


def section(name: str, title: str, *children: Node | None, cls: str = "") -> Element:
    """Return a part of the page under a heading that names it."""
    return h("section", h("h2", title, id=name), *children, cls=cls, aria_labelledby=name)


def in_race_words(plan: Plan) -> Iterator[str]:
    """Yield what is read while racing, where no weight may stand."""
    for entry in entries(plan):
        yield f"{entry.when} {entry.words} {entry.place}"
    yield from rules(plan)


def ladder(rungs: list[Rung]) -> Element:
    """Return the lines of a morning by the clock."""
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


def rule_list(told: list[str]) -> Element:
    """Return the rules of the race; those about fluid stand in italics."""
    return h("ul", *(h("li", h("em", text) if FLUID.search(text) else text) for text in told))
