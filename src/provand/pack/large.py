"""Large print: the strip's lines and rules, then the night-before card, all of it at 18 points or more.

The words are those of the strip, the card and the night-before card; only their size is another.
"""

from __future__ import annotations

from typing import Any

from provand.pack.letters import printable
from provand.pack.night import night_data
from provand.pack.plain import call
from provand.pack.sheet import DRAFT_WORDS, INVENTED, common, own_start_words, texts
from provand.pack.tongue import named, say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import MARK_WORDS, kinds_of_mark, no_weights
from provand.pack.wrist import entries, rules
from provand.plan.document import Plan
from provand.plan.scenarios import Scenarios

LEAST_PT = 18
"""Large print begins here: common practice, no source."""


def large_print(
    plan: Plan, paper: Paper, *, scenarios: Scenarios | None = None, draft: bool = False
) -> bytes:
    """Return the sheets as a PDF; what is read while racing tells no weight to anybody."""
    data = large_data(plan, paper, scenarios=scenarios, draft=draft)
    no_weights(texts(data["race"]), "large.pdf")
    if "grams" in plan.withheld:
        no_weights(texts(data), "large.pdf")
    return pdf("large.typ", data)


def large_data(
    plan: Plan, paper: Paper, *, scenarios: Scenarios | None = None, draft: bool = False
) -> dict[str, Any]:
    """Return everything that the sheets print."""
    night = night_data(plan, paper, scenarios=scenarios, draft=draft)
    shared = common(plan, say("Large print"), paper, draft=draft)
    marked = [say(INVENTED)] if shared["invented"] else []
    counts = (
        say(DRAFT_WORDS) if draft else say("Only the copy with the code {code} counts.", code=shared["code"])
    )
    return shared | {
        "least_pt": LEAST_PT,
        "name": printable(plan.case.athlete.name, "athlete.name"),
        "race": _race(plan),
        "night": {key: night[key] for key in ("heading", "lay_out", "days", "asides", "ask")},
        "call": call(plan)["numbers"],
        "last": [*marked, shared["foot"], counts],
        "sheet": say("sheet"),
    }


def _race(plan: Plan) -> dict[str, Any]:
    legend = [{"mark": mark, "word": named(MARK_WORDS[mark])} for mark in kinds_of_mark(plan)]
    return {
        "heading": say("In the race"),
        "start": say("Your own start: {at}", at=own_start_words(plan, "–")),
        "rows": [
            {
                "when": f"{one.when} {one.unit}".strip(),
                "words": one.words,
                "place": one.place,
                "marks": one.marks,
            }
            for one in entries(plan)
        ],
        "nothing": say("Nothing to take in this race."),
        "rules": rules(plan),
        "marks": {"title": say("The marks"), "rows": legend},
    }
