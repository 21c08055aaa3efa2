"""One walk over a record's fields: plain data, as typed in a file or a form, becomes that record.

A key is a field's name less its unit: `body_mass = "140 lb"` fills `body_mass_kg`. Where two fields share
a key (`pack_g`, `pack_ml`), the typed unit says which is meant; a list fills both. Every fault is collected,
so that all of them are told at once; every number leaves its origin.
"""

from __future__ import annotations

import types
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date, datetime, time
from difflib import get_close_matches
from functools import cache
from typing import Any, Literal, TypeVar, Union, get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from provand.case.case import Origin
from provand.figure import Range
from provand.finding import BadInput, Finding, find
from provand.record import Record, rounded
from provand.units import bare_readings, read_number, read_range, readings, shown, shown_unit, unit_of

R = TypeVar("R", bound=Record)

SETTLED_BY_THE_DOOR = {"origins", "x_m", "elevation_m", "measured_m", "read_from", "remarks", "track"}
"""Fields that no person types."""

UNLIMITED = (-1e15, 1e15)


def near(word: str, known: Iterable[str]) -> str:
    """Return the words to help with a misspelling: the nearest known one, or all of them."""
    listed = sorted(known)
    close = nearest(word, listed)
    if close is not None:
        return f"Did you mean '{close}'?"
    return f"Known here: {', '.join(listed)}." if listed else "Nothing is known here."


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that a misspelling is likeliest to mean, or None."""
    by_lower = {name.lower(): name for name in sorted(known, reverse=True)}
    close = get_close_matches(word.lower(), sorted(by_lower), n=1, cutoff=0.6)
    return by_lower[close[0]] if close else None


@cache
def fields_by_key(cls: type[Record]) -> dict[str, tuple[str, ...]]:
    """Return the fields that each typed key may fill."""
    keys: dict[str, tuple[str, ...]] = {}
    for name in cls.model_fields:
        if name in SETTLED_BY_THE_DOOR:
            continue
        unit = unit_of(name) if _is_number(_bare_type(cls.model_fields[name])) else None
        suffix = "_" + unit.replace("/", "_per_") if unit else ""
        key = name.removesuffix(suffix)
        keys[key] = (*keys.get(key, ()), name)
    return keys


def _bare_type(field: FieldInfo) -> Any:
    """Return a field's type without its `| None`."""
    kind = field.annotation
    if get_origin(kind) in (Union, types.UnionType):
        kind = next(part for part in get_args(kind) if part is not type(None))
    return kind


def _is_number(kind: Any) -> bool:
    return kind in (float, Range)


def bounds_of(field: FieldInfo) -> tuple[float, float]:
    extra = field.json_schema_extra
    bounds = extra.get("bounds") if isinstance(extra, dict) else None
    if isinstance(bounds, list):
        low, high = bounds
        return float(low), float(high)  # type: ignore[arg-type]  # written as two numbers in fields.number
    low, high = UNLIMITED
    for rule in field.metadata:
        low, high = float(getattr(rule, "ge", low)), float(getattr(rule, "le", high))
    return low, high


