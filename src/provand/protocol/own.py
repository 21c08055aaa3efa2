"""Whose rules lead: a shipped protocol, or a practitioner's own file that extends one.

A file of one's own gives targets and nothing else. It replaces single rules of the protocol that it extends,
each with who, when and why, and adds rules of its own. What it gives stays inside what may be meant: ceilings
and flags do not stand in protocols, and no amount of fluid, salt or caffeine goes past what is published.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from typing import Any, NamedTuple

from provand.finding import BadInput, Finding, find
from provand.protocol.rules import (
    SHIPPED,
    Note,
    Protocol,
    Rule,
    assumption,
    is_ours,
    protocol,
    protocol_of,
    value,
)
from provand.units import shown, shown_unit

RULE_ID = re.compile(r"[A-Z][A-Za-z0-9]{0,11}")
"""Ids of rules stand in names of figures, whose own words begin with a small letter: none can clash."""
BOUNDS = {
    "race.carb": "override.race_carb",
    "load.carb": "override.load",
    "breakfast.carb": "override.breakfast",
    "recovery.fluid": "override.rehydrate",
}
"""The targets that may be set by hand, too: a rule of one's own stays inside the same bounds."""
CAREFUL = ("fluid", "sodium", "caffeine")


class Protocols(NamedTuple):
    """The protocol whose rules lead, and those that are shown beside it."""

    lead: Protocol
    beside: tuple[Protocol, ...]

    @property
    def in_order(self) -> tuple[Protocol, ...]:
        """The leading protocol, then the others."""
        return (self.lead, *self.beside)


def shipped(name: str) -> Protocols:
    """Return the shipped protocols, the one of that name leading; KeyError for a name that none has."""
    return Protocols(protocol(name), tuple(protocol(other) for other in SHIPPED if other != name))


def own(data: Mapping[str, Any], *, name: str, as_of: date) -> Protocols:
    """Return a practitioner's own protocol, leading; beside it the shipped ones that it does not extend.

    `data` is the plain data of the file `name`, read on the day `as_of`. BadInput carries every fault.
    """
    extends = str(data.get("extends", ""))
    if extends not in SHIPPED:
        allowed = " or ".join(f'extends = "{one}"' for one in SHIPPED)
        raise BadInput(find("rule.extends", name, extends=extends, allowed=allowed))
    base = protocol(extends)
    others = tuple(protocol(other) for other in SHIPPED if other != extends)
    lead = protocol_of(_tidy(data), name=name, base=base, check=_checks(base, others, as_of))
    return Protocols(lead, others)


def _tidy(data: Any) -> Any:
    """Return plain data with every text on one line."""
    if isinstance(data, str):
        return " ".join(data.split())
    if isinstance(data, Mapping):
        return {key: _tidy(item) for key, item in data.items()}
    return [_tidy(item) for item in data] if isinstance(data, list) else data


def _checks(
    base: Protocol, others: tuple[Protocol, ...], as_of: date
) -> Callable[[Rule | Note, str], Iterator[Finding]]:
    """Return what is looked at in each rule and note of one's own, beyond what any protocol must keep."""
    replaced = {item.id: item for item in _all(base)}
    taken = {item.id: other.title for other in others for item in _all(other)}

    def check(item: Rule | Note, about: str) -> Iterator[Finding]:
        if is_ours(item.id):
            yield find("rule.out_of_reach", about, what=item.id)
        elif not RULE_ID.fullmatch(item.id):
            yield find("rule.id", about, id=item.id)
        if item.id in taken:
            yield find("rule.id_taken", about, id=item.id, title=taken[item.id])
        if item.id in replaced and _gives(item) != _gives(replaced[item.id]):
            yield find("rule.other_target", about, gives=_gives(item), instead_of=_gives(replaced[item.id]))
        for key, day in (("since", item.since), ("override.on", item.override and item.override.on)):
            if day and day > as_of:
                yield find("entry.future", f"{about}.{key}", day=day.isoformat(), as_of=as_of.isoformat())
        if isinstance(item, Rule):
            yield from _amount_faults(item, about)

    return check


def _all(whole: Protocol) -> tuple[Rule | Note, ...]:
    return (*whole.rules, *whole.notes)


def _gives(item: Rule | Note) -> str:
    return item.gives if isinstance(item, Rule) else f"a note ({item.part or 'general'})"


def _amount_faults(rule: Rule, about: str) -> Iterator[Finding]:
    most = most_given(rule)
    if rule.band.low < 0 or rule.band.high > most:
        yield find(
            "rule.outside",
            about,
            gives=rule.gives,
            low=shown(rule.band.low, rule.unit),
            high=shown(rule.band.high, rule.unit),
            most=shown(most, rule.unit),
            unit=shown_unit(rule.unit),
        )


def most_given(rule: Rule) -> float:
    """Return the highest end that a rule of one's own may have, in the rule's unit."""
    bound = BOUNDS.get(rule.gives)
    if bound is not None and assumption(bound).unit == rule.unit:
        return value(bound).high
    highest = max(
        (
            one.band.high
            for name in SHIPPED
            for one in protocol(name).giving(rule.gives)
            if one.unit == rule.unit
        ),
        default=0.0,
    )
    is_careful = bound is not None or not rule.parts().isdisjoint(CAREFUL)
    return highest * value("own.careful" if is_careful else "own.other").high
