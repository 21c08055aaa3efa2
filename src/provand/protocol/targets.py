"""Rules become targets: one entry, pure, from the figures of a trace to the figures of the same trace."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from provand.card import Mark
from provand.figure import Figure, Range, Trace
from provand.finding import Finding, find
from provand.physiology.dosing import dose_of_amount_mg_per_kg, per_mass_g, per_mass_g_per_h, per_mass_mg
from provand.protocol.asks import AskedCase
from provand.protocol.firing import (
    OVERRIDES,
    Fired,
    Hit,
    Setting,
    assumed,
    band_figure,
    check_overrides,
    chosen_figure,
)
from provand.protocol.loading import LoadTarget, load_target
from provand.protocol.morning import BreakfastTarget, DrinkBefore, breakfast_target, drink_before
from provand.protocol.own import Protocols
from provand.protocol.race_carb import RaceTarget, race_target
from provand.protocol.rules import Note, stale_rules, value
from provand.record import Record

BESIDE = (
    *("race.protein", "race.energy", "race.drink_carb", "race.rinse", "race.gel", "race.fluid"),
    *("race.drink_sodium", "race.caffeine", "rehearsal.carb", "rehearsal.runs"),
)
"""Targets whose rules are shown and make no figure: stock, recipes and rehearsals are judged by them."""


class NoteShown(Record):
    """A rule without a number, as it is shown."""

    id: str
    protocol: str
    says: str
    source: str
    mark: Mark


class Recovery(Record):
    """After the race. Fluid is meals and water unless a practitioner ticks more; protein by each rule.

    `soon` says that the next hard session is near: then there is `carb` by the hour, `carb_with_protein` in
    its place.
    """

    protein: tuple[Figure, ...]
    carb: tuple[Figure, ...] = ()
    carb_with_protein: tuple[Figure, ...] = ()
    soon: bool = False
    fluid: Figure | None
    fired: tuple[Fired, ...]
    findings: tuple[Finding, ...]


class CaffeineTarget(Record):
    """Caffeine: what the rule gives, the most at once, and the lesser of the two."""

    by_mass: Figure
    single: Figure
    target: Figure
    fired: tuple[Fired, ...]
    findings: tuple[Finding, ...]


class Targets(Record):
    """Every target of a case; a part that is withheld is None or has no figure."""

    race: RaceTarget
    load: LoadTarget | None
    breakfast: BreakfastTarget
    drink_before: DrinkBefore | None
    recovery: Recovery
    caffeine: CaffeineTarget | None
    notes: tuple[NoteShown, ...]
    fired: tuple[Fired, ...]
    findings: tuple[Finding, ...]


def targets(
    trace: Trace,
    case: AskedCase,
    *,
    race_time: Figure,
    body_mass: Figure,
    carb_use_low: Figure | None,
    age_years: float,
    minor: bool,
    withheld: frozenset[str],
    protocols: Protocols,
    as_of: date,
) -> Targets:
    """Return every target of a case, each figure kept in the trace.

    `race_time` [s] and `body_mass` [kg] are figures of the trace, as is `carb_use_low` [g/h], the modelled
    carbohydrate use of which the low bound counts (None for nothing modelled). `withheld` names parts:
    caffeine, sodium, fluid, grams, fructose, loading; `minor` says that the screening takes the athlete for
    one, whatever the age on the day of the race. Raises BadInput for an override that cannot be meant.
    """
    check_overrides(case)
    setting = Setting(
        trace=trace,
        case=case,
        protocols=protocols.in_order,
        race_time=race_time,
        body_mass=body_mass,
        facts={
            "distance_km": case.race.distance_m / 1000,
            "age_years": age_years,
            "female": None if case.athlete.sex is None else float(case.athlete.sex == "female"),
            "vegan": float(case.athlete.diet == "vegan"),
            "walks": float(case.athlete.walks),
            "air_temp_c": case.weather.air_temp_c.mid,
            "next_session_h": case.next_session_h,
        },
        withheld=withheld,
        minor=minor or age_years < value("age.adult").low,
    )
    race = race_target(setting, carb_use_low)
    load, breakfast, drink = load_target(setting), breakfast_target(setting), drink_before(setting)
    recovery, caffeine = _recovery(setting), _caffeine(setting)
    parts = [part for part in (race, load, breakfast, drink, recovery, caffeine) if part is not None]
    beside = [hit.shown(used=False, why="shown, no target of the race") for hit in setting.hits(*BESIDE)]
    fired = (*(fired for part in parts for fired in part.fired), *beside)
    notes = _notes(setting)
    return Targets(
        race=race,
        load=load,
        breakfast=breakfast,
        drink_before=drink,
        recovery=recovery,
        caffeine=caffeine,
        notes=tuple(shown for _, shown in notes),
        fired=fired,
        findings=(
            *(finding for part in parts for finding in part.findings),
            *_unused(setting),
            *_stale(setting, fired, [note for note, _ in notes], as_of),
        ),
    )


def _unused(setting: Setting) -> Iterator[Finding]:
    """Yield that a target set by hand is not used, where the plan has no such target."""
    for override in setting.case.wishes.overrides:
        if override.what in OVERRIDES and override.what not in setting.trace:
            yield find("target.override_unused", "wishes.overrides")


def _stale(setting: Setting, fired: tuple[Fired, ...], notes: list[Note], as_of: date) -> tuple[Finding, ...]:
    shown = {(rule.protocol, rule.id) for rule in fired}
    rules = [rule for p in setting.protocols for rule in p.rules if (p.id, rule.id) in shown]
    return stale_rules([*rules, *notes], as_of)


def _notes(setting: Setting) -> list[tuple[Note, NoteShown]]:
    facts = {**setting.facts, "race_min": setting.race_time.value.mid / 60}
    return [
        (
            note,
            NoteShown(id=note.id, protocol=p.id, says=note.says, source=note.source, mark=note.mark),
        )
        for p in setting.protocols
        for note in p.notes
        if note.fires(facts) and setting.left_out.isdisjoint(note.parts())
    ]


def _recovery(setting: Setting) -> Recovery:
    """Return protein by each rule for an adult, and fluid only where a practitioner ticked it.

    Rules of a hurry fire only where the hours to the next hard session are told.
    """
    hits = [] if setting.minor else setting.hits("recovery.protein")
    fast = [] if setting.minor else setting.hits("recovery.carb")
    together = [] if setting.minor else setting.hits(*TOGETHER)
    ticked = _rehydrate(setting)
    findings = [] if ticked is None else [find("target.rehydrate", ticked.id)]
    return Recovery(
        protein=tuple(_protein(setting, hit) for hit in hits),
        carb=tuple(_by_the_hour(setting, hit) for hit in fast),
        carb_with_protein=tuple(_by_the_hour(setting, hit) for hit in together),
        soon=any(rule.fires(setting.facts) for p in setting.protocols for rule in p.giving("recovery.carb")),
        fluid=ticked,
        fired=(
            *(hit.shown(used=True, why="shown beside the others") for hit in (*hits, *fast)),
            *(hit.shown(used=False, why="in place of carbohydrate alone") for hit in together),
        ),
        findings=tuple(findings),
    )


TOGETHER = ("recovery.carb_with_protein", "recovery.protein_with_carb")


def _by_the_hour(setting: Setting, hit: Hit) -> Figure:
    """Return grams an hour, of carbohydrate or of the protein beside it."""
    dose = band_figure(setting, hit, f"recovery.{hit.rule.id}_dose_g_per_kg_per_h")
    what = "protein" if hit.rule.gives == TOGETHER[1] else "carb"
    return setting.trace.apply(
        per_mass_g_per_h,
        f"recovery.{hit.rule.id}_{what}_g_per_h",
        dose_g_per_kg_per_h=dose,
        body_mass_kg=setting.body_mass,
    )


def _rehydrate(setting: Setting) -> Figure | None:
    """Return the fluid that a practitioner ticked; None for a minor, and where the next session is far."""
    rules = [rule for p in setting.protocols for rule in p.giving("recovery.fluid")]
    if not rules or setting.minor or not setting.keeps("fluid", "grams"):
        return None
    hit = Hit(rules[0], setting.protocols[0].id, at_mid=True)
    what = "recovery.fluid_l_per_kg"
    if not any(override.what == what for override in setting.case.wishes.overrides):
        return None
    near = {fact: window for fact, window in hit.rule.when.items() if fact == "next_session_h"}
    told = setting.case.next_session_h is not None
    if told and not hit.rule.model_copy(update={"when": near}).fires(setting.facts):
        return None
    return chosen_figure(setting, what, band_figure(setting, hit, f"recovery.{hit.rule.id}_fluid_l_per_kg"))


def _protein(setting: Setting, hit: Hit) -> Figure:
    if hit.rule.unit == "g":
        return band_figure(setting, hit, f"recovery.{hit.rule.id}_protein_g")
    dose = band_figure(setting, hit, f"recovery.{hit.rule.id}_dose_g_per_kg")
    return setting.trace.apply(
        per_mass_g,
        f"recovery.{hit.rule.id}_protein_g",
        dose_g_per_kg=dose,
        body_mass_kg=setting.body_mass,
    )


def _caffeine(setting: Setting) -> CaffeineTarget | None:
    """Return the lesser of the rule by body mass and the most at once; None for a minor or if withheld."""
    hit = next(iter(setting.hits("caffeine.dose")), None)
    if hit is None or setting.minor:
        return None
    trace = setting.trace
    dose = band_figure(setting, hit, f"caffeine.{hit.rule.id}_dose_mg_per_kg")
    by_mass = trace.apply(
        per_mass_mg,
        f"caffeine.{hit.rule.id}_mg",
        dose_mg_per_kg=dose,
        body_mass_kg=setting.body_mass,
    )
    single = assumed(trace, "caffeine.single")
    low_mg, high_mg = (min(end, single.value.mid) for end in (by_mass.value.low, by_mass.value.high))
    target = trace.add(
        "caffeine.target_mg",
        Range.of(low_mg, high_mg, low_mg, means="band"),
        how="rule",
        by=f"the lesser of {by_mass.id} and {single.id}",
        inputs=[by_mass, single],
        source=single.source,
        at=single.at,
        mark=single.mark,
    )
    findings = []
    if target.value.high < by_mass.value.low:
        most = trace.apply(
            dose_of_amount_mg_per_kg,
            "caffeine.target_mg_per_kg",
            amount_mg=target,
            body_mass_kg=setting.body_mass,
        )
        findings.append(
            find(
                "target.caffeine_below",
                target.id,
                mg=round(target.value.high),
                mg_per_kg=round(most.value.mid, 2),
                band=hit.rule.shown(),
            )
        )
    return CaffeineTarget(
        by_mass=by_mass,
        single=single,
        target=target,
        fired=(hit.shown(used=True, why="held under the most at once"),),
        findings=tuple(findings),
    )
