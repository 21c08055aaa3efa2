"""What the forecast does to a runner: sun, wet-bulb globe temperature, the slow-down, the flag."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import timedelta
from typing import NamedTuple

from astral import Observer
from astral.sun import elevation

from provand.case.case import Case
from provand.figure import Figure, Range, Trace
from provand.finding import Finding, find
from provand.physiology.heat import (
    BLACK_ABOVE_C,
    Flag,
    clear_sky_w_per_m2,
    cloud_ratio,
    flag,
    heat_slow_down_frac,
    radiant_rise_c,
    sun_distance_ratio,
    wind_at_height_m_per_s,
)
from provand.physiology.wbgt import direct_beam_frac, outdoor_wbgt_c
from provand.protocol.figures import from_rule
from provand.protocol.firing import HEAT
from provand.protocol.rules import assumption

CLOUD_FRAC = {"clear": (0.0, 0.15, 0.3), "part": (0.3, 0.5, 0.7), "overcast": (0.9, 0.95, 1.0)}
"""Share of the sky that is covered, from least to most, for each word of the forecast: our reading."""

UNKNOWN_SUN_DEG = 40.0
"""Height of the sun where place or hour is not known: a bright forenoon, our choice."""

ABSORBED_FRAC = 0.7
ALBEDO_FRAC = 0.1
RUNNER_HEIGHT_M = 2.0
FORECAST_HEIGHT_M = 10.0
OPEN_PROFILE_RATIO = 0.20
STRIKE_ABOVE_C = 23.0
STOP_KELVIN = 0.02


class Heat(NamedTuple):
    """The heat of the race: sun on the runner, WBGT, slow-down, flag at the warm end, and what it asks."""

    radiant_rise_c: Figure
    wbgt: Figure
    slowdown: Figure
    flag: Flag
    struck: bool
    findings: tuple[Finding, ...]


class Sun(NamedTuple):
    """Sunshine on level ground, the share of it that is direct, and the height of the sun."""

    solar_w_per_m2: float
    direct_frac: float
    elevation_deg: float


def sunshine(elevation_deg: float, cloud_frac: float, day_of_year: int) -> Sun:
    """Return the sunshine of a moment; none with the sun at or below the horizon."""
    cosz = math.sin(math.radians(elevation_deg))
    if cosz < 0.02:
        return Sun(0.0, 0.0, max(elevation_deg, 0.0))
    solar = clear_sky_w_per_m2(cos_zenith_ratio=cosz) * cloud_ratio(cloud_frac=cloud_frac)
    distance = sun_distance_ratio(day_of_year_count=day_of_year)
    direct = direct_beam_frac(solar_w_per_m2=solar, cos_zenith_ratio=cosz, sun_distance_ratio=distance)
    return Sun(solar, direct, elevation_deg)


def rise_of(sun: Sun) -> float:
    """Return how far this sun lifts a runner's mean radiant temperature above the air."""
    if sun.solar_w_per_m2 <= 0:
        return 0.0
    beam = sun.direct_frac * sun.solar_w_per_m2 / math.sin(math.radians(sun.elevation_deg))
    return radiant_rise_c(
        direct_w_per_m2=beam,
        sun_elevation_deg=sun.elevation_deg,
        absorbed_frac=ABSORBED_FRAC,
        ground_albedo_frac=ALBEDO_FRAC,
    )


def rise_range(sky: str, heights_deg: Sequence[float], day_of_year: int) -> Range:
    """Return the radiant rise from full shade to the least cloud of that sky, over the heights of the sun."""
    least_cloud = CLOUD_FRAC[sky][0]
    high = max(rise_of(sunshine(height, least_cloud, day_of_year)) for height in heights_deg)
    return Range.of(0.0, high)


def test_rise_c(sky: str) -> float:
    """Return the middle radiant rise of a sweat test, whose hour and place are not asked."""
    return rise_range(sky, [UNKNOWN_SUN_DEG], 80).mid


def runner_wind_m_per_s(wind_10m_m_per_s: float) -> float:
    """Return a forecast's wind at a runner's height."""
    return wind_at_height_m_per_s(
        wind_m_per_s=wind_10m_m_per_s,
        from_height_m=FORECAST_HEIGHT_M,
        to_height_m=RUNNER_HEIGHT_M,
        profile_ratio=OPEN_PROFILE_RATIO,
    )


