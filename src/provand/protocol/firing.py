"""Which rules fire for one athlete and one race, and how a rule becomes a figure.

Conditions are judged on unrounded middles. A rule that fires only at the early or the slow end of the time
is shown too, with a finding, so that no row of a table appears or goes on a second.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from provand.card import Mark
from provand.figure import Figure, Range, Trace
from provand.finding import BadInput, Finding, find
from provand.protocol.asks import AskedCase, AskedOverride
from provand.protocol.figures import from_rule
from provand.protocol.rules import Protocol, Rule, assumption, value
from provand.record import Record
from provand.units import read_number, shown_unit, unit_of

MINOR_WITHOUT = frozenset({"caffeine", "loading"})
"""Parts in which no rule speaks of minors: no caffeine is aimed at, and meals stay the usual ones."""

Facts = dict[str, float | None]

OVERRIDES = {
    "race.target_carb_g_per_h": "override.race_carb",
    "load.dose_g_per_kg_per_day": "override.load",
    "breakfast.dose_g_per_kg": "override.breakfast",
    "drink_before.dose_ml_per_kg": "override.drink_before",
    "recovery.fluid_l_per_kg": "override.rehydrate",
}
"""The targets that may be set by hand, and the assumption that bounds each."""


class Fired(Record):
    """A rule that was looked at: its band, whether it was used, and why or why not.

    `override` tells who put it in the place of a shipped rule, when and why; empty for any other.
    """

    id: str
    protocol: str
    gives: str
    band: str
    source: str
    mark: Mark
    used: bool
    why: str
    override: str = ""


class Hit(NamedTuple):
    """A rule that fires, at the middle of the time or only at one of its ends."""

    rule: Rule
    protocol: str
    at_mid: bool

    @property
    def by(self) -> str:
        return f"{self.protocol}/{self.rule.id}"

    def shown(self, *, used: bool, why: str) -> Fired:
        """Return the hit as it is shown on a page."""
        rule = self.rule
        return Fired(
            id=rule.id,
            protocol=self.protocol,
            gives=rule.gives,
            band=rule.shown(),
            source=rule.source,
            mark=rule.mark,
            used=used,
            why=why,
            override=_overruled(rule),
        )


def _overruled(rule: Rule) -> str:
    if rule.override is None:
        return ""
    return f"{rule.override.by}, {rule.override.on.isoformat()}: {rule.override.why}"


class Setting(NamedTuple):
    """Everything that every target needs: where figures are kept, for whom, by whose rules, on what day."""

    trace: Trace
    case: AskedCase
    protocols: tuple[Protocol, ...]
    race_time: Figure
    body_mass: Figure
    facts: Facts
    withheld: frozenset[str]
    minor: bool

    def keeps(self, *parts: str) -> bool:
        """Return whether none of these parts is withheld."""
        return self.withheld.isdisjoint(parts)

    @property
    def left_out(self) -> frozenset[str]:
        """The parts of which no rule is looked at: those withheld, and for a minor what is given by dose."""
        return self.withheld | (MINOR_WITHOUT if self.minor else frozenset())

    def hits(self, *gives: str, before_h: float | None = None) -> list[Hit]:
        """Return the rules that give these targets and fire, the leading protocol's first."""
        facts = {**self.facts, "before_h": before_h}
        minutes = {end: getattr(self.race_time.value, end) / 60 for end in ("low", "mid", "high")}
        found = []
        for protocol in self.protocols:
            for rule in (rule for target in gives for rule in protocol.giving(target)):
                fires = {end: rule.fires({**facts, "race_min": at}) for end, at in minutes.items()}
                if self.left_out.isdisjoint(rule.parts()) and any(fires.values()):
                    found.append(Hit(rule, protocol.id, fires["mid"]))
        return found


def edges(hits: Iterable[Hit]) -> Iterator[Finding]:
    """Yield a caveat for each rule that fires only at the early or the slow end of the time."""
    for hit in hits:
        if not hit.at_mid:
            yield find("target.edge", hit.rule.gives, rule=hit.by, row=hit.rule.id, band=hit.rule.shown())


def band_figure(setting: Setting, hit: Hit, figure_id: str, inputs: Sequence[Figure] = ()) -> Figure:
    """Keep the band of a rule as a figure, with its source, place and mark."""
    return from_rule(setting.trace, figure_id, hit.rule, by=hit.by, inputs=inputs)


def assumed(trace: Trace, rule_id: str) -> Figure:
    """Return one of our assumptions as a figure of the trace."""
    rule = assumption(rule_id)
    return from_rule(trace, rule.gives, rule, by=f"assumptions/{rule.id}")


HEAT = "race.heat"
"""Not a target: who takes on a race in heat that forbids running for a time, when and why."""


def check_overrides(case: AskedCase) -> None:
    """Raise BadInput for an override of anything that is no target, and for two of the same."""
    names = [override.what for override in case.wishes.overrides]
    faults = [
        find("target.no_override", "wishes.overrides", what=name, allowed=", ".join(OVERRIDES))
        for name in sorted(set(names) - set(OVERRIDES) - {HEAT})
    ]
    faults += [
        find("target.override_twice", "wishes.overrides", what=name)
        for name in OVERRIDES
        if names.count(name) > 1
    ]
    if faults:
        raise BadInput(*faults)


def override_of(case: AskedCase, what: str) -> AskedOverride | None:
    """Return the override of a target, or None."""
    return next((override for override in case.wishes.overrides if override.what == what), None)


def chosen_by(override: AskedOverride) -> str:
    """Return who set a target by hand, when and why, as one phrase."""
    return f'{override.by}, {override.on.isoformat()}: "{override.value}", {override.why}'


def chosen_figure(setting: Setting, what: str, band: Figure, inputs: Sequence[Figure] = ()) -> Figure | None:
    """Keep a target that was set by hand, beside the band of the rules; None where nobody set it.

    Raises BadInput for a value outside what can be meant.
    """
    override = override_of(setting.case, what)
    if override is None:
        return None
    bounds, unit = value(OVERRIDES[what]), unit_of(what) or ""
    number = read_number(override.value, unit, f"override of {what}", bounds.low, bounds.high)
    return setting.trace.add(
        what,
        _around(number, band.value),
        how="chosen",
        by=chosen_by(override),
        inputs=[band, *inputs],
        caveats=_outside(what, number, band.value),
    )


def default_figure(
    setting: Setting, what: str, least: Figure, band: Figure, inputs: Sequence[Figure]
) -> Figure:
    """Keep a target at the low end of one figure, beside the band of the rules."""
    number = least.value.low
    others = [figure for figure in inputs if figure.id not in (least.id, band.id)]
    return setting.trace.add(
        what,
        _around(number, band.value),
        how="rule",
        by=f"the least: {least.id}",
        inputs=[least, *([band] if band.id != least.id else []), *others],
        source=least.source,
        at=least.at,
        mark=least.mark,
        caveats=_outside(what, number, band.value),
    )


def _around(number: float, band: Range) -> Range:
    """Return a band with its middle at a number, stretched where the number lies outside."""
    return Range.of(min(band.low, number), max(band.high, number), number, means="band")


def _outside(figure_id: str, number: float, band: Range) -> list[Finding]:
    """Return a caveat when a number lies outside the band it is shown with."""
    if band.low <= number <= band.high:
        return []
    side = "below" if number < band.low else "above"
    low, high = round(band.low, 2), round(band.high, 2)
    unit = shown_unit(unit_of(figure_id) or "")
    number = round(number, 2)
    return [find("target.outside", figure_id, value=number, unit=unit, side=side, low=low, high=high)]
