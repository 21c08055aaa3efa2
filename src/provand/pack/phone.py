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
from provand.pack.message import things_to_know
from provand.pack.night import morning
from provand.pack.otherwise import ahead_of, asked_and_then, schedule_words
from provand.pack.phone_later import asked_for, questions, shown_when
from provand.pack.phone_parts import in_race, in_race_words, ladder, rule_list, section
from provand.pack.plain import (
    BEFORE_AND_AFTER,
    GO_TO_MEDICS,
    IN_TROUBLE,
    STOP_AT_ONCE,
    medics,
    of_safety_page,
    thirst,
    whom_to_ask,
)
from provand.pack.sheet import DRAFT_WORDS, INVENTED, finish, foot, own_start, own_start_words
from provand.pack.svg import DARK, LIGHT
from provand.pack.tongue import listed, say, spoken
from provand.pack.voice import day, no_weights
from provand.pack.wrist import rules
from provand.plan.delays import DELAYS_MIN, Delays
from provand.plan.document import Plan
from provand.plan.scenarios import NoScenario, Scenario, ScenarioId, Scenarios
from provand.planner.if_then import EMERGENCY

ON_THE_PHONE: tuple[ScenarioId, ...] = ("lost", "empty", "hotter")
LONGEST_WAIT = timedelta(minutes=DELAYS_MIN[-1])
"""The latest start that the page can know of."""


def phone_page(
    plan: Plan, later: Delays | None = None, scenarios: Scenarios | None = None, *, draft: bool = False
) -> bytes:
    """Return the page (HTML, UTF-8), with what becomes of a later start, or if things go otherwise.

    Both only where they were planned beforehand. Raises CannotWork where a weight would be read in the race,
    ValueError for delays or scenarios of another plan.
    """
    if later is not None and later.plan != plan.code:
        raise ValueError(f"the later starts are those of {later.plan}, not of {plan.code}")
    otherwise = _otherwise(plan, scenarios)
    no_weights((*in_race_words(plan), *(otherwise.itertext() if otherwise else ())), "phone.html")
    style = written_in(_style(plan, later))
    script = written_in(_text_of("phone.js"))
    return page(
        _head(plan, policy(style, script), style.text),
        _body(plan, later, otherwise, script.text, draft=draft),
        language=spoken().tag,
        **({"dir": "rtl"} if spoken().is_leftward else {}),
        data_until=ends_at(plan).isoformat(),
    )


def ends_at(plan: Plan) -> datetime:
    """Return when the page ends: the first moment of the day after the race, at its slowest and latest."""
    last, times = own_start(plan)[1], finish(plan)
    over = last + LONGEST_WAIT + timedelta(seconds=times.high if times else 0)
    return (over + timedelta(days=1)).replace(hour=0, minute=0, second=0, microsecond=0)


def _text_of(name: str) -> str:
    return files("provand.pack").joinpath("templates", name).read_text("utf-8").strip()


def _style(plan: Plan, later: Delays | None) -> str:
    dark = f"@media (prefers-color-scheme: dark) {{ :root {{ {tokens(DARK)} }} }}"
    switches = "" if later is None else shown_when(plan, later)
    return f":root {{ {tokens(LIGHT)} }}\n{dark}\n{_text_of('phone.css')}\n{switches}"


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


def _body(
    plan: Plan, later: Delays | None, otherwise: Element | None, script: str, *, draft: bool
) -> Element:
    return h(
        "body",
        h("header", *_top(plan, draft=draft)),
        h(
            "main",
            _over(plan),
            h(
                "div",
                *_later(plan, later),
                _morning(plan),
                _race(plan),
                _rules(plan),
                otherwise,
                _to_know(plan),
                cls="counts",
            ),
            *_safety(plan),
            _about(plan, draft=draft),
        ),
        h("script", script),
    )


def _top(plan: Plan, *, draft: bool) -> Iterator[Node]:
    case = plan.case
    yield h("h1", printable(case.race.name, "race.name"))
    name = printable(case.athlete.name, "athlete.name")
    yield h("p", listed((name, day(own_start(plan)[0].date()))), cls="quiet")
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


