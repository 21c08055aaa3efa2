"""Ranges, figures and the trace that alone makes figures, from figures: no orphan can be made."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import product
from typing import Literal, Self

from pydantic import model_validator

from provand.card import Mark, card_of, cards
from provand.finding import Finding, find
from provand.record import Record, rounded
from provand.units import shown, shown_unit, unit_of

Means = Literal["exact", "bounds", "p5-p95", "band"]
How = Literal["given", "equation", "rule", "sum", "chosen", "simulated"]


class Range(Record):
    """A number with its doubt. `band` is ours to choose inside; the other meanings are not known."""

    low: float
    mid: float
    high: float
    means: Means = "bounds"

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if not self.low <= self.mid <= self.high:
            raise ValueError(f"a range must be ordered; got {self.low:g}, {self.mid:g}, {self.high:g}")
        return self

    @classmethod
    def exact(cls, value: float) -> Range:
        return cls(low=value, mid=value, high=value, means="exact")

    @classmethod
    def of(cls, low: float, high: float, mid: float | None = None, *, means: Means = "bounds") -> Range:
        return cls(low=low, mid=(low + high) / 2 if mid is None else mid, high=high, means=means)

    @property
    def is_single(self) -> bool:
        return self.low == self.high


def _rounded_range(value: Range) -> Range:
    return Range(low=rounded(value.low), mid=rounded(value.mid), high=rounded(value.high), means=value.means)


class Figure(Record):
    """One number of a plan with everything that explains it; made by a `Trace` only.

    `id` ends in its unit and denominator (`load.carb_g_per_day`); `inputs` are ids of other figures of
    the same trace; `by` is the equation, the rule, or the text as typed.
    """

    id: str
    value: Range
    unit: str
    denominator: str
    how: How
    by: str
    source: str = ""
    at: str = ""
    mark: Mark | None = None
    inputs: tuple[str, ...] = ()
    caveats: tuple[Finding, ...] = ()

    def says(self) -> str:
        """Return value, range and unit as one phrase: `38 g/h (34 to 41)`."""
        unit = shown_unit(self.unit).strip("/")
        text = f"{shown(self.value.mid, self.unit)} {unit if self.unit != 's' else ''}".strip()
        if self.value.is_single:
            return text
        return f"{text} ({shown(self.value.low, self.unit)} to {shown(self.value.high, self.unit)})"


class Series(Record):
    """A figure along the course: low, mid and high at each place (metres from the start)."""

    of: str
    x_m: tuple[float, ...]
    low: tuple[float, ...]
    mid: tuple[float, ...]
    high: tuple[float, ...]

    @model_validator(mode="after")
    def _same_lengths(self) -> Self:
        if len({len(self.x_m), len(self.low), len(self.mid), len(self.high)}) != 1:
            raise ValueError("a series needs as many values as places")
        if any(b < a for a, b in zip(self.x_m, self.x_m[1:], strict=False)):
            raise ValueError("the places of a series must not go back")
        return self


_DENOMINATORS = {
    "day": "per day",
    "h": "per hour",
    "l": "per litre",
    "race": "whole race",
    "kg": "per kg of body mass",
}


def _denominator(figure_id: str, unit: str) -> str:
    _, *rest = unit.split("/")
    if rest:
        return " ".join(_DENOMINATORS.get(part, f"per {part}") for part in rest)
    return "whole race" if figure_id.startswith("race.") else "one value"


class Trace:
    """Figures in the order made. Every maker takes and returns `Figure`s of this very trace."""

    def __init__(self) -> None:
        self._figures: dict[str, Figure] = {}

    @property
    def figures(self) -> tuple[Figure, ...]:
        return tuple(self._figures.values())

    def __contains__(self, figure_id: str) -> bool:
        return figure_id in self._figures

    def __getitem__(self, figure_id: str) -> Figure:
        return self._figures[figure_id]

    def _keep(self, figure: Figure) -> Figure:
        kept = self._figures.setdefault(figure.id, figure)
        if kept != figure:
            raise ValueError(f"figure {figure.id} is made twice, and not the same")
        return kept

    def add(
        self,
        figure_id: str,
        value: Range | float,
        *,
        how: How,
        by: str,
        inputs: Iterable[Figure] = (),
        source: str = "",
        at: str = "",
        mark: Mark | None = None,
        caveats: Iterable[Finding] = (),
    ) -> Figure:
        """Keep a figure that no single equation gives: typed, a rule's band, a least-of, a simulation."""
        unit = unit_of(figure_id)
        if unit is None:
            raise ValueError(f"figure {figure_id} has no unit in its name")
        ranged = value if isinstance(value, Range) else Range.exact(float(value))
        return self._keep(
            Figure(
                id=figure_id,
                value=_rounded_range(ranged),
                unit=unit,
                denominator=_denominator(figure_id, unit),
                how=how,
                by=by,
                source=source,
                at=at,
                mark=mark,
                inputs=tuple(self._own(figure).id for figure in inputs),
                caveats=tuple(caveats),
            )
        )

    def _own(self, figure: Figure) -> Figure:
        if self._figures.get(figure.id) != figure:
            raise ValueError(f"{figure.id} = {figure.value.mid:g} was never made by this trace")
        return figure

    def given(self, figure_id: str, value: Range | float, text: str) -> Figure:
        """Keep a number of the case; `text` says how it was given (`typed "140 lb"`)."""
        return self.add(figure_id, value, how="given", by=text)

    def apply(self, function: Callable[..., float], figure_id: str, **inputs: Figure) -> Figure:
        """Run a carded equation on figures: mid of mids, low and high over the corners of ranges.

        Raises TypeError for a wrong name or unit and for a ranged argument in which the equation turns.
        Outside the published range it computes and carries a caveat.
        """
        card = card_of(function)
        if set(inputs) != set(card.parameters):
            raise TypeError(f"{card.name} takes {card.parameters}, not {tuple(inputs)}")
        if unit_of(card.gives) != unit_of(figure_id):
            raise TypeError(f"{card.name} gives {card.gives}; {figure_id} has another unit")
        for name, figure in inputs.items():
            if unit_of(name) != figure.unit:
                raise TypeError(f"{card.name} wants {name}; {figure.id} is in {figure.unit}")
            if name in card.turns and not figure.value.is_single:
                raise TypeError(f"{card.name} turns in {name}: a range there has no corners")
        mid = function(**{name: figure.value.mid for name, figure in inputs.items()})
        ends = [sorted({figure.value.low, figure.value.high}) for figure in inputs.values()]
        corners = [function(**dict(zip(inputs, corner, strict=True))) for corner in product(*ends)]
        value = Range(
            low=min(mid, *corners), mid=mid, high=max(mid, *corners), means=_meaning(inputs.values())
        )
        return self.add(
            figure_id,
            value,
            how="equation",
            by=card.name,
            inputs=inputs.values(),
            source=card.source,
            at=card.at,
            mark=card.mark,
            caveats=_outside(card.name, figure_id, {n: f.value for n, f in inputs.items()}),
        )

    def sum(self, figure_id: str, figures: Sequence[Figure], *, by: str = "sum") -> Figure:
        """Keep the exact sum of figures of one unit."""
        if {figure.unit for figure in figures} - {unit_of(figure_id)}:
            raise TypeError(f"{figure_id} cannot add {[figure.id for figure in figures]}")
        ends = [math.fsum(getattr(f.value, end) for f in figures) for end in ("low", "mid", "high")]
        value = Range(low=ends[0], mid=ends[1], high=ends[2], means=_meaning(figures))
        return self.add(figure_id, value, how="sum", by=by, inputs=figures)


def _meaning(figures: Iterable[Figure]) -> Means:
    meanings = {figure.value.means for figure in figures}
    for means in ("bounds", "p5-p95", "band"):
        if means in meanings:
            return means
    return "exact"


def _outside(name: str, figure_id: str, values: dict[str, Range]) -> list[Finding]:
    found = []
    for parameter, (low, high) in cards()[name].holds.items():
        value = values[parameter]
        worst = value.low if value.low < low else value.high
        if not low <= worst <= high:
            found.append(
                find(
                    "caveat.outside",
                    figure_id,
                    equation=name,
                    parameter=parameter,
                    low=low,
                    high=high,
                    value=worst,
                )
            )
    return found
