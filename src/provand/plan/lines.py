"""The days and hours around the race, as dated lines that rest on figures; words for the athlete."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from provand.card import Mark
from provand.case.case import Case
from provand.figure import Figure
from provand.plan.document import Line
from provand.protocol.loading import LoadTarget
from provand.protocol.morning import BreakfastTarget, DrinkBefore
from provand.protocol.rules import value
from provand.protocol.targets import Targets


def _whole(value: float) -> str:
    """Return a number as people weigh or pour it: without a fraction from 10 on."""
    return f"{value:,.0f}" if value >= 10 else f"{value:.1f}"


def _span(figure: Figure, share_frac: float = 1.0) -> str:
    """Return a figure's band, or a share of it, without its unit: `440 to 760`, or one number."""
    low, high = (_whole(end * share_frac) for end in (figure.value.low, figure.value.high))
    return low if low == high else f"{low} to {high}"


def _neat(moment: datetime) -> datetime:
    """Return a moment on a full five minutes, never later than it was."""
    return moment - timedelta(
        minutes=moment.minute % 5, seconds=moment.second, microseconds=moment.microsecond
    )


def _seen(*figures: Figure | None) -> tuple[str, ...]:
    return tuple(figure.id for figure in figures if figure is not None)


USUAL_MEALS = Line(
    title="The days before",
    says="Your usual meals, with more starch: rice, pasta, bread, potatoes. Eat no less than you usually do.",
)
"""For a minor, and for who reads no weights: neither gets a loading dose."""


def loading_lines(load: LoadTarget | None, *, minor: bool, withheld: Collection[str]) -> tuple[Line, ...]:
    """Return one line for each block of 24 hours before the start, and what to leave out.

    A minor, and who reads no weights, has usual meals with more starch, and no amount; where loading is
    withheld there is no line.
    """
    if load is None:
        in_words = (minor or "grams" in withheld) and "loading" not in withheld
        return (USUAL_MEALS,) if in_words else ()
    lines = []
    for number, block in enumerate(load.blocks):
        hours = (block.end - block.start).total_seconds() / 3600
        amount = f"{_span(load.carb, hours / 24)} g of carbohydrate in these {hours:g} hours"
        says = f"Again {amount}." if number else _first_block(load, amount)
        lines.append(
            Line(
                at=_neat(block.start),
                until=_neat(block.end),
                title=f"{hours:g} hours of carbohydrate",
                says=says,
                figures=_seen(load.carb, load.dose, load.usual, load.step),
            )
        )
    if load.fibre is not None:
        fibre = _whole(load.fibre.value.high)
        lines.append(
            Line(
                title="Keep it easy on the gut",
                says=f"White bread, rice, pasta; little fat; {fibre} g of fibre a day at most.",
                figures=_seen(load.fibre),
            )
        )
    return tuple(lines)


def _first_block(load: LoadTarget, amount: str) -> str:
    usual = ""
    if load.usual is not None:
        usual = f" You usually eat about {_whole(load.usual.value.mid)} g for each kg of body mass in a day."
    if load.ticked:
        return f"{amount}, spread from the morning on.{usual}"
    return f"Not chosen yet: ask before you eat more. {_whose(load.dose.mark).capitalize()}: {amount}.{usual}"


def _whose(mark: Mark | None) -> str:
    """Return whose span a rule's band is: printed by a source, or what the trade does."""
    return "common practice" if mark == "practice" else "published span"


def morning_lines(
    case: Case, breakfast: BreakfastTarget, drink: DrinkBefore | None, *, withheld: Collection[str]
) -> tuple[Line, ...]:
    """Return race morning by the clock, backwards from the own start; no word of withheld fluid."""
    lines = list(_meals(breakfast))
    if drink is not None:
        lines += _drinks(drink, breakfast.meals[0].at)
    zone = ZoneInfo(case.race.zone)
    start = case.race.own_start.astimezone(zone)
    toilet = _neat(start - timedelta(minutes=case.race.last_toilet_min))
    says = "" if "fluid" in withheld else _before_start(case)
    lines.append(Line(at=toilet, title="Last toilet", says=says))
    if case.race.delay_s:
        lines += _top_up(case, start)
    return tuple(sorted(lines, key=_when))


