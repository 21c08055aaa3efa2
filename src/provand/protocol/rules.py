"""Rules as dated data: who says what, when it applies, and until when it may stand unreviewed.

One schema serves the targets of a protocol and our own assumptions. A rule gives one band in one unit, a
note a sentence. Neither stands without source, reason and a day of review, which may stand once at the head
of a file. Shipped files: `position-stands.toml` and `common-practice.toml`; ours are `assumptions.toml`,
`race-day.toml`, `menu.toml` and, for what is drawn, `draws.toml`.
"""

from __future__ import annotations

import operator
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from pydantic import Field, ValidationError

from provand.card import Mark, sources
from provand.figure import Range
from provand.finding import BadInput, Finding, find
from provand.record import Coded, Record
from provand.units import SUFFIXES, shown, shown_unit, unit_of

FACTS = {
    "race_min": "time of the race, own start to finish",
    "distance_km": "official distance",
    "before_h": "hours before the own start",
    "age_years": "age on the day of the race",
    "female": "whether female equations apply",
    "vegan": "whether the diet is vegan",
    "walks": "whether much of the course is walked",
    "intensity_frac": "share of the highest oxygen uptake",
    "sweat_l_per_h": "sweat rate",
    "next_session_h": "hours to the next hard session",
    "loss_percent": "body mass lost in the race",
    "air_temp_c": "air temperature",
}
"""What a rule may ask about. A fact that is not known lets no rule fire."""

EDGES: dict[str, Callable[[float, float], bool]] = {
    "at_least": operator.ge,
    "above": operator.gt,
    "at_most": operator.le,
    "below": operator.lt,
}

TARGETS: dict[str, tuple[str, ...]] = {
    "race.carb": ("g/h",),
    "race.protein": ("g/h",),
    "race.energy": ("kcal/h",),
    "race.drink_carb": ("percent",),
    "race.rinse": ("ml",),
    "race.fluid": ("ml/h",),
    "race.drink_sodium": ("mg/l", "mmol/l"),
    "race.caffeine": ("mg",),
    "race.gel": ("g",),
    "load.carb": ("g/kg/day",),
    "load.lean_carb": ("g/kg/day",),
    "load.hours": ("h",),
    "load.fibre": ("g/day",),
    "breakfast.carb": ("g/kg", "g/kg/h"),
    "breakfast.fluid": ("ml",),
    "breakfast.salt": ("g",),
    "drink_before.fluid": ("ml/kg",),
    "drink_before.top_up": ("ml/kg",),
    "caffeine.dose": ("mg/kg",),
    "recovery.carb": ("g/kg/h",),
    "recovery.carb_with_protein": ("g/kg/h",),
    "recovery.protein": ("g/kg", "g"),
    "recovery.protein_with_carb": ("g/kg/h",),
    "recovery.fluid": ("l/kg",),
    "rehearsal.carb": ("g/h",),
    "rehearsal.runs": ("count/week",),
}
"""What a rule of a protocol may give, and in which units. No ceiling is among them."""

PARTS = {
    "grams": (
        *("race.carb", "race.protein", "race.energy", "race.gel", "load.", "rehearsal.carb"),
        *("breakfast.carb", "breakfast.salt", "recovery."),
    ),
    "loading": ("load.",),
    "fluid": (
        *("race.fluid", "race.drink_", "race.rinse", "drink_before.", "recovery.fluid"),
        *("breakfast.fluid", "breakfast.salt"),
    ),
    "sodium": ("race.drink_sodium", "breakfast.salt"),
    "caffeine": ("caffeine.", "race.caffeine"),
}
"""Which part of a plan a target belongs to: a part that is withheld has no figure."""


class Overruled(Record):
    """Who replaced a published rule by a rule of their own, when and why."""

    by: str = Field(min_length=1)
    on: date
    why: str = Field(min_length=1)


class _Stated(Record):
    """What every rule and every note says of itself."""

    id: str = Field(min_length=1, max_length=40)
    when: dict[str, dict[str, float]] = Field(default_factory=dict)
    source: str
    at: str = Field(min_length=1)
    mark: Mark
    strength: str = ""
    rank: int = 50
    since: date
    review_by: date
    note: str = Field(min_length=1)
    override: Overruled | None = None

    def fires(self, facts: Mapping[str, float | None]) -> bool:
        """Return whether every condition holds; a fact that is not known holds none."""
        return all(
            (known := facts.get(fact)) is not None
            and all(EDGES[edge](known, at) for edge, at in window.items())
            for fact, window in self.when.items()
        )

    def stale(self, as_of: date) -> Finding | None:
        """Return a finding when the day of review has passed."""
        if as_of <= self.review_by:
            return None
        due = self.review_by.isoformat()
        return find("rule.stale", self.id, rule=self.id, row=self.id, review_by=due, source=self.source)


