"""`menu` and `shopping`: the menu of a case, laid anew where that is asked for, and what to buy for it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from provand.case.case import Case
from provand.case.menu import MenuWishes
from provand.cli import say
from provand.cli.change import change
from provand.cli.reading import case_files
from provand.finding import BadInput, OnHold, as_data, find
from provand.pack.home import aisles
from provand.pack.voice import short_day, wall_clock
from provand.plan.document import MenuPlan
from provand.plan.draw_up import draw_up
from provand.plan.menu import whole_grams
from provand.plan.menu_laid import MenuMade, MenuSeen, laid_anew, menu_seen
from provand.plan.withheld import WEIGHTS
from provand.protocol.own import Protocols
from provand.safety.screening import Screening, screen


def _read(path: Path, as_of: date) -> tuple[Case, Screening, Protocols]:
    """Return a case, screened; OnHold with the reasons where nothing personal may be computed."""
    case, health, protocols = case_files(path, as_of)
    screening, reasons = screen(case, health, as_of=as_of)
    if not screening.may_issue:
        raise OnHold(*reasons)
    return case, screening, protocols


def menu(
    path: Path, as_of: date, *, lay: bool, other: bool, keep: bool, ledger: Path | None, as_json: bool
) -> None:
    """Print the menu of a case; laid anew around what stays where that is asked for, and kept in the file."""
    case, screening, protocols = _read(path, as_of)
    made: MenuMade | None = None
    if lay or other:
        made = laid_anew(case, screening, protocols=protocols, as_of=as_of, other=other)
        laid = (case.menu or MenuWishes()).model_copy(update={"laid": made.rows})
        case = case.model_copy(update={"menu": laid})
    seen = menu_seen(case, screening, protocols=protocols, as_of=as_of)
    if seen.menu is None:
        raise BadInput(*(seen.findings or (find("menu.not_laid", str(path)),)))
    if as_json:
        say.data(_as_data(seen, made))
    else:
        _tell(seen, made, in_words="grams" in screening.withheld)
    if keep and made is not None:
        rows = [row.model_dump() for row in made.rows]
        data = {"kind": "lay menu", "laid": rows}
        change(path, data, as_of, dry_run=False, ledger=ledger, as_json=as_json)


def _as_data(seen: MenuSeen, made: MenuMade | None) -> dict[str, Any]:
    menu = seen.menu
    assert menu is not None
    figures = [seen.figures[name] for block in menu.blocks for name in block.figures]
    return {
        "menu": menu.model_dump(mode="json"),
        "figures": [figure.model_dump(mode="json") for figure in (seen.figures[menu.target], *figures)],
        "goals": [goal._asdict() for goal in made.solution.goals] if made else [],
        "proven": made.solution.proven if made else None,
        "findings": as_data((*seen.findings, *seen.breaches)),
    }


def _tell(seen: MenuSeen, made: MenuMade | None, *, in_words: bool) -> None:
    menu = seen.menu
    assert menu is not None
    for number in range(len(menu.blocks)):
        _tell_block(menu, seen, number, in_words=in_words)
    if made is not None:
        told = (
            "nothing better exists"
            if made.solution.proven
            else f"at most {made.solution.gap} steps from the best"
        )
        print(f"\nLaid by the planner: {told}.")
    found = (*seen.findings, *seen.breaches, *(made.in_the_way if made else ()))
    say.findings(one for one in found if not (in_words and WEIGHTS.search(one.line())))


def _tell_block(menu: MenuPlan, seen: MenuSeen, number: int, *, in_words: bool) -> None:
    block = menu.blocks[number]
    start, end = (f"{short_day(at.date())} {wall_clock(at)}" for at in (block.start, block.end))
    print(f"\n{start} to {end}")
    for meal, grams in whole_grams(menu, number):
        sums = "" if in_words else f"  {grams.meal_g} g, so far {grams.so_far_g} g"
        print(f"  {short_day(meal.on)} {wall_clock(meal.at)}  {meal.meal}{sums}")
        for food, held_g in zip(meal.foods, grams.foods_g, strict=True):
            held = "" if in_words else f"  {held_g} g"
            print(f"      {food.says} {food.name}{held}{'  stays' if food.pinned else ''}")
    if not in_words:
        target = seen.figures[menu.target].says()
        print(f"  carbohydrate asked for: {target}")
        for figure_id in block.figures:
            print(f"  {figure_id}: {seen.figures[figure_id].says()}")


def shopping(path: Path, as_of: date, *, as_json: bool) -> None:
    """Print what to buy for the menu of a case, by aisle, and for the bottles that its plan has mixed."""
    case, screening, protocols = _read(path, as_of)
    seen = menu_seen(case, screening, protocols=protocols, as_of=as_of)
    if seen.menu is None:
        raise BadInput(*(seen.findings or (find("menu.not_laid", str(path)),)))
    menu = seen.menu
    if any(item.recipe for item in case.items):
        menu = draw_up(case, screening, protocols=protocols, as_of=as_of).menu or menu
    if as_json:
        say.data([line.model_dump(mode="json") for line in menu.shopping])
        return
    in_words = "grams" in screening.withheld
    for aisle in aisles(menu, in_words=in_words):
        print(aisle["name"])
        for line in aisle["lines"]:
            note = f"  ({line['note']})" if line["note"] else ""
            print(f"  {line['name']}: {line['what']}{note}")
    there = [line for line in menu.shopping if not line.is_to_buy]
    if there and not in_words:
        print("In the house already")
        for line in there:
            print(f"  {line.name}: {line.need_g:.0f} g of {line.have_g:.0f} g")
