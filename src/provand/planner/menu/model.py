"""The posed menu as a model of integers: one dish pattern a meal, foods in its roles, limits of each day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from provand.planner.menu.patterns import DishPattern
from provand.planner.menu.problem import (
    DayLimit,
    Laid,
    MealSlot,
    Menu,
    MenuProblem,
    PlateFood,
    points,
    tenths_down,
    tenths_up,
)
from provand.planner.menu.rules import (
    MAINS,
    MAX_OF_FAMILY,
    MAX_OF_FOOD,
    at_hand,
    bears,
    max_in_day,
    patterns_for,
    to_change,
)
from provand.planner.solve import Model

AS_PINNED = "as pinned"
"""The role of what was pinned and fits none of the meal's patterns."""


IN_ORDER = (
    *("soup", "cereal", "milk", "starch", "sauce", "bread", "spread", "protein"),
    *("vegetable", "savoury", "fruit", "sweet", "drink", AS_PINNED),
)
"""The roles in the order in which a menu names them."""


class Choice(NamedTuple):
    """A food in a role of a meal, in one portion."""

    slot: MealSlot
    food: PlateFood
    role: str
    portions_count: float


@dataclass
class MenuModel:
    """The model of one problem, with the columns that can be read back. `slack` is by wish."""

    model: Model = field(default_factory=Model)
    laid: dict[Choice, int] = field(default_factory=dict)
    dishes: dict[tuple[str, DishPattern], int] = field(default_factory=dict)
    used: dict[str, int] = field(default_factory=dict)
    bought: dict[str, int] = field(default_factory=dict)
    carb: list[int] = field(default_factory=list)
    dull: list[int] = field(default_factory=list)
    slack: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))

    def where(self, wanted: Callable[[Choice], object]) -> list[tuple[Choice, int]]:
        """Return the choices that fulfil a condition, with their columns."""
        return [(choice, column) for choice, column in self.laid.items() if wanted(choice)]

    def liking(self, problem: MenuProblem, day: int | None = None) -> dict[int, float]:
        """Return what each choice and each dish costs in liking, in all or on one day."""
        on = {slot.id for slot in problem.slots if day in (None, slot.day)}
        foods = {
            column: float(points(problem, choice.food, choice.portions_count))
            for choice, column in self.laid.items()
            if choice.slot.id in on
        }
        dishes = {
            column: float(pattern.points)
            for (slot, pattern), column in self.dishes.items()
            if pattern.points and slot in on
        }
        return foods | dishes

    def give(self, wish: str, eased: Iterable[str], *, worth: int) -> dict[int, float]:
        """Return a new slack column of a wish for one row, or nothing where the wish is kept."""
        if wish not in eased:
            return {}
        column = self.model.column(integer=True)
        self.slack[wish].append(column)
        return {column: worth}


def build(problem: MenuProblem) -> MenuModel:
    """Return the model of a problem; every coefficient is a whole number or half a one."""
    made = MenuModel()
    for slot in problem.slots:
        _meal(problem, made, slot)
    for number, limit in enumerate(problem.days):
        _day(problem, made, number, limit)
    _whole_plan(problem, made)
    _order_of_days(problem, made)
    _others(problem, made)
    return made


def _meal(problem: MenuProblem, made: MenuModel, slot: MealSlot) -> None:
    """One pattern; each role filled as it says; pins as they are; nothing that does not go together."""
    model, pins = (
        made.model,
        {laid.food: laid.portions_count for laid in problem.pinned if laid.slot == slot.id},
    )
    here: dict[Choice, int] = {}
    patterns = () if slot.id in problem.whole else patterns_for(problem, slot)
    for pattern in patterns:
        made.dishes[slot.id, pattern] = model.choice()
    if slot.id not in problem.whole:
        model.row({made.dishes[slot.id, pattern]: 1 for pattern in patterns}, lower=1, upper=1)
    for choice in _choices(problem, slot, patterns, pins):
        here[choice] = model.choice()
    made.laid |= here
    _roles(made, slot, patterns, here)
    for food_id, count in pins.items():
        here_too = {c: 1.0 for ch, c in here.items() if (ch.food.id, ch.portions_count) == (food_id, count)}
        model.row(here_too | made.give("pins", problem.eased, worth=1), lower=1)
    for same in _by(here, lambda choice: choice.food.family).values():
        pinned = len({choice.food.id for choice, _ in same if choice.food.id in pins})
        model.row({column: 1 for _, column in same}, upper=max(1, pinned))
    _pairs(made, slot, patterns, here, pins)
    if slot.kind == "dinner" and slot.id not in problem.whole:
        bare = model.choice()
        made.dull.append(bare)
        green = {column: 1.0 for choice, column in here.items() if choice.role == "vegetable"}
        model.row({bare: 1.0} | green, lower=1)