class Rule(_Stated):
    """A rule that gives a number: its band in its unit, and whether only one end of it is published.

    For a draw, `band.mid` is the mean, `sd` the spread, and the ends are the bounds outside of which nothing
    is drawn; a draw without `sd` is even over its band.
    """

    gives: str
    band: Range
    unit: str
    sd: float | None = Field(default=None, gt=0)
    open: Literal["", "above", "below"] = ""
    says: str = ""

    def parts(self) -> frozenset[str]:
        """Return the parts of a plan that the rule belongs to."""
        return frozenset(part for part, starts in PARTS.items() if self.gives.startswith(starts))

    def shown(self) -> str:
        """Return the rule's own words, or its band as readers see it: `30 to 60 g/h`, `over 8 g/kg/day`."""
        if self.says:
            return self.says
        low, high = shown(self.band.low, self.unit), shown(self.band.high, self.unit)
        whole = low if low == high else f"{low} to {high}"
        words = {"above": f"over {low}", "below": f"up to {high}", "": whole}
        return f"{words[self.open]} {shown_unit(self.unit)}".strip()


class Note(_Stated):
    """A rule that gives a sentence and no number; `part` names what it speaks of, if that can be withheld."""

    says: str = Field(min_length=1)
    part: Literal["", "grams", "loading", "fluid", "sodium", "caffeine", "fructose"] = ""

    def parts(self) -> frozenset[str]:
        """Return the parts of a plan that the note belongs to."""
        return frozenset({self.part} - {""})


class Protocol(Coded):
    """A named edition of rules; one that extends another holds that one's too, its own in their place."""

    id: str
    title: str
    edition: str
    extends: str = ""
    rules: tuple[Rule, ...]
    notes: tuple[Note, ...] = ()

    def rule(self, rule_id: str) -> Rule:
        """Return the rule of that id; KeyError without one."""
        for rule in self.rules:
            if rule.id == rule_id:
                return rule
        raise KeyError(rule_id)

    def giving(self, target: str) -> tuple[Rule, ...]:
        """Return the rules that give a target, in the order in which they are shown."""
        return tuple(sorted((r for r in self.rules if r.gives == target), key=lambda r: (r.rank, r.id)))


