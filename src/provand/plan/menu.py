"""The menu of a plan: what is laid, added up food by food, and what a menu is asked to come to."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from math import fsum
from typing import NamedTuple

from provand.case.case import Case
from provand.case.menu import LaidFood
from provand.figure import Figure, Range, Trace
from provand.finding import BadInput, Finding, find
from provand.larder.food import Food
from provand.larder.ledger import ledger, whole_steps
from provand.larder.shopping import Need, needs_of, shopping
from provand.plan.document import MenuBlock, MenuFood, MenuMeal, MenuPlan
from provand.planner.menu.checker import checked
from provand.planner.menu.foods import why_not
from provand.planner.menu.pose import MenuAsked, Posed, laid_of, pose_menu
from provand.planner.menu.slots import Slot
from provand.protocol.firing import assumed
from provand.protocol.targets import Targets
from provand.safety.foods import is_salt, never_laid, refused_foods

TARGET = "menu.target_carb_g_per_day"
TABLE = "usda2016"
USUAL = "athlete.usual_carb_g_per_day"
BESIDE = ("fibre_g", "fat_g", "protein_g")
"""What is added up of each 24 hours beside carbohydrate."""


def asked_of(
    trace: Trace, case: Case, goals: Targets, *, minor: bool, withheld: Collection[str]
) -> MenuAsked:
    """Return what a menu of this case is asked to come to.

    A ticked load leads. A minor, and who reads no weights, eats as usual with more starch. BadInput where
    loading is withheld, where nobody ticked a dose, or where what is usual is not known.
    """
    if "loading" in withheld:
        raise BadInput(find("menu.withheld", "menu"))
    load = goals.load
    if load is not None and load.ticked:
        target = trace.add(
            TARGET, Range.exact(load.carb.value.mid), how="rule", by="the ticked load", inputs=[load.carb]
        )
    elif load is not None:
        raise BadInput(find("menu.no_dose", "wishes.overrides"))
    else:
        target = _more_starch(trace)
    breakfast = goals.breakfast
    return MenuAsked(
        target=target,
        fibre=load.fibre if load is not None else None,
        race_carb=breakfast.carb,
        race_meals=breakfast.meals,
        refused=refused_foods(case, withheld),
        minor=minor,
    )


def _more_starch(trace: Trace) -> Figure:
    if USUAL not in trace:
        raise BadInput(find("menu.no_usual", "athlete.usual_carb"))
    usual, more = trace[USUAL], assumed(trace, "menu.more_starch")
    return trace.add(
        TARGET,
        Range.exact(usual.value.mid * more.value.mid),
        how="rule",
        by="what is usual, with more starch",
        inputs=[usual, more],
    )


class MenuLaid(NamedTuple):
    """The menu of a plan, and what must be said of it."""

    menu: MenuPlan | None
    findings: tuple[Finding, ...]
    needs: tuple[Need, ...] = ()

    def with_bottles(self, case: Case, mixed: Iterable[Need]) -> MenuPlan | None:
        """Return the menu with what goes into bottles that are mixed on its list of shopping, too."""
        if self.menu is None:
            return None
        return self.menu.model_copy(update={"shopping": shopping((*self.needs, *mixed), in_house_g(case))})


NO_MENU = MenuLaid(None, ())


def menu_of(trace: Trace, case: Case, goals: Targets, *, minor: bool, withheld: Collection[str]) -> MenuLaid:
    """Return the menu as it is laid in a case, added up and checked; no menu where none is laid."""
    if case.menu is None or not case.menu.laid:
        return NO_MENU
    try:
        asked = asked_of(trace, case, goals, minor=minor, withheld=withheld)
    except BadInput as error:
        return MenuLaid(None, error.findings)
    posed = pose_menu(case, asked)
    remarks = (*_remarks(case, posed), *_own_left_out(case, asked.refused))
    needs = tuple(_needs(case, posed, withheld))
    return MenuLaid(_document(trace, case, asked, posed, needs), remarks, needs)


def _needs(case: Case, posed: Posed, withheld: Collection[str]) -> Iterator[Need]:
    """Yield what is needed for the menu; of a dish no salt where sodium is withheld."""
    for need in needs_of(_eaten_g(case, posed), in_house_g(case)):
        if "sodium" not in withheld or need.use is None or not is_salt(need.bought.name):
            yield need


def in_house_g(case: Case) -> dict[str, float]:
    """Return what is in the house, by food id, as bought [g]."""
    return {one.food: one.amount_g for one in case.menu.in_house} if case.menu is not None else {}


def _eaten_g(case: Case, posed: Posed) -> dict[Food, float]:
    """Return how much is eaten of each food on a meal that there is [g]."""
    assert case.menu is not None
    there = {slot.id for slot in posed.slots}
    eaten_g: dict[Food, float] = {}
    for one in case.menu.laid:
        food = case.larder.food_of(one.food)
        if food is not None and one.slot in there:
            eaten_g[food] = eaten_g.get(food, 0.0) + one.portions_count * food.portion.unit_g
    return eaten_g


def _remarks(case: Case, posed: Posed) -> Iterator[Finding]:
    """Yield what a menu as laid misses of what it is asked, and foods on meals that are no more."""
    assert case.menu is not None
    there = {slot.id for slot in posed.slots}
    for one in case.menu.laid:
        if one.slot not in there:
            yield find("menu.meal_gone", "menu.laid", food=_name(case, one), meal=one.slot)
    known = {food.id for food in posed.problem.foods}
    counted = [one for one in case.menu.laid if one.slot in there and one.food in known]
    for finding in checked(posed.problem, laid_of(counted)):
        yield finding.model_copy(update={"about": _where(finding.about, posed)})


def _own_left_out(case: Case, refused: Mapping[str, str]) -> Iterator[Finding]:
    """Yield a note for each own food that no menu can have, whoever eats."""
    for food in case.larder.own:
        why = _off_the_plate(food)
        if why and refused.get(food.id, never_laid(food)) == never_laid(food):
            yield find("menu.own_left_out", "menu.own_foods", food=food.name, why=why)


def _off_the_plate(food: Food) -> str:
    return why_not(food) or ("" if food.roles else "it has no role on a plate")


def left_out(case: Case, withheld: Collection[str]) -> dict[str, str]:
    """Return every food that the planner does not lay for this athlete, by id, with the reason."""
    off = {food.id: why for food in case.larder.foods if (why := _off_the_plate(food))}
    return off | refused_foods(case, withheld)


def _where(about: str, posed: Posed) -> str:
    """Return where in a menu a remark belongs, as people say it: a meal of a day, or so many hours."""
    slot = next((slot for slot in posed.slots if slot.id == about), None)
    if slot is not None:
        return f"{slot.meal} of {slot.on.day} {slot.on:%B}"
    day = re.fullmatch(r"day (\d+)", about)
    if day is None:
        return "menu"
    end = posed.blocks[int(day[1]) - 1].end
    return f"24 hours to {end.day} {end:%B}"


def _name(case: Case, one: LaidFood) -> str:
    food = case.larder.food_of(one.food)
    return food.name if food else one.food


def _document(trace: Trace, case: Case, asked: MenuAsked, posed: Posed, needs: Iterable[Need]) -> MenuPlan:
    assert case.menu is not None
    rows: dict[str, list[tuple[LaidFood, Food]]] = {}
    for one in case.menu.laid:
        food = case.larder.food_of(one.food)
        if food is not None:
            rows.setdefault(one.slot, []).append((one, food))
    meals = tuple(_meals(trace, posed, rows))
    return MenuPlan(
        target=asked.target.id,
        blocks=tuple(
            MenuBlock(start=block.start, end=block.end, figures=_sums(trace, posed, rows, number))
            for number, block in enumerate(posed.blocks)
        ),
        meals=meals,
        shopping=shopping(needs, in_house_g(case)),
    )


def _meals(trace: Trace, posed: Posed, rows: Mapping[str, list[tuple[LaidFood, Food]]]) -> Iterator[MenuMeal]:
    """Yield the meals in order, each food of each a figure, each meal their sum."""
    so_far: dict[int, list[Figure]] = {}
    for slot in posed.slots:
        there = rows.get(slot.id, [])
        held = [_carb(trace, slot, one, food) for one, food in there]
        meal = trace.sum(f"{_key(slot)}_carb_g", held)
        so_far.setdefault(slot.block, []).append(meal)
        yield MenuMeal(
            on=slot.on,
            meal=slot.meal,
            at=slot.at,
            kitchen=slot.kitchen,
            block=slot.block,
            foods=tuple(_food(one, food, figure) for (one, food), figure in zip(there, held, strict=True)),
            carb_g=meal.value,
            so_far_g=_added(so_far[slot.block]),
        )


def _key(slot: Slot) -> str:
    return f"menu.{slot.on:%m%d}_{slot.meal.replace(' ', '_').replace('-', '_')}"


def _carb(trace: Trace, slot: Slot, one: LaidFood, food: Food) -> Figure:
    """Keep the carbohydrate of a food on a meal: portions by what one weighs by what it holds."""
    per_100g = food.per_100g.carb_g
    held = food.holds(one.portions_count * food.portion.unit_g).carb_g
    assert held is not None
    assert per_100g is not None
    return trace.add(
        f"{_key(slot)}.{food.id.replace('-', '_')}_carb_g",
        held,
        how="rule",
        by=f"{food.portion.says(one.portions_count)}, {one.portions_count * food.portion.unit_g:g} g, "
        f"with {per_100g.mid:.1f} g in 100 g",
        source=TABLE if food.source == "sr28" else "",
        at=food.source_id,
    )


def _food(one: LaidFood, food: Food, figure: Figure) -> MenuFood:
    says, name = _in_words(food, one.portions_count)
    return MenuFood(
        food=food.id,
        name=name,
        portions_count=one.portions_count,
        says=says,
        mass_g=one.portions_count * food.portion.unit_g,
        carb_g=figure.value,
        pinned=one.pinned,
    )


def _in_words(food: Food, portions_count: float) -> tuple[str, str]:
    """Return how many and of what: `2 cups`, `white rice`; a bagel is counted by itself."""
    unit = food.portion.unit if portions_count <= 1 else food.portion.plural
    if food.name == food.portion.unit:
        return f"{portions_count:g}", unit
    return food.portion.says(portions_count), food.name


def _added(figures: Sequence[Figure]) -> Range:
    """Return what meals come to together."""
    low, mid, high = (
        fsum(getattr(figure.value, end) for figure in figures) for end in ("low", "mid", "high")
    )
    return Range(low=low, mid=mid, high=high)


def _sums(
    trace: Trace, posed: Posed, rows: Mapping[str, list[tuple[LaidFood, Food]]], number: int
) -> tuple[str, ...]:
    """Keep what 24 hours come to, and return the figures; an amount not known of a food makes none."""
    today = [slot for slot in posed.slots if slot.block == number]
    meals = [trace[f"{_key(slot)}_carb_g"] for slot in today]
    made = [trace.sum(f"menu.block_{number + 1}_carb_g", meals)]
    foods = [entry for slot in today for entry in rows.get(slot.id, [])]
    held = ledger((food, one.portions_count) for one, food in foods).holds
    for name in BESIDE:
        amount: Range | None = getattr(held, name)
        if amount is not None:
            figure_id = f"menu.block_{number + 1}_{name}"
            source = "" if any(food.is_own for _, food in foods) else TABLE
            made.append(trace.add(figure_id, amount, how="sum", by=f"{len(foods)} foods", source=source))
    return tuple(figure.id for figure in made)


class WholeGrams(NamedTuple):
    """The carbohydrate of a meal as it is printed: of each food, of the meal, since its 24 hours began."""

    foods_g: tuple[int, ...]
    meal_g: int
    so_far_g: int


def whole_grams(menu: MenuPlan, block: int) -> list[tuple[MenuMeal, WholeGrams]]:
    """Return the meals of a block with whole grams that add up to the total as it is printed."""
    meals = [meal for meal in menu.meals if meal.block == block]
    column = iter(whole_steps([food.carb_g.mid for meal in meals for food in meal.foods]))
    found, so_far_g = [], 0
    for meal in meals:
        foods_g = tuple(next(column) for _ in meal.foods)
        so_far_g += sum(foods_g)
        found.append((meal, WholeGrams(foods_g, sum(foods_g), so_far_g)))
    return found