def _choices(
    problem: MenuProblem, slot: MealSlot, patterns: Iterable[DishPattern], pins: Mapping[str, float]
) -> Iterator[Choice]:
    roles = {role for pattern in patterns for role in pattern.roles}
    for food in problem.foods:
        if food.id in pins:
            yield from (Choice(slot, food, role, pins[food.id]) for role in food.roles if role in roles)
            yield Choice(slot, food, AS_PINNED, pins[food.id])
        elif at_hand(food, slot):
            for role in food.roles:
                if role in roles:
                    yield from (Choice(slot, food, role, count) for count in food.levels_count)


def _roles(
    made: MenuModel, slot: MealSlot, patterns: Iterable[DishPattern], here: Mapping[Choice, int]
) -> None:
    for role, filled in _by(here, lambda choice: choice.role).items():
        if role == AS_PINNED:
            continue
        terms = {column: 1.0 for _, column in filled}
        needs = {made.dishes[slot.id, p]: -1.0 for p in patterns if role in p.needs}
        knows = {made.dishes[slot.id, p]: -1.0 for p in patterns if role in p.roles}
        made.model.row(terms | knows, upper=0)
        if needs:
            made.model.row(terms | needs, lower=0)
        _beside(made, slot, patterns, role, filled)


def _beside(
    made: MenuModel,
    slot: MealSlot,
    patterns: Iterable[DishPattern],
    role: str,
    filled: list[tuple[Choice, int]],
) -> None:
    """What stands beside a dish comes in its smallest portion."""
    ample = {made.dishes[slot.id, p]: -1.0 for p in patterns if role in p.roles and role not in p.beside}
    if len(ample) < sum(role in p.roles for p in patterns):
        larger = {c: 1.0 for choice, c in filled if choice.portions_count > min(choice.food.levels_count)}
        made.model.row(larger | ample, upper=0)


def _pairs(
    made: MenuModel,
    slot: MealSlot,
    patterns: Iterable[DishPattern],
    here: Mapping[Choice, int],
    pins: Mapping[str, float],
) -> None:
    """What goes with some foods alone stands on one of them: sauce on a starch that bears it."""
    for role, filled in _by(here, lambda choice: choice.role).items():
        under = sorted({p.on[role] for p in patterns if role in p.on})
        for same in _by(dict(filled), lambda choice: choice.food.id).values():
            food = same[0][0].food
            if food.goes_with is None or food.id in pins:
                continue
            mine = {column: 1.0 for _, column in same}
            for carrier in under:
                bearers = {c: -1.0 for ch, c in here.items() if ch.role == carrier and bears(ch.food, food)}
                dishes = {made.dishes[slot.id, p]: 1.0 for p in patterns if p.on.get(role) == carrier}
                every = len(dishes) == sum(role in p.roles for p in patterns)
                made.model.row(mine | bearers | ({} if every else dishes), upper=0 if every else 1)


