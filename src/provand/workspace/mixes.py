"""The page of drinks: what is typed, the recipe as it is shown, its picture, and the item that it makes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from provand.finding import Finding, NoPlanFits, find
from provand.larder.drink_wish import How
from provand.larder.drink_words import (
    NO_ROOM,
    Told,
    columns,
    figures,
    handed_out,
    ledger,
    sums,
    way_words,
)
from provand.larder.ingredient import Ingredient, cupboard
from provand.larder.item import Item
from provand.larder.mixing import Batch, DrinkRecipe, mixed
from provand.larder.wished import wish_of
from provand.pack.shapes import Drawing, Px, Shape, Words, area, line
from provand.pack.svg import written
from provand.plan.drinker import Drinker, remarks
from provand.record import Record

FIRST = {
    "carb": "60 g/l",
    "ratio": "",
    "sodium": "500 mg/l",
    "volume": "750 ml",
    "how": "added to",
    "from": "sugar, salt",
}
"""What stands in the form before anybody types: a bottle from what every kitchen has."""
HOWS: tuple[How, ...] = ("added to", "made up to")
SIP_ML = 100
MOST_POCKET_ML = 2000


class Field(Record):
    """One thing that is typed: its key, its name, why it is asked, such as what."""

    key: str
    name: str
    why: str
    hint: str


FIELDS = (
    Field(
        key="carb",
        name="Carbohydrate",
        why="Of the finished drink.",
        hint="0 to 700 g/l, such as 60 g/l or 6 %",
    ),
    Field(
        key="ratio",
        name="Glucose to fructose",
        why="Left empty, as near to 1:0.8 as what is at hand allows.",
        hint="such as 1:0.8 or 2:1",
    ),
    Field(
        key="sodium",
        name="Sodium",
        why="Sodium, not salt. It lifts no limit of fluid.",
        hint="0 to 5,000 mg/l, such as 500 mg/l or 20 mmol/l",
    ),
    Field(
        key="volume",
        name="Volume",
        why="The water that is measured, or the mark filled up to.",
        hint="50 ml to 30 l, such as 750 ml",
    ),
)


class RecipeShown(NamedTuple):
    """A recipe as it is shown."""

    recipe: DrinkRecipe
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    ways: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    strengths: tuple[tuple[str, tuple[tuple[str, Told | None], ...]], ...]
    sums: tuple[str, ...]
    lines: tuple[str, ...]
    gave_way: tuple[str, ...]
    remarks: tuple[str, ...]
    picture: str


def texts_of(given: Mapping[str, Sequence[str]], first: Mapping[str, str] = FIRST) -> dict[str, str]:
    """Return the texts of the form; of an address without any, those that stand there first."""
    if not given:
        return dict(first)
    found = {key: ", ".join(one for one in given.get(key, ()) if one).strip() for key in FIRST}
    return found | {"how": found["how"] if found["how"] in HOWS else HOWS[0]}


def first_for(drinker: Drinker) -> dict[str, str]:
    """Return what stands there first for somebody: nothing that may not go in."""
    sources = [one for one in FIRST["from"].split(", ") if one in drinker.may_go_in]
    salted = {} if "sodium" not in drinker.withheld else {"sodium": ""}
    return FIRST | {"from": ", ".join(sources)} | salted


def recipe_of(texts: Mapping[str, str], drinker: Drinker) -> DrinkRecipe:
    """Return the recipe of what is typed; BadInput, NoPlanFits or OnHold says why there is none."""
    how: How = "made up to" if texts["how"] == "made up to" else "added to"
    wish = wish_of(texts, drinker.cupboard, how=how)
    return mixed(wish, drinker.cupboard, refused=drinker.refused, withheld=drinker.withheld)


def anybody(own: Iterable[Item]) -> Drinker:
    """Return whom a drink of this practice is mixed for where nobody is named: nothing is left out."""
    return Drinker(cupboard(own))


def shown_recipe(recipe: DrinkRecipe, withheld: tuple[str, ...] = ()) -> RecipeShown:
    """Return everything that the page may tell of a recipe; to who reads no weights, its spoons alone."""
    if "grams" in withheld:
        return _in_spoons(recipe, withheld)
    batches = [recipe.weighed, recipe.other_way, recipe.spooned]
    told = [
        {} if batch is None else {one.name: one for one in figures(batch.strength, withheld)}
        for batch in batches
    ]
    volume = _ml(recipe.met.volume_ml)
    ways = (
        (f"{recipe.met.how} {volume}", recipe.met.how, recipe.weighed),
        (f"{recipe.other_how} {volume}", recipe.other_how, recipe.other_way),
    )
    drawn = [(name, how, batch) for name, how, batch in ways if batch is not None]
    says = "; ".join(
        f"{name}: {_ml(b.water_ml)} of water, {_ml(b.drink_ml)} of drink" for name, _, b in drawn
    )
    shown = remarks(recipe, withheld, to_the_athlete=False)
    heads = ("weigh", *(head for head, *_ in columns(withheld)))
    across = (*(name for name, *_ in ways), "by level spoons")
    return RecipeShown(
        recipe=recipe,
        heads=heads,
        rows=tuple(
            (row.name, tuple(zip(heads, (row.weigh, *row.cells), strict=True)))
            for row in ledger(recipe.weighed, withheld)
        ),
        ways=tuple((name, NO_ROOM if batch is None else way_words(batch, how)) for name, how, batch in ways),
        columns=across,
        strengths=tuple(
            (name, tuple(zip(across, (one.get(name) for one in told), strict=True))) for name in told[0]
        ),
        sums=tuple(sums(recipe, withheld)),
        lines=handed_out(recipe, withheld),
        gave_way=tuple(sentence(one) for one in shown if one in recipe.gave_way),
        remarks=tuple(sentence(one) for one in shown if one not in recipe.gave_way),
        picture=_picture(drawn, says),
    )


def _in_spoons(recipe: DrinkRecipe, withheld: tuple[str, ...]) -> RecipeShown:
    lines = handed_out(recipe, withheld)
    if not lines:
        raise NoPlanFits(find("mix.no_spoons", "mix"))
    shown = remarks(recipe, withheld, to_the_athlete=True)
    nothing: tuple[Any, ...] = ()
    return RecipeShown(
        recipe=recipe,
        heads=nothing,
        rows=nothing,
        ways=nothing,
        columns=nothing,
        strengths=nothing,
        sums=nothing,
        lines=lines,
        gave_way=nothing,
        remarks=tuple(sentence(one) for one in shown),
        picture="",
    )


def sentence(one: Finding) -> str:
    """Return a finding as sentences, what next after it."""
    return f"{one.sentence[:1].upper()}{one.sentence[1:]} {one.next_step}".strip()


def _ml(volume_ml: float) -> str:
    return f"{volume_ml:,.0f} ml"


# The picture: two bottles, the bold line is what is measured.

WIDTH: Px = 352
HEIGHT: Px = 266
BOTTLE: Px = 64
BASE: Px = 256
SHOULDER: Px = 66
NECK: Px = 20


def _picture(ways: Sequence[tuple[str, How, Batch]], says: str) -> str:
    most_ml = max(batch.drink_ml for _, _, batch in ways)
    shapes = [
        shape
        for at, (name, how, batch) in enumerate(ways)
        for shape in _bottle(at * WIDTH / 2 + 2, name, how, batch, most_ml)
    ]
    return written(Drawing(WIDTH, HEIGHT, "Two ways to fill a bottle", says, tuple(shapes)), "classes")


def _bottle(left: Px, name: str, how: How, batch: Batch, most_ml: float) -> list[Shape]:
    """Return a bottle: water with level lines, above it the room of what dissolved, bold what is measured."""
    right = left + BOTTLE
    water_y, drink_y = (
        BASE - (BASE - SHOULDER - 8) * ml / most_ml for ml in (batch.water_ml, batch.drink_ml)
    )
    inner_left, inner_right = left + NECK, right - NECK
    walls = (
        *((inner_left, 30.0), (inner_left, 46.0), (left, SHOULDER), (left, BASE)),
        *((right, BASE), (right, SHOULDER), (inner_right, 46.0), (inner_right, 30.0)),
    )
    measured = water_y if how == "added to" else drink_y
    return [
        area("band", (left, water_y), (right, water_y), (right, BASE), (left, BASE)),
        *(line("texture", (left, y), (right, y)) for y in _every(water_y + 5, BASE, 5)),
        area("land", (left, drink_y), (right, drink_y), (right, water_y), (left, water_y)),
        line("edge", (left, water_y), (right + 4, water_y)),
        line("edge", (left, drink_y), (right + 4, drink_y)),
        line("outline", *walls),
        line("mid", (left - 2, measured), (right + 8, measured)),
        Words("tick-strong", left, 16, name),
        Words("item", right + 12, drink_y - 2, f"drink {_ml(batch.drink_ml)}"),
        Words("water", right + 12, water_y + 13, f"water {_ml(batch.water_ml)}"),
    ]


def _every(first: Px, last: Px, step: Px) -> list[Px]:
    return [
        first + step * n for n in range(int(max(0.0, last - first) / step) + 1) if first + step * n < last
    ]


# The item that a recipe makes.


def item_data(
    recipe: DrinkRecipe, at_hand: Mapping[str, Ingredient], *, name: str, item_id: str
) -> dict[str, Any]:
    """Return the plain data of an item of the shelf: the bottle, as its label would print it for 100 ml."""
    batch = recipe.weighed
    used = [at_hand[one.ingredient].item for one in batch.amounts]
    label = {"convention": "EU", "basis": "100 ml", "pack": f"{batch.drink_ml:.0f} ml"}
    for key, (amount, unit) in _amounts(batch).items():
        if amount is not None:
            label[key] = f"{round(100 * amount.mid / batch.drink_ml, 3):g} {unit}"
    label["water"] = f"{100 * batch.water_ml / batch.drink_ml:.1f} ml"
    listed = [item.label.ingredients for item in used]
    if all(listed):
        label["ingredients"] = ", ".join(["water", *listed])
    free = [set(item.free_from) for item in used]
    made = {
        "id": item_id,
        "name": name,
        "texture": "drink",
        "divides_into": max(1, min(20, round(batch.drink_ml / SIP_ML))),
        "contains": sorted({one for item in used for one in item.contains}),
        "free_from": sorted(set.intersection(*free) - {one for item in used for one in item.contains}),
        "diet": min((item.diet for item in used), key=("any", "vegetarian", "vegan").index),
        "ingredients_note": f"Mixed by recipe: {_mixed_words(recipe)}",
        "label": label,
    }
    made["recipe"] = _recipe(recipe)
    if batch.drink_ml <= MOST_POCKET_ML:
        made["pocket"] = f"{batch.drink_ml:.0f} ml"
    return made


def _recipe(recipe: DrinkRecipe) -> dict[str, Any]:
    """Return the recipe as it is typed in an item: what was met, not what was wished."""
    met = recipe.met
    typed: dict[str, Any] = {"volume": f"{met.volume_ml:g} ml", "how": met.how}
    if met.carb_g_per_l is not None:
        typed["carb"] = f"{met.carb_g_per_l:g} g/l"
    if met.fructose_ratio is not None:
        typed["fructose"] = f"1:{met.fructose_ratio:g}"
    if met.sodium_mg_per_l is not None:
        typed["sodium"] = f"{met.sodium_mg_per_l:g} mg/l"
    return typed | {"sources": list(met.sources)}


def _amounts(batch: Batch) -> dict[str, tuple[Any, str]]:
    holds = batch.holds
    return {
        "carb": (holds.carb_g, "g"),
        "glucose": (holds.glucose_g, "g"),
        "fructose": (holds.fructose_g, "g"),
        "fibre": (holds.fibre_g, "g"),
        "fat": (holds.fat_g, "g"),
        "protein": (holds.protein_g, "g"),
        "sodium": (holds.sodium_mg, "mg"),
        "caffeine": (holds.caffeine_mg, "mg"),
    }


def _mixed_words(recipe: DrinkRecipe) -> str:
    lines = handed_out(recipe)
    return " ".join((lines[0], lines[-1]))
