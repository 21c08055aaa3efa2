"""One drawn case through the door, screening, planning, the gate and every writer: no Typst, no solver.

Where a PDF would be set, all that it would be set from is written in its place: words, names, pictures. So
each byte that could reach a sheet is there to be looked at.
"""

from __future__ import annotations

import json
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from random import Random
from typing import Any
from unittest import mock

from drawn_case import AS_OF, DrawnCase, drawn_case
from drawn_change import drawn_change
from drawn_health import DrawnHealth, drawn_health

from provand.case.case import Case
from provand.case.change import apply
from provand.case.door import case_of
from provand.case.health import Health, Part
from provand.case.typed import plain
from provand.case.walk import Walk
from provand.finding import BadInput, CannotWork, NoPlanFits, OnHold
from provand.pack import typeset
from provand.pack.pieces import HELD, RECORD
from provand.pack.typeset import Paper
from provand.pack.write import File, pack_files, safety_file
from provand.plan.difference import difference
from provand.plan.document import Cleared, Plan
from provand.plan.draw_up import draw_up
from provand.plan.protocols import protocols_of
from provand.plan.review import clear
from provand.safety.screening import Screening, screen

NODE_OF = 8
"""Every so-manyth node of a course is kept."""


@dataclass
class Outcome:
    """What became of one drawn case: how it ended, what was written, and what a late flag would do.

    `after` is the same once more after a change, with the difference in words among its files.
    """

    seed: int
    drawn: DrawnCase
    health: DrawnHealth
    withheld_too: tuple[Part, ...]
    paper: Paper | None
    end: str = "refused"
    codes: tuple[str, ...] = ()
    case: Case | None = None
    screening: Screening | None = None
    late: Screening | None = None
    plan: Plan | None = None
    forced: str = ""
    files: dict[str, bytes] = field(default_factory=dict)
    after: Outcome | None = None


@contextmanager
def told_not_set() -> Iterator[None]:
    """Write the data and pictures of a sheet where its PDF, or its picture, would stand."""

    def told(template: str, data: dict[str, Any], pictures: dict[str, str], **_: Any) -> bytes:
        return json.dumps([template, data, pictures], ensure_ascii=False).encode("utf-8")

    with mock.patch.object(typeset, "_set", told):
        yield


def drawn(seed: int) -> Outcome:
    """Draw the case of a seed, with its answers."""
    draw = Random(seed)
    case = drawn_case(draw)
    athlete = case.typed["athlete"]
    days = (case.typed["race"]["gun"].date() - AS_OF).days
    excludes = bool(athlete.get("allergens") or athlete.get("excluded"))
    health = drawn_health(draw, athlete["name"], athlete.get("born"), excludes=excludes, race_in_days=days)
    papers: list[Paper | None] = ["a4", "letter", None]
    paper = draw.choices(papers, [5, 4, 1])[0]
    parts: list[Part] = ["fluid", "fluid", "fructose", "loading", "caffeine", "sodium", "grams"]
    withheld = tuple(draw.sample(parts, draw.choice([1, 1, 2]))) if draw.random() < 0.2 else ()
    return Outcome(seed, case, health, withheld_too=withheld, paper=paper)


def health_of(typed: dict[str, Any] | None) -> Health | None:
    """Read answers as the door does."""
    if typed is None:
        return None
    walk = Walk()
    health = walk.record(Health, typed, "", "")
    walk.settle()
    return health


def screened(outcome: Outcome, typed: dict[str, Any] | None) -> Screening:
    """Screen, and withhold the drawn parts as well."""
    assert outcome.case is not None
    screening, _ = screen(outcome.case, health_of(typed), as_of=AS_OF)
    withheld = tuple(sorted({*screening.withheld, *outcome.withheld_too}))
    return screening.model_copy(update={"withheld": withheld})


def thinned(case: Case) -> Case:
    """Return a case with fewer nodes on its course, so that thousands of them take minutes and not hours."""
    course = case.course
    kept = [*range(0, len(course.x_m) - 1, NODE_OF), len(course.x_m) - 1]
    fewer = {name: tuple(getattr(course, name)[at] for at in kept) for name in ("x_m", "elevation_m")}
    return case.model_copy(update={"course": course.model_copy(update=fewer)})


def through(seed: int) -> Outcome:
    """Take the case of a seed all the way; a fault that nobody expected ends it as `crash`."""
    outcome = drawn(seed)
    taken(outcome)
    if outcome.plan is not None and seed % 4 == 0:
        outcome.after = changed(outcome)
    return outcome


def taken(outcome: Outcome) -> None:
    """Take an outcome from what is typed to what is handed out, and keep how it ended."""
    try:
        _issue(outcome)
    except (BadInput, NoPlanFits) as error:
        outcome.codes = tuple(finding.code for finding in error.findings)
    except CannotWork as error:
        outcome.end, outcome.codes = "stopped", tuple(finding.code for finding in error.findings)
    except Exception:
        outcome.end, outcome.codes = "crash", (traceback.format_exc(),)


def _issue(outcome: Outcome) -> None:
    beside = outcome.drawn.beside
    case = outcome.case = thinned(case_of(outcome.drawn.typed, beside=beside, as_of=AS_OF))
    screening = outcome.screening = screened(outcome, outcome.health.typed)
    if outcome.health.late is not None:
        outcome.late = screened(outcome, outcome.health.late)
    if not screening.may_issue:
        outcome.end = "held"
        outcome.files = {"safety.pdf": safety_file(case).data}
        if outcome.seed % 4 == 0:
            outcome.forced = _forced(case, screening)
        return
    try:
        plan = draw_up(case, screening, protocols=protocols_of(case, beside, as_of=AS_OF), as_of=AS_OF)
        cleared = clear(plan, case, screening)
    except OnHold as error:
        outcome.end, outcome.codes = "held", tuple(finding.code for finding in error.findings)
        outcome.files = {"safety.pdf": safety_file(case).data}
        return
    outcome.files = {file.name: file.data for file in every_file(cleared, outcome.paper)}
    outcome.end, outcome.plan = "issued", plan


def every_file(cleared: Cleared, paper: Paper | None) -> tuple[File, ...]:
    """Return all that could be handed out of a plan: each piece there is, ticked or not."""
    return pack_files(cleared, pieces=(RECORD.id, *HELD), paper=paper)


def _forced(case: Case, screening: Screening) -> str:
    """Say what comes of a plan that is drawn up and cleared although screening holds."""
    try:
        clear(draw_up(case, screening, as_of=AS_OF), case, screening)
    except (BadInput, NoPlanFits, OnHold) as error:
        return type(error).__name__
    return "cleared"


def changed(outcome: Outcome) -> Outcome | None:
    """Return the outcome after a change of the case, with the difference in words among its files."""
    assert outcome.plan is not None
    change = drawn_change(Random(outcome.seed), outcome.plan)
    case = case_of(outcome.drawn.typed, beside=outcome.drawn.beside, as_of=AS_OF)
    try:
        made = apply(change, outcome.drawn.typed, case, anchor=outcome.plan.race.intakes)
    except BadInput:
        return None
    typed = outcome.drawn._replace(typed=plain(made.typed), truth={})
    after = Outcome(outcome.seed, typed, outcome.health, outcome.withheld_too, outcome.paper)
    taken(after)
    if after.plan is not None:
        between = difference(outcome.plan, after.plan)
        after.files["difference.txt"] = "\n".join(between.for_holder()).encode("utf-8")
        after.files["difference.json"] = "\n".join(between.lines()).encode("utf-8")
    return after
