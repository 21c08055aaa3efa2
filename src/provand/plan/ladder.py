"""Race morning as a ladder of dated lines, backwards from the own start: words for the athlete.

What others fixed stands where they fixed it; what is reckoned moves round it, and rests on its figures. A
delay leaves what is over where it was, and moves the rest with the start.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from provand.case.case import Case
from provand.case.morning import DatedMorning, DatedTablet, Tablet, happens_once, tablet_after
from provand.figure import Figure, Trace
from provand.finding import BadInput, Finding, find
from provand.phrase import Phrase, phrase, to_say
from provand.plan.document import Line
from provand.plan.lines import either, ends, seen_in, ticked, whole
from provand.plan.withheld import WEIGHTS, speaks_of
from provand.protocol.firing import assumed
from provand.protocol.loading import earlier, neat
from provand.protocol.meal_times import free_from, is_late
from provand.protocol.morning import BreakfastTarget, DrinkBefore, Meal
from provand.protocol.rules import value
from provand.protocol.way import Way, way_of

CHANGE_H = 14
"""Ours: clocks that change in these hours before the start change in the night before it."""
WAKE_UP = to_say("Wake up")
KITCHENS = {"kettle": phrase("A kettle is at hand."), "none": phrase("Choose what needs no kitchen.")}
MEALS = {
    "meal": to_say("Meal"),
    "breakfast": to_say("Breakfast"),
    "usual breakfast": to_say("Usual breakfast"),
    "lunch": to_say("Lunch"),
    "afternoon meal": to_say("Afternoon meal"),
    "early dinner": to_say("Early dinner"),
    "top-up": to_say("Top-up"),
}
"""The meals before a start as titles of lines."""
IN_TIME = {
    "for meal": phrase("In time for the meal."),
    "for breakfast": phrase("In time for breakfast."),
    "for usual breakfast": phrase("In time for your usual breakfast."),
    "for lunch": phrase("In time for lunch."),
    "for afternoon meal": phrase("In time for the afternoon meal."),
    "for early dinner": phrase("In time for the early dinner."),
    "for top-up": phrase("In time for the top-up."),
    "for the way to the start": phrase("In time for the way to the start."),
    "for the tablet": phrase("In time for the tablet."),
}
"""Why one wakes when one does."""
FOR_THE_RACE = phrase("What you carry is for the race.")


class Ladder(NamedTuple):
    """Race morning in the order of time, and what must be known beside it."""

    lines: tuple[Line, ...]
    findings: tuple[Finding, ...]


class Grounds(NamedTuple):
    """What a ladder is made from. `most_caffeine_mg` is the most at once that the ceilings leave."""

    trace: Trace
    case: Case
    breakfast: BreakfastTarget
    drink: DrinkBefore | None
    withheld: Collection[str]
    most_caffeine_mg: float
    finish_slow_s: float


def ladder(grounds: Grounds) -> Ladder:
    """Return race morning; BadInput where the time without food of a tablet runs into the race."""
    faults = list(_tablets_in_race(grounds))
    if faults:
        raise BadInput(*faults)
    climb = _Climb(grounds)
    rungs = [*climb.up_and_food(), *climb.to_the_start(), *climb.waiting()]
    return Ladder(tuple(_twice(line) for line in sorted(rungs, key=_when)), tuple(climb.found))


def _when(line: Line) -> datetime:
    assert line.at is not None
    return line.at.astimezone(UTC)


def _twice(line: Line) -> Line:
    """Return a line that says which of two equal clock times is meant, where the clocks go back."""
    if line.at is None or happens_once(line.at):
        return line
    first = phrase("The clock shows this time twice: the first is meant.")
    second = phrase("The clock shows this time twice: the second is meant.")
    return line.saying(*line.words, first if line.at.fold == 0 else second)


def _tablets_in_race(grounds: Grounds) -> Iterator[Finding]:
    race, morning = grounds.case.race, grounds.case.morning
    if morning is None:
        return
    gun = race.first_start.astimezone(UTC) + timedelta(seconds=(race.delay_s or 0.0) - race.own_offset_s.mid)
    first = gun + timedelta(seconds=race.own_offset_s.low)
    last = gun + timedelta(seconds=race.own_offset_s.high + grounds.finish_slow_s)
    dated = grounds.case.dated_morning
    for number, (tablet, before) in enumerate(
        zip(morning.tablets, dated.tablets if dated else (), strict=True), 1
    ):
        for one in (before, tablet_after(tablet, race.first_start)):
            if one.start < last and one.end > first and _fasts(tablet):
                yield find(
                    "morning.tablet_race",
                    f"morning.tablets[{number}]",
                    start=f"{one.start:%H:%M}",
                    end=f"{one.end:%H:%M}",
                )


def _fasts(tablet: Tablet) -> bool:
    return tablet.no_food_before_min + tablet.no_food_after_min > 0


class _Climb:
    """One making of a ladder: the lines as they are asked for, and what was found on the way."""

    def __init__(self, grounds: Grounds) -> None:
        self.grounds, self.case = grounds, grounds.case
        self.found: list[Finding] = []
        self.way: Way = way_of(grounds.case)
        self.morning: DatedMorning | None = grounds.case.dated_morning
        self.late = is_late(self.way.start)
        self.later = timedelta(seconds=grounds.case.race.delay_s or 0.0)
        self.start = earlier(self.way.start, elapsed_s=-(grounds.case.race.delay_s or 0.0))
        self.toilet = earlier(self.start, elapsed_s=60 * grounds.case.race.last_toilet_min)

    def minutes(self, rule_id: str) -> Figure:
        return assumed(self.grounds.trace, rule_id)

    # Waking, tablets, food, drink, coffee.

    def up_and_food(self) -> Iterator[Line]:
        """Yield what is done from waking on, until one is at the start."""
        change = _offset(earlier(self.way.start, elapsed_s=3600 * CHANGE_H)) - _offset(self.way.start)
        if change:
            which = "back" if change > timedelta() else "forward"
            self.found.append(find("morning.clocks", "race.gun", which=which))
        eaten = [*self.grounds.breakfast.day, *self.grounds.breakfast.meals]
        up = self._up(eaten)
        if up is not None:
            yield up
        yield from self._tablets(up)
        for meal in self.grounds.breakfast.day:
            usual = meal.what == "usual breakfast"
            says = (
                (phrase("As usual, low in fat and fibre."), phrase("Skip no meal today."))
                if usual
                else (phrase("Low in fat and fibre."),)
            )
            yield Line.of(MEALS[meal.what], *says, at=neat(meal.at))
        for number, meal in enumerate(self.grounds.breakfast.meals):
            yield self._top_up(meal) if number else self._main(meal)
        if self.grounds.breakfast.meals:
            yield from self._drink(self.grounds.breakfast.meals[0])
        if eaten and not self.later:
            yield from self._coffee(eaten, up)

    def _up(self, eaten: list[Meal]) -> Line | None:
        """Return when one wakes: for the first meal, a tablet or the way, whichever comes first."""
        wake_from = self.morning.wake_from if self.morning else None
        if self.late and wake_from is None:
            return None
        before_s = 60 * value("breakfast.wake").mid
        reasons = [(earlier(meal.at, elapsed_s=before_s), f"for {meal.what}") for meal in eaten[:1]]
        if self.way.leave is not None:
            reasons.append((earlier(self.way.leave, elapsed_s=before_s), "for the way to the start"))
        night = self.way.start.replace(hour=0, minute=0, second=0, microsecond=0)
        for tablet in self.morning.tablets if self.morning else ():
            if not self.late and tablet.at >= night:
                reasons.append((tablet.at, "for the tablet"))
        if not reasons:
            return None
        at, why = min(reasons)
        at, early = neat(at), value("breakfast.earliest_wake").mid
        if (wake_from is not None and at < wake_from) or (not self.late and at.hour < early):
            self.found.append(find("morning.early_wake", "morning.wake_from", at=f"{at:%H:%M}", why=why))
        figure = self.minutes("breakfast.wake")
        return Line.of(WAKE_UP, IN_TIME[why], at=at, figures=seen_in(figure))

    def _tablets(self, up: Line | None) -> Iterator[Line]:
        first = min([earlier(self.way.start, elapsed_s=8 * 3600), *([up.at] if up and up.at else [])])
        for tablet in self.morning.tablets if self.morning else ():
            if tablet.at >= first:
                yield Line.of(to_say("Your tablet"), *_tablet_words(tablet), at=tablet.at)

    def _name(self) -> Iterator[Phrase]:
        """Yield the rehearsed breakfast in words, where nothing withheld is told by it."""
        name = self.morning.breakfast if self.morning else ""
        told = speaks_of(name, self.grounds.withheld) or (
            "grams" in self.grounds.withheld and WEIGHTS.search(name)
        )
        words = [*self.case.athlete.excluded, *self.case.athlete.allergens]
        for word in words:
            if name and word.casefold() in name.casefold():
                self.found.append(find("morning.breakfast_excluded", "morning.breakfast", word=word))
        if name and not told:
            yield phrase("{breakfast}, as rehearsed.", breakfast=f"{name[:1].upper()}{name[1:]}")

    def _main(self, meal: Meal) -> Line:
        says = [*self._name(), self._amounts(meal)]
        opens = self.morning.breakfast_from if self.morning else None
        if meal.own_food and opens is not None:
            says.append(phrase("Your own food: breakfast is served from {at}.", at=f"{opens:%H:%M}"))
            kitchen = KITCHENS.get(str(self.morning.kitchen)) if self.morning else None
            says += [kitchen] if kitchen else []
        if meal.carried:
            says.append(phrase("Take it along."))
        shown = self.grounds.breakfast.carb, *self.grounds.breakfast.amounts
        small = meal.small and meal.what == "breakfast"
        title = to_say("Small breakfast") if small else MEALS[meal.what]
        return Line.of(title, *says, at=neat(meal.at), figures=seen_in(meal.before, *shown))

    def _amounts(self, meal: Meal) -> Phrase:
        breakfast = self.grounds.breakfast
        if breakfast.carb is not None:
            return phrase(
                "{amount} g of carbohydrate, from food you know, low in fat and fibre.",
                amount=ticked(breakfast.carb),
            )
        if meal.small:
            return phrase("Something small that you know, low in fat and fibre.")
        if not breakfast.amounts:
            return phrase("Your usual meal, with more starch, low in fat and fibre.")
        low = min(amount.value.low for amount in breakfast.amounts)
        high = max(amount.value.high for amount in breakfast.amounts)
        self.found.append(find("morning.breakfast_open", "overrides", low=f"{low:.0f}", high=f"{high:.0f}"))
        return phrase("Food you know, low in fat and fibre. How much is not chosen yet: ask.")

    def _top_up(self, meal: Meal) -> Line:
        says = [phrase("A small snack you know, low in fat and fibre.")]
        if self.way.bag is not None and self.way.bag <= meal.at:
            says.append(phrase("Keep it out of the bag: that is given in before."))
            self.found.append(find("morning.bag_first", "morning.bag_drop_closes", at=f"{meal.at:%H:%M}"))
        elif meal.carried:
            says.append(phrase("Take it along."))
        return Line.of(MEALS["top-up"], *says, at=neat(meal.at), figures=seen_in(meal.before))

    def _drink(self, meal: Meal) -> Iterator[Line]:
        """Yield what to drink with the first meal: nobody is woken to drink."""
        drink = self.grounds.drink
        if drink is None:
            return
        says: tuple[Phrase, ...]
        figures = seen_in(drink.ticked, *drink.amounts)
        if meal.at >= self.toilet:
            says, figures = (
                (phrase("As thirst asks: what you drink after the last toilet counts in the race."),),
                (),
            )
        elif drink.ticked is not None:
            amount = ticked(drink.ticked)
            says = (phrase("{amount} ml, slowly: chosen by your practitioner.", amount=amount),)
        elif meal.small or not drink.amounts:
            says, figures = (phrase("As thirst asks."),), ()
        else:
            says = (
                either(
                    "{amount} ml, slowly, if you wake thirsty or your urine is dark.",
                    "{low} to {high} ml, slowly, if you wake thirsty or your urine is dark.",
                    *ends(drink.amounts[0]),
                ),
                phrase("If not, as you like."),
            )
        yield Line.of(to_say("Drink with it"), *says, at=neat(meal.at), figures=figures)

    def _has_coffee(self) -> bool:
        usual_mg = self.case.athlete.breakfast_caffeine_mg
        return "caffeine" not in self.grounds.withheld and 0 < usual_mg <= self.grounds.most_caffeine_mg

    def _coffee(self, eaten: list[Meal], up: Line | None) -> Iterator[Line]:
        """Yield the usual coffee: at its own time, after a time without food, before the last toilet."""
        if not self._has_coffee():
            return
        first = up.at if up and up.at else eaten[0].at
        usual = self.morning.coffee_at if self.morning else None
        wanted = eaten[0].at if usual is None else max(usual, first)
        at = free_from(self.case, wanted, until=self.toilet)
        if at is None:
            self.found.append(find("morning.no_coffee", "morning.coffee_at", wanted=f"{wanted:%H:%M}"))
            return
        if neat(at) > wanted:
            facts = {"wanted": f"{wanted:%H:%M}", "at": f"{at:%H:%M}"}
            self.found.append(find("morning.coffee_moved", "morning.coffee_at", **facts))
        yield self._coffee_at(at)

    def _coffee_at(self, at: datetime) -> Line:
        trace = self.grounds.trace
        held = [trace["caffeine.morning_mg"]] if "caffeine.morning_mg" in trace else []
        says = phrase("As much as you usually have, and no more: it counts with what the race holds.")
        return Line.of(to_say("Your usual coffee"), says, at=neat(at), figures=seen_in(*held))

    # The way, and the last minutes.

    def to_the_start(self) -> Iterator[Line]:
        """Yield leaving, bag drop, warm-up, pen and the last toilet."""
        way, morning = self.way, self.morning
        if morning is not None and way.leave is not None and morning.travel_min is not None:
            spare = self.minutes("way.spare")
            says = phrase(
                "{minutes} min to the start, and {spare} min to spare.",
                minutes=whole(morning.travel_min),
                spare=whole(spare.value.mid),
            )
            yield Line.of(to_say("Leave"), says, at=way.leave, figures=seen_in(spare))
        if morning is not None and way.bag is not None:
            says = phrase("It closes at {at}.", at=f"{morning.bag_drop_closes:%H:%M}")
            yield Line.of(
                to_say("Bag drop"), says, at=neat(way.bag), figures=seen_in(self.minutes("way.bag"))
            )
        if morning is not None and way.warm_up is not None and morning.warm_up_min is not None:
            says = phrase("{minutes} min.", minutes=whole(morning.warm_up_min))
            yield Line.of(to_say("Warm-up"), says, at=neat(self._put_off(way.warm_up)))
        if morning is not None and way.pen is not None:
            yield self._pen(way.pen, morning)
        is_silent = "fluid" in self.grounds.withheld or self._is_forbidden()
        told = () if is_silent else (_before_start(self.case),)
        yield Line.of(to_say("Last toilet"), *told, at=neat(self.toilet))

    def _put_off(self, moment: datetime) -> datetime:
        return earlier(moment, elapsed_s=-self.later.total_seconds())

    def _pen(self, pen: datetime, morning: DatedMorning) -> Line:
        at = self._put_off(pen)
        if self.toilet > at:
            facts = {"toilet": f"{self.toilet:%H:%M}", "pen": f"{at:%H:%M}"}
            self.found.append(find("morning.toilet_in_pen", "race.last_toilet", **facts))
        opens, closes = (
            f"{self._put_off(one):%H:%M}" if one else "" for one in (morning.pen_opens, morning.pen_closes)
        )
        if opens and closes:
            says = [phrase("It opens at {opens} and closes at {closes}.", opens=opens, closes=closes)]
        elif opens:
            says = [phrase("It opens at {at}.", at=opens)]
        else:
            says = [phrase("It closes at {at}.", at=closes)]
        if self.later:
            says.append(phrase("Ask whether that holds after the delay."))
        figures = seen_in(self.minutes("way.pen")) if closes else ()
        return Line.of(to_say("Into your pen"), *says, at=neat(at), figures=figures)

    def _is_forbidden(self) -> bool:
        """Whether nothing may be had between the last toilet and the start."""
        windows = self.case.race.forbidden
        return any(one.start <= self.toilet and one.end >= self.start for one in windows)

    # A start that is put off.

    def waiting(self) -> Iterator[Line]:
        """Yield what is eaten in the wait for a delayed start: nothing that was taken is planned again."""
        if not self.later:
            return
        if self.later >= timedelta(hours=value("wait.meal").mid):
            at = self._free(max(self.way.start, earlier(self.start, elapsed_s=3600 * value("wait.meal").mid)))
            if at is not None:
                meal = phrase("A small meal you know, low in fat and fibre.")
                figures = seen_in(self.minutes("wait.meal"))
                yield Line.of(to_say("Eat again"), meal, FOR_THE_RACE, at=neat(at), figures=figures)
        at = self._free(
            max(self.way.start, earlier(self.start, elapsed_s=3600 * value("breakfast.top_up").mid))
        )
        if at is not None:
            yield Line.of(to_say("While you wait"), *self._wait_words(), FOR_THE_RACE, at=neat(at))
        if self._has_coffee() and not any(self._caffeine_of(n) for n in range(len(self.case.race.taken))):
            about = max(self.way.start, earlier(self.start, elapsed_s=60 * value("wait.coffee").mid))
            at = free_from(self.case, about, until=self.toilet)
            if at is not None:
                coffee = self._coffee_at(at)
                only = phrase("Only if you have not had it today.")
                figures = (*coffee.figures, *seen_in(self.minutes("wait.coffee")))
                yield coffee.saying(only, *coffee.words, figures=figures)

    def _free(self, at: datetime) -> datetime | None:
        return free_from(self.case, at, until=self.start)

    def _wait_words(self) -> tuple[Phrase, ...]:
        if any(self._holds(one.item) for one in self.case.race.taken):
            return (phrase("You have eaten since breakfast: nothing more is planned."),)
        if self.later < timedelta(minutes=value("wait.snack").mid):
            return phrase("Breakfast still carries you."), phrase("Hungry? A bite of something you know.")
        return (phrase("Hungry? A small snack you know, low in fat and fibre."),)

    def _holds(self, item_id: str) -> bool:
        """Whether an item holds carbohydrate, or may."""
        item = self.case.item(item_id) if item_id else None
        return item is not None and (item.holds.carb_g is None or item.holds.carb_g.high > 0)

    def _caffeine_of(self, number: int) -> bool:
        """Whether something that was taken holds caffeine, or may."""
        one = self.case.race.taken[number]
        if one.caffeine_mg is not None:
            return one.caffeine_mg > 0
        item = self.case.item(one.item) if one.item else None
        return item is not None and (item.holds.caffeine_mg is None or item.holds.caffeine_mg.high > 0)


def _offset(moment: datetime) -> timedelta:
    return moment.utcoffset() or timedelta()


def _tablet_words(tablet: DatedTablet) -> Iterator[Phrase]:
    if tablet.fixed_by == "pharmacist":
        yield phrase("At this time, as your pharmacist fixed it; nothing here moves it.")
    else:
        yield phrase("At this time, as your clinician fixed it; nothing here moves it.")
    start, end = f"{tablet.start:%H:%M}", f"{tablet.end:%H:%M}"
    if tablet.end > tablet.at:
        yield phrase("No food from {start} to {end}.", start=start, end=end)
    elif tablet.start < tablet.at:
        yield phrase("No food from {start} on.", start=start)


def _before_start(case: Case) -> Phrase:
    ml = case.race.pre_start_drink_ml
    if ml:
        return phrase("After it, {amount} ml at most: it is counted in the race.", amount=whole(ml))
    return phrase("After it, only a sip for a dry mouth: what you drink now counts in the race.")
