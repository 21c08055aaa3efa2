"""The days before and the hours after, as dated lines that rest on figures; words for the athlete."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from provand.card import Mark
from provand.case.case import Case
from provand.figure import Figure
from provand.phrase import Number, Part, Phrase, phrase, rounded_number, to_say, trimmed_number
from provand.plan.document import Line
from provand.protocol.loading import LoadTarget, neat
from provand.protocol.targets import Recovery, Targets


def whole(value: float) -> Number:
    """Return a number as people weigh or pour it: without a fraction from 10 on."""
    return rounded_number(value) if value >= 10 else rounded_number(value, 1)


def ends(figure: Figure, share_frac: float = 1.0) -> tuple[Number, Number]:
    """Return both ends of a figure's band, or of a share of it, without a unit."""
    return whole(figure.value.low * share_frac), whole(figure.value.high * share_frac)


def ticked(figure: Figure, share_frac: float = 1.0) -> Number:
    """Return the number that a practitioner ticked, or a share of it: no unit, and no band round it."""
    value = figure.value.mid * share_frac
    return rounded_number(value) if value >= 10 else trimmed_number(value, 2)


def either(one: str, many: str, low: Number, high: Number, **facts: Part) -> Phrase:
    """Return a sentence with `{amount}`, or with `{low}` and `{high}` where these are written apart."""
    if str(low) == str(high):
        return phrase(one, amount=low, **facts)
    return phrase(many, low=low, high=high, **facts)


def seen_in(*figures: Figure | None) -> tuple[str, ...]:
    """Return the ids of those figures that there are."""
    return tuple(figure.id for figure in figures if figure is not None)


USUAL_MEALS = Line.of(
    to_say("The days before"),
    phrase("Your usual meals, with more starch: rice, pasta, bread, potatoes."),
    phrase("Eat no less than you usually do."),
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
        hours = trimmed_number((block.end - block.start).total_seconds() / 3600, 3)
        lines.append(
            Line.of(
                phrase("{hours} hours of carbohydrate", hours=hours),
                *(_block(load, hours, is_first=number == 0)),
                at=neat(block.start),
                until=neat(block.end),
                figures=seen_in(load.carb, load.dose, load.usual, load.step),
            )
        )
    if load.fibre is not None:
        fibre = whole(load.fibre.value.high)
        lines.append(
            Line.of(
                to_say("Keep it easy on the gut"),
                phrase(
                    "White bread, rice, pasta; little fat; {fibre} g of fibre a day at most.", fibre=fibre
                ),
                figures=seen_in(load.fibre),
            )
        )
    return tuple(lines)


def _block(load: LoadTarget, hours: Number, *, is_first: bool) -> Iterator[Phrase]:
    share_frac = hours.value / 24
    if load.ticked:
        one = many = ticked(load.carb, share_frac)
    else:
        one, many = ends(load.carb, share_frac)
    if not is_first:
        yield either(
            "Again {amount} g of carbohydrate in these {hours} hours.",
            "Again {low} to {high} g of carbohydrate in these {hours} hours.",
            one, many, hours=hours,
        )  # fmt: skip
        return
    if load.ticked:
        yield phrase(
            "{amount} g of carbohydrate in these {hours} hours, spread from the morning on.",
            amount=one,
            hours=hours,
        )
    else:
        yield phrase("Not chosen yet: ask before you eat more.")
        yield _whose_span(load.dose.mark, one, many, hours)
    if load.usual is not None:
        grams = whole(load.usual.value.mid)
        yield phrase("You usually eat about {grams} g for each kg of body mass in a day.", grams=grams)


def _whose_span(mark: Mark | None, low: Number, high: Number, hours: Number) -> Phrase:
    if mark == "practice":
        return either(
            "Common practice: {amount} g of carbohydrate in these {hours} hours.",
            "Common practice: {low} to {high} g of carbohydrate in these {hours} hours.",
            low, high, hours=hours,
        )  # fmt: skip
    return either(
        "Published span: {amount} g of carbohydrate in these {hours} hours.",
        "Published span: {low} to {high} g of carbohydrate in these {hours} hours.",
        low, high, hours=hours,
    )  # fmt: skip


EVENING_H = 17
"""Ours: who finishes at this hour or later has the evening behind them soon."""


NO_MAKING_UP = phrase("Drink as thirst asks; nothing has to be made up.")


def recovery_lines(
    case: Case, goals: Targets, finish: datetime, *, withheld: Collection[str]
) -> tuple[Line, ...]:
    """Return what follows the finish: no forced drinking, and a hurry only before another hard session."""
    recovery = goals.recovery
    protein = recovery.protein
    eat = phrase("A meal you like, with carbohydrate and protein.")
    if protein:
        low = min(figure.value.low for figure in protein)
        high = max(figure.value.high for figure in protein)
        eat = phrase(
            "A meal with carbohydrate and {low} to {high} g of protein.", low=whole(low), high=whole(high)
        )
    zone = ZoneInfo(case.race.zone)
    at = neat(finish.astimezone(zone))
    is_day = at.hour < EVENING_H
    evening = to_say("That evening") if is_day else to_say("Before bed")
    usual = phrase("Your usual meal.") if is_day else phrase("Something more, if you are hungry.")
    return (
        Line.of(
            to_say("First half hour"),
            _first_bite(recovery),
            *_drink_after(recovery, withheld),
            at=at,
            figures=seen_in(*recovery.carb, recovery.fluid),
        ),
        Line.of(to_say("Within two hours"), eat, at=at + timedelta(hours=2), figures=seen_in(*protein)),
        Line.of(evening, *((usual,) if "fluid" in withheld else (usual, NO_MAKING_UP))),
        Line.of(
            to_say("That day"),
            phrase(
                "A headache with feeling sick, puffy hands or confusion is for the medical team, at once."
            ),
        ),
    )


def _first_bite(recovery: Recovery) -> Phrase:
    if recovery.carb:
        low = min(figure.value.low for figure in recovery.carb)
        high = max(figure.value.high for figure in recovery.carb)
        return either(
            "The next session is near: {amount} g of carbohydrate an hour for four hours, in what you like.",
            "The next session is near: {low} to {high} g of carbohydrate an hour for four hours, "
            "in what you like.",
            whole(low), whole(high),
        )  # fmt: skip
    if recovery.soon:
        return phrase("The next session is near: eat soon, and a little again every hour.")
    return phrase("Something small to eat, if you feel like it.")


def _drink_after(recovery: Recovery, withheld: Collection[str]) -> tuple[Phrase, ...]:
    if "fluid" in withheld:
        return (phrase("Drink as thirst asks."),)
    if recovery.fluid is not None:
        return (
            phrase(
                "{amount} litres for each kg lost, over some hours: chosen by your practitioner.",
                amount=ticked(recovery.fluid),
            ),
            phrase("Only as thirst asks if you lost no weight, your head aches or you feel sick."),
        )
    return (phrase("Drink as thirst asks; meals and water do the rest."),)
