"""Set-ups on the rules of guidelines: which fire, and what they come to for one body and one race."""

from __future__ import annotations

from harness import experiment

from provand.physiology.chemistry import sodium_mmol, sodium_of_salt_mg
from provand.physiology.dosing import (
    dose_of_fluid_ml_per_kg,
    per_loss_l,
    per_mass_g,
    per_mass_g_per_day,
    per_mass_g_per_h,
    per_mass_mg,
    per_mass_ml,
    whole_race_g_per_race,
)
from provand.protocol.rules import Rule, protocol, value

STANDS = protocol("position-stands")
PRACTICE = protocol("common-practice")
SALT_G_PER_MOL = 58.443


def _rule(rule_id: str) -> Rule:
    return next(rule for p in (STANDS, PRACTICE) for rule in p.rules if rule.id == rule_id)


def _end(rule_id: str, high: float) -> float:
    """Return the low end (0) or the high end (1) of a rule's band, in its own unit."""
    band = _rule(rule_id).band
    return band.high if high else band.low


def _first(target: str, **facts: float) -> Rule:
    return next(rule for rule in STANDS.giving(target) if rule.fires(facts))


@experiment
def load_g(*, race_min: float, body_mass_kg: float, loading_h: float, high: float) -> float:
    """Return the carbohydrate of a loading by the first rule that fires, over so many hours."""
    rule = _first("load.carb", race_min=race_min)
    dose_g_per_kg_per_day = rule.band.high if high else rule.band.low
    daily = per_mass_g_per_day(dose_g_per_kg_per_day=dose_g_per_kg_per_day, body_mass_kg=body_mass_kg)
    return daily * loading_h / 24


@experiment
def later_load_g(*, body_mass_kg: float, high: float) -> float:
    """Return a day of loading by the narrower rule for races under 90 minutes."""
    return per_mass_g_per_day(dose_g_per_kg_per_day=_end("L3", high), body_mass_kg=body_mass_kg)


@experiment
def load_women_g(*, body_mass_kg: float, lean_mass_kg: float, lean: float) -> float:
    """Return the amount that women's loading must pass, by body mass (0) or by lean mass (1)."""
    rule_id, mass_kg = ("L5b", lean_mass_kg) if lean else ("L5a", body_mass_kg)
    return per_mass_g_per_day(dose_g_per_kg_per_day=_end(rule_id, 0), body_mass_kg=mass_kg)


@experiment
def meal_g(*, body_mass_kg: float, before_h: float, high: float) -> float:
    """Return the meal before a race by the first rule that fires."""
    rule = _first("breakfast.carb", race_min=120, before_h=before_h)
    dose_g_per_kg = rule.band.high if high else rule.band.low
    return per_mass_g(dose_g_per_kg=dose_g_per_kg, body_mass_kg=body_mass_kg)


@experiment
def rows_that_fire(*, race_min: float) -> float:
    """Return the rows of race carbohydrate that fire, side by side: D3 and D4 is 34."""
    fired = [rule.id for rule in STANDS.giving("race.carb") if rule.fires({"race_min": race_min})]
    return float("".join(rule_id.removeprefix("D") for rule_id in fired))


@experiment
def practice_rate_g_per_h(*, race_s: float, high: float) -> float:
    """Return an end of the one row of practice that fires in a half of that time."""
    facts = {"race_min": race_s / 60, "distance_km": 21.0975}
    (rule,) = (rule for rule in PRACTICE.giving("race.carb") if rule.fires(facts))
    return rule.band.high if high else rule.band.low


@experiment
def race_g(*, race_min: float, high: float) -> float:
    """Return the carbohydrate of a whole race by the first rule that fires."""
    rule = _first("race.carb", race_min=race_min)
    rate_g_per_h = rule.band.high if high else rule.band.low
    return whole_race_g_per_race(carb_g_per_h=rate_g_per_h, finish_s=60 * race_min)


@experiment
def ultra_total(*, race_h: float, part: float, high: float) -> float:
    """Return what an ultra's rule comes to over the race: carbohydrate, protein, energy, fluid (0 to 3)."""
    rule_id = ("D5a", "D5b", "D5c", "F5")[int(part)]
    return _end(rule_id, high) * race_h