def _over(plan: Plan) -> Element:
    return section(
        "over",
        say("This plan no longer counts"),
        h("p", say("It was for {day}. Follow none of it.", day=day(own_start(plan)[0].date()))),
        h("p", say("What stands below about your health still holds.")),
        cls="over",
    )


def _later(plan: Plan, later: Delays | None) -> Iterator[Element]:
    """Yield what a later start comes to, or whom to ask where nothing of it was planned."""
    if later is not None:
        yield questions(plan, later)
        yield from asked_for(plan, later)
        return
    ask = whom_to_ask(plan)
    yield h(
        "details",
        h("summary", say("Is your start later?")),
        h("p", say("Then the times below do not hold. Ask {maker} for a new plan.", maker=ask["name"])),
        h("p", ask["contact"]) if ask["contact"] else None,
    )


def _morning(plan: Plan) -> Element:
    return section("morning", say("Before the start"), ladder(morning(plan)), cls="base")


def _race(plan: Plan) -> Element:
    return section("race", say("In the race"), *in_race(plan), cls="base in-hand")


def _rules(plan: Plan) -> Element:
    *told, _ = rules(plan)
    return section("rules", say("Your rules"), rule_list(told), cls="base in-hand")


def _otherwise(plan: Plan, scenarios: Scenarios | None) -> Element | None:
    """Return what to do if things go otherwise, folded; a later start has its own place on the page."""
    found = ahead_of(plan, scenarios, ON_THE_PHONE)
    if not found:
        return None
    told = [part for one in found for part in _one_otherwise(plan, one)]
    return h("details", h("summary", say("If things go otherwise")), *told, cls="base")


def _one_otherwise(plan: Plan, one: Scenario | NoScenario) -> Iterator[Element]:
    asked, then, by_list = asked_and_then(one)
    yield h("p", h("strong", asked), f" {then}")
    if by_list and isinstance(one, Scenario):
        yield h("p", say("Then go by this list:"))
        yield rule_list(list(schedule_words(plan, one)))


def _to_know(plan: Plan) -> Element | None:
    known = [text for text in things_to_know(plan) if text.strip() != thirst()]
    return section("know", say("What you should know"), rule_list(known)) if known else None


def _safety(plan: Plan) -> Iterator[Element]:
    """Yield what never ends: the emergency, the signs, thirst."""
    yield section(
        "emergency", say("Emergency"), h("p", h("strong", say(EMERGENCY))), _medics(plan), cls="alarm"
    )
    for name, title in (("medics", GO_TO_MEDICS), ("stop", STOP_AT_ONCE), ("trouble", IN_TROUBLE)):
        yield section(name, say(title), rule_list(list(of_safety_page(title))))
    yield section("thirst", say("Thirst"), h("p", h("em", thirst())))
    yield section("after", say(BEFORE_AND_AFTER), rule_list(list(of_safety_page(BEFORE_AND_AFTER))))


def _medics(plan: Plan) -> Element | None:
    """Return the number of the event's medics, to be dialled by a touch; nothing where nobody gave one."""
    one = medics(plan.case.race.medics_phone)
    if not one["value"]:
        return None
    dialled = "".join(sign for sign in one["value"] if sign.isdigit() or sign == "+")
    number = h("a", one["value"], href=f"tel:{dialled}", dir="ltr", cls="number")
    return h("p", f"{one['leads']} ", number)


def _about(plan: Plan, *, draft: bool) -> Element:
    ask, until = whom_to_ask(plan), ends_at(plan)
    told = [say("This copy cannot be taken back. Before the race, ask whether it still counts.")]
    if not draft:
        told.append(say("Say the code {code} to {maker}.", code=plan.code, maker=ask["name"]))
    told += [ask["contact"]] if ask["contact"] else []
    told.append(say("It stops counting on {day}.", day=day(until.date())))
    told.append(foot(plan))
    return section("copy", say("About this copy"), *(h("p", text) for text in told), cls="quiet")
