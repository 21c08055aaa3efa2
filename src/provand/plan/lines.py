"""The days before and the hours after, as dated lines that rest on figures; words for the athlete."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from provand.card import Mark
from provand.case.case import Case
from provand.figure import Figure
from provand.plan.document import Line
from provand.protocol.loading import LoadTarget, neat
from provand.protocol.targets import Recovery, Targets


def whole(value: float) -> str:
    """Return a number as people weigh or pour it: without a fraction from 10 on."""
    return f"{value:,.0f}" if value >= 10 else f"{value:.1f}"


def span(figure: Figure, share_frac: float = 1.0) -> str:
    """Return a figure's band, or a share of it, without its unit: `440 to 760`, or one number."""
    low, high = (whole(end * share_frac) for end in (figure.value.low, figure.value.high))
    return low if low == high else f"{low} to {high}"


def ticked_words(figure: Figure, share_frac: float = 1.0) -> str:
    """Return the number that a practitioner ticked, or a share of it: no unit, and no band round it."""
    value = figure.value.mid * share_frac
    return f"{value:,.0f}" if value >= 10 else f"{value:.2f}".rstrip("0").rstrip(".")


def seen_in(*figures: Figure | None) -> tuple[str, ...]:
    """Return the ids of those figures that there are."""
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
        shown = ticked_words if load.ticked else span
        amount = f"{shown(load.carb, hours / 24)} g of carbohydrate in these {hours:g} hours"
        says = f"Again {amount}." if number else _first_block(load, amount)
        lines.append(
            Line(
                at=neat(block.start),
                until=neat(block.end),
                title=f"{hours:g} hours of carbohydrate",
                says=says,
                figures=seen_in(load.carb, load.dose, load.usual, load.step),
            )
        )
    if load.fibre is not None:
        fibre = whole(load.fibre.value.high)
        lines.append(
            Line(
                title="Keep it easy on the gut",
                says=f"White bread, rice, pasta; little fat; {fibre} g of fibre a day at most.",
                figures=seen_in(load.fibre),
            )
        )
    return tuple(lines)


def _first_block(load: LoadTarget, amount: str) -> str:
    usual = ""
    if load.usual is not None:
        usual = f" You usually eat about {whole(load.usual.value.mid)} g for each kg of body mass in a day."
    if load.ticked:
        return f"{amount}, spread from the morning on.{usual}"
    return f"Not chosen yet: ask before you eat more. {whose(load.dose.mark).capitalize()}: {amount}.{usual}"


def whose(mark: Mark | None) -> str:
    """Return whose span a rule's band is: printed by a source, or what the trade does."""
    return "common practice" if mark == "practice" else "published span"


EVENING_H = 17
"""Ours: who finishes at this hour or later has the evening behind them soon."""


NO_MAKING_UP = "Drink as thirst asks; nothing has to be made up."


def recovery_lines(
    case: Case, goals: Targets, finish: datetime, *, withheld: Collection[str]
) -> tuple[Line, ...]:
    """Return what follows the finish: no forced drinking, and a hurry only before another hard session."""
    recovery = goals.recovery
    protein = recovery.protein
    eat = "A meal you like, with carbohydrate and protein."
    if protein:
        low = min(figure.value.low for figure in protein)
        high = max(figure.value.high for figure in protein)
        eat = f"A meal with carbohydrate and {whole(low)} to {whole(high)} g of protein."
    zone = ZoneInfo(case.race.zone)
    at = neat(finish.astimezone(zone))
    evening = "That evening" if at.hour < EVENING_H else "Before bed"
    usual = "Your usual meal." if at.hour < EVENING_H else "Something more, if you are hungry."
    return (
        Line(
            at=at,
            title="First half hour",
            says=f"{_first_bite(recovery)} {_drink_after(recovery, withheld)}",
            figures=seen_in(*recovery.carb, recovery.fluid),
        ),
        Line(at=at + timedelta(hours=2), title="Within two hours", says=eat, figures=seen_in(*protein)),
        Line(title=evening, says=usual if "fluid" in withheld else f"{usual} {NO_MAKING_UP}"),
        Line(
            title="That day",
            says="A headache with feeling sick, puffy hands or confusion is for the medical team, at once.",
        ),
    )


def _first_bite(recovery: Recovery) -> str:
    if recovery.carb:
        low = min(figure.value.low for figure in recovery.carb)
        high = max(figure.value.high for figure in recovery.carb)
        amount = whole(low) if low == high else f"{whole(low)} to {whole(high)}"
        return (
            f"The next session is near: {amount} g of carbohydrate an hour for four hours, in what you like."
        )
    if recovery.soon:
        return "The next session is near: eat soon, and a little again every hour."
    return "Something small to eat, if you feel like it."


def _drink_after(recovery: Recovery, withheld: Collection[str]) -> str:
    if "fluid" in withheld:
        return "Drink as thirst asks."
    if recovery.fluid is not None:
        amount = ticked_words(recovery.fluid)
        return (
            f"{amount} litres for each kg lost, over some hours: chosen by your practitioner. Only as thirst "
            "asks if you lost no weight, your head aches or you feel sick."
        )
    return "Drink as thirst asks; meals and water do the rest."
