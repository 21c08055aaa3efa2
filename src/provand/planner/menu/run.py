"""One run of the solver over a menu: every goal in order, each with the bound it proved."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from provand.finding import CannotWork
from provand.planner.menu.goals import CARB, Aim, carbohydrate, eased, wishes_of_taste
from provand.planner.menu.model import build, menu_of
from provand.planner.menu.problem import Menu, MenuProblem, Reached
from provand.planner.progress import tell
from provand.planner.solve import Nearest


class MenuRun:
    """A menu in the solver, with some wishes eased; those of `first` go before carbohydrate.

    With `all_or_nothing` nothing is feasible in which a day misses its band of carbohydrate. Carbohydrate and
    what goes before it get `max_nodes` each.
    """

    def __init__(
        self,
        problem: MenuProblem,
        *,
        ease: Iterable[str] = (),
        first: Iterable[str] = (),
        all_or_nothing: bool = False,
        max_nodes: int = CARB,
    ) -> None:
        self.problem = replace(problem, eased=frozenset((*ease, *first)))
        self.made = build(self.problem)
        for column in self.made.carb if all_or_nothing else ():
            self.made.model.upper[column] = 0.0
        self.solver = Nearest(self.made.model)
        self.reached: list[Reached] = []
        self._later = sorted(self.problem.eased - frozenset(first))
        self.ended = True
        """Whether the first goals came to an end within their nodes."""
        self._nth = 0
        aims = (*eased(self.made, first), carbohydrate(self.made))
        self._of = sum(1 for _ in (*aims, *eased(self.made, self._later), *self._taste()))
        self.feasible = all(self._reach(aim._replace(max_nodes=max_nodes)) for aim in aims)

    @property
    def met(self) -> bool:
        """Whether there is a menu in which no day misses its band of carbohydrate."""
        return self.feasible and self.reached[-1].value == 0

    def _reach(self, aim: Aim) -> bool:
        """Minimise one goal and keep its value; False where nothing was found."""
        self._nth += 1
        tell(nth=self._nth, of=self._of)
        try:
            found = self.solver.best(aim.goal, max_nodes=aim.max_nodes)
        except CannotWork:
            self.ended = False
            return False
        if found is not None:
            gap = round(found.value - found.bound)
            self.reached.append(Reached(aim.goal.name, found.value, gap, aim.unit))
        return found is not None

    def keep_what_was_eased(self) -> dict[str, int]:
        """Keep every wish that was eased as nearly as can be, the dearest first; return by how much not."""
        for aim in eased(self.made, self._later):
            self._reach(aim)
        return {goal.name: goal.value for goal in self.reached if goal.name in self.problem.eased}

    def _taste(self) -> Iterator[Aim]:
        return wishes_of_taste(self.problem, self.made)

    def finish(self) -> None:
        """Reach the goals after carbohydrate."""
        self.keep_what_was_eased()
        for aim in self._taste():
            self._reach(aim)

    @property
    def menu(self) -> Menu:
        """The best menu so far."""
        return menu_of(self.made, self.solver.value_of)