@experiment
def drink_before_ml(*, body_mass_kg: float, rule_number: float, high: float) -> float:
    """Return the drink before a race by F1, F2a or F2b (0, 1 or 2)."""
    rule_id = ("F1", "F2a", "F2b")[int(rule_number)]
    return per_mass_ml(dose_ml_per_kg=_end(rule_id, high), body_mass_kg=body_mass_kg)


@experiment
def bands_that_hold_half_a_litre(*, body_mass_kg: float) -> float:
    """Return how many of F1 and F2a hold the fixed amount of practice for this body mass."""
    dose = dose_of_fluid_ml_per_kg(fluid_ml=_end("M3a", 0), body_mass_kg=body_mass_kg)
    return sum(_rule(rule_id).band.low <= dose <= _rule(rule_id).band.high for rule_id in ("F1", "F2a"))


@experiment
def salted_drink_mmol_per_l(*, litres: float) -> float:
    """Return the sodium of practice's drink: its salt in so many litres."""
    sodium_mg = sodium_of_salt_mg(salt_g=_end("M3b", 0), sodium_count=1, salt_g_per_mol=SALT_G_PER_MOL)
    return sodium_mmol(sodium_mg=sodium_mg / litres)


@experiment
def practice_sodium_mmol_per_l() -> float:
    """Return the sodium of the drink that practice uses for everybody."""
    return sodium_mmol(sodium_mg=_end("N5", 0))


@experiment
def caffeine_mg(*, body_mass_kg: float, high: float) -> float:
    """Return the lesser of the rule by body mass and the most at once."""
    by_mass = per_mass_mg(dose_mg_per_kg=_end("C1", high), body_mass_kg=body_mass_kg)
    return min(by_mass, value("caffeine.single").mid)


@experiment
def rinse(*, race_min: float, rinse_percent: float, what: float) -> float:
    """Return of a race's rinses: count, minutes between them, millilitres, grams in the mouth (0 to 3)."""
    part_percent = value("rinse.part").mid
    count = 100 / part_percent
    volume_ml = count * _end("R1", 0)
    return (count, race_min * part_percent / 100, volume_ml, volume_ml * rinse_percent / 100)[int(what)]


@experiment
def refuel_g(*, body_mass_kg: float, next_session_h: float, over_h: float, high: float) -> float:
    """Return the carbohydrate after a race by the narrowest rule that fires, over so many hours."""
    rule = [
        rule for rule in STANDS.giving("recovery.carb") if rule.fires({"next_session_h": next_session_h})
    ][-1]
    dose_g_per_kg_per_h = rule.band.high if high else rule.band.low
    return per_mass_g_per_h(dose_g_per_kg_per_h=dose_g_per_kg_per_h, body_mass_kg=body_mass_kg) * over_h


@experiment
def refuel_mixed_g_per_h(*, body_mass_kg: float, protein: float, high: float) -> float:
    """Return the hourly carbohydrate (0) or protein (1) of the mixed way to refuel."""
    dose_g_per_kg_per_h = _end("P2c" if protein else "P2b", high)
    return per_mass_g_per_h(dose_g_per_kg_per_h=dose_g_per_kg_per_h, body_mass_kg=body_mass_kg)


@experiment
def protein_g(*, body_mass_kg: float, rule_number: float, high: float) -> float:
    """Return a serving of protein by P3, P4a or P5 (0, 1 or 2)."""
    rule_id = ("P3", "P4a", "P5")[int(rule_number)]
    return per_mass_g(dose_g_per_kg=_end(rule_id, high), body_mass_kg=body_mass_kg)


@experiment
def fluid_after_l(*, body_mass_kg: float, loss_kg: float, high: float) -> float:
    """Return the fluid after a race that has another within 8 hours; after a gain no rule fires."""
    facts = {"next_session_h": 8.0, "loss_percent": 100 * loss_kg / body_mass_kg}
    rules = [rule for rule in STANDS.giving("recovery.fluid") if rule.fires(facts)]
    if not rules:
        return 0.0
    fluid_l_per_kg = rules[0].band.high if high else rules[0].band.low
    return per_loss_l(fluid_l_per_kg=fluid_l_per_kg, loss_kg=loss_kg)


@experiment
def swallowed_ml(*, cups: float, high: float) -> float:
    """Return what is swallowed from so many part-filled cups."""
    band = value("cup.swallowed")
    return cups * (band.high if high else band.low)
