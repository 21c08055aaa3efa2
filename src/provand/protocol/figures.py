"""An assumption as a figure of a trace: its band, or the 5 to 95 % of its draw, with source and mark."""

from __future__ import annotations

from collections.abc import Iterable

from provand.figure import Figure, Range, Trace
from provand.protocol.rules import Rule

Z_5_95 = 1.645
"""Normal deviate of the 5th and 95th percentile."""


def from_rule(
    trace: Trace,
    figure_id: str,
    rule: Rule,
    value: Range | float | None = None,
    *,
    by: str = "",
    inputs: Iterable[Figure] = (),
) -> Figure:
    """Keep what an assumption gives as a figure with its source and mark; a draw is shown from 5 to 95 %."""
    return trace.add(
        figure_id,
        draw(rule) if value is None else value,
        how="rule",
        by=by or rule.id,
        inputs=inputs,
        source=rule.source,
        at=rule.at,
        mark=rule.mark,
    )


def draw(rule: Rule) -> Range:
    """Return the 5 to 95 % range of an assumption that has a spread, inside its bounds; else its band."""
    if rule.sd is None:
        return rule.band
    ends = [
        min(max(rule.band.mid + sign * Z_5_95 * rule.sd, rule.band.low), rule.band.high) for sign in (-1, 1)
    ]
    return Range(low=ends[0], mid=rule.band.mid, high=ends[1], means="p5-p95")