def _day(problem: MenuProblem, made: MenuModel, number: int, limit: DayLimit) -> None:
    today, eased = made.where(lambda choice: choice.slot.day == number), problem.eased
    _carbohydrate(problem, made, today, number, limit)
    amounts: tuple[tuple[str, float | None, Callable[[PlateFood], float]], ...] = (
        ("fibre", limit.max_fibre_g, lambda food: food.max_fibre_g),
        ("fat", limit.max_fat_g, lambda food: food.max_fat_g),
        ("protein, most", limit.max_protein_g, lambda food: food.max_protein_g),
    )
    for wish, most_g, of in amounts:
        if most_g is not None:
            terms = {column: float(tenths_up(of(ch.food) * ch.portions_count)) for ch, column in today}
            made.model.row(terms | made.give(wish, eased, worth=-10), upper=tenths_down(most_g))
    if limit.min_protein_g is not None:
        terms = {
            column: float(tenths_down(ch.food.min_protein_g * ch.portions_count)) for ch, column in today
        }
        made.model.row(terms | made.give("protein", eased, worth=10), lower=tenths_up(limit.min_protein_g))
    if limit.max_sweet_drinks is not None:
        sweet = {column: 1.0 for ch, column in today if ch.food.sweet_drink}
        made.model.row(sweet | made.give("sweet drinks", eased, worth=-1), upper=limit.max_sweet_drinks)
    if limit.max_meal_g is not None:
        for meal in _by(dict(today), lambda choice: choice.slot.id).values():
            terms = {column: float(tenths_up(ch.food.unit_g * ch.portions_count)) for ch, column in meal}
            made.model.row(terms | made.give("volume", eased, worth=-10), upper=tenths_down(limit.max_meal_g))
    _variety_of_day(problem, made, today)


def _carbohydrate(
    problem: MenuProblem,
    made: MenuModel,
    today: list[tuple[Choice, int]],
    number: int,
    limit: DayLimit,
) -> None:
    if limit.carb_g is None:
        return
    model, tolerance_g = made.model, limit.carb_g * limit.carb_tolerance_frac
    short, over = model.column(integer=True), model.column(integer=True)
    made.carb += [short, over]
    low = {column: float(tenths_down(ch.food.carb_g * ch.portions_count)) for ch, column in today}
    high = {column: float(tenths_up(ch.food.carb_g * ch.portions_count)) for ch, column in today}
    model.row(low | {short: 10.0}, lower=tenths_up(limit.carb_g - tolerance_g))
    model.row(high | {over: -10.0}, upper=tenths_down(limit.carb_g + tolerance_g))
    for slot in problem.slots:
        if slot.day == number and slot.id not in problem.whole:
            here = [column for ch, column in today if ch.slot is slot]
            least, most = slot.min_share_frac * limit.carb_g, slot.max_share_frac * limit.carb_g
            give = made.give("evenness", problem.eased, worth=10)
            model.row({c: low[c] for c in here} | give, lower=tenths_up(least))
            give = made.give("evenness", problem.eased, worth=-10)
            model.row({c: high[c] for c in here} | give, upper=tenths_down(most))


def _variety_of_day(problem: MenuProblem, made: MenuModel, today: list[tuple[Choice, int]]) -> None:
    free = [(choice, column) for choice, column in today if not _is_pinned(problem, choice)]
    for same in _by(dict(free), lambda choice: choice.food.family).values():
        most = max_in_day(same[0][0].food)
        if len({choice.slot.id for choice, _ in same}) > most:
            give = made.give("variety", problem.eased, worth=-1)
            made.model.row({column: 1.0 for _, column in same} | give, upper=most)


def _whole_plan(problem: MenuProblem, made: MenuModel) -> None:
    """A food is bought once; one version of a family; in a varied plan neither stands too often."""
    model = made.model
    for name, same in _by(made.laid, lambda choice: choice.food.buy).items():
        used = made.used[name] = model.choice()
        for meal in _by(dict(same), lambda choice: choice.slot.id).values():
            model.row({used: -1.0, **{column: 1.0 for _, column in meal}}, upper=0)
        model.row({used: 1.0, **{column: -1.0 for _, column in same}}, upper=0)
        made.bought[name] = _bought(problem, made, used, same)
    for family, names in _versions(made).items():
        pins = {pin.food for pin in problem.pinned if problem.food_of[pin.food].family == family}
        if len(names) > 1:
            model.row({made.used[name]: 1.0 for name in names}, upper=max(1, len(pins)))
    if problem.variety == "vary":
        free = {choice: column for choice, column in made.laid.items() if not _is_pinned(problem, choice)}
        _at_most(problem, made, _by(free, lambda choice: choice.food.id), MAX_OF_FOOD)
        _at_most(problem, made, _by(free, lambda choice: choice.food.family), MAX_OF_FAMILY)
        _again(made)


