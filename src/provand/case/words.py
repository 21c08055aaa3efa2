"""A typed value in the words of a sentence: `21 to 25 °C`, `1:47 to 2:04`, `45 to 70 %`."""

from __future__ import annotations

from provand.case.walk import bounds_of
from provand.figure import Range
from provand.record import Record
from provand.units import clock, read_number, read_range, shown, shown_unit, unit_of


def read_as(cls: type[Record], name: str, text: str, place: str) -> Range:
    """Return what the door will read for a field; BadInput says what is wrong with the text, and where."""
    field, unit = cls.model_fields[name], unit_of(name) or ""
    if field.annotation in (float, float | None):
        return Range.exact(read_number(text, unit, place, *bounds_of(field)))
    low, mid, high = read_range(text, unit, place, *bounds_of(field))
    return Range.exact(mid) if low == high else Range.of(low, high, mid)


def in_words(value: Range | float | None, name: str) -> str:
    """Return a value of the field of this name, its likely value left out; `nothing` for None."""
    if value is None:
        return "nothing"
    unit = unit_of(name) or ""
    ends = (value.low, value.high) if isinstance(value, Range) else (value,)
    if unit == "s":
        return " to ".join(dict.fromkeys(clock(end) for end in ends))
    size, shown_as = (100.0, "%") if unit == "frac" else (1.0, shown_unit(unit))
    texts = dict.fromkeys(shown(size * end, unit) for end in ends)
    return f"{' to '.join(texts)} {shown_as}".strip()


def minutes(time_s: Range) -> str:
    """Return seconds as minutes: `1 to 4 min`."""
    ends = (time_s.low, time_s.high)
    return f"{' to '.join(dict.fromkeys(f'{end / 60:.4g}' for end in ends))} min"


def listed(names: list[str]) -> str:
    """Return names as a sentence lists them: `water and cola`; `nothing` without any."""
    if len(names) < 2:
        return "".join(names) or "nothing"
    return f"{', '.join(names[:-1])} and {names[-1]}"
