"""Why two plans differ: what was given differently, case by case value, as typed; and the rules it met."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any, Literal, NamedTuple

from provand.case.case import Case
from provand.case.course import Course
from provand.case.intake import Intake
from provand.case.keys import inner_type
from provand.figure import Figure, Range
from provand.plan.document import Plan
from provand.plan.withheld import is_hidden, speaks_of
from provand.record import Record
from provand.units import shown, shown_unit, unit_of

APART = {"format", "origins", "remarks", "ingredients", "ingredients_note", "why", "invented"}
"""Fields of a case that are no cause, or nobody else's business."""
OWN = ("athlete.", "wishes.overrides", "race.forbidden", "race.taken", "practitioner.")
"""Beginnings of the paths that are for the practitioner alone."""
ABSENT = "not given"
FROM_THE_SHELF = "starter shelf"


class Cause(Record):
    """Something given differently: where, what it is called, as typed before and after.

    `own` is for the practitioner alone.
    """

    kind: Literal["case", "protocol", "rule", "safety"]
    about: str
    label: str
    before: str = ""
    after: str = ""
    own: bool = False

    @property
    def says(self) -> str:
        """The cause as a sentence."""
        if not self.before and not self.after:
            return f"{self.label}."
        if self.before == self.after:
            return f"{self.label}: changed, though written alike ({self.after})."
        return f"{self.label}: {self.before or 'not there'} -> {self.after or 'taken out'}."


class _Leaf(NamedTuple):
    """One value of a case, or a whole entry of a list: what it is called, the value, the words for it."""

    label: str
    value: Any
    text: str
    entry: bool = False


def causes_between(old: Plan, new: Plan, parts: Collection[str]) -> tuple[Cause, ...]:
    """Return all that was given differently; what speaks of `parts`, withheld in either plan, is left out."""
    found = [*_of_safety(old, new), *_of_case(old.case, new.case)]
    found += [*_of_protocols(old, new), *_of_rules(old, new)]
    return tuple(cause for cause in found if not _is_withheld(cause, parts))


def _is_withheld(cause: Cause, parts: Collection[str]) -> bool:
    if cause.kind == "safety":
        return False
    return is_hidden(cause.about, parts) or speaks_of(f"{cause.about} {cause.says}", parts)


def _of_safety(old: Plan, new: Plan) -> Iterator[Cause]:
    def asked(plan: Plan) -> tuple[object, ...]:
        return plan.withheld, [finding for finding in plan.findings if finding.code.startswith("safety.")]

    if asked(old) != asked(new):
        yield Cause(kind="safety", about="screening", label="What safety asks of the plan has changed")


def _of_case(old: Case, new: Case) -> list[Cause]:
    """Return what differs, value by value; what stands on one side alone is told once."""
    before, after = dict(_leaves_of_case(old)), dict(_leaves_of_case(new))
    told = {f"items.{item}" for item in _brought_along(old) | _brought_along(new)}
    found = []
    for path in dict.fromkeys([*before, *after]):
        was, now = before.get(path), after.get(path)
        leaf = now or was
        assert leaf is not None
        if was is None or now is None:
            if leaf.text == ABSENT or _lies_under(path, told):
                continue
            told.add(path)
        elif leaf.entry or (was.value == now.value and was.text == now.text):
            continue
        cause = Cause(
            kind="case",
            about=path,
            label=leaf.label,
            before=was.text if was else "",
            after=now.text if now else "",
            own=path.startswith(OWN),
        )
        found.append(cause)
    return sorted(found, key=lambda cause: cause.about in _LAID)


def _lies_under(path: str, told: Collection[str]) -> bool:
    return any(path == one or path.startswith(f"{one}.") for one in told)


def _brought_along(case: Case) -> set[str]:
    """Return the ids of items that came from the shelf: what names them is told instead."""
    return {
        path.split(".")[1]
        for path, origin in case.origins.items()
        if path.startswith("items.") and FROM_THE_SHELF in origin.text
    }


def _leaves_of_case(case: Case) -> Iterator[tuple[str, _Leaf]]:
    names = {item.id: item.name for item in case.items}
    yield from _Walk(case, names).record(case, "", "", "")


