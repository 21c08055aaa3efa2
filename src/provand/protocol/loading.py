"""The days before: loading bands, what is usual, the step up, and the blocks of 24 hours.

No dose is chosen here: the page shows the bands beside what is usual, and the target is the practitioner's
tick, an override of `load.dose_g_per_kg_per_day`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from math import ceil
from zoneinfo import ZoneInfo

from provand.figure import Figure
from provand.finding import Finding
from provand.physiology.dosing import (
    dose_of_amount_g_per_kg_per_day,
    per_mass_g_per_day,
    step_up_g_per_kg_per_day,
)
from provand.protocol.asks import AskedRace, typed
from provand.protocol.firing import Fired, Hit, Setting, band_figure, chosen_figure, edges
from provand.record import Record

DOSE = "load.dose_g_per_kg_per_day"
DAY_H = 24


class Block(Record):
    """A stretch of time, both ends in the zone of the race."""

    start: datetime
    end: datetime


class LoadTarget(Record):
    """Loading: `dose` and `carb` are a band until a dose is ticked; what is not known is None."""

    dose: Figure
    carb: Figure
    ticked: bool
    usual: Figure | None
    step: Figure | None
    fibre: Figure | None
    beside: tuple[Figure, ...]
    blocks: tuple[Block, ...]
    fired: tuple[Fired, ...]
    findings: tuple[Finding, ...]


def first_start(race: AskedRace) -> datetime:
    """Return the own start as it was before any delay, in the zone of the race.

    Loading and breakfast are reckoned from it: when a start is put off, both are over.
    """
    zone = ZoneInfo(race.zone)
    gun = race.gun if race.gun.tzinfo is not None else race.gun.replace(tzinfo=zone)
    return earlier(gun.astimezone(zone), elapsed_s=(race.delay_s or 0.0) - race.own_offset_s.mid)


def earlier(moment: datetime, *, elapsed_s: float) -> datetime:
    """Return a moment so many true seconds before another, in the other's zone, over any clock change."""
    return (moment.astimezone(UTC) - timedelta(seconds=elapsed_s)).astimezone(moment.tzinfo)


def neat(moment: datetime) -> datetime:
    """Return a moment on a full five minutes, never later than it was, over any change of clocks."""
    over = timedelta(minutes=moment.minute % 5, seconds=moment.second, microseconds=moment.microsecond)
    return (moment.astimezone(UTC) - over).astimezone(moment.tzinfo)


def load_blocks(start: datetime, *, before_h: float) -> tuple[Block, ...]:
    """Return the blocks of 24 hours that reach back from the own start, the earliest first.

    They are counted in true hours from the start, not in dates; the earliest is cut where the hours end.
    """
    edges_h = [min(DAY_H * count, before_h) for count in range(ceil(before_h / DAY_H), -1, -1)]
    moments = [earlier(start, elapsed_s=3600 * edge_h) for edge_h in edges_h]
    return tuple(Block(start=a, end=b) for a, b in pairwise(moments))


def load_target(setting: Setting) -> LoadTarget | None:
    """Return loading beside what is usual; None where it is withheld, for a minor, or where no rule fires."""
    hits = [] if setting.minor or not setting.keeps("loading", "grams") else setting.hits("load.carb")
    leading = next((hit for hit in hits if hit.at_mid), None)
    if leading is None:
        return None
    trace = setting.trace
    bands = {hit.by: _band(setting, hit) for hit in hits}
    band = bands[leading.by]
    chosen = chosen_figure(setting, DOSE, band)
    dose = chosen or band_figure(setting, leading, DOSE, [band])
    usual = _usual(setting)
    hours = next((hit.rule.band.high for hit in setting.hits("load.hours") if hit.at_mid), float(DAY_H))
    return LoadTarget(
        dose=dose,
        carb=trace.apply(
            per_mass_g_per_day,
            "load.carb_g_per_day",
            dose_g_per_kg_per_day=dose,
            body_mass_kg=setting.body_mass,
        ),
        ticked=chosen is not None,
        usual=usual,
        step=_step(setting, dose, usual),
        fibre=_fibre(setting),
        beside=tuple(figure for by, figure in bands.items() if by != leading.by),
        blocks=load_blocks(first_start(setting.case.race), before_h=hours),
        fired=_shown(setting, hits, leading, ticked=chosen is not None),
        findings=tuple(edges(hits)),
    )


def _band(setting: Setting, hit: Hit) -> Figure:
    figure_id = f"load.{hit.rule.id}_dose_g_per_kg_per_day"
    return band_figure(setting, hit, figure_id, [setting.race_time])


def _usual(setting: Setting) -> Figure | None:
    """Return the usual intake by body mass, or None where it is not known."""
    usual_g_per_day = setting.case.athlete.usual_carb_g_per_day
    if usual_g_per_day is None:
        return None
    trace, usual_id = setting.trace, "athlete.usual_carb_g_per_day"
    usual = trace.given(usual_id, usual_g_per_day, typed(setting.case, usual_id))
    return trace.apply(
        dose_of_amount_g_per_kg_per_day,
        "load.usual_g_per_kg_per_day",
        carb_g_per_day=usual,
        body_mass_kg=setting.body_mass,
    )


def _step(setting: Setting, dose: Figure, usual: Figure | None) -> Figure | None:
    if usual is None:
        return None
    return setting.trace.apply(
        step_up_g_per_kg_per_day,
        "load.step_g_per_kg_per_day",
        dose_g_per_kg_per_day=dose,
        usual_g_per_kg_per_day=usual,
    )


def _fibre(setting: Setting) -> Figure | None:
    hit = next(iter(setting.hits("load.fibre")), None)
    return None if hit is None else band_figure(setting, hit, "load.fibre_g_per_day")


def _shown(setting: Setting, hits: Sequence[Hit], leading: Hit, *, ticked: bool) -> tuple[Fired, ...]:
    shown = []
    for hit in hits:
        why = "applies too, and is shown beside" if hit.at_mid else "applies only at one end of the time"
        if hit is leading:
            why = (
                "its band stands beside the ticked dose" if ticked else "its band is shown; no dose is ticked"
            )
        shown.append(hit.shown(used=hit is leading, why=why))
    lean = setting.hits("load.lean_carb")
    shown += [hit.shown(used=False, why="lean mass is not known") for hit in lean]
    rest = setting.hits("load.hours", "load.fibre")
    shown += [hit.shown(used=hit.at_mid, why="goes with the loading rule") for hit in rest]
    return tuple(shown)