class Walk:
    """One reading of plain data: the faults found so far, and the origins of the numbers read."""

    def __init__(self) -> None:
        self.faults: list[Finding] = []
        self.origins: dict[str, Origin] = {}

    def fail(self, *findings: Finding) -> None:
        """Keep faults, to be told with all others."""
        self.faults.extend(findings)

    def settle(self) -> None:
        """Raise every fault found so far as one BadInput."""
        if self.faults:
            raise BadInput(*self.faults)

    def record(self, cls: type[R], data: Any, typed: str, path: str = "", **given: Any) -> R | None:
        """Return the record that `data` describes, or None after keeping its faults.

        `typed` is the place as people type it (`athlete.results[2]`), `path` the place in the case
        (`athlete.results.1`); `given` are fields already read elsewhere, None where that failed.
        """
        if not isinstance(data, Mapping):
            self.fail(
                find("entry.wrong_kind", typed, problem="a table is needed here", allowed=_keys_of(cls))
            )
            return None
        before = len(self.faults)
        values = dict(given)
        keys = fields_by_key(cls)
        misspelt = {nearest(str(key), keys) for key in data if str(key) not in keys}
        for key, raw in data.items():
            place = f"{typed}.{key}" if typed else str(key)
            names = tuple(name for name in keys.get(str(key), ()) if name not in given)
            if not names:
                self.fail(find("entry.unknown_key", place, key=str(key), near=near(str(key), keys)))
                continue
            for name, value in self._field_values(cls, names, raw, place):
                values[name] = self._value(cls.model_fields[name], name, value, place, _join(path, name))
        unmet = {key: names for key, names in keys.items() if key not in misspelt}
        self._missing_and_assumed(cls, unmet, values, typed, path)
        if len(self.faults) > before or None in given.values():
            return None
        try:
            return cls(**values)
        except ValidationError as error:
            self.fail(*(_told(fault, cls, typed) for fault in error.errors()))
            return None

    def records(self, cls: type[R], data: Any, typed: str, path: str) -> tuple[R, ...] | None:
        """Return the records of a list of tables, or None after keeping the faults."""
        if not isinstance(data, list):
            self.fail(
                find("entry.wrong_kind", typed, problem="a list is needed here", allowed="a list of tables")
            )
            return None
        before = len(self.faults)
        found = []
        for place, entry in enumerate(data):
            found.append(
                self.record(cls, entry, f"{typed}[{place + 1}]", _join(path, _mark_of(entry, place)))
            )
        return None if len(self.faults) > before else tuple(one for one in found if one is not None)

    def _field_values(
        self, cls: type[Record], names: tuple[str, ...], raw: Any, place: str
    ) -> list[tuple[str, Any]]:
        """Return which field gets which typed value; of fields that share a key, the unit chooses."""
        if len(names) == 1:
            return [(names[0], raw)]
        chosen: list[tuple[str, Any]] = []
        for text in raw if isinstance(raw, list) else [raw]:
            fits = [
                name for name in names if isinstance(text, str) and readings(text, unit_of(name) or "")[0]
            ]
            units = " or ".join(shown_unit(unit_of(name) or "") for name in names)
            if len(fits) != 1 or fits[0] in dict(chosen):
                self.fail(
                    find(
                        "entry.unreadable",
                        place,
                        text=_shown(text),
                        unit=units,
                        allowed=f"a number with {units}",
                    )
                )
                continue
            chosen.append((fits[0], text))
        return chosen

    def _missing_and_assumed(
        self,
        cls: type[Record],
        keys: Mapping[str, tuple[str, ...]],
        values: Mapping[str, Any],
        typed: str,
        path: str,
    ) -> None:
        for key, names in keys.items():
            for name in names:
                field = cls.model_fields[name]
                if name in values:
                    continue
                if field.is_required():
                    place = f"{typed}.{key}" if typed else key
                    self.fail(find("entry.missing", place, key=key, doc=f"{field.description}."))
                elif _is_number(_bare_type(field)) and field.default is not None:
                    text = f"not given, taken as {_in_words(field.default, unit_of(name) or '')}"
                    self.origins[_join(path, name)] = Origin(kind="assumed", text=text)

    def _value(self, field: FieldInfo, name: str, raw: Any, place: str, path: str) -> Any:
        """Return one field's value, or None after keeping its faults."""
        kind = _bare_type(field)
        if isinstance(kind, type) and issubclass(kind, Record) and kind is not Range:
            return self.record(kind, raw, place, path)
        if get_origin(kind) is tuple:
            inner = get_args(kind)[0]
            if isinstance(inner, type) and issubclass(inner, Record):
                return self.records(inner, raw, place, path)
        try:
            if _is_number(kind):
                return self._number(field, name, raw, place, path)
            return _plain(kind, raw, place, str(field.description))
        except BadInput as error:
            self.fail(*error.findings)
            return None

    def _number(self, field: FieldInfo, name: str, raw: Any, place: str, path: str) -> float | Range:
        unit, bounds = unit_of(name) or "", bounds_of(field)
        self.origins[path] = Origin(kind="typed", text=_shown(raw))
        if not unit:
            return rounded(_pure_number(raw, place, bounds, str(field.description)))
        if not isinstance(raw, str):
            value = rounded(_bare_number(raw, unit, place, bounds, str(field.description)))
            return Range.exact(value) if _bare_type(field) is Range else value
        text = " ".join(raw.split())
        if _bare_type(field) is float:
            return rounded(read_number(text, unit, place, *bounds))
        low, mid, high = (rounded(end) for end in read_range(text, unit, place, *bounds))
        return Range.exact(mid) if low == high else Range.of(low, high, mid)


def _join(path: str, name: str) -> str:
    return f"{path}.{name}" if path else name


def _mark_of(entry: Any, place: int) -> str:
    """Return how an entry of a list is named in paths: by its id where it has one."""
    mark = entry.get("id") if isinstance(entry, Mapping) else None
    return mark if isinstance(mark, str) else str(place)


def _keys_of(cls: type[Record]) -> str:
    return "a table with " + ", ".join(fields_by_key(cls))


def _shown(raw: Any) -> str:
    text = raw if isinstance(raw, str) else str(raw)
    return text if len(text) <= 80 else text[:77] + "..."


def _in_words(value: float | Range, unit: str) -> str:
    ends = (value.low, value.high) if isinstance(value, Range) else (value, value)
    texts = dict.fromkeys(f"{shown(end, unit)}" for end in ends)
    return f"{' to '.join(texts)} {'' if unit == 's' else shown_unit(unit)}".strip()


