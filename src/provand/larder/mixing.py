"""Drinks by recipe: from a wished strength to grams, spoons and water, and what then really results.

A strength is always that of the finished drink. "Added to" measures the water first; "made up to" fills up
to a mark. Dissolved sugar takes room, so the two are not the same drink. What cannot be had as wished is
mixed as near to it as can be, and says so first. A recipe is a composition: it orders nobody to drink.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import NamedTuple

from provand.figure import Range
from provand.finding import BadInput, Finding, NoPlanFits, OnHold, find
from provand.larder.composition import Composition, total
from provand.larder.drink_wish import DrinkWish, How
from provand.larder.ingredient import Ingredient, mix_limits
from provand.larder.spoons import Spoons, spoons_of
from provand.physiology.chemistry import (
    label_energy_kcal,
    osmolality_mosm_per_kg,
    recipe_fructose_g,
    solution_ml,
    water_to_make_up_ml,
)
from provand.record import Record
from provand.units import shown

MOST_ADDED_FRAC = 0.75
"""Ours: of the drink, what is added to the water at most; with more juice, the juice is what is measured."""
LARGEST_BATCH = 12
"""How many times the batch is tried when a spoon is too coarse for it."""


class Amount(Record):
    """So much of one ingredient, and what it brings; unrounded, `exact_g` is what the wish comes to."""

    ingredient: str
    name: str
    exact_g: float
    mass_g: float
    pieces_count: int | None = None
    volume_ml: float | None = None
    holds: Composition
    osmoles_mosm_per_l: Range


class Strength(Record):
    """What a litre of the drink holds; None is unknown. Osmolality is for the practitioner alone."""

    carb_g_per_l: Range | None
    glucose_g_per_l: Range | None
    fructose_g_per_l: Range | None
    sodium_mg_per_l: Range | None
    energy_kcal_per_l: Range | None
    osmolality_mosm_per_kg: Range


class Batch(Record):
    """A drink as it is mixed: what goes in, the water, the volume that results, what it all holds."""

    amounts: tuple[Amount, ...]
    water_ml: float
    drink_ml: float
    holds: Composition
    strength: Strength


class DrinkRecipe(Record):
    """A recipe: the wish that it meets, by weight and by spoon; the same in the other way, where it fits.

    `gave_way` says what was wished and cannot be; then the recipe is the nearest that can.
    """

    wished: DrinkWish
    met: DrinkWish
    weighed: Batch
    other_way: Batch | None
    spoons: tuple[Spoons, ...] = ()
    spooned: Batch | None = None
    gave_way: tuple[Finding, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def as_wished(self) -> bool:
        """True where every wish is met, but for what this person may not have anyway."""
        return all(one.code in ("mix.refused", "mix.sodium_withheld") for one in self.gave_way)

    @property
    def other_how(self) -> How:
        """The way of measuring that was not wished for."""
        return "added to" if self.met.how == "made up to" else "made up to"


class _Share(NamedTuple):
    """How much of an ingredient stands for one gram of carbohydrate of the drink."""

    ingredient: Ingredient
    g_per_g: float


class _Parts(NamedTuple):
    """What may go in: sources of carbohydrate and of sodium, in the order in which they were named."""

    carb: tuple[Ingredient, ...]
    salt: tuple[Ingredient, ...]


def mixed(
    wish: DrinkWish,
    cupboard: Mapping[str, Ingredient],
    *,
    refused: Mapping[str, str] | None = None,
    withheld: Collection[str] = (),
) -> DrinkRecipe:
    """Return the recipe of a wish, or the nearest that can be.

    `refused` are ids that this person may not have, with the reason. Raises OnHold where drinks are withheld,
    BadInput where a wish cannot be understood, NoPlanFits where nothing that may be used is left.
    """
    if "fluid" in withheld:
        raise OnHold(find("mix.fluid_withheld", "mix"))
    if not (wish.carb_g_per_l or wish.sodium_mg_per_l):
        raise BadInput(find("mix.nothing_wished", "mix"))
    gave_way: list[Finding] = []
    if "sodium" in withheld:
        gave_way += [find("mix.sodium_withheld", "mix")] if wish.sodium_mg_per_l is not None else []
        wish = wish.model_copy(update={"sodium_mg_per_l": None})
    parts = _parts(wish, cupboard, refused or {}, gave_way, salted="sodium" not in withheld)
    shares = _shares(wish, parts.carb, gave_way)
    met = _dissolved(wish, shares, gave_way)
    met = _salted(met, shares, parts.salt, gave_way)
    exact = _exact(met, shares, parts.salt)
    weighed = _batch(met, [(one, grams, _to_scales(one, grams)) for one, grams in exact], met.how)
    other: How = "added to" if met.how == "made up to" else "made up to"
    grams = [(cupboard[a.ingredient], a.exact_g, a.mass_g) for a in weighed.amounts]
    spoons, spooned, unmeasured = _spooned(met, exact)
    recipe = DrinkRecipe(
        wished=wish,
        met=met,
        weighed=weighed,
        other_way=_batch(met, grams, other) if _fits(met, grams, other) else None,
        spoons=spoons,
        spooned=spooned,
        gave_way=tuple(gave_way),
    )
    found = (*unmeasured, *_coarse(met, exact, recipe), *_remarks(recipe, wish, shares, exact))
    return recipe.model_copy(update={"findings": found})


# What may go in.


def _parts(
    wish: DrinkWish,
    cupboard: Mapping[str, Ingredient],
    refused: Mapping[str, str],
    gave_way: list[Finding],
    *,
    salted: bool,
) -> _Parts:
    named = [cupboard[source] for source in dict.fromkeys(wish.sources)]
    gave_way += [
        find("mix.refused", one.id, name=one.name, why=refused[one.id]) for one in named if one.id in refused
    ]
    left = [one for one in named if one.id not in refused]
    carb = tuple(one for one in left if one.kind == "carbohydrate")
    salt = tuple(one for one in left if one.kind == "salt") if salted else ()
    if not carb and wish.carb_g_per_l:
        listed = ", ".join(one.name for one in named)
        raise NoPlanFits(*gave_way, find("mix.no_carb_source", "from", named=listed))
    if not carb and not salt:
        raise NoPlanFits(*gave_way, find("mix.nothing_left", "from"))
    return _Parts(carb, salt)


# How the sugars are shared.


def _shares(wish: DrinkWish, carb: Sequence[Ingredient], gave_way: list[Finding]) -> tuple[_Share, ...]:
    """Return what stands for a gram of carbohydrate: one source, or the two that lie round the ratio."""
    if not wish.carb_g_per_l:
        return ()
    told = [one for one in carb if one.fructose_share_frac is not None]
    if not told:
        if wish.fructose_ratio is not None:
            raise BadInput(find("mix.sugars_unknown", "ratio", name=carb[0].name))
        return (_Share(carb[0], _grams_for_one(carb[0], 1.0)),)
    by_share = sorted(told, key=lambda one: (one.fructose_share_frac or 0.0, told.index(one)))
    least, most = (_share_of(one) for one in (by_share[0], by_share[-1]))
    ratio = mix_limits().usual_fructose_ratio if wish.fructose_ratio is None else wish.fructose_ratio
    wanted = recipe_fructose_g(carb_g=1.0, fructose_ratio=ratio)
    share = min(max(wanted, least), most)
    if wish.fructose_ratio is not None and abs(share - wanted) > 0.005:
        gave_way.append(_ratio_missed(wish.fructose_ratio, by_share))
    below = [one for one in by_share if _share_of(one) <= share + 1e-9][-1]
    # of two sources alike the one named first
    below = next(one for one in told if _share_of(one) == _share_of(below))
    above = next(one for one in by_share if _share_of(one) >= share - 1e-9)
    if _share_of(above) - _share_of(below) < 1e-9:
        return (_Share(below, _grams_for_one(below, 1.0)),)
    part = (share - _share_of(below)) / (_share_of(above) - _share_of(below))
    return (
        _Share(below, _grams_for_one(below, 1 - part)),
        _Share(above, _grams_for_one(above, part)),
    )


def _share_of(one: Ingredient) -> float:
    return one.fructose_share_frac or 0.0


def _grams_for_one(one: Ingredient, part: float) -> float:
    assert one.one_g.carb_g is not None
    return part / one.one_g.carb_g.mid


def _ratio_missed(ratio: float, by_share: Sequence[Ingredient]) -> Finding:
    ends = [_ratio_words(_share_of(one)) for one in (by_share[0], by_share[-1])]
    low, high = _share_of(by_share[0]), _share_of(by_share[-1])
    is_low = recipe_fructose_g(carb_g=1.0, fructose_ratio=ratio) < low
    names = ", ".join(one.name for one in by_share)
    reach = ends[0] if low == high else f"{ends[0]} up to {ends[1]}"
    add = "maltodextrin or glucose powder" if is_low else "fructose"
    return find(
        "mix.ratio", "ratio", wished=f"{ratio:g}", names=names, reach=reach, nearest=ends[not is_low], add=add
    )


def _ratio_words(share: float) -> str:
    return "fructose alone" if share > 1 - 1e-9 else f"1 to {shown(share / (1 - share), 'ratio')}"


# What dissolves, and what can be drunk.


def _room_ml_per_g(shares: Sequence[_Share]) -> float:
    """Return the room that one gram of carbohydrate takes in the drink."""
    return math.fsum(needed * one.room_ml_per_g for one, needed in shares)


def _dissolved(wish: DrinkWish, shares: Sequence[_Share], gave_way: list[Finding]) -> DrinkWish:
    """Return the wish with no more carbohydrate than dissolves near 20 °C, or than a juice holds."""
    if not shares or wish.carb_g_per_l is None:
        return wish
    room = _room_ml_per_g(shares)
    juice_water = math.fsum(needed * one.water_ml_per_g for one, needed in shares)
    liquid = next((one for one, _ in shares if one.density_g_per_ml is not None), None)
    juice_frac = 1.0 if wish.how == "made up to" else MOST_ADDED_FRAC
    most = {} if liquid is None else {("mix.too_weak", liquid.name): juice_frac * 1000 / room}
    for one, needed in shares:
        if one.soluble_g_per_kg is not None and needed > 1e-9:
            soluble = one.soluble_g_per_kg / 1000
            most["mix.dissolves", one.name] = 1000 * soluble / (needed + soluble * (room - juice_water))
    if not most:
        return wish
    (code, name), strongest = min(most.items(), key=lambda entry: entry[1])
    if wish.carb_g_per_l <= strongest:
        return wish
    nearest = float(math.floor(strongest))
    facts = {"name": name, "wished": shown(wish.carb_g_per_l, "g/l"), "most": shown(nearest, "g/l")}
    gave_way.append(find(code, "carb", **facts))
    return wish.model_copy(update={"carb_g_per_l": nearest})


def _salted(
    wish: DrinkWish, shares: Sequence[_Share], salt: Sequence[Ingredient], gave_way: list[Finding]
) -> DrinkWish:
    """Return the wish with the sodium that can be had: what the powders bring counts first."""
    wanted = wish.sodium_mg_per_l
    if wanted is None:
        return wish
    own = _own_sodium_mg_per_l(wish, shares)
    most = mix_limits().most_sodium_mg_per_l
    met = wanted
    if met > most:
        gave_way.append(
            find("mix.sodium_taste", "sodium", wished=shown(wanted, "mg"), most=shown(most, "mg"))
        )
        met = most
    if met > own + 1 and not salt:
        gave_way.append(find("mix.no_salt", "sodium", wished=shown(wanted, "mg"), own=shown(own, "mg")))
        met = own
    if own > met + 1:
        gave_way.append(find("mix.sodium_own", "sodium", wished=shown(wanted, "mg"), own=shown(own, "mg")))
        met = own
    return wish.model_copy(update={"sodium_mg_per_l": met})


def _own_sodium_mg_per_l(wish: DrinkWish, shares: Sequence[_Share]) -> float:
    found = 0.0
    for one, needed in shares:
        if one.one_g.sodium_mg is None:
            raise BadInput(find("mix.sodium_unknown", "sodium", name=one.name))
        found += one.one_g.sodium_mg.mid * needed * (wish.carb_g_per_l or 0.0)
    return found


# Amounts.


def _exact(
    met: DrinkWish, shares: Sequence[_Share], salt: Sequence[Ingredient]
) -> list[tuple[Ingredient, float]]:
    """Return each ingredient with the grams that the wish comes to, unrounded."""
    strength = (met.carb_g_per_l or 0.0) if shares else 0.0
    drink = met.volume_ml
    if met.how == "added to":
        drink = met.volume_ml / (1 - strength / 1000 * _room_ml_per_g(shares))
    carb = strength * drink / 1000
    found = [(one, needed * carb) for one, needed in shares if needed > 1e-9]
    own = _own_sodium_mg_per_l(met, shares) if met.sodium_mg_per_l is not None else 0.0
    left = ((met.sodium_mg_per_l or 0.0) - own) * drink / 1000
    if left > 0.5 and salt:
        assert salt[0].one_g.sodium_mg is not None
        found.append((salt[0], left / salt[0].one_g.sodium_mg.mid))
    return found


def _to_scales(one: Ingredient, exact_g: float) -> float:
    """Return what is put in: whole grams from 10 up, tenths below; tablets whole; a juice to 5 ml."""
    if one.density_g_per_ml is not None:
        return one.density_g_per_ml * 5 * math.floor(exact_g / one.density_g_per_ml / 5 + 1e-9)
    if one.piece_g is not None:
        return one.piece_g * max(1, math.floor(exact_g / one.piece_g + 0.5))
    return float(math.floor(exact_g + 0.5)) if exact_g >= 10 else math.floor(exact_g * 10 + 0.5) / 10


def _batch(wish: DrinkWish, grams: Sequence[tuple[Ingredient, float, float]], how: How) -> Batch:
    """Return what really results from so many grams, in the volume and the way of the wish."""
    holds = [one.one_g.times(mass) for one, _, mass in grams]
    all_of_it = total(holds)
    juice = math.fsum(mass * one.room_ml_per_g for one, _, mass in grams if one.density_g_per_ml)
    inside = math.fsum(mass * one.water_ml_per_g for one, _, mass in grams)
    dry = math.fsum(
        held.carb_g.mid
        for (one, _, _), held in zip(grams, holds, strict=True)
        if held.carb_g is not None and one.density_g_per_ml is None
    )
    if how == "added to":
        water = wish.volume_ml
        drink = solution_ml(water_ml=water + juice, sugar_g=dry)
    else:
        drink = wish.volume_ml
        water = water_to_make_up_ml(drink_ml=drink, sugar_g=dry) - juice
    sour = any(one.may_be_sour for one, _, _ in grams)
    amounts = tuple(
        Amount(
            ingredient=one.id,
            name=one.name,
            exact_g=exact,
            mass_g=mass,
            pieces_count=None if one.piece_g is None else round(mass / one.piece_g),
            volume_ml=None if one.density_g_per_ml is None else mass / one.density_g_per_ml,
            holds=held,
            osmoles_mosm_per_l=one.mosm_per_l(amount_g_per_l=1000 * mass / drink, in_acid=sour),
        )
        for (one, exact, mass), held in zip(grams, holds, strict=True)
    )
    return Batch(
        amounts=amounts,
        water_ml=water,
        drink_ml=drink,
        holds=all_of_it,
        strength=_strength(all_of_it, amounts, water + inside, drink),
    )


def _fits(wish: DrinkWish, grams: Sequence[tuple[Ingredient, float, float]], how: How) -> bool:
    """Return whether what goes in leaves room for water in the volume."""
    taken_ml = math.fsum(mass * one.room_ml_per_g for one, _, mass in grams)
    return how == "added to" or taken_ml <= wish.volume_ml


def _strength(holds: Composition, amounts: Sequence[Amount], water_ml: float, drink_ml: float) -> Strength:
    """Return what a litre holds, and its osmolality with the error of the method."""
    carb = _in_a_litre(holds.carb_g, drink_ml)
    error = mix_limits().osmolality_error_frac
    ends = {
        end: osmolality_mosm_per_kg(
            osmoles_mosm_per_l=math.fsum(getattr(one.osmoles_mosm_per_l, end) for one in amounts),
            water_kg_per_l=water_ml / drink_ml,
        )
        for end in ("low", "mid", "high")
    }
    return Strength(
        carb_g_per_l=carb,
        glucose_g_per_l=_in_a_litre(holds.glucose_g, drink_ml),
        fructose_g_per_l=_in_a_litre(holds.fructose_g, drink_ml),
        sodium_mg_per_l=_in_a_litre(holds.sodium_mg, drink_ml),
        energy_kcal_per_l=None if carb is None else _energy_kcal_per_l(carb),
        osmolality_mosm_per_kg=Range.of(
            ends["low"] * (1 - error), ends["high"] * (1 + error), ends["mid"], means="bounds"
        ),
    )


def _in_a_litre(amount: Range | None, drink_ml: float) -> Range | None:
    if amount is None:
        return None
    low, mid, high = (1000 * end / drink_ml for end in (amount.low, amount.mid, amount.high))
    return Range(low=low, mid=mid, high=high, means=amount.means)


def _energy_kcal_per_l(carb: Range) -> Range:
    low, mid, high = (
        label_energy_kcal(
            carb_g=end, polyol_g=0.0, erythritol_g=0.0, protein_g=0.0, fat_g=0.0, alcohol_g=0.0,
            organic_acid_g=0.0, fibre_g=0.0,
        )
        for end in (carb.low, carb.mid, carb.high)
    )  # fmt: skip
    return Range(low=low, mid=mid, high=high, means=carb.means)


# Spoons, and what is too coarse for a batch.


def _spooned(
    met: DrinkWish, exact: Sequence[tuple[Ingredient, float]]
) -> tuple[tuple[Spoons, ...], Batch | None, list[Finding]]:
    """Return level spoons in quarters, and what then results; what has no spoon is named instead."""
    measures = [(one, grams, spoons_of(one, grams, most_g=_most_g(met, one, exact))) for one, grams in exact]
    unknown = [find("mix.no_spoon", one.id, name=one.name) for one, _, spoons in measures if spoons is None]
    known = tuple(spoons for _, _, spoons in measures if spoons is not None)
    if unknown:
        return (), None, unknown
    lean, level, heaped = (
        _batch(
            met,
            [(one, g, getattr(spoons.mass_g, end)) for (one, g), spoons in zip(exact, known, strict=True)],
            met.how,
        )
        for end in ("low", "mid", "high")
    )
    strength = Strength(
        **{name: _between(*(getattr(b.strength, name) for b in (lean, level, heaped))) for name in STRENGTHS}
    )
    return known, level.model_copy(update={"strength": strength}), []


STRENGTHS = tuple(Strength.model_fields)


def _most_g(met: DrinkWish, one: Ingredient, exact: Sequence[tuple[Ingredient, float]]) -> float:
    """Return how much of a salt the drink takes before it holds more sodium than people drink."""
    if one.kind != "salt" or one.one_g.sodium_mg is None or one.one_g.sodium_mg.mid == 0:
        return math.inf
    others = math.fsum(
        (other.one_g.sodium_mg.mid if other.one_g.sodium_mg else 0.0) * grams
        for other, grams in exact
        if other is not one
    )
    most = mix_limits().most_sodium_mg_per_l * met.volume_ml / 1000
    return max(0.0, most - others) / one.one_g.sodium_mg.mid


def _between(lean: Range | None, level: Range | None, heaped: Range | None) -> Range | None:
    if lean is None or level is None or heaped is None:
        return None
    each = (lean, level, heaped)
    return Range.of(min(one.low for one in each), max(one.high for one in each), level.mid)


def _coarse(
    met: DrinkWish, exact: Sequence[tuple[Ingredient, float]], recipe: DrinkRecipe
) -> Iterator[Finding]:
    """Yield what a scale of tenths, a whole tablet or a quarter spoon misses by more than it may."""
    for (one, wanted), amount in zip(exact, recipe.weighed.amounts, strict=True):
        if _misses(amount.mass_g, wanted):
            tool = "a scale of tenths of a gram" if one.piece_g is None else "a whole number of them"
            tool = tool if one.density_g_per_ml is None else "a measure of 5 ml"
            share = _share_words(amount.mass_g, wanted)
            yield find("mix.coarse_scale", one.id, name=one.name, tool=tool, share=share)
    for (one, wanted), spoons in zip(exact if recipe.spoons else (), recipe.spoons, strict=True):
        if one.piece_g is None and one.density_g_per_ml is None and _misses(spoons.mass_g.mid, wanted):
            share = _share_words(spoons.mass_g.mid, wanted)
            batch = _fine_enough_l(met, one, wanted)
            yield find("mix.coarse", one.id, name=one.name, share=share, instead=batch)


def _misses(mass_g: float, wanted_g: float) -> bool:
    return abs(mass_g - wanted_g) > mix_limits().coarse_frac * wanted_g


def _share_words(mass_g: float, wanted_g: float) -> str:
    return f"{100 * mass_g / wanted_g:.0f} %"


def _fine_enough_l(met: DrinkWish, one: Ingredient, wanted_g: float) -> str:
    """Return the least batch for which a quarter spoon is fine enough, in words; empty without one."""
    for times in range(2, LARGEST_BATCH + 1):
        spoons = spoons_of(one, times * wanted_g)
        if spoons is not None and not _misses(spoons.mass_g.mid, times * wanted_g):
            return f"Mix {shown(times * met.volume_ml / 1000, 'l')} l at once."
    return ""


# What is to be known of the drink.


def _remarks(
    recipe: DrinkRecipe, wish: DrinkWish, shares: Sequence[_Share], exact: Sequence[tuple[Ingredient, float]]
) -> Iterator[Finding]:
    limits, strength = mix_limits(), recipe.weighed.strength
    used = [one for one, _ in exact]
    if wish.fructose_ratio is None and len(shares) == 2:
        yield find("mix.usual_ratio", "ratio", ratio=f"{limits.usual_fructose_ratio:g}")
    energy = strength.energy_kcal_per_l
    if energy is not None and energy.mid > limits.most_energy_kcal_per_l:
        yield find("mix.strong", "carb", most=shown(limits.most_energy_kcal_per_l / 4, "g"))
    sweet = math.fsum(one.sweetness_ratio * 1000 * _carb_mid(a) / recipe.weighed.drink_ml
                      for one, a in zip(used, recipe.weighed.amounts, strict=True))  # fmt: skip
    if sweet > limits.sweet_g_per_l:
        yield find("mix.sweet", "carb", most=shown(limits.sweet_g_per_l, "g"))
    sodium = strength.sodium_mg_per_l
    if sodium is not None and sodium.mid > limits.salty_mg_per_l + 1 and wish.sodium_mg_per_l is not None:
        yield find("mix.salty", "sodium", most=shown(limits.salty_mg_per_l, "mg"))
    for one in used:
        if one.solute is not None and one.solute.splits_in_acid:
            yield find("mix.acid", one.id, name=one.name)
        if one.id == "soda":
            yield find("mix.soda", one.id)
        if one.piece_g is not None:
            yield find("mix.counts_once", one.id, name=one.name)
        caffeine = one.one_g.caffeine_mg
        if caffeine is None or caffeine.high > 0:
            yield find("mix.caffeine", one.id, name=one.name)
    yield find("mix.no_order", "mix")
    if wish.sodium_mg_per_l:
        yield find("mix.no_ceiling", "sodium")


def _carb_mid(amount: Amount) -> float:
    return 0.0 if amount.holds.carb_g is None else amount.holds.carb_g.mid
