"""Where a figure comes from: its chain of inputs down to the text as typed. It only prints the trace."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from typing import NamedTuple

from provand.card import sources
from provand.figure import Figure
from provand.finding import BadInput, find
from provand.plan.document import Plan


class Link(NamedTuple):
    """One figure of a chain, how deep it stands, and whether its own inputs stand elsewhere above."""

    depth: int
    figure: Figure
    seen: bool


def chain(plan: Plan, figure_id: str) -> tuple[Link, ...]:
    """Return the figure and all it rests on, depth first; BadInput names near ids when there is none."""
    by_id = {figure.id: figure for figure in plan.figures}
    if figure_id not in by_id:
        close = difflib.get_close_matches(figure_id, by_id, n=3, cutoff=0.4)
        near = "Did you mean " + " or ".join(close) + "?" if close else "Leave it out to see the list."
        raise BadInput(find("plan.no_figure", figure_id, near=near))
    seen: set[str] = set()

    def walk(name: str, depth: int) -> Iterator[Link]:
        figure, again = by_id[name], name in seen
        seen.add(name)
        yield Link(depth, figure, again and bool(figure.inputs))
        if not again:
            for inner in figure.inputs:
                yield from walk(inner, depth + 1)

    return tuple(walk(figure_id, 0))


def basis(figure: Figure) -> str:
    """Return in a few words what made the figure."""
    words = {
        "given": "given",
        "equation": "equation",
        "rule": "rule",
        "sum": "sum",
        "chosen": "chosen",
        "simulated": "simulated",
    }
    mark = f", {MARKS[figure.mark]}" if figure.mark else ""
    return f"{words[figure.how]}: {figure.by}{mark}"


def overruled(plan: Plan, figure: Figure) -> tuple[str, ...]:
    """Return who put the rule behind a figure in the place of a shipped one, when and why; else nothing."""
    words = (rule.override for rule in plan.rules if f"{rule.protocol}/{rule.id}" == figure.by)
    return tuple(dict.fromkeys(filter(None, words)))


MARKS = {
    "read": "read in the source",
    "read2": "quoted by another text",
    "pkg": "read in a package",
    "computed": "computed from published figures",
    "memory": "from memory",
    "estimate": "our estimate",
    "practice": "common practice, no source",
}


def lines(plan: Plan, figure_id: str) -> tuple[str, ...]:
    """Return the chain as indented lines: value and range, what made it, its source, its caveats."""
    out: list[str] = []
    for link in chain(plan, figure_id):
        pad, figure = "  " * link.depth, link.figure
        above = "  (as above)" if link.seen else ""
        meaning = f", {figure.value.means}" if figure.value.means != "exact" else ""
        out.append(f"{pad}{figure.id} = {figure.says()}{meaning}{above}")
        if link.seen:
            continue
        out.append(f"{pad}  {basis(figure)}")
        out.extend(f"{pad}  instead of the shipped rule: {words}" for words in overruled(plan, figure))
        if figure.source:
            source = sources()[figure.source]
            doi = f", doi {source.doi}" if source.doi else ""
            out.append(f"{pad}  source: {source.cite}{doi}; {figure.at}")
        out.extend(f"{pad}  caveat: {caveat.sentence}" for caveat in figure.caveats)
    return tuple(out)
