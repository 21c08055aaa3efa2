"""Sentences that several pieces share: from the safety page, from screening, and how to ask."""

from __future__ import annotations

from provand.finding import catalogue
from provand.pack.letters import printable
from provand.pack.tongue import say
from provand.plan.document import Plan
from provand.safety.page import safety_sentences

GO_TO_MEDICS = "Go to the medics if"
STOP_AT_ONCE = "Stop at once and get help if"
IN_TROUBLE = "When a runner is in trouble"
BEFORE_AND_AFTER = "Before and after"


def of_safety_page(title: str) -> tuple[str, ...]:
    """Return the lines under a heading of the safety page; KeyError where it has no such heading."""
    sections = {section.title: section.says for section in safety_sentences()}
    return tuple(say(line) for line in sections[title])


def danger(title: str) -> dict[str, object]:
    """Return a heading of the safety page and its lines, for a template."""
    return {"title": say(title), "says": list(of_safety_page(title))}


def thirst() -> str:
    """Return the sentence about thirst outside a race: it never orders and never forbids."""
    return say(catalogue()["safety.thirst_leads"].says)


def whom_to_ask(plan: Plan) -> dict[str, str]:
    """Return who made the plan and how to reach them; no contact where none is known."""
    practitioner = plan.case.practitioner
    return {
        "name": printable(practitioner.name, "practitioner.name"),
        "contact": printable(practitioner.contact, "practitioner.contact"),
    }
