"""Two versions of a plan beside each other, as their page shows them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from provand.figure import Figure
from provand.finding import BadInput, find
from provand.pack.sheet import KEY_FIGURES, unit_words
from provand.pack.svg import written
from provand.pack.two_strips import numbers_of, two_strips, words_of
from provand.pack.two_turned import two_turned
from provand.pack.voice import km, short_day
from provand.pack.withheld import hides
from provand.plan.difference import Difference, difference
from provand.plan.document import Plan, read_plan
from provand.plan.moves import Eaten, Reader, pairs_between
from provand.units import clock, shown
from provand.workspace import access
from provand.workspace.models import Desk

CEILING = "ceiling.fluid_ml_per_race"


class Version(NamedTuple):
    """One version of a plan: its number, the plan, and whether it was issued."""

    n: int
    plan: Plan
    state: str

    @property
    def name(self) -> str:
        return f"version {self.n}"


def issued(desk: Desk, n: int) -> Version | None:
    """Return the issue of that number of a race file's race, or None."""
    found = access.issues().filter(race=desk.race, n=n).first() if desk.race else None
    if found is None:
        return None
    state = "withdrawn" if hasattr(found, "withdrawal") else f"issued {short_day(found.audit.at.date())}"
    return Version(n, read_plan(found.plan.text.encode("utf-8"), found.plan.code), state)


def next_number(desk: Desk) -> int:
    """Return the number that the plan as it stands would be issued under."""
    last = access.last_issue(desk.race) if desk.race else None
    return last.n + 1 if last else 1


class Told(NamedTuple):
    """One sentence of the difference, numbered where the strip has a lozenge for it."""

    number: int
    says: str


class Line(NamedTuple):
    """One line of both schedules in words: what it is called, as it was, as it is, what became of it."""

    number: int
    words: str
    was: str
    now: str
    kind: str


class Compared(NamedTuple):
    """One figure of both versions."""

    name: str
    unit: str
    was: str
    now: str
    differs: str
    fluid: bool


class Between(NamedTuple):
    """Everything that the page of two versions shows."""

    was: Version
    now: Version
    strip: str
    turned: str
    causes: tuple[str, ...]
    told: tuple[Told, ...]
    lines: tuple[Line, ...]
    figures: tuple[Compared, ...]
    more: int
    ceiling_rises: bool


def between(was: Version, now: Version) -> Between:
    """Return two versions beside each other; BadInput where they are of two athletes or two races."""
    if was.n == now.n:
        raise BadInput(find("workspace.same_version", str(was.n)))
    found = difference(was.plan, now.plan)
    parts = frozenset(was.plan.withheld) | frozenset(now.plan.withheld)
    pairs = pairs_between(was.plan, now.plan, parts)
    reader = Reader(parts, timed=not (was.plan.time_struck or now.plan.time_struck))
    kinds = {"taken out": "out", "added": "new"}
    lines = [
        Line(
            number,
            words_of(pair, reader),
            _place(pair.was, reader),
            _place(pair.now, reader),
            kinds.get(pair.move.kind, pair.move.kind) if pair.move else "kept",
        )
        for pair, number in zip(pairs, numbers_of(pairs), strict=True)
    ]
    return Between(
        was=was,
        now=now,
        strip=written(two_strips(was.plan, now.plan, was=was.name, now=now.name), "classes"),
        turned=written(two_turned(was.plan, now.plan, was=was.name, now=now.name), "classes"),
        causes=tuple(arrowed(cause.says) for cause in found.causes),
        told=tuple(_told(found)),
        lines=tuple(lines),
        figures=tuple(_figures(was.plan, now.plan)),
        more=sum(effect.small for effect in found.effects),
        ceiling_rises=_rises(was.plan, now.plan),
    )


def _place(eaten: Eaten | None, reader: Reader) -> str:
    if eaten is None:
        return ""
    when = f"{clock(eaten.stop.goal_s)}, " if reader.timed else ""
    return f"{when}{km(eaten.stop.at_m)} km"


def _told(found: Difference) -> list[Told]:
    """Return the sentences in their order; those of the schedule carry the numbers of the strip."""
    told, number = [], 0
    for effect in found.effects:
        if not effect.small and effect.kind != "figure":
            number += effect.kind == "intake"
            told.append(Told(number if effect.kind == "intake" else 0, arrowed(found.told(effect))))
    return told


def arrowed(says: str) -> str:
    """Return a sentence of the difference as a page says it: with an arrow, without the id of a finding."""
    return re.sub(r"(?<=noted: )[a-z_]+(\.[a-z0-9_]+)+: ", "", says).replace(" -> ", " → ")


def _figures(was: Plan, now: Plan) -> list[Compared]:
    rows = []
    for figure_id, name in KEY_FIGURES.items():
        if hides(was, figure_id) or hides(now, figure_id):
            continue
        figures = (was.figure(figure_id), now.figure(figure_id))
        known = [figure for figure in figures if figure is not None]
        if known:
            fluid = any(word in figure_id for word in ("fluid", "sweat", "water"))
            rows.append(_compared(name, known[-1], figures, fluid=fluid))
    return rows


def _compared(name: str, either: Figure, figures: Sequence[Figure | None], *, fluid: bool) -> Compared:
    texts = ["none" if figure is None else _value(figure) for figure in figures]
    was, now = figures
    differs = ""
    if was is not None and now is not None:
        by = now.value.mid - was.value.mid
        amount = clock(abs(by)) if either.unit == "s" else shown(abs(by), either.unit)
        differs = "same" if texts[0] == texts[1] else f"{'+' if by >= 0 else '−'} {amount}"
    unit = "h:min" if either.unit == "s" else unit_words(either)
    return Compared(name, unit, texts[0], texts[1], differs, fluid)


def _value(figure: Figure) -> str:
    value, unit = figure.value, figure.unit

    def text(number: float) -> str:
        return clock(number) if unit == "s" else shown(number, unit).replace("-", "−")

    return (
        text(value.mid) if value.is_single else f"{text(value.mid)} ({text(value.low)} to {text(value.high)})"
    )


def _rises(was: Plan, now: Plan) -> bool:
    """Return whether the fluid ceiling rises, which must not be read as a call to drink more."""
    figures = [plan.figure(CEILING) for plan in (was, now)]
    before, after = figures
    return before is not None and after is not None and after.value.low > before.value.low