class _Walk(NamedTuple):
    """One walk over a case: every value with its path, its name in words and its text as typed."""

    case: Case
    names: Mapping[str, str]

    def record(self, record: Record, path: str, typed_path: str, whose: str) -> Iterator[tuple[str, _Leaf]]:
        if isinstance(record, Course):
            yield "course.profile", _profile(record)
        for name, field in type(record).model_fields.items():
            if name in APART or (isinstance(record, Course) and name not in ("stations",)):
                continue
            value, here = getattr(record, name), f"{path}.{name}".lstrip(".")
            origin = f"{typed_path}.{name}".lstrip(".")
            label = f"{whose}{_CALLED.get(here) or _short(str(field.description), name)}"
            if inner_type(field.annotation)[1] and _is_record(inner_type(field.annotation)[0]):
                yield from self.several(value, here, origin, whose)
            elif isinstance(value, Record) and not isinstance(value, Range):
                yield from self.record(value, here, origin, whose)
            else:
                words = tuple(self.names.get(one, one) for one in value) if here in _CALLED else value
                yield here, _Leaf(label, value, self.text(words, name, origin))

    def several(
        self, records: Iterable[Record], path: str, typed_path: str, whose: str
    ) -> Iterator[tuple[str, _Leaf]]:
        if path in _LAID:
            yield path, _Leaf(_LAID[path], tuple(records), "")
            return
        marks: list[str] = []
        for place, record in enumerate(records):
            if isinstance(record, Intake):
                words = intake_words(record, self.names)
                yield f"{path}.{words}", _Leaf(f"{_KINDS[path]}, {words}", words, "there", entry=True)
                continue
            key = next((k for k in ("id", "name", "item", "what") if hasattr(record, k)), "")
            mark = (getattr(record, key) if key else "") or str(place + 1)
            called = getattr(record, "name", None) or self.names.get(mark, mark)
            label = f"{whose}{_KINDS.get(path.rsplit('.', 1)[-1], path.rsplit('.', 1)[-1])} {called}"
            origin = f"{typed_path}.{mark if key == 'id' else place}"
            marks.append(mark)
            here = f"{path}.{mark}" + (f" {marks.count(mark)}" if marks.count(mark) > 1 else "")
            inner = list(self.record(record, here, origin, f"{label}, "))
            yield here, _Leaf(label, True, _in_short(inner, f"{here}.{key}"), entry=True)
            yield from inner

    def text(self, value: Any, name: str, origin: str) -> str:
        """Return a value as typed, or in its unit where nobody typed it."""
        if origin in self.case.origins and value is not None:
            return self.case.origins[origin].text
        return _in_words(value, unit_of(name) or "")


def _in_short(inner: Iterable[tuple[str, _Leaf]], key: str) -> str:
    """Return the first values of an entry in a few words; its name stands before them already."""
    texts = [leaf.text for path, leaf in inner if path != key and not leaf.entry]
    return ", ".join([text for text in texts if text not in (ABSENT, "no", "")][:3]) or "there"


def _is_record(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, Record)


_CALLED = {"wishes.banned": "items left out by hand", "athlete.refused": "items the athlete will not take"}
"""Lists of ids, told by name."""
_LAID = {
    "wishes.anchor": "the earlier schedule to stay near",
    "wishes.given": "the schedule laid by hand",
    "menu.laid": "the menu as it is laid",
}
"""What a change has written: told as one."""
_KINDS = {
    "stations": "station",
    "items": "item",
    "serves": "serving",
    "rehearsed": "rehearsed",
    "pockets": "pocket",
    "stock": "at hand:",
    "taken": "taken before the start:",
    "results": "result",
    "sweat_tests": "sweat test",
    "overrides": "set by hand:",
    "forbidden": "window without food",
    "wishes.pinned": "pinned",
}


def _profile(course: Course) -> _Leaf:
    text = f"{course.length_m / 1000:.2f} km, {course.climb_m:.0f} m up, {course.read_from}"
    start = (course.latitude_deg, course.longitude_deg)
    return _Leaf("the course", (course.x_m, course.elevation_m, start), text)


def _short(description: str, name: str) -> str:
    """Return the first words of what a field is said to hold."""
    words = re.split(r"[,;:]", description)[0]
    return re.sub(r"^true (?:for|when|where) ", "", words) or name