def read_protocol(
    text: str, *, name: str, base: Protocol | None = None, names_of_its_own: bool = False
) -> Protocol:
    """Read a protocol from TOML; BadInput carries every fault, each with the file's name and the rule.

    `base` and `names_of_its_own` are those of `protocol_of`.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(find("rule.not_toml", name, problem=str(error))) from None
    return protocol_of(data, name=name, base=base, names_of_its_own=names_of_its_own)


def protocol_of(
    data: Mapping[str, Any],
    *,
    name: str,
    base: Protocol | None = None,
    names_of_its_own: bool = False,
    check: Callable[[Rule | Note, str], Iterable[Finding]] = lambda _item, _about: (),
) -> Protocol:
    """Return the protocol that plain data describes; BadInput carries every fault.

    `base` is the protocol that this one extends: an id of the base needs `override`, and keeps the rank of
    what it replaces unless it names one; a new id must not have it. With `names_of_its_own` a rule may give
    anything whose name ends in the unit of its band. `check` yields what else is wrong with a rule or note,
    told at the place that it is given.
    """
    base_id = base.id if base else ""
    faults = [_head_fault(key, name) for key in sorted(set(data) - set(HEAD))]
    if data.get("extends", "") != base_id:
        extends = str(data.get("extends", ""))
        faults.append(find("rule.base", name, extends=extends, base=base_id or "nothing"))
    inherited: tuple[Rule | Note, ...] = (*base.rules, *base.notes) if base else ()
    kept = {item.id: item for item in inherited}
    known, seen = set(kept), set[str]()
    for place, (kind, entry) in enumerate(_entries(data, name), 1):
        entry_id = str(entry.get("id") or place)
        about = f"{name}: {kind} {entry_id}"
        wrong = [
            *_entry_faults(kind, entry, about, names_of_its_own),
            *_identity_faults(entry_id, "override" in entry, about, known, seen),
        ]
        seen.add(entry_id)
        if entry_id in known:
            entry.setdefault("rank", kept[entry_id].rank)
        if not wrong:
            try:
                item = Rule(**_rule_data(entry)) if kind == "rule" else Note(**_plain(entry))
            except ValidationError as error:
                wrong = [_wrong_kind(about, problem) for problem in error.errors()]
            else:
                wrong = [*check(item, about)]
                kept[entry_id] = item
        faults += wrong
    if faults:
        raise BadInput(*faults)
    return Protocol(
        id=name,
        title=str(data.get("title", name)),
        edition=str(data.get("edition", "")),
        extends=base_id,
        rules=tuple(item for item in kept.values() if isinstance(item, Rule)),
        notes=tuple(item for item in kept.values() if isinstance(item, Note)),
    )


OUT_OF_REACH = ("flag", "ceiling", "assumption", "draw", "medicine", "screening", "limit")
"""What a file may be tempted to hold beside rules and notes: nothing of it is for a protocol to say."""


def _head_fault(key: str, name: str) -> Finding:
    if key.lower().removesuffix("s") in OUT_OF_REACH:
        return find("rule.out_of_reach", name, what=key)
    return find("rule.unknown_key", name, key=key, allowed=", ".join(HEAD))


def _entries(data: Mapping[str, Any], name: str) -> list[tuple[str, dict[str, Any]]]:
    """Return each rule and note with its kind, and the dates at the head where it has none of its own."""
    dates = {key: data[key] for key in ("since", "review_by") if key in data}
    entries = []
    for kind in KEYS:
        tables = data.get(kind, [])
        if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
            raise BadInput(find("rule.wrong_kind", name, key=kind, problem=f"each begins with [[{kind}]]"))
        entries += [(kind, {**dates, **table}) for table in tables]
    return entries


def _identity_faults(
    entry_id: str, overrides: bool, about: str, known: set[str], seen: set[str]
) -> Iterator[Finding]:
    if entry_id in seen:
        yield find("rule.twice", about, id=entry_id)
    elif entry_id in known and not overrides:
        yield find("rule.needs_override", about, id=entry_id)
    elif entry_id not in known and overrides:
        if is_ours(entry_id):
            yield find("rule.out_of_reach", about, what=entry_id)
        else:
            yield find("rule.nothing_to_override", about, id=entry_id)


HEAD = ("title", "edition", "extends", "since", "review_by", "rule", "note")
NEEDED = ("id", "source", "at", "mark", "since", "review_by", "note")
KEYS = {
    "rule": (*NEEDED, "gives", "when", "strength", "rank", "says", "open", "override"),
    "note": (*NEEDED, "says", "when", "strength", "rank", "part", "override"),
}
ALSO_NEEDED = {"rule": "gives", "note": "says"}


def _measures(entry: Mapping[str, Any], kind: str) -> dict[str, Any]:
    return {key: value for key, value in entry.items() if key.startswith(f"{kind}_")}


def _entry_faults(
    kind: str, entry: Mapping[str, Any], about: str, names_of_its_own: bool
) -> Iterator[Finding]:
    measures = {**_measures(entry, "band"), **_measures(entry, "likely"), **_measures(entry, "sd")}
    allowed = {*KEYS[kind], *(measures if kind == "rule" else ())}
    for key in sorted(set(entry) - allowed):
        yield find("rule.unknown_key", about, key=key, allowed=", ".join(KEYS[kind]))
    for key in (*NEEDED, ALSO_NEEDED[kind]):
        if entry.get(key) in (None, ""):
            yield find("rule.missing", about, key=key)
    if entry.get("source") and str(entry["source"]) not in sources():
        yield find("rule.source", about, source=str(entry["source"]))
    if kind == "rule":
        yield from _band_faults(entry, about, names_of_its_own)
    yield from _when_faults(entry.get("when", {}), about)


def _band_faults(entry: Mapping[str, Any], about: str, names_of_its_own: bool) -> Iterator[Finding]:
    bands = _measures(entry, "band")
    if len(bands) != 1:
        yield find("rule.bands", about, count=len(bands))
        return
    ((key, band),) = bands.items()
    name = key.removeprefix("band_")
    unit = unit_of(key)
    if unit is None or name != unit.replace("/", "_per_").removeprefix("_"):
        yield find("rule.unknown_unit", about, key=key, allowed=", ".join(SUFFIXES))
        return
    yield from _gives_faults(str(entry.get("gives", "")), unit, about, names_of_its_own)
    others = {**_measures(entry, "likely"), **_measures(entry, "sd")}
    for other in others:
        if other not in (f"likely_{name}", f"sd_{name}"):
            yield find("rule.unknown_key", about, key=other, allowed=f"likely_{name}, sd_{name}")
    pair = isinstance(band, list) and len(band) == 2
    if not (pair and all(map(_is_number, [*band, *others.values()]))):
        yield find(
            "rule.wrong_kind", about, key=key, problem="a band is a low and a high number, as [30, 60]"
        )
    elif not band[0] <= others.get(f"likely_{name}", band[0]) <= band[1]:
        yield find("rule.reversed", about, key=key, low=band[0], high=band[1])


def _gives_faults(gives: str, unit: str, about: str, names_of_its_own: bool) -> Iterator[Finding]:
    if gives in TARGETS:
        allowed = TARGETS[gives]
    else:
        own_unit = unit_of(gives)
        allowed = (own_unit,) if names_of_its_own and own_unit is not None else ()
    if not allowed and is_ours(gives):
        yield find("rule.out_of_reach", about, what=gives)
    elif not allowed:
        yield find("rule.unknown_target", about, gives=gives, allowed=", ".join(TARGETS))
    elif unit not in allowed:
        yield find("rule.wrong_unit", about, gives=gives, unit=unit, allowed=" or ".join(allowed))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and value - value == 0


def _when_faults(when: Any, about: str) -> Iterator[Finding]:
    if not isinstance(when, Mapping):
        problem = "it names facts, as when.race_min = { above = 90 }"
        yield find("rule.wrong_kind", about, key="when", problem=problem)
        return
    for fact, window in when.items():
        if fact not in FACTS:
            yield find("rule.unknown_fact", about, fact=fact, allowed=", ".join(FACTS))
        edges = _window(window)
        if not edges or not all(edge in EDGES and _is_number(at) for edge, at in edges.items()):
            yield find("rule.wrong_edge", about, fact=fact, allowed=", ".join(EDGES))


def _window(window: Any) -> dict[str, Any]:
    """Return the edges of a condition; `true` and `false` are those of a fact that is 1 or 0."""
    if isinstance(window, bool):
        return {"at_least": 1} if window else {"below": 1}
    return dict(window) if isinstance(window, Mapping) else {}


def _plain(entry: Mapping[str, Any]) -> dict[str, Any]:
    return {**entry, "when": {fact: _window(window) for fact, window in entry.get("when", {}).items()}}


def _rule_data(entry: Mapping[str, Any]) -> dict[str, Any]:
    ((key, (low, high)),) = _measures(entry, "band").items()
    name = key.removeprefix("band_")
    return {
        **{own: value for own, value in _plain(entry).items() if own in KEYS["rule"]},
        "band": Range.of(low, high, entry.get(f"likely_{name}"), means="band"),
        "unit": unit_of(key),
        "sd": entry.get(f"sd_{name}"),
    }


def _wrong_kind(about: str, problem: Mapping[str, Any]) -> Finding:
    key = ".".join(str(part) for part in problem["loc"])
    return find("rule.wrong_kind", about, key=key, problem=f"{problem['input']!r} cannot stand there")


SHIPPED = ("position-stands", "common-practice")
OURS = ("assumptions", "race-day", "menu", "draws")


@cache
def protocol(name: str) -> Protocol:
    """Return a shipped protocol, or a file of our own assumptions, by name; KeyError for any other."""
    if name not in (*SHIPPED, *OURS):
        raise KeyError(name)
    text = files("provand.protocol").joinpath(f"{name}.toml").read_text("utf-8")
    return read_protocol(text, name=name, names_of_its_own=name in OURS)


@cache
def _ours() -> dict[str, Rule]:
    return {rule.id: rule for name in OURS for rule in protocol(name).rules}


def is_ours(name: str) -> bool:
    """Return whether a name is of a ceiling or of an assumption of ours, by id or by what it gives."""
    return name.startswith("ceiling.") or any(name in (rule.id, rule.gives) for rule in _ours().values())


def assumption(rule_id: str) -> Rule:
    """Return one of our own assumptions by id, such as `cup.swallowed`; KeyError without one."""
    return _ours()[rule_id]


def value(rule_id: str) -> Range:
    """Return the band of one of our own assumptions, in the unit that `assumption(rule_id).unit` names."""
    return assumption(rule_id).band


def stale_rules(rules: Iterable[Rule | Note], as_of: date) -> tuple[Finding, ...]:
    """Return a finding for each rule whose day of review has passed."""
    return tuple(finding for rule in rules if (finding := rule.stale(as_of)) is not None)
