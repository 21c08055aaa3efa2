"""The menu of a race file as its page shows it and changes it; the race itself is not solved for it."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from typing import Any, NamedTuple

from provand.case.change import Change
from provand.case.menu import LaidFood
from provand.case.menu_hand import LAID, food_named
from provand.figure import Range
from provand.finding import BadInput, Finding, find
from provand.larder.food import Food, Larder
from provand.pack.home import KITCHENS, aisles
from provand.pack.voice import day, short_day, wall_clock
from provand.plan.changing import changed
from provand.plan.document import MenuFood, MenuMeal, MenuPlan
from provand.plan.look import Looked
from provand.plan.menu import WholeGrams, whole_grams
from provand.plan.menu_laid import MenuSeen, menu_seen, posed_menu
from provand.plan.withheld import WEIGHTS
from provand.planner.menu.pose import laid_of
from provand.planner.menu.swaps import Swap, instead
from provand.units import shown
from provand.workspace import desk as desks
from provand.workspace import plans
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, User
from provand.workspace.plan_edit import kept_as
from provand.workspace.plans import Basis

NAMES = {"carb_g": "Carbohydrate", "fibre_g": "Fibre", "fat_g": "Fat", "protein_g": "Protein"}


class Laid(NamedTuple):
    """The race file after a change of its menu, and the change in words."""

    desk: Desk
    said: str


def seen(basis: Basis) -> MenuSeen:
    """Return the menu as it stands; OnHold on hold, BadInput where nothing can be computed."""
    return menu_seen(basis.case, basis.screening, protocols=basis.protocols, as_of=basis.as_of)


def edited(ledger: Ledger, *, desk: Desk, revision: int, change: Change, by: User, as_of: date) -> Laid:
    """Make a change of the menu and keep it. BadInput and Stale as for a change of the plan."""
    case = plans.case_at(desk, as_of=as_of)
    document = plans.document_at(desk)
    made = changed(
        change, document, case, Looked(), beside=lambda name: desks.file_of(desk, name), as_of=as_of
    )
    return Laid(kept_as(ledger, desk, revision, case, made, by=by, as_of=as_of), made.sentence)


class Instead(NamedTuple):
    """A food that could stand in another's place: how much of it, what that changes, what it would miss."""

    id: str
    portions: str
    says: str
    change: str
    misses: int


MOST_INSTEAD = 6


def instead_of(basis: Basis, which: LaidFood, *, in_words: bool) -> list[Instead]:
    """Return what could stand in the place of a food: first what keeps every limit, the nearest first."""
    posed = posed_menu(basis.case, basis.screening, protocols=basis.protocols, as_of=basis.as_of)
    rows = basis.case.menu.laid if basis.case.menu is not None else ()
    known = [one for one in rows if one.food in posed.problem.food_of and one.slot in posed.problem.slot_of]
    if which not in known:
        return []
    menu = laid_of(known)
    swaps = instead(posed.problem, menu, menu[known.index(which)])
    return [_instead(basis.case.larder, swap, in_words=in_words) for swap in swaps[:MOST_INSTEAD]]


def _instead(larder: Larder, swap: Swap, *, in_words: bool) -> Instead:
    food = food_named(larder, swap.laid.food, LAID)
    change = "" if in_words else f"{swap.carb_change_g:+.0f} g".replace("-", "\N{MINUS SIGN}")
    says = f"{food.portion.says(swap.laid.portions_count)} {food.name}"
    return Instead(food.id, f"{swap.laid.portions_count:g}", says, change, swap.faults)


# What the page shows.


def blocks_of(found: MenuSeen, larder: Larder, *, in_words: bool) -> list[dict[str, Any]]:
    """Return each 24 hours with their days and meals; without a number of grams for who reads none."""
    menu = found.menu
    if menu is None:
        return []
    return [_block(menu, found, larder, number, in_words=in_words) for number in range(len(menu.blocks))]