def sun_heights_deg(case: Case) -> list[float]:
    """Return the heights of the sun at the own start, half way and at the finish; a bright one if unknown."""
    course = case.course
    if course.latitude_deg is None or course.longitude_deg is None:
        return [UNKNOWN_SUN_DEG]
    observer = Observer(latitude=course.latitude_deg, longitude=course.longitude_deg)
    lasts = case.race.finish_s.mid if case.race.finish_s else case.race.goal_s or 7200.0
    moments = [case.race.own_start + timedelta(seconds=lasts * share) for share in (0.0, 0.5, 1.0)]
    return [elevation(observer, moment) for moment in moments]


def heat_of(trace: Trace, case: Case) -> Heat:
    """Return the heat of this race from its forecast; the flag is judged at the warm end."""
    weather = case.weather
    heights = sun_heights_deg(case)
    day = case.race.own_start.timetuple().tm_yday
    sky = [trace["weather.air_temp_c"], trace["weather.humidity_frac"], trace["weather.wind_m_per_s"]]
    rise = trace.add(
        "heat.radiant_rise_c",
        rise_range(weather.sun, heights, day),
        how="equation",
        by="radiant_rise_c, from full shade to the least cloud of the forecast",
        source="ashrae55",
        at="solar gain of a standing person; clear sky by haurwitz1945",
        mark="estimate",
        inputs=sky,
    )
    ends = []
    for end, wind_end, cloud in (("low", "high", 2), ("mid", "mid", 1), ("high", "low", 0)):
        wind = max(0.13, runner_wind_m_per_s(getattr(weather.wind_m_per_s, wind_end)))
        suns = [sunshine(height, CLOUD_FRAC[weather.sun][cloud], day) for height in heights]
        temp = getattr(weather.air_temp_c, end)
        found = [_wbgt(case, sun, air_temp_c=temp, wind_m_per_s=wind) for sun in suns]
        ends.append(min(found) if end == "low" else max(found) if end == "high" else _mean(found))
    wbgt = trace.add(
        "heat.wbgt_c",
        Range(low=min(ends), mid=sorted(ends)[1], high=max(ends)),
        how="equation",
        by="outdoor_wbgt_c at the ends of the forecast, humidity at its middle",
        source="liljegren2008",
        at="globe and natural wet bulb, summed by ISO 7243",
        mark="computed",
        inputs=sky,
    )
    slowdown = _slowdown(trace, wbgt)
    colour, struck = flag(wbgt_c=wbgt.value.high), wbgt.value.high > STRIKE_ABOVE_C
    return Heat(rise, wbgt, slowdown, colour, struck, tuple(_findings(case, wbgt, struck)))


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _wbgt(case: Case, sun: Sun, *, air_temp_c: float, wind_m_per_s: float) -> float:
    return outdoor_wbgt_c(
        air_temp_c=air_temp_c,
        humidity_frac=case.weather.humidity_frac.mid,
        pressure_hpa=case.weather.pressure_hpa,
        wind_m_per_s=wind_m_per_s,
        solar_w_per_m2=sun.solar_w_per_m2,
        direct_frac=sun.direct_frac,
        cos_zenith_ratio=math.sin(math.radians(sun.elevation_deg)),
        stop_kelvin=STOP_KELVIN,
    )


def _slowdown(trace: Trace, wbgt: Figure) -> Figure:
    rule = assumption("heat.slowdown")
    share = Range.of(rule.band.low / 100, rule.band.high / 100)
    per_degree = from_rule(trace, "heat.slowing_frac_per_c", rule, share)
    return trace.apply(heat_slow_down_frac, "heat.slowdown_frac", wbgt_c=wbgt, slowing_frac_per_c=per_degree)


def _findings(case: Case, wbgt: Figure, struck: bool) -> list[Finding]:
    found = []
    high = round(wbgt.value.high, 1)
    reason = next((o for o in case.wishes.overrides if o.what == HEAT), None)
    if wbgt.value.high > BLACK_ABOVE_C and reason is None:
        found.append(find("heat.too_hot", "weather", wbgt_c=high))
    elif wbgt.value.high > BLACK_ABOVE_C and reason is not None:
        found.append(find("heat.too_hot_named", "weather", wbgt_c=high, by=reason.by, why=reason.why))
    elif struck:
        found.append(find("heat.pace_first", "weather", wbgt_c=high))
    if case.course.latitude_deg is None:
        found.append(find("heat.place_unknown", "course.latitude"))
    return found
