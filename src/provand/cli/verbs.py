"""The verbs of `provand change CASE VERB`: what each is given, and nothing else."""

from __future__ import annotations

import importlib
import inspect
import sys
from collections.abc import Callable
from datetime import date, datetime
from typing import Annotated, Any

import typer

from provand.cli.options import DAY, AsJson, AsOf, CaseFile, LedgerFile

verbs = typer.Typer(
    name="change",
    help="Change a case: its file is written anew, the plan made again, and the difference printed. "
    "The case stands before the verb.",
    no_args_is_help=True,
    rich_markup_mode="markdown",
)


@verbs.callback(epilog='Example: `provand change my-case.toml wave "18 to 22 min"`')
def case_of_change(
    context: typer.Context,
    case: CaseFile,
) -> None:
    """Keep the case for the verb that follows."""
    context.obj = case


def _shared(
    as_of: AsOf = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show all, write nothing.")] = False,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """The options that every verb has."""


Fields = Callable[..., dict[str, Any]]


def _verb(name: str, example: str) -> Callable[[Fields], Fields]:
    """Register a verb: a function from what is typed to the fields of a change, with the shared options."""

    def register(fields: Fields) -> Fields:
        own, shared = (inspect.signature(one, eval_str=True).parameters for one in (fields, _shared))
        context = inspect.Parameter(
            "context", inspect.Parameter.POSITIONAL_OR_KEYWORD, annotation=typer.Context
        )

        def command(context: typer.Context, **given: Any) -> None:
            day, *told = (given.pop(option) for option in shared)
            dry_run, ledger, as_json = told
            as_of = day.date() if day else date.today()
            if "on_day" in own:
                given["on_day"] = given["on_day"].date() if given["on_day"] else as_of
            work = importlib.import_module("provand.cli.change")
            work.change(
                context.obj,
                fields(**given),
                as_of,
                dry_run=dry_run,
                ledger=ledger,
                as_json=as_json,
            )

        both = [context, *own.values(), *shared.values()]
        command.__signature__ = inspect.Signature(both)  # type: ignore[attr-defined]
        command.__annotations__ = {parameter.name: parameter.annotation for parameter in both}
        command.__doc__ = fields.__doc__
        verbs.command(name, epilog=f"Example: `provand change my-case.toml {name} {example}`")(command)
        return fields

    return register


def _option(flag: str, words: str) -> Any:
    return typer.Option(flag, help=words, metavar="TEXT", show_default=False)


def _argument(words: str) -> Any:
    return typer.Argument(help=words, show_default=False)


Day = Annotated[
    datetime | None,
    typer.Option("--on", formats=DAY, help="The day of it.", show_default="the day of --as-of"),
]
ItemId = Annotated[str, _argument("Id of the item.")]


@_verb("forecast", '--air-temp "21 to 25 C"')
def forecast(
    air_temp: Annotated[str, _option("--air-temp", 'Air temperature, as "14 to 23 C".')] = "",
    humidity: Annotated[str, _option("--humidity", 'Humidity, as "45 to 70 %".')] = "",
    wind: Annotated[str, _option("--wind", 'Wind, as "2 to 5 m/s".')] = "",
    sun: Annotated[str, _option("--sun", "Sky: clear, part or overcast.")] = "",
    on_day: Day = None,
) -> dict[str, Any]:
    """Another forecast, seen on a day; what is left out stays."""
    return {
        "kind": "forecast",
        "air_temp": air_temp,
        "humidity": humidity,
        "wind": wind,
        "sun": sun,
        "seen_on": on_day,
    }


@_verb("goal", '--goal 2:00 --finish "1:54 to 2:12"')
def goal(
    goal: Annotated[str, _option("--goal", "Goal time, as 1:52.")] = "",
    finish: Annotated[str, _option("--finish", 'Early to slow finish, as "1:47 to 2:04".')] = "",
) -> dict[str, Any]:
    """Another goal time, another range round it, or both."""
    return {"kind": "goal", "goal": goal, "finish": finish}


@_verb("wave", '"18 to 22 min"')
def wave(
    own_offset: Annotated[str, _argument('Own start after the gun, as "18 to 22 min".')],
) -> dict[str, Any]:
    """Another wave: clock times move, elapsed ones do not."""
    return {"kind": "wave", "own_offset": own_offset}


@_verb("delay", '"40 min" --eaten gel-25 --caffeine "80 mg"')
def delay(
    later: Annotated[str, _argument('How much later, as "40 min".')],
    eaten: Annotated[
        list[str] | None,
        typer.Option(
            "--eaten",
            help="An item eaten since breakfast, as `gel-25` or `2 gel-25`; repeat for each; or `nothing`.",
            metavar="ITEM",
            show_default="asked at the terminal",
        ),
    ] = None,
    caffeine: Annotated[
        str | None,
        typer.Option(
            "--caffeine",
            help='Caffeine taken this morning, the usual coffee too, as "80 mg"; or `none`.',
            metavar="TEXT",
            show_default="asked at the terminal",
        ),
    ] = None,
    at: Annotated[
        str, _option("--at", "Clock time at which it was taken; else it counts at the start.")
    ] = "",
    spare: Annotated[bool, typer.Option("--spare", help="Nothing came out of what is carried.")] = False,
) -> dict[str, Any]:
    """A start put off. It asks what was eaten and which caffeine was taken; neither is planned again."""
    if eaten is None and sys.stdin.isatty():
        eaten = typer.prompt("What was eaten since breakfast? (as gel-25, 2 chews; or nothing)").split(",")
    if caffeine is None and sys.stdin.isatty():
        caffeine = typer.prompt("Which caffeine was taken this morning? (as 80 mg; or none)")
    return {
        "kind": "delay",
        "delay": later,
        "eaten": eaten,
        "caffeine": caffeine,
        "at": at,
        "spare": spare,
    }


@_verb("missing", "gel-25 --packs 1")
def missing(
    item: ItemId, packs: Annotated[str, typer.Option("--packs", help="How many.", metavar="NUMBER")] = "1"
) -> dict[str, Any]:
    """A carried item is lost: the next source takes its place, and nothing is doubled up."""
    return {"kind": "missing", "item": item, "packs": packs}


@_verb("serves", "Bridge sports-drink")
def serves(
    station: Annotated[str, _argument("Name of the station.")],
    items: Annotated[list[str], _argument("Ids of the items served; `nothing` where it is empty.")],
) -> dict[str, Any]:
    """What a station serves now, in the cups it had."""
    empty = [one.lower() for one in items] == ["nothing"]
    return {"kind": "station serves", "station": station, "serves": [] if empty else items}


@_verb("no-crew", "Ford")
def no_crew(point: Annotated[str, _argument("Name of the crew's place.")]) -> dict[str, Any]:
    """The crew cannot reach a place: the next source takes its place, and nothing is doubled up."""
    return {"kind": "crew cannot reach", "point": point}


Place = Annotated[str, _argument('A station, a place of the crew, or a distance as "9.8 km".')]


@_verb("pin", 'gel-25 "9.8 km"')
def pin(
    item: ItemId,
    at: Place,
    amount: Annotated[str, _option("--amount", "Of a cup: cup, half or mouthful.")] = "",
    portion: Annotated[str, _option("--portion", "How many packs, or which part of one, as 0.5.")] = "",
) -> dict[str, Any]:
    """An intake stays where it is; one that is not planned is added. Refused where it breaks a limit."""
    return {"kind": "pin", "item": item, "at": at, "amount": amount or None, "portion": portion}


@_verb("unpin", "gel-25")
def unpin(
    item: ItemId,
    at: Annotated[str, _option("--at", "Which one, where several are pinned.")] = "",
) -> dict[str, Any]:
    """An intake need not stay any more; solve again to let it move."""
    return {"kind": "unpin", "item": item, "at": at}


@_verb("move", 'gel-25 "9.8 km" "11 km"')
def move(item: ItemId, at: Place, to: Place) -> dict[str, Any]:
    """An intake goes to another place. Refused where it breaks a limit."""
    return {"kind": "move", "item": item, "at": at, "to": to}


@_verb("swap", 'gel-25 "9.8 km" chews')
def swap(
    item: ItemId, at: Place, other: Annotated[str, _argument("Id of the item in its place.")]
) -> dict[str, Any]:
    """Another item in the place of one. Refused where it breaks a limit."""
    return {"kind": "swap", "item": item, "at": at, "other": other}


@_verb("solve", "--afresh")
def solve(
    afresh: Annotated[bool, typer.Option("--afresh", help="Forget the schedule that stands.")] = False,
) -> dict[str, Any]:
    """The schedule solved again around what is pinned, near the one that stands."""
    return {"kind": "solve", "afresh": afresh}


@_verb("ban", "cola")
def ban(item: ItemId) -> dict[str, Any]:
    """An item is not planned any more."""
    return {"kind": "ban", "item": item}


@_verb("unban", "cola")
def unban(item: ItemId) -> dict[str, Any]:
    """A banned item may be planned again."""
    return {"kind": "unban", "item": item}


@_verb("edit", "race.cutoff 3:15")
def edit(
    path: Annotated[str, _argument("Path of a key, as `weather.air_temp` or `course.stations[2].at`.")],
    typed: Annotated[str, _argument("The entry as you would type it; an empty text takes the key out.")],
) -> dict[str, Any]:
    """One entry of the case, by its path."""
    return {"kind": "edit", "path": path, "typed": typed}


@_verb("override", 'race.target_carb_g_per_h "45 g/h" --by "Robin Example" --why "three rehearsals"')
def override(
    what: Annotated[str, _argument("The figure, such as `race.target_carb_g_per_h`.")],
    value: Annotated[str, _argument('The value, as "45 g/h".')],
    by: Annotated[str, typer.Option("--by", help="Who sets it.", metavar="NAME", show_default=False)],
    why: Annotated[str, typer.Option("--why", help="The reason.", metavar="TEXT", show_default=False)],
    on_day: Day = None,
) -> dict[str, Any]:
    """A target set by hand; ceilings and flags cannot be."""
    return {"kind": "override", "what": what, "value": value, "by": by, "why": why, "on": on_day}


@_verb("lift", "race.target_carb_g_per_h")
def lift(
    what: Annotated[str, _argument("The figure that was set by hand.")],
) -> dict[str, Any]:
    """A target is not set by hand any more."""
    return {"kind": "lift", "what": what}


MealDay = Annotated[datetime, typer.Argument(formats=DAY, help="The day of the meal.", show_default=False)]
Meal = Annotated[str, _argument("Which meal, as `lunch` or `morning snack`.")]
FoodId = Annotated[str, _argument("Id of the food.")]


@_verb("portions", "2026-12-05 lunch white-rice 2")
def portions(
    on: MealDay, meal: Meal, food: FoodId, count: Annotated[str, _argument("How many; 0 takes it off.")]
) -> dict[str, Any]:
    """So many household portions of a food on a meal of the menu; a food that is not there is added."""
    return {"kind": "portions", "on": on.date(), "meal": meal, "food": food, "portions": count}


@_verb("swap-food", "2026-12-05 lunch white-rice couscous")
def swap_food(
    on: MealDay,
    meal: Meal,
    food: FoodId,
    other: Annotated[str, _argument("Id of the food in its place.")],
    count: Annotated[str, _option("--portions", "How many of it; its usual portion when left out.")] = "",
) -> dict[str, Any]:
    """Another food in the place of one on a meal of the menu."""
    named = {"on": on.date(), "meal": meal, "food": food}
    return {"kind": "swap food", **named, "other": other, "portions": count}


@_verb("stay-food", "2026-12-05 lunch white-rice")
def stay_food(
    on: MealDay,
    meal: Meal,
    food: FoodId,
    no_more: Annotated[bool, typer.Option("--no-more", help="It need not stay any more.")] = False,
) -> dict[str, Any]:
    """A food that stays on its meal when the menu is laid again."""
    return {"kind": "stay food", "on": on.date(), "meal": meal, "food": food, "stays": not no_more}
