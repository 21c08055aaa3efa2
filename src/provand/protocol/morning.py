"""Race morning: when to eat, the bands and what a habit gives, and what to drink before the start.

No breakfast is chosen here: the page shows the band beside grams by the hour, and the target is a tick, an
override of `breakfast.dose_g_per_kg`. So is an amount to drink for a minor: `drink_before.dose_ml_per_kg`.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

from provand.figure import Figure, Range
from provand.finding import Finding, find
from provand.physiology.dosing import (
    dose_of_fluid_ml_per_kg,
    hours_before_g_per_kg,
    per_mass_g,
    per_mass_ml,
)
from provand.protocol.firing import (
    Fired,
    Hit,
    Setting,
    assumed,
    band_figure,
    chosen_figure,
    edges,
    override_of,
)
from provand.protocol.loading import earlier, first_start
from provand.protocol.meal_times import MealTime, MealTimes, meal_times
from provand.record import Record

DOSE = "breakfast.dose_g_per_kg"


DRINK = "drink_before.dose_ml_per_kg"


class Meal(Record):
    """Something to eat or drink at a clock time before the start, and how long before it that is.

    `small`: too near to the start for a whole meal; `own_food`: before breakfast is served; `carried`: after
    leaving for the start.
    """

    at: datetime
    what: str
    before: Figure
    small: bool = False
    own_food: bool = False
    carried: bool = False


class BreakfastTarget(Record):
    """The meals of race morning. Without a tick `dose` and `carb` are None and the bands are shown.

    `meals` is the meal before the race and its top-up, none where nothing can be eaten; `day` are the usual
    meals of the day before a late start.
    """

    meals: tuple[Meal, ...]
    day: tuple[Meal, ...] = ()
    bands: tuple[Figure, ...]
    amounts: tuple[Figure, ...]
    dose: Figure | None
    carb: Figure | None
    fired: tuple[Fired, ...]
    findings: tuple[Finding, ...]


class DrinkBefore(Record):
    """Fluid before the start, by each rule, in millilitres for this body mass.

    A minor has no amount but what a practitioner ticks, `ticked`; nobody has one where weights are not shown.
    """

    early: Meal
    late: Meal
    amounts: tuple[Figure, ...]
    ticked: Figure | None = None
    salt: Figure | None
    fired: tuple[Fired, ...]
    findings: tuple[Finding, ...]


def _drink(setting: Setting, what: str, rule_id: str) -> Meal:
    before = assumed(setting.trace, rule_id)
    start = first_start(setting.case.race)
    return Meal(at=earlier(start, elapsed_s=3600 * before.value.mid), what=what, before=before)


def _meal(setting: Setting, time: MealTime, rule_id: str) -> Meal:
    """Return a meal with how long before the start it is: the assumption, or what came of moving it."""
    before = assumed(setting.trace, rule_id)
    if time.moved:
        start = first_start(setting.case.race)
        before = setting.trace.add(
            f"{rule_id}_moved_h",
            Range.exact((start.astimezone(UTC) - time.at.astimezone(UTC)).total_seconds() / 3600),
            how="rule",
            by=f"moved: {', '.join(time.moved)}",
            inputs=[before],
            source="estimate",
            at="as near to its own time as can be",
            mark="estimate",
        )
    return Meal(
        at=time.at,
        what=time.what,
        before=before,
        small=time.small,
        own_food=time.own_food,
        carried=time.carried,
    )


def breakfast_target(setting: Setting) -> BreakfastTarget:
    """Return the meals of race morning, with bands where grams may be shown to an adult."""
    times = meal_times(setting.case)
    meals = tuple(_meals(setting, times))
    ticked = override_of(setting.case, DOSE) is not None
    shows = bool(meals) and not setting.minor and (ticked or not meals[0].small)
    hits = setting.hits("breakfast.carb", before_h=meals[0].before.value.mid) if shows else []
    bands, amounts = [], []
    for hit in hits:
        band = _dose(setting, hit, meals[0].before)
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
        meals=meals,
        day=tuple(_meal(setting, time, "breakfast.apart") for time in times.day),
        bands=tuple(bands),
        amounts=tuple(amounts),
        dose=dose,
        carb=carb,
        fired=tuple(hit.shown(used=False, why=why) for hit in hits),
        findings=(*edges(hits), *_told(times)),
    )


def _meals(setting: Setting, times: MealTimes) -> Iterator[Meal]:
    if times.main is not None:
        yield _meal(setting, times.main, "breakfast.late_meal" if times.late else "breakfast.before")
    if times.top_up is not None:
        yield _meal(setting, times.top_up, "breakfast.top_up")


def _told(times: MealTimes) -> Iterator[Finding]:
    """Yield what stands against the meals' own times, and what came of it."""
    main, about = times.main, "morning"
    wanted = f"{times.wanted:%H:%M}"
    if main is None:
        yield find("morning.no_meal", about, wanted=wanted, why=" and ".join(times.stands_in_the_way))
        return
    at = f"{main.at:%H:%M}"
    if main.moved:
        code = "morning.small" if main.small else "morning.moved"
        yield find(code, about, what=main.what, wanted=wanted, at=at, why=" and ".join(main.moved))
    if main.own_food:
        yield find("morning.not_served", "morning.breakfast_from", at=at)
    if main.carried:
        yield find("morning.on_the_way", "morning.travel", what=main.what, at=at)
    if times.top_up_left_out:
        yield find("morning.no_top_up", about)


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
    """Return what to drink before the start, by each rule; None where fluid is withheld.

    For a minor, and where no weights are shown, no rule by body mass speaks.
    """
    if not setting.keeps("fluid"):
        return None
    early = _drink(setting, "first drink", "drink_before.early")
    late = _drink(setting, "second drink", "drink_before.late")
    targets = ("drink_before.fluid", "drink_before.top_up")
    found = {
        hit.by: hit
        for meal in (early, late)
        for hit in setting.hits(*targets, before_h=meal.before.value.mid)
    }
    ticked = _ticked_drink(setting, list(found.values()))
    if setting.minor or not setting.keeps("grams"):
        return DrinkBefore(
            early=early, late=late, amounts=(), ticked=ticked, salt=None, fired=(), findings=()
        )
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
        ticked=ticked,
        salt=band_figure(setting, salts[0], f"breakfast.{salts[0].rule.id}_salt_g") if salts else None,
        fired=tuple(hit.shown(used=False, why="shown; thirst and urine decide") for hit in hits),
        findings=(*findings, *edges(hits)),
    )


def _ticked_drink(setting: Setting, hits: list[Hit]) -> Figure | None:
    """Return the amount that a practitioner ticked, beside the band of the leading rule; None without."""
    if not hits or not setting.keeps("grams") or override_of(setting.case, DRINK) is None:
        return None
    band = band_figure(setting, hits[0], f"drink_before.{hits[0].rule.id}_dose_ml_per_kg")
    dose = chosen_figure(setting, DRINK, band)
    return dose and _per_mass(setting, "drink_before.fluid_ml", dose)


def _fluid(setting: Setting, hit: Hit) -> Figure:
    figure_id = f"drink_before.{hit.rule.id}_dose_ml_per_kg"
    dose = setting.trace[figure_id] if figure_id in setting.trace else band_figure(setting, hit, figure_id)
    return _per_mass(setting, f"drink_before.{hit.rule.id}_fluid_ml", dose)


def _per_mass(setting: Setting, figure_id: str, dose: Figure) -> Figure:
    return setting.trace.apply(per_mass_ml, figure_id, dose_ml_per_kg=dose, body_mass_kg=setting.body_mass)


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
