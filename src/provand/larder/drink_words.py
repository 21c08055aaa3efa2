"""A drink recipe in words: the ledger that adds up, the sums behind each figure, and what is handed out."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

from provand.figure import Range
from provand.larder.composition import Composition
from provand.larder.drink_wish import How
from provand.larder.ingredient import mix_limits
from provand.larder.mixing import Amount, Batch, DrinkRecipe, Strength
from provand.phrase import Name, Phrase, phrase, rounded_number
from provand.physiology.chemistry import SUGAR_VOLUME_ML_PER_G
from provand.record import Record
from provand.units import shown

COLUMNS = (
    ("carbohydrate", "carb_g", "g", 1),
    ("glucose", "glucose_g", "g", 1),
    ("fructose", "fructose_g", "g", 1),
    ("sodium", "sodium_mg", "mg", 0),
)
"""What the ledger tells of each ingredient: its head, its amount, its unit, decimals."""
FIGURES = (
    ("carbohydrate", "carb_g_per_l", "g/l", ""),
    ("of it glucose", "glucose_g_per_l", "g/l", "fructose"),
    ("of it fructose", "fructose_g_per_l", "g/l", "fructose"),
    ("sodium", "sodium_mg_per_l", "mg/l", "sodium"),
    ("energy", "energy_kcal_per_l", "kcal/l", ""),
    ("osmolality", "osmolality_mosm_per_kg", "mOsm/kg", "sodium"),
)
"""The strengths of a drink, and the part with which each is withheld: osmoles would tell the salt."""
UNKNOWN = "unknown"
NO_ROOM = "it does not fit: there is no room left for water."


class Row(Record):
    """A row of the ledger: an ingredient, what is weighed of it, what that brings."""

    name: str
    weigh: str
    cells: tuple[str, ...]


class Told(Record):
    """A strength in words: its name, its value, its range where there is one."""

    name: str
    value: str
    spread: str = ""


def _printed(amounts: Sequence[float], decimals: int) -> tuple[str, ...]:
    """Return amounts rounded so that the printed ones add up to the printed total."""
    steps = [amount * 10**decimals for amount in amounts]
    whole = [math.floor(step + 1e-9) for step in steps]
    left = math.floor(math.fsum(steps) + 0.5) - sum(whole)
    by_rest = sorted(range(len(steps)), key=lambda at: (whole[at] - steps[at], at))
    for at in by_rest[: max(0, left)]:
        whole[at] += 1
    return tuple(f"{one / 10**decimals:,.{decimals}f}" for one in whole)


def columns(withheld: Collection[str] = ()) -> tuple[tuple[str, str, str, int], ...]:
    """Return the columns of the ledger that may be shown."""
    hidden = {"glucose": "fructose", "fructose": "fructose", "sodium": "sodium"}
    return tuple(column for column in COLUMNS if hidden.get(column[0]) not in withheld)


def ledger(batch: Batch, withheld: Collection[str] = ()) -> tuple[Row, ...]:
    """Return what each ingredient brings, and the total, which the printed rows add up to."""
    by_column = []
    for _, name, unit, decimals in columns(withheld):
        held = [getattr(one.holds, name) for one in batch.amounts]
        if any(one is None for one in held):
            cells = [UNKNOWN if one is None else f"{one.mid:,.{decimals}f} {unit}" for one in held]
            by_column.append([*cells, UNKNOWN])
            continue
        mids = [one.mid for one in held]
        total = f"{math.floor(math.fsum(mids) * 10**decimals + 0.5) / 10**decimals:,.{decimals}f}"
        by_column.append([f"{text} {unit}" for text in (*_printed(mids, decimals), total)])
    weighed = [weigh_words(batch, at) for at in range(len(batch.amounts))]
    names = [one.name for one in batch.amounts]
    return tuple(
        Row(name=name, weigh=weigh, cells=tuple(column[at] for column in by_column))
        for at, (name, weigh) in enumerate(zip([*names, "together"], [*weighed, ""], strict=True))
    )


def weigh_words(batch: Batch, at: int) -> str:
    """Return what is put on the scales of the ingredient at that place, or how many tablets."""
    one = batch.amounts[at]
    if one.pieces_count is not None:
        return f"{one.pieces_count} of them"
    if one.volume_ml is not None:
        return _ml(one.volume_ml)
    return f"{one.mass_g:.0f} g" if one.mass_g >= 10 else f"{one.mass_g:.1f} g"


def figures(strength: Strength, withheld: Collection[str] = ()) -> tuple[Told, ...]:
    """Return the strengths that may be shown, as the practitioner reads them."""
    found = []
    for name, field, unit, part in FIGURES:
        value: Range | None = getattr(strength, field)
        if part in withheld:
            continue
        if value is None:
            found.append(Told(name=name, value=UNKNOWN))
            continue
        spread = "" if _is_one(value) else f"{_number(value.low)} to {_number(value.high)}"
        found.append(Told(name=name, value=f"{_number(value.mid)} {unit}", spread=spread))
    return tuple(found)


def _is_one(value: Range) -> bool:
    return value.high - value.low < 0.005 * max(abs(value.mid), 1e-9)


def _number(value: float) -> str:
    return shown(0.0 if value < 0.05 else value, "g")


def way_words(batch: Batch, how: How) -> str:
    """Return in words how the water is measured, and the volume that results."""
    return way(batch, how).text


def way(batch: Batch, how: How) -> Phrase:
    """Return those words, to be said in any language."""
    water, drink = rounded_number(batch.water_ml), rounded_number(batch.drink_ml)
    if how == "added to":
        return phrase(
            "Measure {water} ml of water and add everything: it makes {drink} ml.", water=water, drink=drink
        )
    return phrase(
        "Put everything into the bottle and fill up to {drink} ml: that takes {water} ml of water.",
        drink=drink,
        water=water,
    )


def _ml(volume_ml: float) -> str:
    return f"{volume_ml:,.0f} ml"


def sums(recipe: DrinkRecipe, withheld: Collection[str] = ()) -> Iterator[str]:
    """Yield the sum behind each figure of the weighed drink, with its source."""
    batch, strength, limits = recipe.weighed, recipe.weighed.strength, mix_limits()
    carb, juice = batch.holds.carb_g, math.fsum(one.volume_ml or 0.0 for one in batch.amounts)
    dry = math.fsum(_carb_mid(one.holds) for one in batch.amounts if one.volume_ml is None)
    litres = f"{batch.drink_ml / 1000:.3f} l"
    if carb is not None and carb.mid > 0:
        poured = f"{_ml(batch.water_ml)} of water" + (f" + {_ml(juice)} of juice" if juice else "")
        room = f" + {SUGAR_VOLUME_ML_PER_G:g} ml × {dry:.1f} g of dry sugars" if dry else ""
        yield (
            f"Volume: {poured}{room} = {_ml(batch.drink_ml)}. "
            f"A gram of dissolved sugar takes {SUGAR_VOLUME_ML_PER_G:g} ml (from memory)."
        )
        if strength.carb_g_per_l is not None:
            yield f"Carbohydrate: {carb.mid:.1f} g / {litres} = {_number(strength.carb_g_per_l.mid)} g/l."
    sodium, salted = batch.holds.sodium_mg, strength.sodium_mg_per_l
    if "sodium" not in withheld and sodium is not None and salted is not None:
        yield f"Sodium: {sodium.mid:,.0f} mg / {litres} = {_number(salted.mid)} mg/l."
    energy = strength.energy_kcal_per_l
    if energy is not None and energy.mid > 0:
        yield (
            f"Energy: 4 kcal × {_number(energy.mid / 4)} g/l = {_number(energy.mid)} kcal/l "
            f"(eu2011, Annex XIV); such drinks hold {limits.least_energy_kcal_per_l:g} to "
            f"{limits.most_energy_kcal_per_l:g} (efsa2011drinks)."
        )
    if "sodium" not in withheld:
        yield _osmoles(batch)


def _carb_mid(holds: Composition) -> float:
    return 0.0 if holds.carb_g is None else holds.carb_g.mid


def _osmoles(batch: Batch) -> str:
    limits, value = mix_limits(), batch.strength.osmolality_mosm_per_kg
    parts = " + ".join(f"{one.osmoles_mosm_per_l.mid:.0f}" for one in batch.amounts)
    inside = math.fsum(
        one.holds.water_ml.mid for one in batch.amounts if one.volume_ml is not None and one.holds.water_ml
    )
    water = f"{(batch.water_ml + inside) / batch.drink_ml:.3f} kg/l of water"
    ideal = f"solutes counted as ideal ±{100 * limits.osmolality_error_frac:.0f} % (our estimate)"
    low, high = limits.isotonic_mosm_per_kg
    summed = f"({parts})" if len(batch.amounts) > 1 else parts
    return (
        f"Osmolality: {summed} mOsm/l / {water} = {value.mid:.0f} mOsm/kg, "
        f"{value.low:.0f} to {value.high:.0f} with the error of the method: {ideal}, "
        f"and what packs leave open. Isotonic is {low:g} to {high:g} (efsa2011drinks)."
    )


def handed_out(recipe: DrinkRecipe, withheld: Collection[str] = ()) -> tuple[str, ...]:
    """Return the recipe as it is given to the athlete: no osmolality; without weights, in spoons."""
    return tuple(line.text for line in to_hand_out(recipe, withheld))


def to_hand_out(recipe: DrinkRecipe, withheld: Collection[str] = ()) -> tuple[Phrase, ...]:
    """Return the lines of that recipe, to be said in any language."""
    if "grams" in withheld:
        return tuple(_by_spoon(recipe))
    batch = recipe.weighed
    amounts = _listed([_put_in(one) for one in batch.amounts])
    spoons = [one.words for one in recipe.spoons]
    by_spoon = (phrase("Or by level spoons: {spoons}.", spoons=_listed(spoons)),) if spoons else ()
    return (_first(batch, amounts), *by_spoon, way(batch, recipe.met.how))


def _first(batch: Batch, amounts: Phrase) -> Phrase:
    if any(one.volume_ml is not None for one in batch.amounts):
        return phrase("Measure {amounts}.", amounts=amounts)
    return phrase("Weigh {amounts}.", amounts=amounts)


def _by_spoon(recipe: DrinkRecipe) -> Iterator[Phrase]:
    if recipe.spooned is None:
        return
    for one in recipe.spoons:
        if one.counts:
            yield phrase("Level spoons: {spoons}.", spoons=one.words)
    volume = rounded_number(recipe.met.volume_ml)
    if recipe.met.how == "added to":
        yield phrase("Stir it into {volume} ml of water.", volume=volume)
    else:
        yield phrase("Fill the bottle up to {volume} ml.", volume=volume)


def _put_in(one: Amount) -> Phrase:
    name = Name(name=one.name, kind="food")
    if one.pieces_count is not None:
        return phrase("{count} × {name}", count=one.pieces_count, name=name)
    if one.volume_ml is not None:
        amount = phrase("{amount} ml", amount=rounded_number(one.volume_ml))
    else:
        grams = rounded_number(one.mass_g, 0 if one.mass_g >= 10 else 1)
        amount = phrase("{amount} g", amount=grams)
    return phrase("{amount} of {name}", amount=amount, name=name)


def _listed(phrases: Sequence[Phrase]) -> Phrase:
    told, *rest = phrases
    for one in rest:
        told = phrase("{these}, {more}", these=told, more=one)
    return told
