"""The night-before card: what to lay out tonight, then the morning as a line of stops to the own start.

Nothing on it gives a time to a drink: what is drunk with a meal stands with that meal.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from provand.pack.carried import Load, loads
from provand.pack.letters import printable
from provand.pack.otherwise import ahead_of, asked_and_then
from provand.pack.plain import BEFORE_AND_AFTER, of_safety_page, thirst, whom_to_ask
from provand.pack.plate import eaten_words, meal_name
from provand.pack.sheet import common, own_start, own_start_words, texts
from provand.pack.tongue import listed_apart, say
from provand.pack.typeset import Paper, pdf
from provand.pack.voice import day, no_weights, short_day, title_of, told, wall_clock
from provand.phrase import to_say
from provand.plan.document import Line, MenuMeal, Plan
from provand.plan.scenarios import ScenarioId, Scenarios
from provand.protocol.loading import neat

DRINK = re.compile(r"\b(?:drink|water|sip)\b", re.IGNORECASE)
"""A line of the morning with such a title is about fluid and has no clock time here."""
EATING = re.compile(r"\b(?:breakfast|lunch|dinner|snack|meal|top-up)\b", re.IGNORECASE)
"""A line of the morning with such a title is a meal, and may be one of the menu's."""
ON_THE_NIGHT_CARD: tuple[ScenarioId, ...] = ("late", "hotter")
_TITLES = {
    "late": to_say("Start {minutes} minutes late?"),
    "hotter": to_say("{degrees} °C hotter than the forecast?"),
}
OTHER_LIST = to_say("Your other list says what to eat. No such list? Ask {maker}.")
EVENING_H = 17
"""Ours: meals of the menu from this hour on, on the day before, stand on the card."""


class Rung(NamedTuple):
    """A line of the card: a moment, or none; what; how. `kind` is `stop`, `gun` or `start`."""

    at: datetime | None
    title: str
    says: tuple[tuple[str, bool], ...] = ()
    kind: str = "stop"


def night_card(plan: Plan, paper: Paper, *, scenarios: Scenarios | None = None, draft: bool = False) -> bytes:
    """Return the card as a PDF of one sheet; with weights withheld none stands on it."""
    data = night_data(plan, paper, scenarios=scenarios, draft=draft)
    if "grams" in plan.withheld:
        no_weights(texts(data), "night.pdf")
    return pdf("night.typ", data)


def night_data(
    plan: Plan, paper: Paper, *, scenarios: Scenarios | None = None, draft: bool = False
) -> dict[str, Any]:
    """Return everything that the card prints; late or hotter only where that was planned."""
    shared = common(plan, say("The night before and the morning"), paper, draft=draft)
    return shared | {
        "heading": say("The night before and the morning"),
        "facts": _facts(plan, shared["code"]),
        "lay_out": {"title": say("Lay out tonight"), "groups": list(packing(plan, shared["code"]))},
        "days": [
            {"name": _day_name(rungs[0]), "rungs": [_row(rung) for rung in rungs]} for rungs in _by_day(plan)
        ],
        "asides": [*_asides(), *_otherwise(plan, scenarios), _thirst()],
        "ask": whom_to_ask(plan) | {"title": say("Questions? Ask")},
    }


def _facts(plan: Plan, code: str) -> list[list[dict[str, Any]]]:
    """Return the box at the head of the card."""
    case, start = plan.case, own_start(plan)[0]
    facts = (
        (say("For"), printable(case.athlete.name, "athlete.name"), "", 5),
        (say("Race"), printable(case.race.name, "race.name"), "", 6),
        (say("Your own start"), own_start_words(plan, "–"), short_day(start.date()), 6),
        (say("Code"), code, "", 3),
    )
    return [
        [
            {"label": label, "value": value, "note": note, "share": share, "large": False}
            for label, value, note, share in facts
        ]
    ]


# What is laid out.


def packing(plan: Plan, code: str) -> Iterator[dict[str, Any]]:
    """Yield what is laid out, by where it goes; what everybody brings is common practice, no source."""
    bag = say("In the bag you hand in")
    there: dict[str, list[dict[str, Any]]] = {}
    for load in loads(plan):
        there.setdefault(place_words(load), []).append(packed(load))
    on_you = (say("Wrist strip or card, code {code}", code=code), say("Bib, pins, chip"), say("Watch"))
    there[say("On you")] = [_unmarked(text) for text in on_you]
    there.setdefault(bag, []).extend(map(_unmarked, (say("Dry clothes"), say("Food for after the race"))))
    for place, rows in there.items():
        yield {"place": place, "rows": rows}


def _unmarked(text: str) -> dict[str, Any]:
    return {"marks": (), "text": text}


def packed(load: Load) -> dict[str, Any]:
    """Return one thing to be laid out, with its marks: `2 × hill gel`."""
    return {"marks": load.marks, "text": say("{n} × {name}", n=load.packs_count, name=load.name)}


def place_words(load: Load) -> str:
    """Return where a load goes, as a heading."""
    if load.got_from == "bag":
        return say("In the bag you hand in")
    if load.got_from == "crew":
        return say("For your crew")
    if load.got_from == "table":
        return say("For your own table")
    if load.pocket is None:
        return say("In your pockets")
    name = printable(load.pocket.name, "athlete.pockets")
    if load.pocket.carried_by in ("", "athlete"):
        return say("Pocket: {pocket}", pocket=name)
    who = printable(load.pocket.carried_by, "athlete.pockets")
    return say("Pocket: {pocket}, carried by {who}", pocket=name, who=who)


# The line of stops.


