"""The menu of a case without the rest of its plan: as it stands, and laid anew by the planner."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.case.menu import LaidFood
from provand.figure import Figure
from provand.finding import BadInput, Finding, NoPlanFits, OnHold, find
from provand.plan.body_work import work_out
from provand.plan.document import MenuPlan
from provand.plan.draw_up import targets_of
from provand.plan.menu import asked_of, menu_of
from provand.planner.menu.lay import lay
from provand.planner.menu.pose import Posed, laid_of, pose_menu
from provand.planner.menu.problem import Menu, MenuSolution
from provand.protocol.own import Protocols
from provand.safety.foods import menu_faults
from provand.safety.screening import Screening

IN_THE_WAY = {"menu.fits_with", "menu.not_even_with", "menu.not_all_tried", "menu.nothing_at_hand"}
"""What the planner alone can say of a menu: which wishes stand in the way, which meals can have no dish."""


class MenuSeen(NamedTuple):
    """The menu of a case as it stands, its figures by id, what must be said, what may not be eaten."""

    menu: MenuPlan | None
    figures: dict[str, Figure]
    findings: tuple[Finding, ...]
    breaches: tuple[Finding, ...]


def menu_seen(case: Case, screening: Screening, *, protocols: Protocols, as_of: date) -> MenuSeen:
    """Return the menu as it is laid, without the race: nothing is solved. OnHold on hold."""
    if not screening.may_issue:
        raise OnHold(*screening.findings)
    work = work_out(case, screening)
    goals = targets_of(case, screening, work, protocols=protocols, as_of=as_of)
    laid = menu_of(work.trace, case, goals, minor=work.minor, withheld=screening.withheld)
    figures = {figure.id: figure for figure in work.trace.figures}
    return MenuSeen(laid.menu, figures, laid.findings, tuple(menu_faults(case, screening.withheld)))


def posed_menu(
    case: Case,
    screening: Screening,
    *,
    protocols: Protocols,
    as_of: date,
    avoid: tuple[Menu, ...] = (),
) -> Posed:
    """Return the menu of a case as a problem: OnHold on hold, BadInput where it has nothing to come to."""
    if not screening.may_issue:
        raise OnHold(*screening.findings)
    work = work_out(case, screening)
    goals = targets_of(case, screening, work, protocols=protocols, as_of=as_of)
    asked = asked_of(work.trace, case, goals, minor=work.minor, withheld=screening.withheld)
    posed = pose_menu(case, asked, avoid=avoid)
    if not posed.slots:
        raise BadInput(find("menu.no_times", "menu.meals"))
    return posed


class MenuMade(NamedTuple):
    """A menu laid anew: its rows for the case, and how good it is."""

    rows: tuple[LaidFood, ...]
    solution: MenuSolution

    @property
    def in_the_way(self) -> tuple[Finding, ...]:
        """What keeps it from its target, which the menu as it stands does not tell."""
        return tuple(one for one in self.solution.findings if one.code in IN_THE_WAY)


def laid_anew(
    case: Case, screening: Screening, *, protocols: Protocols, as_of: date, other: bool = False
) -> MenuMade:
    """Return a menu laid around what stays; `other` asks for one unlike that which stands.

    OnHold on hold, BadInput where a menu has nothing to come to, NoPlanFits where none keeps every limit:
    then it names which wish stands in the way.
    """
    avoid = another(case) if other else ()
    posed = posed_menu(case, screening, protocols=protocols, as_of=as_of, avoid=avoid)
    solution = lay(posed.problem)
    rows = rows_of(solution, posed, case)
    if not rows:
        raise NoPlanFits(*(solution.findings or (find("menu.none"),)))
    return MenuMade(rows, solution)


def another(case: Case) -> tuple[Menu, ...]:
    """Return the menu that stands, as one that has been shown: another one is wished for."""
    return (laid_of(case.menu.laid),) if case.menu is not None and case.menu.laid else ()


def rows_of(solution: MenuSolution, posed: Posed, case: Case) -> tuple[LaidFood, ...]:
    """Return a menu that came out as the rows of a case. What was pinned stays, though no menu plans it."""
    slots = {slot.id: slot for slot in posed.slots}
    stays = [one for one in (case.menu.laid if case.menu else ()) if one.pinned and one.slot in slots]
    pinned = {(one.slot, one.food) for one in stays}
    laid = [
        LaidFood(
            on=slots[one.slot].on,
            meal=slots[one.slot].meal,
            food=one.food,
            portions_count=one.portions_count,
            pinned=(one.slot, one.food) in pinned,
        )
        for one in solution.laid
    ]
    there = {(one.slot, one.food) for one in laid}
    laid += [one for one in stays if (one.slot, one.food) not in there]
    return tuple(sorted(laid, key=lambda one: (slots[one.slot].at, one.food)))