def _block(menu: MenuPlan, found: MenuSeen, larder: Larder, number: int, *, in_words: bool) -> dict[str, Any]:
    block = menu.blocks[number]
    meals = whole_grams(menu, number)
    start, end = (f"{short_day(at.date())} {wall_clock(at)}" for at in (block.start, block.end))
    target = found.figures[menu.target].value.mid
    return {
        "name": f"{start} to {end}",
        "sums": [] if in_words else [_sum(found, figure_id, target) for figure_id in block.figures],
        "days": [
            {
                "name": day(on),
                "meals": [_meal(meal, grams, larder, in_words=in_words) for meal, grams in same],
            }
            for on, same in groupby(meals, key=lambda entry: entry[0].on)
        ],
    }


def _sum(found: MenuSeen, figure_id: str, target_g: float) -> dict[str, str]:
    figure = found.figures[figure_id]
    name = next(name for name in NAMES if figure_id.endswith(name))
    of = f"of {target_g:.0f} g" if name == "carb_g" else ""
    return {
        "name": NAMES[name],
        "value": f"{figure.value.mid:.0f} g",
        "of": of,
        "range": _range(figure.value),
    }


def _range(amount: Range) -> str:
    if amount.is_single or round(amount.low) == round(amount.high):
        return ""
    return f"{shown(round(amount.low), 'g')} to {shown(round(amount.high), 'g')} g"


def _meal(meal: MenuMeal, grams: WholeGrams, larder: Larder, *, in_words: bool) -> dict[str, Any]:
    return {
        "on": meal.on.isoformat(),
        "meal": meal.meal,
        "id": f"{meal.on.isoformat()}-{meal.meal.replace(' ', '-')}",
        "name": meal.meal.capitalize(),
        "at": wall_clock(meal.at),
        "where": KITCHENS[meal.kitchen],
        "carb": "" if in_words else str(grams.meal_g),
        "so_far": "" if in_words else str(grams.so_far_g),
        "foods": [
            _food(food, larder) | {"carb": "" if in_words else str(held_g)}
            for food, held_g in zip(meal.foods, grams.foods_g, strict=True)
        ],
    }


def _food(food: MenuFood, larder: Larder) -> dict[str, Any]:
    step = _step(larder.food_of(food.food))
    return {
        "id": food.food,
        "name": food.name,
        "says": food.says,
        "less": f"{max(0.0, food.portions_count - step):g}",
        "more": f"{food.portions_count + step:g}",
        "pinned": food.pinned,
    }


def _step(food: Food | None) -> float:
    """Return by how much a portion grows: by halves where the household unit has halves."""
    counts = food.portion.counts if food else ()
    return 1.0 if all(float(count).is_integer() for count in counts) else 0.5


def shopping_of(found: MenuSeen, *, in_words: bool) -> list[dict[str, Any]]:
    """Return what is to be bought, by aisle."""
    return list(aisles(found.menu, in_words=in_words)) if found.menu is not None else []


def listed_foods(larder: Larder) -> list[tuple[str, str]]:
    """Return every food by id and name, for fields that offer them."""
    return [(food.id, food.name) for food in sorted(larder.foods, key=lambda food: food.name)]


def food_meant(larder: Larder, typed: str) -> str:
    """Return the id of the food that is typed by its name or id; BadInput names near ones."""
    word = typed.strip().casefold()
    exact = [food.id for food in larder.foods if word in (food.id, food.name.casefold())]
    if exact:
        return exact[0]
    near = [food for food in larder.foods if word and word in food.name.casefold()]
    if len(near) == 1:
        return near[0].id
    told = ", ".join(food.name for food in near[:6]) or "Look it up among the foods."
    raise BadInput(find("menu.unknown_food", "menu", food=typed.strip(), near=f"Near: {told}"))


def told(findings: tuple[Finding, ...], *, in_words: bool = False) -> list[str]:
    """Return findings as lines; of those that tell a weight none for who reads none."""
    lines = [finding.line() for finding in findings]
    return [line for line in lines if not (in_words and WEIGHTS.search(line))]