def _again(made: MenuModel) -> None:
    """Count how often what a meal is remembered by comes again."""
    mains = {choice: column for choice, column in made.laid.items() if choice.role in MAINS}
    for same in _by(mains, lambda choice: choice.food.family).values():
        again = made.model.column(integer=True)
        made.dull.append(again)
        made.model.row({again: -1.0, **{column: 1.0 for _, column in same}}, upper=1)


def _versions(made: MenuModel) -> dict[str, list[str]]:
    """Return by family what a shop calls the foods of it."""
    versions: dict[str, list[str]] = defaultdict(list)
    for family, name in dict.fromkeys((choice.food.family, choice.food.buy) for choice in made.laid):
        versions[family].append(name)
    return versions


def _at_most(
    problem: MenuProblem, made: MenuModel, groups: Mapping[str, list[tuple[Choice, int]]], most: int
) -> None:
    for same in groups.values():
        if len({choice.slot.id for choice, _ in same}) > most:
            give = made.give("variety", problem.eased, worth=-1)
            made.model.row({column: 1.0 for _, column in same} | give, upper=most)


def _bought(problem: MenuProblem, made: MenuModel, used: int, same: list[tuple[Choice, int]]) -> int:
    """Return the column that says whether a food has to be bought: it is used, and beyond what is there."""
    have_g = sum(problem.in_house.get(food_id, 0.0) for food_id in {choice.food.id for choice, _ in same})
    if have_g <= 0:
        return used
    bought = made.model.choice()
    eaten = {column: float(tenths_up(ch.food.unit_g * ch.portions_count)) for ch, column in same}
    most = sum(
        max(eaten[column] for _, column in meal)
        for meal in _by(dict(same), lambda choice: choice.slot.id).values()
    )
    made.model.row({bought: -most, **eaten}, upper=tenths_down(have_g))
    return bought


def _order_of_days(problem: MenuProblem, made: MenuModel) -> None:
    """Of days with equal rules the better liked comes first: the same menus in another order are no others.

    Any order would do. In this one a bound on liking is one on the first day, of which few menus are left.
    """
    for one, other in pairwise(range(len(problem.days))):
        if rules_of_day(problem, one) == rules_of_day(problem, other):
            less = {column: -value for column, value in made.liking(problem, one).items()}
            made.model.row(less | made.liking(problem, other), lower=0)


def rules_of_day(problem: MenuProblem, number: int) -> tuple[object, ...]:
    """Return all that a day is laid by; two days where it is equal can trade their menus."""
    slots = [slot for slot in problem.slots if slot.day == number]
    pins = [
        sorted((laid.food, laid.portions_count) for laid in problem.pinned if laid.slot == slot.id)
        for slot in slots
    ]
    meals = [slot._replace(id="", day=0, at=None) for slot in slots]
    whole = [slot.id in problem.whole for slot in slots]
    return (meals, pins, whole, problem.days[number])


def _others(problem: MenuProblem, made: MenuModel) -> None:
    """Each menu that was shown is left by so many of its lines that another menu is seen."""
    for menu in problem.avoid:
        lines = {(laid.slot, laid.food) for laid in menu} - {(p.slot, p.food) for p in problem.pinned}
        again = {c: 1.0 for ch, c in made.laid.items() if (ch.slot.id, ch.food.id) in lines}
        made.model.row(again, upper=len(lines) - to_change(len(lines)))


def _is_pinned(problem: MenuProblem, choice: Choice) -> bool:
    return any((laid.slot, laid.food) == (choice.slot.id, choice.food.id) for laid in problem.pinned)


def _by(choices: Mapping[Choice, int], key: Callable[[Choice], str]) -> dict[str, list[tuple[Choice, int]]]:
    groups: dict[str, list[tuple[Choice, int]]] = defaultdict(list)
    for choice, column in choices.items():
        groups[key(choice)].append((choice, column))
    return groups


def menu_of(made: MenuModel, value_of: Callable[[int], int]) -> Menu:
    """Return what a solution lays, in the order of meals, and of what is eaten there."""
    meals = {choice.slot.id: at for at, choice in enumerate(made.laid)}
    laid = [choice for choice, column in made.laid.items() if value_of(column)]
    laid.sort(key=lambda choice: (meals[choice.slot.id], IN_ORDER.index(choice.role), choice.food.id))
    return tuple(Laid(choice.slot.id, choice.food.id, choice.portions_count) for choice in laid)
