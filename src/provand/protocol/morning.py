"""Race morning: when to eat, the bands and what a habit gives, and what to drink before the start.

No breakfast is chosen here: the page shows the band beside grams by the hour, and the target is a tick, an
override of `breakfast.dose_g_per_kg`.
"""

from __future__ import annotations

from datetime import datetime

from provand.figure import Figure, Range
from provand.finding import Finding, find
from provand.physiology.dosing import (
    dose_of_fluid_ml_per_kg,
    hours_before_g_per_kg,
    per_mass_g,
    per_mass_ml,
)
from provand.protocol.firing import Fired, Hit, Setting, assumed, band_figure, chosen_figure, edges
from provand.protocol.loading import earlier, first_start
from provand.protocol.rules import value
from provand.record import Record

DOSE = "breakfast.dose_g_per_kg"


class Meal(Record):
    """Something to eat or drink at a clock time before the start."""

    at: datetime
    what: str
    before: Figure


class BreakfastTarget(Record):
    """The meals of race morning. Without a tick `dose` and `carb` are None and the bands are shown."""

    meals: tuple[Meal, ...]
    bands: tuple[Figure, ...]
    amounts: tuple[Figure, ...]
    dose: Figure | None
    carb: Figure | None
    fired: tuple[Fired, ...]
    findings: tuple[Finding, ...]


class DrinkBefore(Record):
    """Fluid before the start, by each rule, in millilitres for this body mass."""

    early: Meal
    late: Meal
    amounts: tuple[Figure, ...]
    salt: Figure | None
    fired: tuple[Fired, ...]
    findings: tuple[Finding, ...]


def _meal(setting: Setting, what: str, rule_id: str) -> Meal:
    before = assumed(setting.trace, rule_id)
    start = first_start(setting.case.race)
    return Meal(at=earlier(start, elapsed_s=3600 * before.value.mid), what=what, before=before)


def meals(setting: Setting) -> tuple[Meal, ...]:
    """Return one breakfast, or for a late start a meal and a top-up."""
    start = first_start(setting.case.race)
    if start.hour + start.minute / 60 < value("breakfast.late_start").mid:
        return (_meal(setting, "breakfast", "breakfast.before"),)
    return (
        _meal(setting, "meal", "breakfast.late_meal"),
        _meal(setting, "top-up", "breakfast.top_up"),
    )


def breakfast_target(setting: Setting) -> BreakfastTarget:
    """Return the meals of race morning, with bands where grams may be shown to an adult."""
    eaten = meals(setting)
    before = eaten[0].before
    hits = [] if setting.minor else setting.hits("breakfast.carb", before_h=before.value.mid)
    bands, amounts = [], []
    for hit in hits:
        band = _dose(setting, hit, before)
        bands.append(band)
        amounts.append(
            setting.trace.apply(
                per_mass_g,
                f"breakfast.{hit.rule.id}_carb_g",
                dose_g_per_kg=band,
                body_mass_kg=setting.body_mass,
            )
        )
    dose = chosen_figure(setting, DOSE, bands[0], bands[1:]) if bands else None
    carb = dose and setting.trace.apply(
        per_mass_g, "breakfast.carb_g", dose_g_per_kg=dose, body_mass_kg=setting.body_mass
    )
    why = "shown; no dose is ticked" if dose is None else "stands beside the ticked dose"
    return BreakfastTarget(
        meals=eaten,
        bands=tuple(bands),
        amounts=tuple(amounts),
        dose=dose,
        carb=carb,
        fired=tuple(hit.shown(used=False, why=why) for hit in hits),
        findings=tuple(edges(hits)),
    )


def _dose(setting: Setting, hit: Hit, before: Figure) -> Figure:
    """Return the dose of a rule; one that counts by the hour is taken at the hours of the first meal."""
    if hit.rule.unit == "g/kg":
        return band_figure(setting, hit, f"breakfast.{hit.rule.id}_dose_g_per_kg", [setting.race_time])
    hourly = band_figure(setting, hit, f"breakfast.{hit.rule.id}_hourly_g_per_kg_per_h", [before])
    return setting.trace.apply(
        hours_before_g_per_kg,
        f"breakfast.{hit.rule.id}_dose_g_per_kg",
        dose_g_per_kg_per_h=hourly,
        before_h=before,
    )


def drink_before(setting: Setting) -> DrinkBefore | None:
    """Return what to drink before the start, by each rule; None where fluid is withheld."""
    if not setting.keeps("fluid"):
        return None
    early = _meal(setting, "first drink", "drink_before.early")
    late = _meal(setting, "second drink", "drink_before.late")
    targets = ("drink_before.fluid", "drink_before.top_up")
    found = {
        hit.by: hit
        for meal in (early, late)
        for hit in setting.hits(*targets, before_h=meal.before.value.mid)
    }
    amounts = {by: _fluid(setting, hit) for by, hit in found.items()}
    fixed = setting.hits("breakfast.fluid", before_h=late.before.value.mid)
    findings: list[Finding] = []
    for hit in fixed:
        amount, flags = _scaled(setting, hit, [(h, amounts[by]) for by, h in found.items()])
        amounts[hit.by] = amount
        findings += flags
    salts = setting.hits("breakfast.salt", before_h=late.before.value.mid)
    hits = [*found.values(), *fixed, *salts]
    return DrinkBefore(
        early=early,
        late=late,
        amounts=tuple(amounts.values()),
        salt=band_figure(setting, salts[0], f"breakfast.{salts[0].rule.id}_salt_g") if salts else None,
        fired=tuple(hit.shown(used=False, why="shown; thirst and urine decide") for hit in hits),
        findings=(*findings, *edges(hits)),
    )


def _fluid(setting: Setting, hit: Hit) -> Figure:
    dose = band_figure(setting, hit, f"drink_before.{hit.rule.id}_dose_ml_per_kg")
    return setting.trace.apply(
        per_mass_ml,
        f"drink_before.{hit.rule.id}_fluid_ml",
        dose_ml_per_kg=dose,
        body_mass_kg=setting.body_mass,
    )


def _scaled(setting: Setting, hit: Hit, beside: list[tuple[Hit, Figure]]) -> tuple[Figure, list[Finding]]:
    """Return a fixed amount fitted into the first band by body mass, and a flag for each band it misses."""
    fixed = band_figure(setting, hit, f"drink_before.{hit.rule.id}_fluid_ml")
    dose = setting.trace.apply(
        dose_of_fluid_ml_per_kg,
        f"drink_before.{hit.rule.id}_dose_ml_per_kg",
        fluid_ml=fixed,
        body_mass_kg=setting.body_mass,
    )
    bands = [(h, figure) for h, figure in beside if h.rule.gives == "drink_before.fluid"]
    flags = [
        find(
            "target.drink_fixed",
            fixed.id,
            ml=round(fixed.value.mid),
            ml_per_kg=round(dose.value.mid, 1),
            rule=h.by,
            row=h.rule.id,
            band=h.rule.shown(),
        )
        for h, figure in bands
        if not figure.value.low <= fixed.value.mid <= figure.value.high
    ]
    if not bands:
        return fixed, flags
    first = bands[0][1]
    fitted_ml = min(max(fixed.value.mid, first.value.low), first.value.high)
    scaled = setting.trace.add(
        f"drink_before.{hit.rule.id}_scaled_fluid_ml",
        Range.exact(fitted_ml),
        how="rule",
        by=f"{hit.by}, kept inside {first.id}",
        inputs=[fixed, dose, first],
        source=hit.rule.source,
        at=hit.rule.at,
        mark=hit.rule.mark,
    )
    return scaled, flags