def _top_up(case: Case, start: datetime) -> Iterator[Line]:
    """Yield something to eat in the wait for a delayed start, unless a window forbids it."""
    first = start - timedelta(seconds=case.race.delay_s or 0.0)
    at = max(first, start - timedelta(hours=value("breakfast.top_up").mid))
    if any(window.start <= at <= window.end for window in case.race.forbidden):
        return
    yield Line(
        at=_neat(at),
        title="While you wait",
        says="Hungry? A small snack you know, low in fat and fibre. What you carry is for the race.",
    )


def _when(line: Line) -> datetime:
    assert line.at is not None
    return line.at


def _meals(breakfast: BreakfastTarget) -> Iterator[Line]:
    for number, meal in enumerate(breakfast.meals):
        if number:
            yield Line(
                at=_neat(meal.at),
                title=meal.what.capitalize(),
                says="A small snack you know, low in fat and fibre.",
            )
            continue
        amounts = [breakfast.carb] if breakfast.carb is not None else list(breakfast.amounts)
        if not amounts:
            says = "Your usual meal, with more starch, low in fat and fibre."
        elif breakfast.carb is not None:
            says = f"{_span(breakfast.carb)} g of carbohydrate, from food you know, low in fat and fibre."
        else:
            pairs = zip(breakfast.fired, amounts, strict=True)
            spans = "; ".join(f"{_span(amount)} g ({_whose(rule.mark)})" for rule, amount in pairs)
            says = f"Carbohydrate from food you know, low in fat and fibre: {spans}."
        yield Line(at=_neat(meal.at), title=meal.what.capitalize(), says=says, figures=_seen(*amounts))


def _drinks(drink: DrinkBefore, meal_at: datetime) -> Iterator[Line]:
    """Yield what to drink with the first meal: nobody is woken to drink."""
    if not drink.amounts:
        return
    first = drink.amounts[0]
    yield Line(
        at=_neat(meal_at),
        title="Drink with it",
        says=f"{_span(first)} ml, slowly, if you wake thirsty or your urine is dark. If not, as you like.",
        figures=_seen(*drink.amounts),
    )


def _before_start(case: Case) -> str:
    ml = case.race.pre_start_drink_ml
    if ml:
        return f"After it, {_whole(ml)} ml at most: it is counted in the race."
    return "After it, only a sip for a dry mouth: what you drink now counts in the race."


def recovery_lines(
    case: Case, goals: Targets, finish: datetime, *, withheld: Collection[str]
) -> tuple[Line, ...]:
    """Return what follows the finish: no forced drinking."""
    protein = goals.recovery.protein
    eat = "Something to eat that you like, with carbohydrate and protein."
    if protein:
        low = min(figure.value.low for figure in protein)
        high = max(figure.value.high for figure in protein)
        eat = f"A meal with carbohydrate and {_whole(low)} to {_whole(high)} g of protein."
    zone = ZoneInfo(case.race.zone)
    at = _neat(finish.astimezone(zone))
    fluid = goals.recovery.fluid
    drink = "Drink as thirst asks; meals and water do the rest."
    if "fluid" in withheld:
        drink = "Drink as thirst asks."
    elif fluid is not None:
        drink = f"{_span(fluid)} litres for each kg lost, over some hours: chosen by your practitioner."
    return (
        Line(at=at, title="First half hour", says=drink, figures=_seen(fluid)),
        Line(at=at + timedelta(hours=2), title="Within two hours", says=eat, figures=_seen(*protein)),
        Line(
            title="That day",
            says="A headache with feeling sick, puffy hands or confusion is for the medical team, at once.",
        ),
    )
