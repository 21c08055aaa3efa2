"""Which wishes stand in the way of the carbohydrate of a menu: the smallest sets of them, with amounts.

All of them together come first: where even that is not enough, no set is. Then each alone, the one that gives
way most easily first, then pairs where none is enough alone. A look may end without an answer, and says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from provand.finding import Finding, find
from provand.planner.menu.goals import GIVES_WAY
from provand.planner.menu.problem import MenuProblem
from provand.planner.menu.run import MenuRun

MAX_LOOKS = 24
"""Sets tried at most."""
MAX_NODES = 100
"""Nodes for one look: it is advice, so it may end without an answer."""
WORDS = {
    "pins": "{count} pinned food{s} fewer",
    "fat": "{count} g more fat",
    "fibre": "{count} g more fibre",
    "volume": "meals {count} g heavier in all",
    "sweet drinks": "{count} more sweet drink{s}",
    "protein, most": "{count} g more protein",
    "protein": "less protein",
    "no protein": "a lunch or dinner without protein",
    "variety": "foods {count} more time{s} than variety allows",
    "evenness": "meals {count} g less even in carbohydrate",
}
"""How a wish that is given up is told; protein counts grams and meals together, so it has no figure."""


def in_the_way(problem: MenuProblem) -> tuple[Finding, ...]:
    """Return every smallest set of wishes without which no day would miss its carbohydrate."""
    open_to = [wish for wish in reversed(GIVES_WAY) if wish != "pins" or problem.pinned]
    if not _reaches(problem, open_to):
        return (find("menu.not_even_with"),)
    looks, ended = 0, True
    for size in (1, 2):
        found: list[Finding] = []
        for wishes in combinations(open_to, size):
            looks += 1
            if looks > MAX_LOOKS:
                ended = False
                break
            run = MenuRun(problem, ease=wishes, all_or_nothing=True, max_nodes=MAX_NODES)
            ended = ended and run.ended
            if run.met:
                found.append(find("menu.fits_with", wishes=" and ".join(_said(run.keep_what_was_eased()))))
        if found:
            return tuple(found)
    return (find("menu.needs_more_than_two"),) if ended else (find("menu.not_all_tried", looks=MAX_LOOKS),)


def _reaches(problem: MenuProblem, wishes: Iterable[str]) -> bool:
    """Return whether the carbohydrate is there with all of these given up; also where that is not known."""
    run = MenuRun(problem, ease=wishes, all_or_nothing=True, max_nodes=MAX_NODES)
    return run.met or not run.ended


def _said(given_up: Mapping[str, int]) -> Iterator[str]:
    for wish in GIVES_WAY:
        if count := given_up.get(wish, 0):
            yield WORDS[wish].format(count=count, s="" if count == 1 else "s")
        elif wish == "protein" and wish in given_up:
            yield WORDS["no protein"]
