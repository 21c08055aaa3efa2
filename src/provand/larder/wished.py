"""A wish for a drink as people type it: `60 g/l`, `1:0.8`, `sugar, salt`; every fault is told at once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from rapidfuzz import fuzz, process

from provand.finding import BadInput, Finding, find
from provand.larder.drink_wish import DrinkWish, How
from provand.larder.ingredient import Ingredient
from provand.physiology.chemistry import sodium_mg, sodium_mmol
from provand.units import read_number, readings

TYPED = {
    "carb": ("carb_g_per_l", "g/l"),
    "ratio": ("fructose_ratio", "ratio"),
    "sodium": ("sodium_mg_per_l", "mg/l"),
    "volume": ("volume_ml", "ml"),
}
"""What is typed of a drink, the field it fills, and the unit it is read into."""
USUAL_VOLUME = "1 l"
GRAMS_IN_A_PERCENT = 10
"""Grams a litre that one per cent of a drink is."""
SPELLING = 72
"""How alike two words are, of 100, for one to be offered in place of the other."""


def wish_of(texts: Mapping[str, str], cupboard: Mapping[str, Ingredient], *, how: How) -> DrinkWish:
    """Return the wish behind typed texts; BadInput tells every fault, `about` the key of its text."""
    faults: list[Finding] = []
    found: dict[str, Any] = {"how": how}
    for key, (name, unit) in TYPED.items():
        text = texts.get(key, "").strip() or (USUAL_VOLUME if key == "volume" else "")
        if not text:
            continue
        low, high = bounds(name)
        try:
            found[name] = _number(text, unit, key, low, high)
        except BadInput as error:
            faults.extend(error.findings)
    sources = []
    for word in [word.strip() for word in texts.get("from", "").split(",") if word.strip()]:
        source = _source(word, cupboard)
        if isinstance(source, Finding):
            faults.append(source)
        else:
            sources.append(source)
    if not sources and not any(fault.about == "from" for fault in faults):
        faults.append(find("mix.no_source", "from", known=", ".join(cupboard)))
    if faults:
        raise BadInput(*faults)
    return DrinkWish(**found, sources=tuple(sources))


def bounds(name: str) -> tuple[float, float]:
    """Return what is allowed of a number of the wish, in the unit of its name."""
    extra = DrinkWish.model_fields[name].json_schema_extra
    ends = extra.get("bounds") if isinstance(extra, dict) else None
    assert isinstance(ends, list)
    low, high = ends
    return float(str(low)), float(str(high))


NUMBER_ALONE = re.compile(r"\d{2,}(?:[.,]\d+)?")
"""A number of two digits at least: fewer could be grams of salt or per cent of sugar, so they need a unit."""


def _number(text: str, unit: str, key: str, low: float, high: float) -> float:
    """Return one number; a strength without unit is in that of its field, per litre as all of them are."""
    if unit in ("g/l", "mg/l") and NUMBER_ALONE.fullmatch(text):
        return read_number(f"{text} {unit}", unit, key, low, high)
    if unit == "mg/l" and readings(text, "mmol/l")[1] and readings(text, "mmol/l")[0]:
        most = sodium_mmol(sodium_mg=high)
        return sodium_mg(sodium_mmol=read_number(text, "mmol/l", key, low, most))
    if unit == "g/l" and text.endswith("%"):
        return GRAMS_IN_A_PERCENT * read_number(text, "percent", key, low, high / GRAMS_IN_A_PERCENT)
    return read_number(text, unit, key, low, high)


def _source(word: str, cupboard: Mapping[str, Ingredient]) -> str | Finding:
    """Return the id of what a word names, or a fault with what it may have meant."""
    plain = " ".join(word.casefold().split())
    names = {name.casefold(): one.id for one in cupboard.values() for name in (*one.words, one.name)}
    names |= {key.casefold(): key for key in cupboard}
    if plain in names:
        return names[plain]
    close = process.extractOne(plain, list(names), scorer=fuzz.WRatio, score_cutoff=SPELLING)
    near = f"Did you mean '{names[close[0]]}'?" if close else _all_of(cupboard)
    return find("mix.unknown_source", "from", name=word[:80], near=near)


def _all_of(cupboard: Iterable[str]) -> str:
    return f"Known here: {', '.join(cupboard)}."
