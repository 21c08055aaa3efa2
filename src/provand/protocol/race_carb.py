"""Carbohydrate in the race: which rules fire, which number is the default, and why.

The default is the least of what was rehearsed (or, without a rehearsal, the lowest low end among the rules
that fire) and a share of the modelled carbohydrate use; it is never interpolated between rules. That is how
the trade treats a first, slow or unrehearsed race: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from provand.figure import Figure, Range
from provand.finding import BadInput, Finding, find
from provand.physiology.dosing import mean_speed_km_per_h, share_of_use_g_per_h, whole_race_g_per_race
from provand.protocol.asks import typed
from provand.protocol.firing import (
    Fired,
    Hit,
    Setting,
    assumed,
    band_figure,
    chosen_by,
    chosen_figure,
    default_figure,
    edges,
    override_of,
)
from provand.protocol.rules import value
from provand.record import Record
from provand.units import shown

TARGET = "race.target_carb_g_per_h"
Mode = Literal["rate", "small", "none"]
"""A rate; small amounts (a rinse, a mouthful, a rehearsed gel); nothing needed."""


class RaceTarget(Record):
    """What to eat in the race."""

    mode: Mode
    carb: Figure
    carb_whole: Figure
    rule: str
    why: str
    fired: tuple[Fired, ...]
    findings: tuple[Finding, ...]


class _Settled(NamedTuple):
    """The target with the rule whose band is shown, and the reason in words."""

    carb: Figure
    used: Hit | None
    why: str


def race_carb_rules(setting: Setting) -> list[Hit]:
    """Return the rules for carbohydrate in the race that fire at the middle or either end of the time."""
    return setting.hits("race.carb")


def race_target(setting: Setting, carb_use_low: Figure | None) -> RaceTarget:
    """Return the carbohydrate target of the race, with every rule that was looked at.

    `carb_use_low` is the modelled carbohydrate use [g/h], of which the low bound counts; None where nothing
    is modelled. Where grams are withheld the target stands all the same: the race is fuelled in portions,
    which are laid by it, and no hand-out tells it. Raises BadInput when no rule gives a rate, or when an
    override cannot be meant.
    """
    setting = setting._replace(withheld=setting.withheld - {"grams"})
    hits = race_carb_rules(setting)
    is_small = setting.race_time.value.mid / 60 < value("rate.small_race").mid
    figures = {
        hit.by: band_figure(setting, hit, f"race.{hit.rule.id}_carb_g_per_h", [setting.race_time])
        for hit in hits
    }
    settled = _small(setting, hits, figures) if is_small else _rate(setting, hits, figures, carb_use_low)
    override = override_of(setting.case, TARGET)
    return RaceTarget(
        mode=_mode(hits, settled.carb, is_small=is_small and override is None),
        carb=settled.carb,
        carb_whole=setting.trace.apply(
            whole_race_g_per_race,
            "race.target_carb_g_per_race",
            carb_g_per_h=settled.carb,
            finish_s=setting.race_time,
        ),
        rule=settled.used.by if settled.used else "",
        why=settled.why if override is None else f"Set by hand: {chosen_by(override)}.",
        fired=tuple(hit.shown(used=hit is settled.used, why=_why_shown(hit, settled)) for hit in hits),
        findings=(*edges(hits), *_by_time_alone(hits, settled)),
    )


def _mode(hits: Sequence[Hit], carb: Figure, *, is_small: bool) -> Mode:
    if not is_small:
        return "rate" if carb.value.mid > 0 else "none"
    something = any(hit.at_mid and (hit.rule.open or hit.rule.band.high > 0) for hit in hits)
    return "small" if something or not hits else "none"


def _small(setting: Setting, hits: Sequence[Hit], figures: dict[str, Figure]) -> _Settled:
    """Return nothing as the default of a short race, up to the highest band that fires."""
    now = [hit for hit in hits if hit.at_mid]
    used = next(iter(now), None)
    high_g_per_h = max((hit.rule.band.high for hit in now), default=0.0)
    inputs = [setting.race_time, *(figures[hit.by] for hit in now)]
    limit = assumed(setting.trace, "rate.small_race")
    band = setting.trace.add(
        "race.small_carb_g_per_h",
        Range.of(0, high_g_per_h, 0, means="band"),
        how="rule",
        by="nothing is needed under this time; the bands that fire are allowed",
        inputs=[limit, *inputs],
        source=limit.source,
        at=limit.at,
        mark=limit.mark,
    )
    carb = chosen_figure(setting, TARGET, band) or default_figure(setting, TARGET, band, band, ())
    if not any(hit.rule.open or hit.rule.band.high > 0 for hit in now):
        return _Settled(carb, used, "Nothing is needed in so short a race.")
    why = (
        f"Under {limit.value.mid:g} min: a rinse, or a mouthful where a station serves carbohydrate, or a "
        "rehearsed gel. A rinse after each eighth of the race needs more places than most races have."
    )
    return _Settled(carb, used, why)


class _Candidate(NamedTuple):
    """A number that the default may not pass: the low end of a figure, with the reason in words."""

    figure: Figure
    why: str


def _rate(
    setting: Setting, hits: Sequence[Hit], figures: dict[str, Figure], carb_use_low: Figure | None
) -> _Settled:
    giving = [hit for hit in hits if hit.rule.band.high > 0]
    if not giving:
        raise BadInput(find("target.no_rule", TARGET))
    candidates = list(_candidates(setting, giving, figures, carb_use_low))
    least = min(candidates, key=lambda candidate: candidate.figure.value.low)
    used = _nearest(setting, giving, least.figure)
    band = _kept_band(setting, figures[used.by])
    inputs = [candidate.figure for candidate in candidates]
    carb = chosen_figure(setting, TARGET, band, inputs) or default_figure(
        setting, TARGET, least.figure, band, inputs
    )
    words = "; ".join(f"{_low(candidate.figure)} g/h, {candidate.why}" for candidate in candidates)
    return _Settled(carb, used, f"The least of: {words}." if len(candidates) > 1 else f"{words}.")


def _low(figure: Figure) -> str:
    return shown(figure.value.low, figure.unit)


def _candidates(
    setting: Setting, giving: Sequence[Hit], figures: dict[str, Figure], carb_use_low: Figure | None
) -> Iterator[_Candidate]:
    trace = setting.trace
    rehearsed = _rehearsed(setting)
    walks = _walks(setting)
    if rehearsed is not None:
        yield _Candidate(rehearsed, "the highest rate kept down in rehearsal")
    if rehearsed is None or walks:
        lowest = min(giving, key=lambda hit: hit.rule.band.low)
        reason = "and much of the race is walked" if walks else "as no rate was rehearsed"
        yield _Candidate(figures[lowest.by], f"the lowest low end of the rules ({lowest.rule.id}), {reason}")
    if carb_use_low is not None:
        share = assumed(trace, "rate.share_of_use")
        cap = trace.apply(
            share_of_use_g_per_h,
            "race.share_of_use_carb_g_per_h",
            carb_use_g_per_h=carb_use_low,
            share_frac=share,
        )
        yield _Candidate(cap, f"{share.value.mid:.0%} of the modelled carbohydrate use")
    if not setting.keeps("fructose"):
        yield _Candidate(assumed(trace, "rate.one_sugar"), "the most of one sugar alone")


def _rehearsed(setting: Setting) -> Figure | None:
    """Return the highest rate kept down with an item that may still be used."""
    case = setting.case
    barred = {*case.athlete.refused, *case.wishes.banned}
    rates = [
        (item.rate_g_per_h, place)
        for place, item in enumerate(case.athlete.rehearsed)
        if item.rate_g_per_h is not None and item.item not in barred
    ]
    if not rates:
        return None
    rate_g_per_h, place = max(rates)
    text = typed(case, f"athlete.rehearsed.{place}.rate_g_per_h")
    return setting.trace.given("athlete.rehearsed_carb_g_per_h", rate_g_per_h, text)


def _walks(setting: Setting) -> bool:
    """Return whether much of the race is walked: so said, or slower over the whole race than walkers are."""
    trace, distance_id = setting.trace, "race.distance_m"
    distance = trace.given(distance_id, setting.case.race.distance_m, typed(setting.case, distance_id))
    speed = trace.apply(
        mean_speed_km_per_h,
        "race.mean_speed_km_per_h",
        distance_m=distance,
        finish_s=setting.race_time,
    )
    return setting.case.athlete.walks or speed.value.mid < value("walker.speed").mid


def _nearest(setting: Setting, giving: Sequence[Hit], least: Figure) -> Hit:
    """Return the rule whose band is shown: of the leading protocol, the band that holds or is nearest."""
    now = [hit for hit in giving if hit.at_mid] or list(giving)
    leading = [hit for hit in now if hit.protocol == setting.protocols[0].id] or now

    def distance(hit: Hit) -> float:
        band = hit.rule.band
        return max(band.low - least.value.low, least.value.low - band.high, 0.0)

    return min(leading, key=distance)


def _kept_band(setting: Setting, band: Figure) -> Figure:
    """Return the band, cut at the most of one sugar alone where fructose is withheld."""
    limit = assumed(setting.trace, "rate.one_sugar") if not setting.keeps("fructose") else None
    if limit is None or band.value.high <= limit.value.mid:
        return band
    return setting.trace.add(
        "race.one_sugar_band_carb_g_per_h",
        Range.of(min(band.value.low, limit.value.mid), limit.value.mid, means="band"),
        how="rule",
        by="the band, cut at the most of one sugar alone",
        inputs=[band, limit],
        source=limit.source,
        at=limit.at,
        mark=limit.mark,
    )


def _why_shown(hit: Hit, settled: _Settled) -> str:
    if hit is settled.used:
        return "its band is shown with the target"
    if not hit.at_mid:
        return "applies only at the early or the slow end of the time"
    return "applies too, and is shown beside" + ("" if hit.rule.band.high else ": it gives no rate")


def _by_time_alone(hits: Sequence[Hit], settled: _Settled) -> Iterator[Finding]:
    """Yield a note for each higher band that applies too: length alone does not make a race hard."""
    floor_g_per_h = max(settled.carb.value.mid, settled.used.rule.band.low if settled.used else 0.0)
    for hit in hits:
        if hit.at_mid and settled.carb.value.mid > 0 and hit.rule.band.low > floor_g_per_h:
            yield find("target.by_time", TARGET, rule=hit.by, row=hit.rule.id, band=hit.rule.shown())
