"""Which wishes to give up where not everything fits: every smallest set of them, with amounts.

A schedule is sought with some wishes given up, carbohydrate first, and then with as little given up as can
be. Single wishes come first, then all of them together: where even that misses the target, no set reaches
it. Only else are pairs tried, and a set is skipped that holds a smaller one which is enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal, get_args

from provand.case.case import Pocket
from provand.finding import CannotWork
from provand.planner.model import Schedule, chosen
from provand.planner.patterns import is_rehearsed, why_never
from provand.planner.points import wide
from provand.planner.pose import pose
from provand.planner.problem import Pattern, Problem, RaceInputs
from provand.planner.run import Run
from provand.planner.solve import Objective

Wish = Literal["pockets", "pairing", "rehearsal"]
WISHES: tuple[Wish, ...] = get_args(Wish)
"""What may be given up for carbohydrate, in the order in which it gives way; rehearsal by hand alone."""
AMPLE_ML = 5000.0
"""Room that nothing in a race fills."""
MAX_NODES = 2_000
"""Nodes for one look: it is advice, so it may end without an answer, and then says so."""
MAX_LOOKS = 2 ** len(WISHES) - 1
"""As many sets as there are; each is tried once at most."""


@dataclass(frozen=True, kw_only=True)
class GivenUp:
    """What giving up a set of wishes brings: carbohydrate, and how much of each wish it takes."""

    wishes: tuple[Wish, ...]
    counted_mg: int
    enough: bool
    room_ml: int = 0
    dry: int = 0
    unrehearsed: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Looked:
    """The smallest sets that reach the target; single wishes that only help; whether every look ended."""

    enough: tuple[GivenUp, ...]
    helps: tuple[GivenUp, ...]
    all_together: GivenUp | None
    finished: bool


def smallest_sets(problem: Problem, counted_mg: int) -> Looked:
    """Return what to give up to reach the target; `counted_mg` is what the schedule has as it is."""
    looks, open_to = _Looks(problem), _open_to(problem.inputs)
    singles = [found for wish in open_to if (found := looks.best((wish,)))]
    enough = [single for single in singles if single.enough]
    helps = [single for single in singles if not single.enough and single.counted_mg > counted_mg]
    together = None
    if not enough and len(open_to) > 1:
        together = looks.best(open_to, amounts=False)
    if enough or (together and together.enough):
        for size in range(2, len(open_to) + 1):
            for wishes in combinations(open_to, size):
                held = any(set(smaller.wishes) < set(wishes) for smaller in enough)
                found = None if held else looks.reaching(wishes)
                enough += [found] if found else []
    return Looked(enough=tuple(enough), helps=tuple(helps), all_together=together, finished=looks.finished)


def _open_to(inputs: RaceInputs) -> tuple[Wish, ...]:
    """Return the wishes that there are to give up."""
    wet = any(item.with_water and not why_never(inputs, item) for item in inputs.items.values())
    there = {"pockets": True, "pairing": wet, "rehearsal": inputs.case.wishes.rehearsed_only}
    return tuple(wish for wish in WISHES if there[wish])


class _Looks:
    """Looks at sets of wishes given up, and remembers whether each came to an end."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self.finished = True

    def best(self, wishes: tuple[Wish, ...], *, amounts: bool = True) -> GivenUp | None:
        """Return what giving these up brings at best; None where nothing was found within the nodes."""
        return self._look(wishes, None, amounts)

    def reaching(self, wishes: tuple[Wish, ...]) -> GivenUp | None:
        """Return how much of these it takes to reach the target; None where they do not."""
        return self._look(wishes, 0, True)

    def _look(self, wishes: tuple[Wish, ...], max_misses: int | None, amounts: bool) -> GivenUp | None:
        easier = pose(eased(self._problem.inputs, wishes))
        easier = replace(easier, gaps=wide(easier.gaps))
        try:
            run = Run(easier, max_nodes=MAX_NODES, max_misses=max_misses)
        except CannotWork:
            self.finished = False
            return None
        if run.misses is None:
            return None
        for goal in _little_given_up(run.problem, run.schedule, wishes) if amounts else ():
            try:
                run.solver.minimise(goal)
            except CannotWork:
                break
        return _told(run, wishes)


def eased(inputs: RaceInputs, wishes: tuple[Wish, ...]) -> RaceInputs:
    """Return a race with wishes given up; where pockets are, one more stands last."""
    athlete = inputs.case.athlete
    if "pockets" in wishes:
        more = Pocket(name="one more", room_ml=AMPLE_ML)
        athlete = athlete.model_copy(update={"pockets": (*athlete.pockets, more)})
    case = inputs.case.model_copy(update={"athlete": athlete})
    return replace(inputs, case=case, eased=frozenset(wishes))


def _little_given_up(problem: Problem, schedule: Schedule, wishes: tuple[Wish, ...]) -> Iterator[Objective]:
    """Yield what is given up, the dearest wish first, to be kept as small as can be."""
    inputs = problem.inputs
    if "rehearsal" in wishes:
        new = {column: 1 for kind, column in schedule.kinds.items() if not is_rehearsed(inputs, kind)}
        yield Objective("kinds not rehearsed", new, least=0)
    if "pairing" in wishes:
        dry = {c: 1 for _, _, pattern, c in chosen(problem, schedule) if is_dry(inputs, pattern)}
        yield Objective("bites without water", dry, least=0)
    if "pockets" in wishes:
        yield Objective("room in one more pocket", schedule.rooms[-1], least=0)


def is_dry(inputs: RaceInputs, pattern: Pattern) -> bool:
    """Return whether a pattern has a bite that needs water, and no water."""
    items = [inputs.item_of(take.item) for take in pattern.takes]
    return any(item.with_water for item in items) and all(item.texture != "water" for item in items)


def _told(run: Run, wishes: tuple[Wish, ...]) -> GivenUp:
    inputs, schedule = run.problem.inputs, run.schedule
    picked = [p for _, _, p, c in chosen(run.problem, schedule) if run.solver.value_of(c)]
    kinds = {kind for pattern in picked for kind in pattern.kinds}
    room_dl = _sum(run, schedule.rooms[-1]) if "pockets" in wishes else 0
    return GivenUp(
        wishes=wishes,
        counted_mg=run.counted_mg,
        enough=run.misses == 0,
        room_ml=10 * -(-room_dl // 100),
        dry=sum(is_dry(inputs, pattern) for pattern in picked) if "pairing" in wishes else 0,
        unrehearsed=tuple(sorted(inputs.item_of(k).name for k in kinds if not is_rehearsed(inputs, k))),
    )


def _sum(run: Run, terms: Mapping[int, float]) -> int:
    return round(sum(value * run.solver.value_of(column) for column, value in terms.items()))