def _pure_number(raw: Any, place: str, bounds: tuple[float, float], doc: str) -> float:
    """Return a number that has no unit, such as a score; typed without quotes."""
    low, high = bounds
    allowed = f"{low:,.10g} to {high:,.10g}"
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        problem = f"{_shown(raw)} is not a number ({doc})"
        raise BadInput(find("entry.wrong_kind", place, problem=problem, allowed=f"{allowed}, without quotes"))
    if not low <= raw <= high:
        raise BadInput(find("entry.outside", place, text=_shown(raw), allowed=allowed))
    return float(raw)


def _bare_number(raw: Any, unit: str, place: str, bounds: tuple[float, float], doc: str) -> float:
    """Return a number typed without quotes: only where it has a single reading."""
    low, high = bounds
    allowed = f"{shown(low, 'm')} to {shown(high, 'm')} {shown_unit(unit)}".strip()
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        problem = f"{_shown(raw)} is not a number with its unit ({doc})"
        raise BadInput(find("entry.wrong_kind", place, problem=problem, allowed=allowed))
    value = float(raw)
    if value - value != 0:
        raise BadInput(
            find("entry.wrong_kind", place, problem=f"{_shown(raw)} is not a number", allowed=allowed)
        )
    counts_packs = unit == "frac" and high > 1
    found = bare_readings(value, unit)
    if len(found) == 1 or counts_packs:
        value = value if counts_packs else found[0].value
        if not low <= value <= high:
            raise BadInput(find("entry.outside", place, text=_shown(raw), allowed=allowed))
        return value
    inside = [reading for reading in found if low <= reading.value <= high]
    words = " or ".join(reading.words for reading in (inside if len(inside) > 1 else found))
    raise BadInput(find("entry.bare_number", place, text=_shown(raw), readings=words))


def _plain(kind: Any, raw: Any, place: str, doc: str) -> Any:
    """Return a text, a day, a moment, a choice, a count, a yes or no, or a list of texts or choices."""
    if get_origin(kind) is tuple:
        if not isinstance(raw, list):
            raise BadInput(
                find("entry.wrong_kind", place, problem="a list is needed here", allowed='["a", "b"]')
            )
        inner = get_args(kind)[0]
        return tuple(_plain(inner, one, f"{place}[{at + 1}]", doc) for at, one in enumerate(raw))
    if get_origin(kind) is Literal:
        return _choice(get_args(kind), raw, place)
    wanted = {bool: "true or false", int: "a whole number", date: "a day, as 2026-12-06"}
    wanted |= {str: "text in quotes", datetime: "a day and time, as 2026-12-06T07:30:00"}
    wanted |= {time: "a clock time, as 7:30"}
    if kind is str and isinstance(raw, str):
        return _text(raw, place)
    if kind in (date, datetime) and isinstance(raw, str):
        with suppress(ValueError):
            raw = kind.fromisoformat(raw.strip())
    if kind is time and isinstance(raw, str):
        with suppress(ValueError):
            raw = time.fromisoformat(raw.strip().replace(".", ":").zfill(5))
    if type(raw) is kind:
        return raw
    problem = f"{_shown(raw)} does not fit here: {doc}"
    raise BadInput(find("entry.wrong_kind", place, problem=problem, allowed=wanted[kind]))


def _choice(choices: Sequence[str], raw: Any, place: str) -> str:
    if isinstance(raw, str) and raw.strip().lower() in (choice.lower() for choice in choices):
        return next(choice for choice in choices if choice.lower() == raw.strip().lower())
    close = get_close_matches(str(raw).lower(), choices, n=1)
    allowed = ", ".join(choices) + (f" (did you mean '{close[0]}'?)" if close else "")
    raise BadInput(
        find("entry.wrong_kind", place, problem=f"'{_shown(raw)}' is not a choice", allowed=allowed)
    )


def _text(raw: str, place: str) -> str:
    """Return one line of text, its spaces single; control characters are refused, emoji are not."""
    line = unicodedata.normalize("NFC", " ".join(raw.split()))
    if any(unicodedata.category(symbol) == "Cc" for symbol in line):
        raise BadInput(
            find("entry.wrong_kind", place, problem="the text holds a control character", allowed="text")
        )
    return line


def _told(fault: Any, cls: type[Record], typed: str) -> Finding:
    """Return a fault that a record found about itself, in the catalogue's words."""
    name = str(fault["loc"][0]) if fault["loc"] else ""
    field = cls.model_fields.get(name)
    place = f"{typed}.{name}".strip(".")
    if field is None:
        words = str(fault.get("ctx", {}).get("error", "the values here do not fit together"))
        return find("entry.impossible", typed, problem=words)
    allowed = {
        "string_too_short": "at least one letter",
        "string_too_long": f"at most {fault.get('ctx', {}).get('max_length')} letters",
    }.get(fault["type"], f"{field.description}")
    return find(
        "entry.wrong_kind", place, problem=f"'{_shown(fault['input'])}' does not fit", allowed=allowed
    )