def _by_day(plan: Plan) -> Iterator[list[Rung]]:
    """Yield the lines of each day in order, the evening before with what it ends with."""
    noon = own_start(plan)[0].replace(hour=12, minute=0, second=0) - timedelta(days=1)
    evening, ladder = noon.date(), morning(plan)
    rungs = sorted((*_meals(plan, evening), *ladder), key=_moment)
    by_day = {on: list(same) for on, same in groupby(rungs, key=lambda rung: _moment(rung).date())}
    before = by_day.setdefault(evening, [])
    before.insert(0, Rung(noon, say("Lay it all out"), _told(say("Tick each thing off.")), "free"))
    if all(_moment(rung).date() != evening for rung in ladder):
        before.append(Rung(noon, say("Bed"), _told(say("Slept badly? The plan still holds.")), "free"))
    yield from (by_day[on] for on in sorted(by_day))


def _told(text: str) -> tuple[tuple[str, bool], ...]:
    return ((text, False),)


def _meals(plan: Plan, on: Any) -> Iterator[Rung]:
    zone = ZoneInfo(plan.case.race.zone)
    for meal in plan.menu.meals if plan.menu is not None else ():
        at = meal.at.replace(tzinfo=zone) if meal.at.tzinfo is None else meal.at.astimezone(zone)
        if meal.on == on and at.hour >= EVENING_H and meal.foods and meal.meal not in ("race meal", "top-up"):
            yield Rung(at, meal_name(meal.meal), _eaten(plan, meal))


def _eaten(plan: Plan, meal: MenuMeal) -> tuple[tuple[str, bool], ...]:
    foods = listed_apart(eaten_words(food, plan.case) for food in meal.foods)
    return _told(say("{foods}.", foods=foods))


def morning(plan: Plan) -> list[Rung]:
    """Return the morning, the gun and the own start; a line about a drink joins the line before it."""
    rungs: list[Rung] = []
    for entry in _dated(plan):
        said = tuple(told(entry.says, entry.words))
        title = title_of(entry)
        if DRINK.search(entry.title):
            drink = [(say("{title}:", title=title), True), *((sentence, True) for sentence, _ in said)]
            if rungs:
                rungs[-1] = rungs[-1]._replace(says=(*rungs[-1].says, *drink))
            continue
        meal = _laid_for(plan, entry)
        rungs.append(Rung(entry.at, title, _eaten(plan, meal) if meal else said))
    return [*rungs, *_start(plan)]


def _dated(plan: Plan) -> Iterable[Line]:
    start = own_start(plan)[0]
    dated = [entry for entry in plan.morning if entry.at is not None and entry.title != "The gun"]
    for entry in dated:
        at = entry.at
        assert at is not None
        here = at.replace(tzinfo=start.tzinfo) if at.tzinfo is None else at.astimezone(start.tzinfo)
        yield entry.model_copy(update={"at": here})


def _laid_for(plan: Plan, entry: Line) -> MenuMeal | None:
    """Return the meal that the menu lays for a line of the morning: then its foods are told."""
    assert entry.at is not None
    if not EATING.search(entry.title):
        return None
    meals = plan.menu.meals if plan.menu is not None else ()
    same = [m for m in meals if m.foods and neat(m.at).replace(tzinfo=None) == entry.at.replace(tzinfo=None)]
    return next((m for m in same if m.meal in ("race meal", "breakfast", "top-up")), None)


def _start(plan: Plan) -> Iterator[Rung]:
    first, last = own_start(plan)
    gun = plan.case.race.gun
    gun = gun.replace(tzinfo=first.tzinfo) if gun.tzinfo is None else gun.astimezone(first.tzinfo)
    if gun != first:
        yield Rung(gun, say("The gun"), _told(say("Not yours yet. You cross the line later.")), "gun")
    says = _told(say("Start your watch here. From now on the strip counts."))
    if wall_clock(first) != wall_clock(last):
        says = (*_told(say("It may be as late as {at}.", at=wall_clock(last))), *says)
    yield Rung(first, say("You cross the start line"), says, "start")


def _moment(rung: Rung) -> datetime:
    assert rung.at is not None
    return rung.at


def _day_name(rung: Rung) -> str:
    return day(_moment(rung).date())


def _row(rung: Rung) -> dict[str, Any]:
    return {
        "at": "" if rung.kind == "free" else wall_clock(_moment(rung)),
        "kind": rung.kind,
        "title": rung.title,
        "says": [{"text": text, "fluid": fluid} for text, fluid in rung.says],
    }


# Beside it.


def _asides() -> Iterator[dict[str, Any]]:
    """Yield what holds whatever happens: no start when ill; no food that has to be forced."""
    yield {"title": say("Ill?"), "says": of_safety_page(BEFORE_AND_AFTER)[0], "framed": False}
    yield {
        "title": say("Cannot eat?"),
        "says": say("Take small bites of food you know. Do not force it."),
        "framed": False,
    }


def _thirst() -> dict[str, Any]:
    return {"title": say("Thirst"), "says": thirst(), "framed": True}


def _otherwise(plan: Plan, scenarios: Scenarios | None) -> Iterator[dict[str, Any]]:
    """Yield what is done where the start is put off or the day gets hotter, as it was planned beforehand."""
    for one in ahead_of(plan, scenarios, ON_THE_NIGHT_CARD):
        _, then, by_list = asked_and_then(one)
        if by_list:
            then = f"{then} {say(OTHER_LIST, maker=whom_to_ask(plan)['name'])}"
        yield {"title": say(_TITLES[one.id], **one.title.facts), "says": then, "framed": False}
