"""One drawn case through the door, screening, planning, the gate and every writer: no Typst, no solver.

Where a PDF would be set, all that it would be set from is written in its place: words, names, pictures. So
each byte that could reach a sheet is there to be looked at.
"""

from __future__ import annotations

import json
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

from drawn_case import AS_OF, DrawnCase, drawn_case
from drawn_health import DrawnHealth, drawn_health

from provand.case.case import Case
from provand.case.door import case_of
from provand.case.health import Health
from provand.case.walk import Walk
from provand.finding import BadInput, CannotWork, NoPlanFits, OnHold
from provand.pack import typeset
from provand.pack.typeset import Paper
from provand.pack.write import write_pack, write_safety
from provand.plan.document import Cleared, Plan
from provand.plan.draw_up import draw_up
from provand.plan.review import clear
from provand.safety.flags import Part
from provand.safety.screening import Screening, screen

NODE_OF = 5
"""Every so-manyth node of a course is kept."""


@dataclass
class Outcome:
    """What became of one drawn case: how it ended, what was written, and what a late flag would do."""

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


@contextmanager
def told_not_set() -> Iterator[None]:
    """Write the data and pictures of a sheet where its PDF would stand."""

    def told(template: str, data: dict[str, Any], *, pictures: dict[str, str] | None = None) -> bytes:
        return json.dumps([template, data, pictures or {}], ensure_ascii=False).encode("utf-8")

    real = typeset.pdf
    setters = [
        module
        for name, module in sorted(sys.modules.items())
        if name.startswith("provand.pack") and getattr(module, "pdf", None) is real
    ]
    for module in setters:
        module.pdf = told  # type: ignore[attr-defined]
    try:
        yield
    finally:
        for module in setters:
            module.pdf = real  # type: ignore[attr-defined]


def no_file(name: str) -> bytes:
    raise AssertionError(f"no case here names a file, and {name} was asked for")


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
    parts: list[Part] = ["grams", "grams", "fluid", "fructose", "loading", "caffeine", "sodium"]
    withheld = tuple(draw.sample(parts, draw.choice([1, 1, 2]))) if draw.random() < 0.35 else ()
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


def through(seed: int, folder: Path) -> Outcome:
    """Take the case of a seed all the way; a fault that nobody expected ends it as `crash`."""
    outcome = drawn(seed)
    out = folder / str(seed)
    try:
        _issue(outcome, out)
    except (BadInput, NoPlanFits) as error:
        outcome.codes = tuple(finding.code for finding in error.findings)
    except CannotWork as error:
        outcome.end, outcome.codes = "stopped", tuple(finding.code for finding in error.findings)
    except Exception:
        outcome.end, outcome.codes = "crash", (traceback.format_exc(),)
    if out.exists():
        outcome.files = {path.name: path.read_bytes() for path in sorted(out.iterdir())}
    return outcome


def thinned(case: Case) -> Case:
    """Return a case with fewer nodes on its course, so that thousands of them take minutes and not hours."""
    course = case.course
    kept = [*range(0, len(course.x_m) - 1, NODE_OF), len(course.x_m) - 1]
    fewer = {name: tuple(getattr(course, name)[at] for at in kept) for name in ("x_m", "elevation_m")}
    return case.model_copy(update={"course": course.model_copy(update=fewer)})


def _issue(outcome: Outcome, out: Path) -> None:
    case = outcome.case = thinned(case_of(outcome.drawn.typed, beside=no_file, as_of=AS_OF))
    screening = outcome.screening = screened(outcome, outcome.health.typed)
    if outcome.health.late is not None:
        outcome.late = screened(outcome, outcome.health.late)
    if not screening.may_issue:
        outcome.end = "held"
        write_safety(case, out)
        if outcome.seed % 4 == 0:
            outcome.forced = _forced(case, screening)
        return
    try:
        plan = draw_up(case, screening, as_of=AS_OF)
        cleared: Cleared = clear(plan, case, screening)
    except OnHold as error:
        outcome.end, outcome.codes = "held", tuple(finding.code for finding in error.findings)
        write_safety(case, out)
        return
    write_pack(cleared, out, paper=outcome.paper)
    outcome.end, outcome.plan = "issued", plan


def _forced(case: Case, screening: Screening) -> str:
    """Say what comes of a plan that is drawn up and cleared although screening holds."""
    try:
        clear(draw_up(case, screening, as_of=AS_OF), case, screening)
    except (BadInput, NoPlanFits, OnHold) as error:
        return type(error).__name__
    return "cleared"
