"""What the page of a plan shows, read off the plan: the box, the table equal to the strip, the figures."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from provand.card import sources
from provand.case.case import Case, Override
from provand.finding import Finding
from provand.larder.item import WATER
from provand.pack.hand import Hand
from provand.pack.hand import where as beside
from provand.pack.scale import between
from provand.pack.sheet import (
    begun,
    caution_numbers,
    cautions,
    figure_name,
    figure_row,
    finish,
    key_figures,
    own_start,
    own_start_words,
    unit_words,
)
from provand.pack.strip import course_strip, flags_of, lanes_of
from provand.pack.svg import mark_for_page, written
from provand.pack.turned import turned_strip
from provand.pack.voice import (
    Piece,
    is_rehearsed,
    km,
    short_day,
    span,
    stop_from,
    stop_marks,
    stop_pieces,
    wall_clock,
    whole_span,
)
from provand.pack.withheld import hides
from provand.plan.document import Plan, Stop
from provand.plan.explain import basis, chain, overruled
from provand.protocol.firing import HEAT, OVERRIDES
from provand.safety.flags import flags
from provand.units import clock

CARB, FLUID = "race.carb_g_per_race", "race.fluid_so_far_ml"


class Fact(NamedTuple):
    """One field of the box at the head."""

    label: str
    value: str
    note: str = ""
    lozenge: int = 0


def head_of(plan: Plan) -> list[Fact]:
    """Return the box at the head of a plan, all but its version."""
    case, first, times = plan.case, own_start(plan)[0], finish(plan)
    start = own_start_words(plan, "–")
    gun = "" if wall_clock(case.race.gun) == start else f", gun {wall_clock(case.race.gun)}"
    facts = [
        Fact("Athlete", case.athlete.name),
        Fact("Race", case.race.name, f"{km(case.course.length_m)} km"),
        Fact(f"Own start, {short_day(first.date())} {first.year}", start, f"{case.race.zone}{gun}"),
    ]
    if plan.time_struck:
        facts.append(Fact("Finish", "by effort", "no goal time is handed out"))
    elif times is not None:
        facts.append(Fact("Finish", clock(times.mid), span(times.low, times.high)))
    seen = f"forecast of {short_day(case.weather.seen_on)}"
    numbers = caution_numbers(plan)
    warm = next((n for about, n in numbers.items() if about.startswith("weather")), 0)
    return [*facts, Fact("Weather", f"{whole_span(case.weather.air_temp_c)} °C", seen, warm)]


def head_of_case(case: Case) -> list[Fact]:
    """Return the box at the head of a race without a plan: who, which race, when."""
    day = f"{short_day(case.race.gun.date())} {case.race.gun.year}"
    return [
        Fact("Athlete", case.athlete.name),
        Fact("Race", case.race.name, f"{km(case.race.distance_m)} km"),
        Fact("Gun", wall_clock(case.race.gun), f"{day}, {case.race.zone}"),
    ]


STORES = {"store.gut_g": "gut", "store.liver_g": "liver", "store.muscle_g": "muscle"}
"""What a narrow strip shows beside fluid where it is chosen."""
LONG_M = 30_000
"""Of a longer course middling windows get the narrow strip: with all rows the page weighs too much."""


class Strips(NamedTuple):
    """The strip as SVG for wide, middling and narrow windows; the lanes of the level one.

    `choices` are the stores that the narrow one can show beside fluid, by figure and name.
    """

    level: str
    middling: str
    narrow: str
    long: bool
    lanes: int
    choices: tuple[tuple[str, str], ...]


def strips_of(plan: Plan, hand: Hand, store: str = "", only: str = "") -> Strips:
    """Return the strip for wide windows, and turned for the others; `store` is shown on the narrow one.

    `only` names the one that is seen, where a page asks for no other: the level one is made even so, for
    paper and for its lanes.
    """
    numbers = caution_numbers(plan)
    level = course_strip(plan, numbers, hand=hand)
    turned = {"middling": 600, "narrow": 328}
    if plan.case.course.length_m > LONG_M:
        del turned["middling"]
    svgs = {
        name: written(turned_strip(plan, wide, numbers, store, hand=hand), "classes")
        for name, wide in turned.items()
        if only in ("", name)
    }
    lanes = lanes_of(flags_of(plan, numbers, hand.passes), hand)
    may = tuple(one for one in STORES.items() if plan.series_of(one[0]) and not hides(plan, one[0]))
    return Strips(
        level=written(level, "classes"),
        middling=svgs.get("middling", ""),
        narrow=svgs.get("narrow", ""),
        long="middling" not in turned,
        lanes=lanes,
        choices=may,
    )


class Row(NamedTuple):
    """One line of the table along the course."""

    number: int
    at_m: float
    km: str
    goal: str
    around: str
    marks: tuple[str, ...]
    pieces: tuple[Piece, ...]
    state: str
    passes: str
    lozenge: int
    source: str
    place: str
    carb: str
    fluid: str
    item: str
    pinned: bool

    @property
    def words(self) -> str:
        """What is taken, in one line."""
        return " + ".join(piece.text for piece in self.pieces)


class Table(NamedTuple):
    """The table equal in content to the strip; columns that may not be seen are left out."""

    rows: tuple[Row, ...]
    timed: bool
    carb: bool
    fluid: bool
    finish: Row


def table_of(plan: Plan, hand: Hand) -> Table:
    """Return the stops of a plan as lines, and the finish."""
    numbers = caution_numbers(plan)
    rows = tuple(
        _row(stop, number, plan, hand, _lozenge(stop, numbers)) for number, stop in enumerate(plan.race.stops)
    )
    carb = not hides(plan, CARB)
    fluid = not hides(plan, FLUID)
    return Table(rows, not plan.time_struck, carb, fluid, _finish_row(plan, rows))


def _lozenge(stop: Stop, numbers: dict[str, int]) -> int:
    about = [*(take.item for take in stop.takes), stop.station]
    return next((numbers[name] for name in about if name in numbers), 0)


def _row(stop: Stop, number: int, plan: Plan, hand: Hand, lozenge: int) -> Row:
    takes = sorted(stop.takes, key=lambda take: take.texture in ("water", "drink"))
    return Row(
        number=number,
        at_m=stop.at_m,
        km=km(stop.at_m),
        goal=clock(stop.goal_s),
        around=span(stop.early_s, stop.slow_s),
        marks=tuple(mark_for_page(mark) for mark in stop_marks(stop)),
        pieces=stop_pieces(stop, plan.case),
        state="pinned" if stop.pinned else "" if is_rehearsed(stop) else "not rehearsed",
        passes=hand.passes.get(number, ""),
        lozenge=lozenge,
        source=stop_from(stop),
        place="" if any(take.got_from == "station" for take in stop.takes) else beside(stop.at_m, plan),
        carb=whole_span(stop.carb_so_far_g) if stop.carb_so_far_g else "",
        fluid=whole_span(stop.fluid_so_far_ml) if stop.fluid_so_far_ml else "",
        item=takes[0].item,
        pinned=stop.pinned,
    )


def _finish_row(plan: Plan, rows: Sequence[Row]) -> Row:
    times, last = finish(plan), rows[-1] if rows else None
    return Row(
        number=-1,
        at_m=plan.case.course.length_m,
        km=km(plan.case.course.length_m),
        goal=clock(times.mid) if times else "",
        around=span(times.low, times.high) if times else "",
        marks=(),
        pieces=(Piece("finish", False),),
        state="",
        passes="",
        lozenge=0,
        source="",
        place="",
        carb=last.carb if last else "0",
        fluid=last.fluid if last else "0",
        item="",
        pinned=False,
    )


class Caution(NamedTuple):
    """A numbered caution: the sentence and what next."""

    number: int
    says: str
    then: str


def cautions_of(plan: Plan) -> list[Caution]:
    """Return the cautions in the order of their numbers."""
    return [
        Caution(number, begun(finding.sentence), finding.next_step)
        for number, finding in enumerate(cautions(plan), 1)
    ]


class Shown(NamedTuple):
    """One figure of the page: what a practitioner looks at first, its chain behind it."""

    id: str
    name: str
    value: str
    unit: str
    range: str
    by: str
    fluid: bool
    changed: str


def figures_of(plan: Plan) -> list[Shown]:
    """Return the figures that a practitioner looks at first; who set one by hand stands with it for good."""
    return [
        Shown(
            id=row["id"],
            name=row["name"],
            value=row["value"],
            unit=row["unit"],
            range=row["range"],
            by=row["by"],
            fluid=any(word in row["id"] for word in ("fluid", "sweat", "water")),
            changed=_signed(plan.case, row["id"]),
        )
        for row in key_figures(plan)
    ]


def _signed(case: Case, figure_id: str) -> str:
    override = next((one for one in case.wishes.overrides if one.what == figure_id), None)
    return signed(override) if override else ""


def signed(override: Override) -> str:
    """Return an override as the line that stands for good: who, what, when, why."""
    day = f"{short_day(override.on)} {override.on.year}"
    return f"set to {override.value} by {override.by}, {day}: {override.why}"


def heat_named(case: Case) -> Override | None:
    """Return the named reason to issue in great heat, where one stands."""
    return next((one for one in case.wishes.overrides if one.what == HEAT), None)


class Chained(NamedTuple):
    """One link of a chain: how deep, what it is, what made it."""

    depth: int
    name: str
    id: str
    value: str
    made: str
    source: str
    caveats: tuple[str, ...]
    seen: bool


class Opened(NamedTuple):
    """A figure with its chain open: rule, source, inputs, limits met, who changed it."""

    id: str
    name: str
    value: str
    range: str
    links: tuple[Chained, ...]
    limits: tuple[str, ...]
    changed: str
    may_set: bool
    stands: bool


def opened(plan: Plan, figure_id: str) -> Opened:
    """Return a figure with its chain; BadInput where the plan has none of that id that may be seen."""
    links = tuple(
        _chained(link.depth, link.figure.id, plan, seen=link.seen) for link in chain(plan, figure_id)
    )
    figure = plan.figure(figure_id)
    assert figure is not None
    row = figure_row(figure, plan)
    changed = _signed(plan.case, figure_id)
    return Opened(
        id=figure_id,
        name=figure_name(figure_id),
        value=f"{row['value']} {row['unit']}",
        range=row["range"],
        links=links,
        limits=tuple(_limits(plan, figure_id)),
        changed=changed,
        may_set=figure_id in OVERRIDES,
        stands=bool(changed),
    )


def _chained(depth: int, figure_id: str, plan: Plan, *, seen: bool) -> Chained:
    figure = plan.figure(figure_id)
    assert figure is not None
    source = ""
    if figure.source:
        known = sources()[figure.source]
        source = "; ".join(
            part for part in (known.cite, f"doi {known.doi}" if known.doi else "", figure.at) if part
        )
    rules = "".join(f"; instead of the shipped rule: {words}" for words in overruled(plan, figure))
    return Chained(
        depth=depth,
        name=figure_name(figure_id),
        id=figure_id,
        value=f"{figure.says()}" + ("" if figure.denominator == "one value" else f", {figure.denominator}"),
        made=basis(figure) + rules,
        source=source,
        caveats=tuple(caveat.sentence for caveat in figure.caveats),
        seen=seen,
    )


_BOUND = {
    "carb": ("one sugar",),
    "fluid": ("fluid",),
    "caffeine": ("caffeine at once", "caffeine in 24 hours"),
}


def _limits(plan: Plan, figure_id: str) -> list[str]:
    """Return the ceilings that bind what a figure is about."""
    asked = {on for word, names in _BOUND.items() if word in figure_id for on in names}
    told = []
    for ceiling in plan.ceilings:
        figure = plan.figure(ceiling.figure)
        if ceiling.on in asked and figure is not None and figure.id != figure_id:
            row = figure_row(figure, plan)
            told.append(f"{ceiling.on} {row['value']} {unit_words(figure)}, {row['range']}")
    return told


class Reason(NamedTuple):
    """What stands in the way: the sentence, what it is about, what next."""

    says: str
    about: str
    then: str


def reasons_of(findings: Sequence[Finding]) -> list[Reason]:
    """Return findings as sentences with what to do next; what several say alike is said once, of all."""
    titles = {flag.id: flag.title for flag in flags()}
    told: dict[tuple[str, str], list[str]] = {}
    for finding in findings:
        abouts = told.setdefault((finding.sentence, finding.next_step), [])
        about = titles.get(finding.about, finding.about)
        if about not in ("", "race.schedule", "screening") and not finding.sentence.startswith(about):
            abouts.append(about)
    return [Reason(begun(says), "; ".join(abouts), then) for (says, then), abouts in told.items()]


class TakeHere(NamedTuple):
    """One thing taken at a stop, with the figures that it gives."""

    item: str
    name: str
    is_water: bool
    pinned: bool
    figures: tuple[tuple[str, str], ...]


class StopOpened(NamedTuple):
    """A stop as a hand opens it: where it is, what is taken, how much room is left under the ceiling."""

    number: int
    at: str
    km: str
    pinned: bool
    takes: tuple[TakeHere, ...]
    room: str


def at_stop(plan: Plan, number: int) -> StopOpened:
    """Return one stop of a plan, opened."""
    stop = plan.race.stops[number]
    first = 1 + sum(len(one.takes) for one in plan.race.stops[:number])
    pins = {(one.item, one.at_m) for one in plan.case.wishes.pinned}
    takes = tuple(
        TakeHere(take.item, take.name, take.item == WATER, (take.item, stop.at_m) in pins, _given_by(plan, n))
        for n, take in enumerate(stop.takes, first)
    )
    return StopOpened(number, f"{stop.at_m:.4f} m", km(stop.at_m), stop.pinned, takes, _room(stop, plan))


def _given_by(plan: Plan, intake: int) -> tuple[tuple[str, str], ...]:
    ids = [f"intake.{intake}.{what}_per_race" for what in ("carb_g", "fluid_ml", "sodium_mg", "caffeine_mg")]
    figures = [figure for name in ids if (figure := plan.figure(name)) and not hides(plan, name)]
    return tuple((figure.id, f"{figure_name(figure.id)}: {figure.says()}") for figure in figures)


def _room(stop: Stop, plan: Plan) -> str:
    """Return the fluid counted by a stop beside the ceiling there; empty where fluid is withheld."""
    counted, ceiling = plan.series_of(FLUID), plan.series_of("ceiling.fluid_so_far_ml")
    if counted is None or ceiling is None:
        return ""
    had_ml = max(high for x, high in zip(counted.x_m, counted.high, strict=True) if x <= stop.at_m)
    most_ml = between(stop.at_m, ceiling.x_m, ceiling.low)
    told = (
        f"Fluid by here: {math.ceil(had_ml - 1e-6):,} ml counted, the ceiling is {math.floor(most_ml):,} ml."
    )
    return f"{told} This is no call to drink more."