def _in_words(value: Any, unit: str) -> str:
    if value is None or value in ((), ""):
        return ABSENT
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.strftime("%Y-%m-%d %H:%M")
    if isinstance(value, tuple):
        return ", ".join(str(one) for one in value)
    if not isinstance(value, Range | int | float):
        return str(value)
    ends = (value.low, value.high) if isinstance(value, Range) else (value,)
    texts = dict.fromkeys(shown(end, unit) for end in ends)
    return f"{' to '.join(texts)} {'' if unit == 's' else shown_unit(unit)}".strip()


def intake_words(intake: Intake, names: Mapping[str, str]) -> str:
    """Return an intake as a few words: `hill gel at km 4.8`."""
    what = names.get(intake.item, intake.item)
    if intake.at_m is not None:
        where = f"at km {intake.at_m / 1000:.1f}"
    elif intake.at_elapsed_s is not None:
        where = f"at {shown(intake.at_elapsed_s, 's')}"
    else:
        where = f"at {intake.at_clock:%H:%M}"
    amount = "" if intake.amount == "whole" else f"{intake.amount} of "
    portion = "" if intake.portion_frac == 1 else f"{intake.portion_frac:g} x "
    return f"{portion}{amount}{what} {where}"


def _of_protocols(old: Plan, new: Plan) -> Iterator[Cause]:
    before, after = ({p.id: p for p in plan.protocols} for plan in (old, new))
    for key in [*before, *(key for key in after if key not in before)]:
        was, now = before.get(key), after.get(key)
        if was == now:
            continue
        texts = ["" if p is None else f"edition {p.edition}, {p.code}" for p in (was, now)]
        yield Cause(
            kind="protocol", about=f"protocol.{key}", label=f"protocol {key}", before=texts[0], after=texts[1]
        )


def _of_rules(old: Plan, new: Plan) -> Iterator[Cause]:
    """Yield the assumptions that have another value under the same name."""
    before = {figure.id: figure for figure in old.figures if is_bare_rule(figure)}
    known = {use.id for use in (*old.protocols, *new.protocols)}
    for figure in new.figures:
        was = before.get(figure.id)
        of_protocol = figure.by.split("/", 1)[0] in known
        if was is None or was.by != figure.by or was.says() == figure.says() or of_protocol:
            continue
        if is_bare_rule(figure):
            yield Cause(
                kind="rule",
                about=figure.id,
                label=f"assumption {figure.by}",
                before=was.says(),
                after=figure.says(),
            )


def is_bare_rule(figure: Figure) -> bool:
    """Return whether a figure is a rule's own value, made from no other figure."""
    return figure.how == "rule" and not figure.inputs


_LEAVES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"athlete\.age_years", ("athlete.born", "race.gun")),
    (r"athlete\.rehearsed_carb_g_per_h", ("athlete.rehearsed", "athlete.refused", "wishes.banned")),
    (r"(?:athlete|race|weather)\..*", ("{id}",)),
    (r"pace\.goal_typed_s", ("race.goal_s", "race.finish_s")),
    (r"pace\.(?:early|slow)_typed_s", ("race.finish_s",)),
    (r"pace\.(?:prior|known|other)_.*", ("athlete.results", "race.goal_s", "race.distance_m")),
    (r"sweat\.test(\d+)_.*", ("athlete.sweat_tests.{0}",)),
    (r"item\.(.+)\.[^.]+", ("items.{0}",)),
    (r"caffeine\.morning_mg", ("athlete.breakfast_caffeine_mg",)),
)
"""The given figures, and the paths of the case that they are read from."""


def paths_of(figure: Figure, plan: Plan) -> tuple[str, ...]:
    """Return the paths of the causes that a leaf of the trace stands for."""
    if figure.how == "chosen":
        return (f"wishes.overrides.{figure.id}",)
    if is_bare_rule(figure):
        return (figure.id, f"protocol.{figure.by.split('/', 1)[0]}")
    if figure.how != "given":
        return ()
    if station := re.fullmatch(r"station\.(\d+)\..*", figure.id):
        return (f"course.stations.{plan.case.course.stations[int(station[1]) - 1].name}",)
    for pattern, paths in _LEAVES:
        if found := re.fullmatch(pattern, figure.id):
            return tuple(path.format(*found.groups(), id=figure.id) for path in paths)
    return ()
